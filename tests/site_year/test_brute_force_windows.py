"""Moon windows watched minute by minute with plain Skyfield: each minute must be right."""

import math
from collections.abc import Callable
from datetime import datetime, time
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from msgspec.structs import asdict
from numpy.typing import NDArray

from almanac.records.agreement import WINDOW_S
from almanac.records.year import Night

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
CaseOf = Callable[[str], Any]
CODES = ("moon_below_limit", "moon_too_high", "sun_up", "outside_hours", "too_thin")
WATCHED = {
    "north": 32,
    "south": 32,
    "zenith": 32,
    "daylight": 6,
    "latitude 69": 6,
    "latitude 78": 6,
    "wall": 6,
    "equatorial": 6,
}
"""How many nights of each case are watched."""


def _clock(clock: time) -> int:
    """Seconds on the clock from the evening's noon."""
    return ((clock.hour - 12) % 24 * 60 + clock.minute) * 60 + clock.second


def _in_hours(case: Any, night: Night, utc_s: Floats) -> Bools:
    """Whether the club's hours, read off a local clock, allow each instant."""
    spans = case.config.moon.hours[night.date.weekday()]
    if spans is None:
        return np.ones(len(utc_s), dtype=bool)
    zone = ZoneInfo(case.site.timezone)
    clocks = np.array([_clock(datetime.fromtimestamp(at, zone).time()) for at in utc_s])
    allowed = [
        (_clock(span.start) <= clocks) & (clocks < (_clock(span.end) or 86400)) for span in spans
    ]
    return np.any(allowed, axis=0) if allowed else np.zeros(len(utc_s), dtype=bool)


def _conditions(case: Any, night: Night, look: Any) -> Bools:
    """The five conditions at each instant, in the order of the codes: (5, n)."""
    moon, observer = case.config.moon, case.observer
    sun_down = look.sun < -50 / 60
    off_sun = moon.daylight & (look.separation > case.config.safety.sun_stop_deg)
    return np.array(
        [
            (look.moon > moon.lowest_altitude_deg)
            & (look.moon > observer.ground(look.moon_azimuth)),
            look.moon < case.config.telescope.highest_altitude_deg,
            sun_down | off_sun,
            _in_hours(case, night, look.utc_s),
            look.fraction > moon.thinnest_fraction,
        ]
    )


def _runs(good: Bools) -> list[tuple[int, int]]:
    """First and last index of each unbroken run."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], good.astype(int), [0]))))
    return [(int(a), int(b) - 1) for a, b in edges.reshape(-1, 2)]


def _blur_km(case: Any, look: Any) -> Floats:
    """Finest detail written out anew: four parts in quadrature at the Moon's distance."""
    telescope, site = case.config.telescope, case.site
    arcsec = 206264.806
    zenith = 90 - np.clip(look.moon, 1, None)  # only windows are asked for
    mass = 1 / (np.cos(np.radians(zenith)) + 0.50572 * (96.07995 - zenith) ** -1.6364)
    middle_m = sum(telescope.passband_nm) / 2 * 1e-9
    bend = [_index(wave, site) for wave in telescope.passband_nm]
    parts = [
        1.03 * middle_m / (telescope.aperture_mm * 1e-3) * arcsec,
        site.seeing_arcsec * mass**0.6,
        (bend[0] - bend[1]) * np.tan(np.radians(zenith)) * arcsec,
        telescope.pixel_um * 1e-3 / telescope.focal_length_mm * arcsec,
    ]
    return np.sqrt(sum(part**2 for part in parts)) / arcsec * look.moon_km


def _index(wavelength_nm: float, site: Any) -> float:
    """n - 1 of air: Filippenko, PASP 94 (1982) 715, eq. 1 to 3, 8 mmHg of vapour."""
    sigma2 = (1000 / wavelength_nm) ** 2
    mmhg, warm = site.pressure_hpa * 760 / 1013.25, 1 + 0.003661 * site.temperature_c
    sea = 64.328 + 29498.1 / (146 - sigma2) + 255.4 / (41 - sigma2)
    dense = mmhg * (1 + (1.049 - 0.0157 * site.temperature_c) * 1e-6 * mmhg) / (720.883 * warm)
    return (sea * dense - (0.0624 - 0.000680 * sigma2) / warm * 8) * 1e-6


def _watched(case: Any) -> list[Night]:
    """Random nights, with the first and the last of the year."""
    random = np.random.default_rng(1609)
    inner = np.arange(1, len(case.year.nights) - 1)
    picked = random.choice(inner, WATCHED[case.name] - 2, replace=False)
    return [case.year.nights[row] for row in (0, *sorted(picked.tolist()), -1)]


@pytest.fixture(scope="module", params=WATCHED)
def watch(request: pytest.FixtureRequest, case_of: CaseOf) -> Any:
    """A case with its watched nights: (case, [(night, look, conditions)])."""
    case = case_of(request.param)
    nights = _watched(case)
    minutes = [
        np.arange(night.start_utc.timestamp(), night.end_utc.timestamp() + 1, 60.0)
        for night in nights
    ]
    looks = case.observer.look(np.concatenate(minutes))
    seen, first = [], 0
    for night, part in zip(nights, minutes, strict=True):
        rows = slice(first, first + len(part))
        look = type(looks)(**{name: value[rows] for name, value in asdict(looks).items()})
        seen.append((night, look, _conditions(case, night, look)))
        first += len(part)
    return case, seen


