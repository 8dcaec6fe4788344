"""How each star serves each month's evenings, and the whole sky once a season."""

from datetime import date
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from almanac.plan.intervals import overlaps
from almanac.plan.nights import YearNights, instant_s
from almanac.plan.seasons import CHART_HOURS, evening_hours, month_means, season_dates
from almanac.records.catalogue import Catalogue
from almanac.records.config import ClubConfig
from almanac.records.year import SeasonSky, StarMonth, StarYear, Window
from almanac.site_year.instants import instant
from almanac.site_year.learn import month_events
from almanac.site_year.star_weeks import usable_stars, usable_weeks
from almanac.sky.site_events import SiteEvents
from almanac.sky.star_places import mean_places

Floats = NDArray[np.float64]

SAMPLE_S = 900.0


def _evening_samples(
    events: SiteEvents, nights: YearNights, config: ClubConfig
) -> tuple[NDArray[np.int64], Floats]:
    """Night and instant of samples from dark enough to solve until local midnight, all nights."""
    evenings = np.stack([nights.spans[:, 0], nights.midnights], axis=1)
    rows, dark = overlaps(evenings, events.sun_below(config.stars.solve_below_sun_deg))
    parts = [np.arange(start + SAMPLE_S / 2, end, SAMPLE_S) for start, end in dark]
    night = np.repeat(rows, [len(part) for part in parts])
    return night, np.concatenate(parts) if parts else np.empty(0)


def star_years(
    events: SiteEvents,
    nights: YearNights,
    config: ClubConfig,
    catalogue: Catalogue,
    windows: list[Window],
) -> tuple[StarYear, ...]:
    """Every catalogue star over the year."""
    sky = events.sky
    night, samples = _evening_samples(events, nights, config)
    usable = usable_stars(sky, sky.stars(samples), config)
    hours = evening_hours(usable, night, len(nights.dates), SAMPLE_S)
    months = [month_means(hours, nights.dates, month) for month in range(1, 13)]
    middle = sky.sky.clock.tt_days(np.array([nights.spans[:, 0].mean()]))[0]
    ra, dec = mean_places(catalogue.stars, float(middle))
    events_of = month_events(sky, nights)
    weeks = usable_weeks(events, nights, config, len(catalogue.stars))
    served = [window.calibration.chosen.hip for window in windows if window.calibration]
    return tuple(
        StarYear(
            name=star.name,
            hip=star.hip,
            ra_deg=float(ra[index]),
            dec_deg=float(dec[index]),
            magnitude=star.magnitude,
            note=star.note,
            months=tuple(
                StarMonth(float(means[index]), best[index], month[index])
                for (means, best), month in zip(months, events_of, strict=True)
            ),
            windows_served=served.count(star.hip),
            colour_bv=star.colour_bv,
            weeks=weeks[index],
        )
        for index, star in enumerate(catalogue.stars)
    )


def _chart_moment(events: SiteEvents, day: date, config: ClubConfig) -> float | None:
    """The first half hour of the evening that is dark enough to solve, or None."""
    zone = ZoneInfo(events.sky.site.timezone)
    moments = np.array([instant_s(day, clock, zone) for clock in CHART_HOURS])
    minutes = np.stack([moments, moments + 60.0], axis=1)
    rows, _ = overlaps(minutes, events.sun_below(config.stars.solve_below_sun_deg))
    return float(moments[rows[0]]) if len(rows) else None


def season_skies(
    events: SiteEvents, year: int, config: ClubConfig, catalogue: Catalogue
) -> tuple[SeasonSky, ...]:
    """The whole sky on one evening of each season, winter first."""
    return tuple(
        whole_sky(events, season, day, config, catalogue)
        for season, day in season_dates(year, events.sky.site.latitude_deg).items()
    )


def whole_sky(
    events: SiteEvents, season: str, day: date, config: ClubConfig, catalogue: Catalogue
) -> SeasonSky:
    """The sky on one evening, at the first half hour that is dark enough to solve."""
    moment = _chart_moment(events, day, config)
    nothing = np.empty(0)
    if moment is None:
        return SeasonSky(season, day, None, nothing, nothing, nothing > 0, nothing, nothing)
    sky = events.sky
    stars = sky.stars(np.array([moment]))
    field = catalogue.background
    background = sky.fixed(field.ra_deg, field.dec_deg, moment)
    bright = np.array([star.magnitude for star in catalogue.stars])
    return SeasonSky(
        season=season,
        date=day,
        at_utc=instant(moment),
        star_altitude_deg=sky.refracted_deg(stars.altitude_deg[0]),
        star_azimuth_deg=stars.azimuth_deg[0],
        usable=usable_stars(sky, stars, config)[0] & (bright <= config.stars.faintest_magnitude),
        background_altitude_deg=sky.refracted_deg(background.altitude_deg),
        background_azimuth_deg=background.azimuth_deg,
    )
