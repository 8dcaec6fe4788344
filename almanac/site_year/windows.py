"""Moon windows with their best moment and its figures."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from almanac.plan import detail
from almanac.plan.intervals import union
from almanac.plan.nights import YearNights, club_hours
from almanac.plan.windows import Conditions, YearWindows, find_windows
from almanac.records.config import ClubConfig
from almanac.sky.site_events import SUN_RISES_DEG, Places, SiteEvents

Floats = NDArray[np.float64]

SAMPLE_S = 60.0
EDGE_DEG = 0.005
"""A window that begins at sunset is not in daylight: its first second may be a second early."""


def year_windows(events: SiteEvents, nights: YearNights, config: ClubConfig) -> YearWindows:
    """The year's windows under the club's limits."""
    moon, site = config.moon, events.sky.site
    sun_down = events.sun_below(SUN_RISES_DEG)
    conditions = Conditions(
        above_ground=events.moon_above(moon.lowest_altitude_deg),
        below_mount_limit=events.moon_below(config.telescope.highest_altitude_deg),
        sun_allows=union(sun_down, events.moon_off_sun(config.safety.sun_stop_deg))
        if moon.daylight
        else sun_down,
        in_hours=club_hours(nights, moon.hours, site.timezone),
        lit_enough=events.moon_lit(moon.thinnest_fraction),
    )
    return find_windows(nights.spans, conditions, moon.shortest_window_min * 60, moon.daylight)


@dataclass(frozen=True)
class WindowFigures:
    """Figures of every window, one array entry each: those of plan.detail at the best moment."""

    best_s: Floats
    altitude_deg: Floats
    azimuth_deg: Floats
    distance_km: Floats
    diameter_arcmin: Floats
    phase_angle_deg: Floats
    airmass: Floats
    blur: detail.Blur
    finest_detail_km: Floats
    field_rotation_deg_per_hour: Floats
    exposure_stops: Floats
    daylight: NDArray[np.bool_]
    sun_separation_deg: Floats
    """Least in the window."""
    daylight_separation_deg: Floats
    """Least while the Sun is up; infinite where it is not."""


def _samples(spans: Floats) -> tuple[Floats, NDArray[np.int64]]:
    """First second, whole minutes and last second of every span, and where each span begins.

    Whole seconds, because that is how a moment is printed.
    """
    parts = []
    for start, end in np.stack([np.ceil(spans[:, 0]), np.floor(spans[:, 1])], axis=1):
        minutes = np.arange(np.ceil(start / SAMPLE_S) * SAMPLE_S, end, SAMPLE_S)
        parts.append(np.concatenate(([start], minutes[minutes > start], [end])))
    begins = np.cumsum([0] + [len(part) for part in parts])[:-1]
    return (np.concatenate(parts) if parts else np.empty(0)), begins


def window_figures(spans: Floats, events: SiteEvents, config: ClubConfig) -> WindowFigures:
    """Best moment of each window, the minute of least blur at the Moon, and its figures."""
    site, telescope, sky = events.sky.site, config.telescope, events.sky
    utc_s, begins = _samples(spans)
    at = Places(sky, utc_s)
    moon, light, altitude = at.moon, at.light, at.moon_altitude_deg
    fine = detail.detail_km(detail.blur(altitude, telescope, site).total, moon.distance_km)
    ends = np.append(begins, len(utc_s))[1:]
    best = np.array(
        [begin + np.argmin(fine[begin:end]) for begin, end in zip(begins, ends, strict=True)],
        dtype=np.int64,
    )
    sun_up = at.sun.altitude_deg > SUN_RISES_DEG + EDGE_DEG
    by_day = np.where(sun_up, light.sun_separation_deg, np.inf)
    separation = light.sun_separation_deg
    least = np.minimum.reduceat(separation, begins) if len(begins) else separation
    least_by_day = np.minimum.reduceat(by_day, begins) if len(begins) else by_day
    high, azimuth, phase = altitude[best], moon.azimuth_deg[best], light.phase_angle_deg[best]
    return WindowFigures(
        best_s=utc_s[best],
        altitude_deg=high,
        azimuth_deg=azimuth,
        distance_km=moon.distance_km[best],
        diameter_arcmin=light.diameter_arcmin[best],
        phase_angle_deg=phase,
        airmass=detail.airmass(high),
        blur=detail.blur(high, telescope, site),
        finest_detail_km=fine[best],
        field_rotation_deg_per_hour=detail.field_rotation_deg_per_hour(
            high, azimuth, site.latitude_deg, telescope.mount
        ),
        exposure_stops=detail.exposure_stops(phase, high),
        daylight=np.isfinite(least_by_day),
        sun_separation_deg=least,
        daylight_separation_deg=least_by_day,
    )
