"""What a month's chart adds to the sky: the Moon's road, and the stars to learn hours later."""

from collections.abc import Iterator
from datetime import timedelta
from itertools import groupby, pairwise

import numpy as np

from almanac.publish.charts.drawing import ink, rings, text
from almanac.publish.charts.labels import Labels, around
from almanac.publish.charts.sky_plane import above, disc_point
from almanac.publish.wording import Wording
from almanac.records.config import Horizon
from almanac.records.stars import MoonPlace, StarPlace
from almanac.records.year import MonthSky

ROAD_WIDTH = 16
MOON_RADIUS = 5.5
SMALL = 19
"""Size of the hours and days in units: large enough for red light on a printed sheet."""
JOINED = timedelta(days=2)
"""Windows further apart than this leave a gap in the road."""
LABEL_EVERY = 3
"""Evenings from one that carries its day to the next."""


def _up(place: StarPlace | MoonPlace, horizon: Horizon) -> bool:
    high, way = np.array([place.altitude_deg]), np.array([place.azimuth_deg])
    return bool(above(high, way, horizon)[0])


def _point(place: StarPlace | MoonPlace) -> tuple[float, float]:
    return disc_point(place.altitude_deg, place.azimuth_deg)


def moon_places(month: MonthSky, horizon: Horizon) -> list[MoonPlace]:
    """The Moon's places above the ground, one for an evening."""
    by_day = {place.date: place for place in month.moon if _up(place, horizon)}
    return list(by_day.values())


def moon_road(month: MonthSky, horizon: Horizon) -> str:
    """The band along which the Moon goes, with a ring for every evening that has a window."""
    places = moon_places(month, horizon)
    steps = "".join(
        "M{:.1f} {:.1f}L{:.1f} {:.1f}".format(*_point(one), *_point(other))
        for one, other in pairwise(places)
        if other.date - one.date <= JOINED
    )
    band = f'stroke="{ink("hairline")}" stroke-width="{ROAD_WIDTH}" stroke-linecap="round"'
    shown = rings([_point(place) for place in places], MOON_RADIUS, "moon")
    return f'<path {band} d="{steps}"/>{shown}' if places else ""


def star_ways(month: MonthSky, horizon: Horizon) -> Iterator[list[StarPlace]]:
    """Each star's later places above the ground, for stars that have any."""
    for _, places in groupby(month.later, key=lambda place: place.hip):
        shown = [place for place in places if _up(place, horizon)]
        if shown:
            yield shown


def trails(month: MonthSky, horizon: Horizon, now: dict[int, tuple[float, float]]) -> str:
    """From each star to learn its way over the next hours; now holds the places by HIP number."""
    lines: list[str] = []
    later: list[tuple[float, float]] = []
    for places in star_ways(month, horizon):
        points = [_point(place) for place in places]
        start = [now[places[0].hip]] if places[0].hip in now else []
        way = start + points
        lines.append("M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in way))
        later += points
    style = f'fill="none" stroke="{ink("star")}" stroke-width="2" stroke-dasharray="2 5"'
    return f'<path {style} d="{"".join(lines)}"/>{rings(later, 4, "star")}' if lines else ""


def month_words(
    month: MonthSky, horizon: Horizon, labels: Labels, words: Wording, named: frozenset[int]
) -> Iterator[str]:
    """The hours at the stars' later places and the days on the Moon's road, where there is room.

    A star that is not yet up carries its name where it is first shown; named are those that do.
    """
    for places in star_ways(month, horizon):
        for place in places:
            rising = place is places[0] and place.hip not in named
            hour = words.hour(place.at_utc)
            content = f"{place.star} {hour}" if rising else hour
            yield from _label(labels, content, _point(place), "star")
    for moon in moon_places(month, horizon)[::LABEL_EVERY]:
        yield from _label(labels, str(moon.date.day), _point(moon), "moon")


def _label(
    labels: Labels, content: str, point: tuple[float, float], ink_name: str
) -> Iterator[str]:
    spot = labels.place(content, around(*point, "nsewabcd", SMALL, (8.0, 16.0)), SMALL)
    if spot:
        halo = f'font-size="{SMALL}px" class="halo" stroke="{ink("paper")}" stroke-width="6"'
        drawn = text(spot.x, spot.y, content, spot.anchor, ink_name)
        yield drawn.replace("<text", f"<text {halo}", 1)
