"""A season's whole sky as a disc above this horizon, to find the stars to calibrate on.

Zenith at the centre, north at the top, east on the left as one looks up; the distance from the
centre is the zenith distance (azimuthal equidistant), the rim the level horizon.
"""

import math
from collections.abc import Collection, Iterator
from functools import cached_property

import numpy as np
from markupsafe import Markup

from almanac.publish.charts.drawing import WIDTH, dots, ink, svg, text
from almanac.publish.charts.labels import Box, Labels, Spot, around, text_box
from almanac.publish.charts.moon_road import month_words, moon_road, trails
from almanac.publish.charts.sky_plane import CENTRE, RADIUS, above, disc_point, profile, project
from almanac.publish.wording import Wording
from almanac.records.catalogue import Catalogue
from almanac.records.config import Horizon, Site
from almanac.records.year import Floats, MonthSky, SeasonSky

HEIGHT = WIDTH + 26
FAINTEST = 3.6
"""Magnitude to which stars are shown that no pattern needs: few, so that patterns stand out."""
BRIGHT_RADIUS = 6.5
"""Of a dot that no name may cover; a few faint ones matter less than a name near its star."""
RING = 4
"""Between the dot of a star to learn and the ring round it."""
HALO = 0.6
"""Of paper round a named star's dot, taken from it by half."""
BRIGHT_SIZE, SMALL_SIZE = 24, 20
NAMES = 12
"""Names at most, besides those of the stars to learn; the page's table has them all."""


def season_chart(
    season: SeasonSky,
    catalogue: Catalogue,
    site: Site,
    learn: Collection[int],
    words: Wording,
    month: MonthSky | None = None,
) -> Markup:
    """The chart as inline SVG, square with a line of words below.

    ``learn`` holds the HIP numbers of the stars to be shown strongest; usable stars are named. A
    month's chart also has the Moon's road and the later places of the stars to learn.
    """
    sky = _Sky(season, catalogue, site, frozenset(learn))
    shown = season.at_utc is not None
    road = moon_road(month, site.horizon) if month else ""
    ways = trails(month, site.horizon, sky.now) if month else ""
    directions = list(_directions(words))
    body = [
        _rim(),
        *([road, _patterns(sky), ways, _discs(sky.background_dots, "ink")] if shown else []),
        _trees(site.horizon),
        _outline(),
        *([_stars(sky), *_names(sky, directions, words, site.horizon, month)] if shown else []),
        *(text(x, y, content, anchor) for content, (x, y, anchor) in directions),
        text(
            CENTRE,
            HEIGHT - 14,
            words.gettext("Looking up: east is on the left."),
            "middle",
            "quiet",
        ),
    ]
    title, told = _title(season, words, month), _description(sky, words)
    return svg(season.season, title, told, HEIGHT, body, margin=_overhang(directions))


def _title(season: SeasonSky, words: Wording, month: MonthSky | None) -> str:
    if month:
        return words.gettext("The sky in %(month)s", month=words.month(month.month))
    return words.season_sky(season.season)


class _Sky:
    """Places of all stars on the disc, in units; None of them below the trees."""

    def __init__(
        self, season: SeasonSky, catalogue: Catalogue, site: Site, learn: frozenset[int]
    ) -> None:
        self.season, self.catalogue, self.learn = season, catalogue, learn
        self.stars = project(season.star_altitude_deg, season.star_azimuth_deg)
        self.star_up = above(season.star_altitude_deg, season.star_azimuth_deg, site.horizon)
        self.background = project(season.background_altitude_deg, season.background_azimuth_deg)
        self.background_up = season.background_altitude_deg > 0

    @cached_property
    def star_dots(self) -> Floats:
        """Rows x, y, radius of the named stars that are up."""
        radius = np.array([dot_radius(star.magnitude) for star in self.catalogue.stars])
        return np.vstack((self.stars, radius))[:, self.star_up]

    @cached_property
    def now(self) -> dict[int, tuple[float, float]]:
        """Places of the named stars that are up, by HIP number."""
        return {
            star.hip: (float(self.stars[0, i]), float(self.stars[1, i]))
            for i, star in enumerate(self.catalogue.stars)
            if self.star_up[i]
        }

    @cached_property
    def background_dots(self) -> Floats:
        """Rows x, y, radius of other stars: those to FAINTEST and those of the patterns."""
        table = self.catalogue.background
        patterns = np.array(self.catalogue.patterns, dtype=np.int64).ravel()
        named = np.isin(table.hip, [star.hip for star in self.catalogue.stars])
        wanted = np.isin(table.hip, patterns) | (table.magnitude <= FAINTEST)
        radius = np.array([dot_radius(m) for m in table.magnitude.tolist()])
        return np.vstack((self.background, radius))[:, self.background_up & wanted & ~named]

    def named(self) -> Iterator[tuple[int, float, float, bool]]:
        """(index, x, y, to be learnt) of the stars that carry a name, strongest first."""
        stars = self.catalogue.stars
        order = sorted(
            np.flatnonzero(self.season.usable & self.star_up).tolist(),
            key=lambda i: (stars[i].hip not in self.learn, stars[i].magnitude, stars[i].hip),
        )
        learnt = sum(stars[i].hip in self.learn for i in order)
        for i in order[: learnt + NAMES]:
            x, y = self.stars[:, i].tolist()
            yield i, x, y, stars[i].hip in self.learn