def test_every_minute_inside_a_window_fulfils_every_condition(watch: Any) -> None:
    """From the first whole minute to the last."""
    _, seen = watch
    for night, look, held in seen:
        for window in night.windows:
            start, end = window.start_utc.timestamp(), window.end_utc.timestamp()
            inside = (look.utc_s > start + 1) & (look.utc_s < end - 1)
            assert np.all(held[:, inside]), (
                night.date,
                CODES[int(np.argmin(held[:, inside].all(1)))],
            )


def test_every_run_of_good_minutes_is_a_window_and_no_other(watch: Any) -> None:
    """Long enough runs and windows match one to one, their ends to the minute."""
    case, seen = watch
    shortest = case.config.moon.shortest_window_min * 60
    for night, look, held in seen:
        windows = [(w.start_utc.timestamp(), w.end_utc.timestamp()) for w in night.windows]
        for first, last in _runs(held.all(axis=0)):
            begin, finish = look.utc_s[first], look.utc_s[last]
            match = [
                w
                for w in windows
                if abs(w[0] - begin) <= WINDOW_S and abs(w[1] - finish) <= WINDOW_S
            ]
            if finish - begin >= shortest:
                assert len(match) == 1, (night.date, begin, finish)
            elif finish - begin < shortest - 120:
                assert not match, (night.date, begin, finish)
            windows = [w for w in windows if w not in match]
        assert not windows, night.date


def test_a_night_without_a_window_says_why(watch: Any) -> None:
    """The code is that of the first condition after which no minute was left."""
    case, seen = watch
    for night, look, held in seen:
        if night.windows:
            assert night.no_window is None
            continue
        left = np.logical_and.accumulate(held, axis=0)
        alive = left.any(axis=1)
        code = CODES[int(np.argmin(alive))] if not alive.all() else "too_short"
        if case.config.moon.daylight and code == "sun_up":
            code = "sun_too_close"
        assert night.no_window == code, (night.date, look.utc_s[0])


def test_the_best_moment_is_the_least_blur_of_the_window(watch: Any) -> None:
    """No minute of it from the hop to the cap resolves finer; its figures are of that moment."""
    case, seen = watch
    for night, look, _ in seen:
        for window in night.windows:
            start, end, best = (
                at.timestamp() for at in (window.start_utc, window.end_utc, window.best_utc)
            )
            first = window.calibration.chosen.hop_utc.timestamp() if window.calibration else start
            assert first <= best <= end
            inside = (look.utc_s >= start) & (look.utc_s <= end)
            cap = night.sun.cap_by_utc.timestamp() if night.sun.cap_by_utc else end
            open_s = cap if cap > start + 60 else end
            looks = inside & (look.utc_s >= first) & (look.utc_s <= open_s)
            finest = float(np.min(_blur_km(case, look)[looks]))
            then = case.observer.look(np.array([best]))
            assert window.finest_detail_km == pytest.approx(
                float(_blur_km(case, then)[0]), rel=1e-5
            )
            assert window.finest_detail_km <= finest * (1 + 1e-5)
            assert window.altitude_deg == pytest.approx(float(then.moon[0]), abs=1e-3)
            off = (window.azimuth_deg - float(then.moon_azimuth[0]) + 180) % 360 - 180
            assert abs(off) * math.cos(math.radians(window.altitude_deg)) < 1e-3
            least = float(np.min(look.separation[inside]))
            assert window.sun_separation_deg == pytest.approx(least, abs=0.02)


def test_dark_spans_are_the_longest_without_sun_and_moon(watch: Any) -> None:
    """Sun below -18 degrees, Moon's upper limb below the horizon; none where there is none."""
    _, seen = watch
    for night, look, _ in seen:
        half = np.degrees(np.arcsin(1737.4 / look.moon_km))
        runs = _runs((look.sun < -18) & (look.moon_true < -34 / 60 - half))
        longest = max((last - first for first, last in runs), default=-1)
        if night.dark is None:
            assert longest < 1, night.date
            continue
        start, end = night.dark.start_utc.timestamp(), night.dark.end_utc.timestamp()
        matched = [
            (first, last)
            for first, last in runs
            if abs(look.utc_s[first] - start) <= 61 and abs(look.utc_s[last] - end) <= 61
        ]
        assert len(matched) == 1, night.date
        assert matched[0][1] - matched[0][0] >= longest - 1


@pytest.mark.parametrize("name", WATCHED)
def test_two_seconds_outside_every_window_something_fails(name: str, case_of: CaseOf) -> None:
    """And two seconds inside nothing does, for all windows of the year; noon cuts too."""
    case = case_of(name)
    edges = []
    for night in case.year.nights:
        if "window_withdrawn" in night.cautions:
            continue  # cut at sunset or sunrise for the sake of a move: held elsewhere
        noons = {night.start_utc, night.end_utc}
        for window in night.windows:
            edges += [(night, window.start_utc, at) for at in (-2, 2)]
            edges += [(night, window.end_utc, at) for at in (2, -2)]
            assert night.start_utc <= window.start_utc < window.end_utc <= night.end_utc
        edges = [edge for edge in edges if edge[1] not in noons]
    utc_s = np.array([edge[1].timestamp() + edge[2] for edge in edges])
    look = case.observer.look(utc_s)
    for row, (night, edge, _) in enumerate(edges):
        one = type(look)(**{key: value[row : row + 1] for key, value in asdict(look).items()})
        good = bool(_conditions(case, night, one).all())
        assert good == (row % 2 == 1), (night.date, edge)
