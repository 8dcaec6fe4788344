"""The Sun's danger in a site's year: moves by day, windows withdrawn, days and hours to know."""

import numpy as np
from numpy.typing import NDArray

from almanac.plan.intervals import intersect, longer, rows_of
from almanac.plan.nights import YearNights
from almanac.plan.seasons import MIDDLE_DAY
from almanac.plan.sun_box import box_clearance_deg, is_allowed
from almanac.plan.windows import YearWindows
from almanac.records.config import ClubConfig
from almanac.records.safety import (
    NewMoonDay,
    Slew,
    SolarNoon,
    SunReturn,
    SunYear,
    WithdrawnWindow,
)
from almanac.records.year import SunNight
from almanac.site_year.instants import instant
from almanac.site_year.windows import EDGE_DEG
from almanac.sky.site_events import SUN_RISES_DEG, Places, SiteEvents

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

MOVES = ("to_moon", "to_park")


class Slews:
    """The two moves of every window between the parked tube and the Moon: arrays (windows, 2)."""

    def __init__(self, spans: Floats, events: SiteEvents, config: ClubConfig) -> None:
        """Places of Moon and Sun at each window's ends."""
        self.at_s = spans
        at = Places(events.sky, spans.ravel())
        azimuth, altitude = config.telescope.park
        clearance = box_clearance_deg(
            at.sun.azimuth_deg,
            events.sky.refracted_deg(at.sun.altitude_deg),
            np.full(spans.size, azimuth),
            np.full(spans.size, altitude),
            at.moon.azimuth_deg,
            at.moon_altitude_deg,
        )
        self.clearance_deg = clearance.reshape(spans.shape)
        up = at.sun.altitude_deg > SUN_RISES_DEG + EDGE_DEG
        self.sun_up: Flags = up.reshape(spans.shape)
        self.allowed: Flags = is_allowed(
            self.clearance_deg, self.sun_up, config.safety.sun_stop_deg
        )

    def least_deg(self, row: int) -> float | None:
        """Of both moves with the Sun up; None if it is down at both."""
        found = self.clearance_deg[row][self.sun_up[row]]
        return float(found.min()) if len(found) else None

    def nearest(self, row: int) -> Slew:
        """The move with the Sun up that comes nearest to it."""
        move = int(np.where(self.sun_up[row], self.clearance_deg[row], np.inf).argmin())
        at, clearance = self.at_s[row, move], self.clearance_deg[row, move]
        return Slew(MOVES[move], instant(at), float(clearance))


def safe_windows(
    found: YearWindows, events: SiteEvents, nights: YearNights, config: ClubConfig
) -> tuple[YearWindows, tuple[WithdrawnWindow, ...]]:
    """Windows whose moves keep off a risen Sun; of the others their part with the Sun down.

    A night that is left without any takes the code sun_too_close.
    """
    slews = Slews(found.spans, events, config)
    fails = ~slews.allowed.all(axis=1)
    if not fails.any():
        return found, ()
    down = events.sun_below(SUN_RISES_DEG)
    parts = longer(intersect(found.spans[fails], down), config.moon.shortest_window_min * 60)
    spans = np.concatenate((found.spans[~fails], parts))
    spans = spans[np.argsort(spans[:, 0], kind="stable")]
    night = rows_of(spans, nights.spans)
    left = set(night.tolist())
    lost = set(found.night[fails].tolist()) - left
    codes = tuple("sun_too_close" if row in lost else c for row, c in enumerate(found.no_window))
    withdrawn = tuple(
        WithdrawnWindow(
            date=nights.dates[found.night[row]],
            start_utc=instant(found.spans[row, 0]),
            end_utc=instant(found.spans[row, 1]),
            slew=slews.nearest(row),
        )
        for row in np.flatnonzero(fails).tolist()
    )
    return YearWindows(spans, night, codes), withdrawn


def sun_year(
    events: SiteEvents,
    nights: YearNights,
    found: YearWindows,
    slews: Slews,
    withdrawn: tuple[WithdrawnWindow, ...],
    suns: list[SunNight],
    config: ClubConfig,
) -> SunYear:
    """The year's dangers from the Sun, in order of time."""
    near = slews.sun_up & (slews.clearance_deg < config.safety.sun_caution_deg)
    return SunYear(
        new_moon_days=tuple(_new_moon_days(events, nights, config.safety.sun_stop_deg)),
        withdrawn=withdrawn,
        slews=tuple(
            (nights.dates[found.night[row]], slews.nearest(row))
            for row in np.flatnonzero(near.any(axis=1)).tolist()
        ),
        returns=tuple(_returns(events, nights, found, suns)),
        noons=tuple(_noons(events, nights, config)),
    )


def _new_moon_days(events: SiteEvents, nights: YearNights, stop_deg: float) -> list[NewMoonDay]:
    separation, times = events.grid.light.sun_separation_deg, events.grid.utc_s
    edges = np.searchsorted(times, nights.spans)
    days = []
    for day, (first, last) in zip(nights.dates, edges, strict=True):
        row = first + int(separation[first:last].argmin())
        if separation[row] < stop_deg:
            days.append(NewMoonDay(day, instant(times[row]), float(separation[row])))
    return days


def _returns(
    events: SiteEvents, nights: YearNights, found: YearWindows, suns: list[SunNight]
) -> list[SunReturn]:
    """For each night with windows, when the Sun next comes over the profile within a day."""
    over = events.sun_over_profile()
    last = {
        int(night): float(end) for night, end in zip(found.night, found.spans[:, 1], strict=True)
    }
    records = []
    for night, end in last.items():
        row = int(np.searchsorted(over, end))
        if row < len(over) and over[row] < end + 86400.0:
            records.append(
                SunReturn(
                    nights.dates[night], instant(end), instant(over[row]), suns[night].rise_utc
                )
            )
    return records


def _noons(events: SiteEvents, nights: YearNights, config: ClubConfig) -> list[SolarNoon]:
    """The Sun's highest on the middle day of each month."""
    altitude, times = events.grid.sun.altitude_deg, events.grid.utc_s
    rows, days = [], []
    for noon, day in zip(nights.spans[:, 0], nights.dates, strict=True):
        if day.day == MIDDLE_DAY:
            first, last = np.searchsorted(times, (noon - 43200.0, noon + 43200.0))
            rows.append(first + int(altitude[first:last].argmax()))
            days.append(day)
    at = Places(events.sky, times[rows])
    height = events.sky.refracted_deg(at.sun.altitude_deg)
    ground = events.sky.ground_deg(at.sun.azimuth_deg)
    return [
        SolarNoon(
            date=day,
            at_utc=instant(times[rows[k]]),
            altitude_deg=float(height[k]),
            azimuth_deg=float(at.sun.azimuth_deg[k]),
            ground_deg=float(ground[k]),
            in_reach=bool(0 < height[k] <= config.telescope.highest_altitude_deg),
        )
        for k, day in enumerate(days)
    ]