# Shapes


def _rim() -> str:
    return f'<circle cx="{CENTRE:g}" cy="{CENTRE:g}" r="{RADIUS}" fill="{ink("paper")}"/>'


def _outline() -> str:
    circle = f'<circle cx="{CENTRE:g}" cy="{CENTRE:g}" r="{RADIUS}" fill="none"'
    return f'{circle} stroke="{ink("ink")}" stroke-width="2"/>'


def _trees(horizon: Horizon) -> str:
    """Everything between the level horizon and the profile, filled."""
    if not horizon.azimuth_deg:
        return ""
    x, y = project(*_skyline(horizon))
    inner = "M" + "L".join(f"{a:.1f} {b:.1f}" for a, b in zip(x.tolist(), y.tolist(), strict=True))
    top, bottom = CENTRE - RADIUS, CENTRE + RADIUS
    arc = f"A{RADIUS} {RADIUS} 0 0 1 {CENTRE:g}"
    outer = f"M{CENTRE:g} {top:g}{arc} {bottom:g}{arc} {top:g}z"
    return f'<path fill="{ink("ground")}" fill-rule="evenodd" d="{outer}{inner}z"/>'


def _skyline(horizon: Horizon) -> tuple[Floats, Floats]:
    """Altitude and azimuth of the profile's own points, upright edges kept, and of many between."""
    between = np.setdiff1d(np.arange(0, 360, 2.0), horizon.azimuth_deg)
    azimuth = np.concatenate((horizon.azimuth_deg, between))
    own = np.maximum(horizon.altitude_deg, 0)
    altitude = np.concatenate((own, profile(between, horizon)))
    order = np.argsort(azimuth, kind="stable")
    return altitude[order], azimuth[order]


def _patterns(sky: _Sky) -> str:
    """Lines by which each pattern is known, where both ends are up."""
    index = {int(hip): i for i, hip in enumerate(sky.catalogue.background.hip)}
    lines = []
    for first, second in sky.catalogue.patterns:
        a, b = index.get(first), index.get(second)
        if a is None or b is None or not (sky.background_up[a] and sky.background_up[b]):
            continue
        (ax, ay), (bx, by) = sky.background[:, a], sky.background[:, b]
        lines.append(f"M{ax:.1f} {ay:.1f}L{bx:.1f} {by:.1f}")
    return f'<path stroke="{ink("quiet")}" stroke-width="1" d="{"".join(lines)}"/>' if lines else ""


def dot_radius(magnitude: float) -> float:
    """Units: large for bright stars, so that a pattern is known at arm's length."""
    return max(1.4, 1.7 + 1.55 * (FAINTEST - max(magnitude, -0.5)))


def _discs(rows: Floats, ink_name: str, more: float = 0.0) -> str:
    """Discs from rows x, y, radius, each so much larger; radii are rounded to a quarter unit."""
    places: dict[float, list[tuple[float, float]]] = {}
    for x, y, radius in rows.T.tolist():
        places.setdefault(round(4 * (radius + more)) / 4, []).append((x, y))
    return "".join(dots(mine, radius, ink_name) for radius, mine in sorted(places.items()))


def _stars(sky: _Sky) -> str:
    stars = sky.catalogue.stars
    circles = "".join(
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{dot_radius(stars[i].magnitude) + RING:.1f}"/>'
        for i, x, y, learn in sky.named()
        if learn
    )
    ring = f'fill="none" stroke="{ink("ink")}" stroke-width="2"'
    halos = _discs(sky.star_dots, "paper", HALO)
    return f"{halos}{_discs(sky.star_dots, 'ink', -HALO)}<g {ring}>{circles}</g>"


