"""The Sun's events of every night, and the dark of it."""

from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from almanac.plan.intervals import intersect, overlaps
from almanac.plan.nights import YearNights
from almanac.records.year import Dark, SunNight
from almanac.site_year.instants import instant
from almanac.sky.site_events import STEP_S, SUN_RISES_DEG, TWILIGHTS_DEG, SiteEvents

Floats = NDArray[np.float64]

HALF_DAY_S = 13 * 3600.0
"""A sunset belongs to the night whose lowest Sun follows within half a day and a little, even where
clocks are far from the Sun; at a pole, to the night of its own noons."""

Pair = tuple[datetime | None, datetime | None]


def _pair(spans: Floats, lowest_s: float, night: Floats) -> Pair:
    """Start and end of the span that holds the Sun's lowest point, where they are of this night."""
    row = int(np.searchsorted(spans[:, 1], lowest_s - STEP_S))
    if row == len(spans) or spans[row, 0] > lowest_s + STEP_S:
        return None, None
    start, end = spans[row]
    return (
        instant(start) if start >= min(night[0], lowest_s - HALF_DAY_S) else None,
        instant(end) if end < max(night[1], lowest_s + HALF_DAY_S) else None,
    )


def _heights(events: SiteEvents, nights: YearNights) -> tuple[Floats, Floats]:
    """Times and altitudes of the Sun: the grid, every noon of the clock, the meridian."""
    also_s = np.unique(np.concatenate((nights.spans.ravel(), events.sun_meridian_s())))
    also = events.sky.body("sun", also_s).altitude_deg
    place = np.searchsorted(events.grid.utc_s, also_s)
    times = np.insert(events.grid.utc_s, place, also_s)
    return times, np.insert(events.grid.sun.altitude_deg, place, also)


def sun_nights(events: SiteEvents, nights: YearNights, cap_min: float) -> list[SunNight]:
    """Sunset, three twilights and sunrise of every night; None where one does not happen."""
    limits = {"sun": SUN_RISES_DEG, **TWILIGHTS_DEG}
    below = {name: events.sun_below(limit) for name, limit in limits.items()}
    utc_s, altitudes = _heights(events, nights)
    records = []
    for night in nights.spans:
        rows = slice(utc_s.searchsorted(night[0]), utc_s.searchsorted(night[1], side="right"))
        altitude = altitudes[rows]
        lowest_s = float(utc_s[rows][np.argmin(altitude)])
        pairs = {name: _pair(spans, lowest_s, night) for name, spans in below.items()}
        rise = pairs["sun"][1]
        records.append(
            SunNight(
                set_utc=pairs["sun"][0],
                civil_dusk_utc=pairs["civil"][0],
                nautical_dusk_utc=pairs["nautical"][0],
                astronomical_dusk_utc=pairs["astronomical"][0],
                astronomical_dawn_utc=pairs["astronomical"][1],
                nautical_dawn_utc=pairs["nautical"][1],
                civil_dawn_utc=pairs["civil"][1],
                rise_utc=rise,
                cap_by_utc=rise - timedelta(minutes=cap_min) if rise else None,
                lowest_altitude_deg=float(altitude.min()),
                highest_altitude_deg=float(altitude.max()),
            )
        )
    return records


def dark_spans(events: SiteEvents, nights: YearNights) -> list[Dark | None]:
    """The longest span of each night with the Sun below -18 degrees and no Moon in the sky."""
    astronomical = events.sun_below(TWILIGHTS_DEG["astronomical"])
    rows, parts = overlaps(nights.spans, intersect(astronomical, events.moon_down()))
    longest: list[Dark | None] = [None] * len(nights.dates)
    for part in np.argsort(parts[:, 1] - parts[:, 0], kind="stable"):
        start, end = parts[part]
        longest[rows[part]] = Dark(instant(start), instant(end))
    return longest
