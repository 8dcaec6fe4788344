"""The year's picks as records: the plan's choices, described as the sky has them then."""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from almanac.plan import picks
from almanac.plan.intervals import intersect, longer
from almanac.plan.nights import YearNights
from almanac.plan.picks import Choice, Looks
from almanac.plan.windows import YearWindows
from almanac.records.globe import Pick
from almanac.site_year.globe import window_samples
from almanac.site_year.instants import instant
from almanac.site_year.moon import is_waxing
from almanac.site_year.windows import WindowFigures
from almanac.sky.phases import MoonEvents
from almanac.sky.site_events import SUN_RISES_DEG, Places, SiteEvents

Floats = NDArray[np.float64]

SAMPLES = 3
"""Of a window: the thinnest Moon is at its start or its end, but for the hours about new Moon."""


def year_picks(
    events: SiteEvents,
    nights: YearNights,
    found: YearWindows,
    figures: WindowFigures,
    phases: MoonEvents,
    cap_before_sunrise_s: float,
) -> tuple[Pick, ...]:
    """All picks of the year, code by code in the order of plan.picks.PICKS."""
    waxing = is_waxing(phases, figures.best_s)
    best = Looks(figures.best_s, figures.illuminated_fraction, waxing)
    full = (np.array(phases.kinds) == "full") & (phases.utc_s >= nights.spans[0, 0])
    chosen = [
        *picks.finest_nights(best, found.night, figures.finest_detail_km),
        *picks.best_of_stages(best, figures.finest_detail_km),
        *_transits(events, figures.looks),
        *picks.full_moons(phases.utc_s[full], phases.distance_km[full]),
        *_thinnest(events, figures.looks, phases, cap_before_sunrise_s),
    ]
    return _records(chosen, events, nights, found.spans, phases)


def _inside(utc_s: Floats, spans: Floats) -> NDArray[np.bool_]:
    """Whether each instant lies in a window."""
    row = np.searchsorted(spans[:, 0], utc_s, side="right") - 1
    return (row >= 0) & (utc_s <= spans[row, 1]) if len(spans) else np.zeros(len(utc_s), bool)


def _transits(events: SiteEvents, spans: Floats) -> Iterator[Choice]:
    transits = events.moon_transits[_inside(events.moon_transits, spans)]
    return picks.highest_and_lowest(transits, Places(events.sky, transits).moon_altitude_deg)


def _thinnest(
    events: SiteEvents, spans: Floats, phases: MoonEvents, cap_before_sunrise_s: float
) -> Iterator[Choice]:
    """Safe: the Sun is down, and stays down until the tube has to be capped before sunrise."""
    down = events.sun_below(SUN_RISES_DEG) - np.array([0.0, cap_before_sunrise_s])
    safe = intersect(spans, longer(down, 0.0))
    utc_s, _ = window_samples(safe, SAMPLES)
    fraction = Places(events.sky, utc_s).light.illuminated_fraction
    return picks.thinnest(Looks(utc_s, fraction, is_waxing(phases, utc_s)))


def _records(
    chosen: list[Choice],
    events: SiteEvents,
    nights: YearNights,
    spans: Floats,
    phases: MoonEvents,
) -> tuple[Pick, ...]:
    utc_s = np.array([choice.utc_s for choice in chosen])
    at, waxing, inside = Places(events.sky, utc_s), is_waxing(phases, utc_s), _inside(utc_s, spans)
    night = np.searchsorted(nights.spans[:, 0], utc_s, side="right") - 1
    return tuple(
        Pick(
            code=choice.code,
            stage=choice.stage,
            rank=choice.rank,
            date=nights.dates[night[row]],
            at_utc=instant(choice.utc_s),
            in_window=bool(inside[row]),
            value=choice.value,
            altitude_deg=float(at.moon_altitude_deg[row]),
            azimuth_deg=float(at.moon.azimuth_deg[row]),
            illuminated_fraction=float(at.light.illuminated_fraction[row]),
            waxing=bool(waxing[row]),
            angular_diameter_arcmin=float(at.light.diameter_arcmin[row]),
            sun_altitude_deg=float(at.sun.altitude_deg[row]),
            sun_separation_deg=float(at.light.sun_separation_deg[row]),
        )
        for row, choice in enumerate(chosen)
    )