# Words


def _directions(words: Wording) -> Iterator[tuple[str, Spot]]:
    """Eight directions outside the rim."""
    anchors = ("middle", "end", "end", "end", "middle", "start", "start", "start")
    for eighth, anchor in enumerate(anchors):
        below = -4 if eighth % 4 else -5.5
        yield words.compass(45 * eighth), (*disc_point(below, 45 * eighth), anchor)


def _overhang(directions: list[tuple[str, Spot]]) -> int:
    """Units by which the longest word leaves the square: some languages' west is long."""
    boxes = [text_box(content, spot) for content, spot in directions]
    return math.ceil(max(0, *(max(-box.left, box.right - WIDTH) for box in boxes)))


def _names(
    sky: _Sky,
    directions: list[tuple[str, Spot]],
    words: Wording,
    horizon: Horizon,
    month: MonthSky | None,
) -> Iterator[str]:
    stars = sky.catalogue.stars
    discs = np.hstack((sky.star_dots, sky.background_dots))
    labels = Labels(Box(30, 30, WIDTH - 30, WIDTH - 30), lambda box: _hidden(box, discs))
    labels.taken += [text_box(content, spot) for content, spot in directions]
    named = list(sky.named())
    labels.taken += [_ring_box(x, y, stars[i].magnitude) for i, x, y, learn in named if learn]
    for i, star_x, star_y, learn in named:
        size = BRIGHT_SIZE if learn else SMALL_SIZE
        gap = dot_radius(stars[i].magnitude) + (RING + 4 if learn else 2)
        place = labels.place(stars[i].name, _beside(star_x, star_y, gap, size), size)
        if learn and not place:
            place = labels.place(stars[i].name, around(star_x, star_y, "bdac", size), size)
        if place:
            yield labels.leader((star_x, star_y), place.box, "quiet", gap + 6)
            yield _name(place.x, place.y, place.anchor, stars[i].name, size, learn)
    if month:
        up = frozenset(stars[i].hip for i, *_ in named)
        yield from month_words(month, horizon, labels, words, up)


def _ring_box(x: float, y: float, magnitude: float) -> Box:
    """What a star to learn takes with its ring: no name may cover it."""
    reach = dot_radius(magnitude) + RING
    return Box(x - reach, y - reach, x + reach, y + reach)


def _beside(x: float, y: float, gap: float, size: float) -> Iterator[Spot]:
    for reach in (gap, gap + 10):
        yield x + reach, y, "start"
        yield x - reach, y, "end"
        for way in (-1, 1):
            high = y + way * (reach + size / 2)
            yield x, high, "middle"
            yield x + reach, high, "start"
            yield x - reach, high, "end"


def _hidden(box: Box, discs: Floats) -> float:
    """How many stars a name would cover, faint ones counting less, and if it leaves the disc."""
    x, y, r = discs
    inside = (box.left - r < x) & (x < box.right + r) & (box.top - r < y) & (y < box.bottom + r)
    corners = ((px, py) for px in (box.left, box.right) for py in (box.top, box.bottom))
    outside = sum(math.hypot(px - CENTRE, py - CENTRE) > RADIUS - 4 for px, py in corners)
    return float(np.sum(r[inside])) / BRIGHT_RADIUS + 3 * outside


def _name(x: float, y: float, anchor: str, content: str, size: int, learn: bool) -> str:
    weight = ' font-weight="700"' if learn else ""
    halo = f'class="halo" stroke="{ink("paper")}" stroke-width="4"'
    style = f'font-size="{size}px"{weight} {halo}'
    return text(x, y, content, anchor).replace("<text", f"<text {style}", 1)


def _description(sky: _Sky, words: Wording) -> str:
    """The named stars and where they stand."""
    season = sky.season
    if season.at_utc is None:
        return words.gettext("The sky does not grow dark enough for stars on this date.")
    where = [
        f"{sky.catalogue.stars[i].name} {words.degrees(float(season.star_altitude_deg[i]))} "
        f"{words.compass(float(season.star_azimuth_deg[i]))}"
        for i, *_ in sky.named()
    ]
    head = words.gettext(
        "The whole sky on %(date)s at %(time)s.",
        date=words.date(season.date),
        time=words.clock(season.at_utc),
    )
    return f"{head} {', '.join(where)}."
