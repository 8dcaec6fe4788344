"""The Moon's way through the Earth's shadow, zenith up at the deepest visible moment."""

import math
from collections.abc import Iterator
from typing import NamedTuple

from markupsafe import Markup

from almanac.publish.charts.drawing import TEXT, WIDTH, ink, svg, text
from almanac.publish.charts.labels import Box, Labels, Place, around
from almanac.publish.wording import Wording
from almanac.records.events import Eclipse, EclipseMoment, LunarShadow

MARGIN = 84
"""Room beside the penumbra for the Moon's first and last place and their times."""
HEAD = 44
"""Room above for the word zenith."""
GAPS = (10.0, 26.0, 42.0, 60.0, 84.0, 110.0, 140.0, 170.0, 200.0)
SIDES = "ewnsabcd"
WAY_PARTS = 40
DISC_COST, UMBRA_COST = 1.5, 6.0


class Plane(NamedTuple):
    """From degrees about the shadow's centre to units of the drawing."""

    scale: float
    x: float
    y: float

    def at(self, moment: EclipseMoment) -> tuple[float, float]:
        """Where the Moon's centre stands."""
        return self.x + self.scale * moment.right_deg, self.y - self.scale * moment.up_deg


def eclipse_moon_chart(eclipse: Eclipse, words: Wording) -> Markup:
    """The chart of an eclipse of the Moon; ValueError for one of the Sun."""
    if eclipse.lunar is None:
        raise ValueError(f"{eclipse.slug} is no eclipse of the Moon")
    plane, height = _plane(eclipse, eclipse.lunar)
    title = words.gettext("The Moon's way through the Earth's shadow")
    return svg("shadow", title, _told(eclipse, words), height, _body(eclipse, plane, height, words))


def _told(eclipse: Eclipse, words: Wording) -> str:
    times = ", ".join(_label(one, words) for one in eclipse.contacts)
    return words.gettext("The Moon's place at: %(times)s.", times=times)


def _plane(eclipse: Eclipse, shadow: LunarShadow) -> tuple[Plane, int]:
    """The scale that holds the penumbra and every Moon drawn, and the drawing's height."""
    reach = shadow.penumbra_radius_deg
    xs = [one.right_deg for one in eclipse.contacts]
    ys = [one.up_deg for one in eclipse.contacts]
    around_moon = shadow.moon_radius_deg
    left, right = min(-reach, min(xs) - around_moon), max(reach, max(xs) + around_moon)
    low, high = min(-reach, min(ys) - around_moon), max(reach, max(ys) + around_moon)
    scale = (WIDTH - 2 * MARGIN) / (right - left)
    height = round(scale * (high - low)) + HEAD + TEXT * 2
    return Plane(scale, MARGIN - scale * left, HEAD + scale * high), height


def _body(eclipse: Eclipse, plane: Plane, height: int, words: Wording) -> Iterator[str]:
    shadow = eclipse.lunar
    assert shadow is not None
    moon = plane.scale * shadow.moon_radius_deg
    outer, inner = (plane.scale * r for r in (shadow.penumbra_radius_deg, shadow.umbra_radius_deg))
    yield _circle(plane.x, plane.y, outer, f'fill="{ink("sky-night")}" stroke="{ink("hairline")}"')
    moons = [one for one in eclipse.contacts if one.code not in ("rise", "set")]
    for one in moons:
        yield _circle(*plane.at(one), moon, f'fill="{ink("disc-lit")}"')
    yield _circle(plane.x, plane.y, inner, f'fill="{ink("dark")}" fill-opacity=".62"')
    yield _circle(plane.x, plane.y, inner, f'fill="none" stroke="{ink("ink")}"')
    for one in moons:
        dash = "" if one.visible else ' stroke-dasharray="3 5"'
        wide = 2.5 if one.visible else 1.2
        colour = ink("moon" if one.visible else "quiet")
        line = f'fill="none" stroke="{colour}" stroke-width="{wide}"{dash}'
        yield _circle(*plane.at(one), moon, line)
    yield _way(eclipse, plane)
    yield from _names(eclipse, plane, height, words)


def _circle(x: float, y: float, radius: float, style: str) -> str:
    return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}" {style}/>'


def _way(eclipse: Eclipse, plane: Plane) -> str:
    points = "L".join(f"{x:.1f} {y:.1f}" for x, y in map(plane.at, eclipse.contacts))
    return f'<path fill="none" stroke="{ink("moon")}" stroke-width="1.5" d="M{points}"/>'


def _label(moment: EclipseMoment, words: Wording) -> str:
    code = {
        "greatest": words.gettext("greatest"),
        "rise": words.gettext("in sight"),
        "set": words.gettext("out of sight"),
    }.get(moment.code, moment.code.upper())
    return f"{code} {words.clock(moment.at_utc)}"


def _names(eclipse: Eclipse, plane: Plane, height: int, words: Wording) -> Iterator[str]:
    """The word zenith, and a time at every dot, none over another."""
    zenith = words.gettext("↑ zenith")
    yield text(WIDTH / 2, TEXT * 0.8, zenith, "middle", "quiet")
    labels = Labels(Box(0, TEXT * 1.6, WIDTH, height), lambda box: _cost(box, eclipse, plane))
    for one in eclipse.contacts:
        x, y = plane.at(one)
        yield _circle(x, y, 3.5, f'fill="{ink("moon" if one.visible else "quiet")}"')
        name = _label(one, words)
        spot = labels.place(name, around(x, y, SIDES, TEXT, GAPS))
        if spot:
            yield labels.leader((x, y), spot.box, "quiet")
            yield _haloed(spot, name)


def _haloed(spot: Place, name: str) -> str:
    """A label with paper round its letters, so that it reads over lit and dark."""
    halo = f'<g class="halo" stroke="{ink("paper")}" stroke-width="7"'
    return f'{halo} stroke-linejoin="round">{text(spot.x, spot.y, name, spot.anchor)}</g>'


def _cost(box: Box, eclipse: Eclipse, plane: Plane) -> float:
    """How many of the Moon's dots and discs, how much of its way and of the umbra a label hides."""
    shadow = eclipse.lunar
    dots = sum(_inside(box, *plane.at(one)) for one in eclipse.contacts)
    (x0, y0), (x1, y1) = plane.at(eclipse.contacts[0]), plane.at(eclipse.contacts[-1])
    parts = [k / WAY_PARTS for k in range(WAY_PARTS + 1)]
    way = sum(_inside(box, x0 + (x1 - x0) * part, y0 + (y1 - y0) * part) for part in parts)
    moon, umbra = (shadow.moon_radius_deg, shadow.umbra_radius_deg) if shadow else (0.0, 0.0)
    discs = sum(_over(box, *plane.at(one), plane.scale * moon) for one in eclipse.contacts)
    dark = _over(box, plane.x, plane.y, plane.scale * umbra)
    return 10.0 * dots + way + DISC_COST * discs + UMBRA_COST * dark


def _over(box: Box, x: float, y: float, radius: float) -> bool:
    """Whether a box meets a disc."""
    near_x, near_y = box.nearest(x, y)
    return math.hypot(near_x - x, near_y - y) < radius


def _inside(box: Box, x: float, y: float) -> bool:
    return box.left - 5 < x < box.right + 5 and box.top - 5 < y < box.bottom + 5
