"""Leap seconds, clock time before them, and the way back."""

from datetime import UTC, datetime

import numpy as np
import pytest
from astropy.time import Time
from hypothesis import given, settings
from hypothesis import strategies as st

DAY_S = 86400.0


def tt_minus_clock_s(sky, utc_s):
    """TT less clock time in seconds."""
    return (sky.clock.tt_days(utc_s) - (utc_s - 946728000.0) / DAY_S) * DAY_S


# TAI - UTC from each date on: International Earth Rotation and Reference Systems Service,
# Bulletin C, and the table of IERS Technical Note 36, ch. 5.
LEAPS = {
    "1972-07-01": 11,
    "1980-01-01": 19,
    "1999-01-01": 32,
    "2006-01-01": 33,
    "2009-01-01": 34,
    "2012-07-01": 35,
    "2015-07-01": 36,
    "2017-01-01": 37,
}


@pytest.mark.parametrize("day", LEAPS)
def test_each_leap_second_begins_at_its_midnight(day, sky_of, at_utc):
    """From midnight on TT is TAI - UTC + 32.184 s ahead; a millisecond before, a second less."""
    at, before = tt_minus_clock_s(sky_of(2016), at_utc(day) - np.array([0.0, 0.001]))
    assert at == pytest.approx(32.184 + LEAPS[day], abs=1e-5)
    assert before == pytest.approx(31.184 + LEAPS[day], abs=1e-5)


def test_utc_begins_with_ten_seconds_and_ut1_gives_way_smoothly(sky_of, at_utc):
    """At the start of 1972 clock time turns from UT1 to UTC: 42.184 s, a step below 0.1 s."""
    before, at = tt_minus_clock_s(sky_of(1972), at_utc("1972-01-01") - np.array([0.001, 0.0]))
    assert at == pytest.approx(42.184, abs=1e-5)
    assert abs(at - before) < 0.1


def test_no_leap_second_is_invented_after_the_last(sky_of, at_utc):
    """The offset of 2017 holds to the end of the ephemeris."""
    later = np.array([at_utc(f"{year}-07-01") for year in range(2017, 2053)])
    assert tt_minus_clock_s(sky_of(2027), later) == pytest.approx(69.184, abs=1e-5)


def test_clock_agrees_with_astropy_through_a_leap_second(sky_of):
    """Around the end of 2016 both count the same TT, to 10 microseconds."""
    instants = datetime(2017, 1, 1, tzinfo=UTC).timestamp() + np.array([-3600.0, -1.0, 0.0, 3600.0])
    times = Time([datetime.fromtimestamp(s, UTC) for s in instants]).tt
    expected = (times.jd1 - 2451545.0) + times.jd2
    assert sky_of(2016).clock.tt_days(instants) * DAY_S == pytest.approx(expected * DAY_S, abs=1e-5)


# J. Meeus, Astronomical Algorithms, 2nd ed. (Willmann-Bell, 1998), table 10.A: Delta-T in seconds
# at the beginning of the year.
DELTA_T_S = {1900: -2.8, 1920: 21.1, 1950: 29.1, 1970: 40.2}


@pytest.mark.parametrize("year", DELTA_T_S)
def test_clock_time_before_1972_is_universal_time(year, sky_of, at_utc):
    """TT is ahead of it by Delta-T, to the second in which tables differ."""
    january = np.array([at_utc(f"{year}-01-01")])
    ahead = tt_minus_clock_s(sky_of(year), january)
    assert ahead[0] == pytest.approx(DELTA_T_S[year], abs=1.0)


@pytest.mark.parametrize("year", [1900, 1971, 1972, 2016, 2027, 2052])
def test_the_way_back_ends_where_it_began(year, sky_of, at_utc):
    """From POSIX seconds to TT and back, a microsecond is lost at most."""
    clock = sky_of(year).clock
    start = at_utc(f"{year}-01-05")
    instants = start + np.random.default_rng(year).uniform(0, 170 * DAY_S, 1000)
    assert np.abs(clock.utc_s(clock.tt_days(instants)) - instants).max() < 2e-6


@settings(deadline=None)
@given(st.floats(0, 60 * DAY_S), st.floats(1e-3, 1e4))
def test_tt_never_runs_backward(sky_of, at_utc, after_s, step_s):
    """Later on the clock is later in TT, leap second or not."""
    instants = at_utc("2016-12-01") + after_s + np.array([0.0, step_s])
    first, second = sky_of(2016).clock.tt_days(instants)
    assert second > first
