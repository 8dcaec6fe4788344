"""The stars to learn of a site's year, and why each window's star was chosen."""

from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from almanac.plan.nights import YearNights
from almanac.plan.seasons import MIDDLE_DAY
from almanac.plan.star_list import StarList, StarSet, advised
from almanac.records.catalogue import Star
from almanac.records.stars import CurvePoint, StarEvents, StarsToLearn, UnservedWindow
from almanac.records.year import Window
from almanac.site_year.instants import instant
from almanac.sky.site_sky import SiteSky
from almanac.sky.star_events import star_events

Floats = NDArray[np.float64]

TRADE_RULE = ("Betelgeuse", "Aldebaran", "Capella", "Vega", "Deneb")
"""Said to serve every evening of a year near 50 N: common practice, no source."""


def stars_to_learn(
    found: StarList,
    stars: tuple[Star, ...],
    known: tuple[int, ...],
    windows: list[Window],
    trade: StarSet,
) -> StarsToLearn:
    """The list by name, with the windows that no star serves; known are HIP numbers.

    trade is how the stars of TRADE_RULE serve.
    """

    def names(chosen: StarSet) -> tuple[str, ...]:
        return tuple(stars[column].name for column in chosen.stars)

    already = tuple(name for name in names(found.fewest) if name in _names_of(stars, known))
    return StarsToLearn(
        known=already,
        fewest=names(found.fewest),
        curve=tuple(
            CurvePoint(
                count=len(point.stars) - len(already),
                stars=names(point),
                windows_served=point.windows_served,
                mean_landing_chance=point.mean_chance,
            )
            for point in found.curve
        ),
        unserved=tuple(
            UnservedWindow(window.start_utc, window.no_star) for window in windows if window.no_star
        ),
        trade_rule=CurvePoint(
            len(trade.stars), names(trade), trade.windows_served, trade.mean_chance
        ),
        advised=names(advised(found)),
        proven=found.proven,
    )


def _names_of(stars: tuple[Star, ...], hips: tuple[int, ...]) -> set[str]:
    return {star.name for star in stars if star.hip in hips}


def month_events(sky: SiteSky, nights: YearNights) -> list[tuple[StarEvents, ...]]:
    """For each month every star's first rise, transit and set on the night of its 15th.

    Where the zone skipped that date, on the last night before it.
    """
    return [_events(sky, nights.spans[_middle_row(nights, month)]) for month in range(1, 13)]


def _middle_row(nights: YearNights, month: int) -> int:
    dates = enumerate(nights.dates)
    return max(row for row, day in dates if day.month == month and day.day <= MIDDLE_DAY)


def _events(sky: SiteSky, night: Floats) -> tuple[StarEvents, ...]:
    start, end = night.tolist()
    found = star_events(sky, start, end)
    rises = _first(found.rise_star, found.rise_s)
    transits = _first(found.transit_star, found.transit_s)
    sets = _first(found.set_star, found.set_s)
    return tuple(
        StarEvents(rises.get(star), transits.get(star), sets.get(star))
        for star in range(sky.sky.stars.values.shape[1])
    )


def _first(star: NDArray[np.int64], utc_s: Floats) -> dict[int, datetime]:
    """The first event of each star that has one; pairs come in order of star and time."""
    pairs = zip(star[::-1].tolist(), utc_s[::-1].tolist(), strict=True)
    return {row: instant(second) for row, second in pairs}
