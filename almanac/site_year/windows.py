"""Moon windows with their best moment and its figures."""

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from almanac.plan import detail
from almanac.plan.intervals import union
from almanac.plan.nights import YearNights, club_hours
from almanac.plan.windows import Conditions, YearWindows, find_windows
from almanac.records.config import ClubConfig, MoonLimits
from almanac.sky.site_events import SUN_RISES_DEG, Places, SiteEvents

Floats = NDArray[np.float64]

COARSE_S, FINE_S = 600.0, 60.0
"""The best moment is sought every ten minutes, then every minute around the best of these."""
EDGE_DEG = 0.005
"""A window that begins at sunset is not in daylight: its first second may be a second early."""


def window_conditions(events: SiteEvents, nights: YearNights, config: ClubConfig) -> Conditions:
    """When each of the club's limits is kept."""
    moon, site = config.moon, events.sky.site
    sun_down = events.sun_below(SUN_RISES_DEG)
    return Conditions(
        above_ground=events.moon_above(moon.lowest_altitude_deg),
        below_mount_limit=events.moon_below(config.telescope.highest_altitude_deg),
        sun_allows=union(sun_down, events.moon_off_sun(config.safety.sun_stop_deg))
        if moon.daylight
        else sun_down,
        in_hours=club_hours(nights, moon.hours, site.timezone),
        lit_enough=events.moon_lit(moon.thinnest_fraction),
    )


def year_windows(spans: Floats, conditions: Conditions, moon: MoonLimits) -> YearWindows:
    """The windows of nights (n, 2) under the club's limits."""
    return find_windows(spans, conditions, moon.shortest_window_min * 60, moon.daylight)


class WindowFigures(Struct, frozen=True):
    """Figures of every window, one array entry each: those of plan.detail at the best moment."""

    open: Floats
    """(windows, 2) spans until the time to cap, POSIX seconds."""
    looks: Floats
    """(windows, 2) of them from the first look on: what is praised lies in these."""
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

    @property
    def illuminated_fraction(self) -> Floats:
        """Lit part of the disc."""
        return (1 + np.cos(np.radians(self.phase_angle_deg))) / 2


def _samples(spans: Floats, step_s: float) -> tuple[Floats, NDArray[np.int64]]:
    """First second, whole steps and last second of every span, and where each span begins.

    Whole seconds, because that is how a moment is printed.
    """
    start, end = np.ceil(spans[:, 0]), np.floor(spans[:, 1])
    first = np.floor(start / step_s) + 1
    count = np.maximum(np.ceil(end / step_s) - first, 0).astype(np.int64) + 2
    begins = np.cumsum(count) - count
    place = np.arange(count.sum()) - np.repeat(begins, count)
    utc_s = (np.repeat(first, count) + place - 1) * step_s
    utc_s[begins], utc_s[begins + count - 1] = start, end
    return utc_s, begins


def _before_cap(spans: Floats, events: SiteEvents, cap_s: float) -> Floats:
    """Windows cut where the telescope has to be covered before sunrise, if something is left."""
    night_ends = np.append(events.sun_below(SUN_RISES_DEG)[:, 1], np.inf)
    latest = night_ends[np.searchsorted(night_ends, spans[:, 0], side="right")] - cap_s
    latest = np.where(latest > spans[:, 0] + FINE_S, latest, np.inf)
    return np.stack([spans[:, 0], np.minimum(spans[:, 1], latest)], axis=1)


def _looks(open_s: Floats, first_s: Floats) -> Floats:
    """Windows as far as they are open, from the first look on if something is left then."""
    first = np.where(first_s < open_s[:, 1] - FINE_S, first_s, open_s[:, 0])
    return np.stack([first, open_s[:, 1]], axis=1)


def _finest_s(at: Places, begins: NDArray[np.int64], config: ClubConfig, within: Floats) -> Floats:
    """The sample of least blur at the Moon in each span and within limits (n, 2), POSIX seconds."""
    budget = detail.blur(at.moon_altitude_deg, config.telescope, at.sky.site)
    fine = detail.detail_km(budget.total, at.moon.distance_km)
    ends = np.append(begins, len(fine))[1:]
    earliest, latest = np.repeat(within, ends - begins, axis=0).T
    fine[(at.utc_s < earliest) | (at.utc_s > latest)] = np.inf
    rows = [begin + np.argmin(fine[begin:end]) for begin, end in zip(begins, ends, strict=True)]
    return at.utc_s[np.array(rows, dtype=np.int64)]


def window_figures(
    spans: Floats, first_s: Floats, events: SiteEvents, config: ClubConfig
) -> WindowFigures:
    """Best moment of each window and its figures: the minute of least blur before the cap.

    Not before the first look at first_s: nobody would be on the Moon yet.
    """
    site, telescope, sky = events.sky.site, config.telescope, events.sky
    utc_s, begins = _samples(spans, COARSE_S)
    coarse = Places(sky, utc_s)
    open_s = _before_cap(spans, events, config.safety.cap_before_sunrise_min * 60)
    within = _looks(open_s, first_s)
    rough_s = _finest_s(coarse, begins, config, within)
    near = np.clip(rough_s[:, None] + np.array([-COARSE_S, COARSE_S]), within[:, :1], within[:, 1:])
    short = within[:, 1:] - within[:, :1] < COARSE_S
    near_s, near_begins = _samples(np.where(short, within, near), FINE_S)
    best = Places(sky, _finest_s(Places(sky, near_s), near_begins, config, within))
    sun_up = coarse.sun.altitude_deg > SUN_RISES_DEG + EDGE_DEG
    separation = coarse.light.sun_separation_deg
    by_day = np.where(sun_up, separation, np.inf)
    least = np.minimum.reduceat(separation, begins) if len(begins) else separation
    least_by_day = np.minimum.reduceat(by_day, begins) if len(begins) else by_day
    high, azimuth = best.moon_altitude_deg, best.moon.azimuth_deg
    budget, distance = detail.blur(high, telescope, site), best.moon.distance_km
    return WindowFigures(
        open=open_s,
        looks=within,
        best_s=best.utc_s,
        altitude_deg=high,
        azimuth_deg=azimuth,
        distance_km=distance,
        diameter_arcmin=best.light.diameter_arcmin,
        phase_angle_deg=best.light.phase_angle_deg,
        airmass=detail.airmass(high),
        blur=budget,
        finest_detail_km=detail.detail_km(budget.total, distance),
        field_rotation_deg_per_hour=detail.field_rotation_deg_per_hour(
            high, azimuth, site.latitude_deg, telescope.mount
        ),
        exposure_stops=detail.exposure_stops(best.light.phase_angle_deg, high),
        daylight=np.isfinite(least_by_day),
        sun_separation_deg=least,
        daylight_separation_deg=least_by_day,
    )
