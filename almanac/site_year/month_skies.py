"""The whole sky once a month: the stars to learn over some hours, and the Moon's road."""

from datetime import date, datetime, timedelta

import numpy as np

from almanac.plan.seasons import MIDDLE_DAY, SEASON_MONTHS
from almanac.records.catalogue import Catalogue
from almanac.records.config import ClubConfig
from almanac.records.stars import MoonPlace, StarPlace, StarsToLearn
from almanac.records.year import MonthSky, Night
from almanac.site_year.seasons import whole_sky
from almanac.sky.site_events import SiteEvents

LATER = (timedelta(hours=2), timedelta(hours=4))
"""When the stars to learn are shown again."""


def month_skies(
    events: SiteEvents,
    nights: tuple[Night, ...],
    config: ClubConfig,
    catalogue: Catalogue,
    learn: StarsToLearn,
) -> tuple[MonthSky, ...]:
    """The year's twelve charts; without a dark hour on the 15th a chart has no places."""
    year = nights[0].date.year
    skies = []
    for month in range(1, 13):
        sky = whole_sky(
            events, _season(month, events), date(year, month, MIDDLE_DAY), config, catalogue
        )
        mine = [night for night in nights if night.date.month == month]
        at = sky.at_utc
        skies.append(
            MonthSky(
                month=month,
                sky=sky,
                later=_later(events, at, catalogue, learn) if at else (),
                moon=_moon(events, at, mine) if at else (),
            )
        )
    return tuple(skies)


def _season(month: int, events: SiteEvents) -> str:
    """The season of which the month is the middle or a neighbour."""
    shift = 0 if events.sky.site.latitude_deg >= 0 else 6
    return list(SEASON_MONTHS)[(month + shift) % 12 // 3]


def _later(
    events: SiteEvents, at: datetime, catalogue: Catalogue, learn: StarsToLearn
) -> tuple[StarPlace, ...]:
    times = [at + step for step in LATER]
    seen = events.sky.stars(np.array([time.timestamp() for time in times]))
    altitude = events.sky.refracted_deg(seen.altitude_deg)
    return tuple(
        StarPlace(
            star.name, star.hip, time, float(altitude[row, i]), float(seen.azimuth_deg[row, i])
        )
        for i, star in enumerate(catalogue.stars)
        if star.name in learn.advised
        for row, time in enumerate(times)
    )


def _moon(events: SiteEvents, at: datetime, nights: list[Night]) -> tuple[MoonPlace, ...]:
    """The Moon's place on the equator of date at each window's best, turned to the chart's time."""
    windows = [(night.date, window.best_utc) for night in nights for window in night.windows]
    if not windows:
        return ()
    sky = events.sky
    best_s = np.array([best.timestamp() for _, best in windows])
    vectors = sky.sky.bodies["moon"].at(sky.sky.clock.tt_days(best_s))
    altitude, azimuth = sky.of_date(vectors, at.timestamp())
    return tuple(
        MoonPlace(day, float(high), float(way))
        for (day, _), high, way in zip(windows, altitude, azimuth, strict=True)
    )
