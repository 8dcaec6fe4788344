"""Skies at the edges: polar day and night, poles, equator, first and last year, date line."""

from datetime import date, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from almanac.errors import EphemerisError
from almanac.plan.nights import year_nights
from almanac.site_year.sun import sun_nights
from almanac.sky.site_events import SiteEvents
from almanac.sky.site_sky import SiteSky
from almanac.sky.year_sky import build_year_sky

DAY_S = 86400.0
MARGIN_S = 1.5 * DAY_S


@pytest.fixture(scope="session")
def year_at(sky_of, make_site):
    """Nights and events of a whole year at a place."""
    kept = {}

    def events(year, latitude, longitude, timezone="UTC"):
        key = (year, latitude, longitude, timezone)
        if key not in kept:
            nights = year_nights(year, timezone)
            site = make_site(latitude, longitude, timezone=timezone)
            first, last = nights.spans[0, 0] - MARGIN_S, nights.spans[-1, 1] + MARGIN_S
            kept[key] = nights, SiteEvents(SiteSky(sky_of(year), site), first, last)
        return kept[key]

    return events


def scanned(events, height):
    """Sign changes seen at one-minute steps: a slow second opinion on the same places."""
    seconds = np.arange(*events.grid.utc_s[[0, -1]], 60.0)
    above = height(events.sky, seconds) > 0
    change = np.flatnonzero(above[1:] != above[:-1])
    return seconds[change], above[change + 1]


def moon_height(sky, seconds):
    """The Moon's upper limb above the refracted horizon."""
    moon = sky.body("moon", seconds)
    return moon.altitude_deg + 34 / 60 + np.degrees(np.arcsin(1737.4 / moon.distance_km))


@pytest.mark.parametrize("latitude", [69.0, 78.0])
def test_no_grazing_moonrise_of_a_polar_year_is_lost(latitude, year_at):
    """A year at one-minute steps finds the same rises and sets, and no more."""
    _, events = year_at(2027, latitude, 19.0)
    found = events.moon_rise_set
    times, up = scanned(events, moon_height)
    assert len(found.utc_s) == len(times)
    assert (found.upward == up).all()
    assert np.abs(found.utc_s - times - 30.0).max() <= 30.01


def test_moon_stays_away_for_days_in_the_far_north(year_at):
    """At 69 N every month has days without a Moon, and days on which it does not set."""
    _, events = year_at(2027, 69.0, 19.0)
    down = events.moon_down()
    away = down[(down[:, 1] - down[:, 0]) > 3 * DAY_S]
    assert len(away) >= 12
    up = down[1:, 0] - down[:-1, 1]
    assert np.count_nonzero(up > 3 * DAY_S) >= 12
    for start, end in away:
        assert moon_height(events.sky, np.linspace(start + 1, end - 1, 500)).max() < 0


def test_moon_of_the_pole_is_up_for_half_of_each_month(year_at):
    """At 90 S the Moon rises and sets once in 27.3 days."""
    _, events = year_at(2027, -90.0, 19.0)
    rises = events.moon_rise_set.up()
    assert 13 <= len(rises) <= 14
    assert np.abs(np.diff(rises) / DAY_S - 27.3).max() < 1.0


@pytest.mark.parametrize(
    ("latitude", "longitude", "timezone"),
    [
        (52.2, -1.5, "Europe/London"),
        (69.0, 19.0, "Europe/Oslo"),
        (78.0, 15.6, "Europe/Oslo"),
        (0.0, -78.5, "America/Guayaquil"),
        (-36.9, 174.8, "Pacific/Auckland"),
        (1.9, -157.4, "Pacific/Kiritimati"),
        (39.5, 75.9, "Asia/Shanghai"),
        (90.0, 0.0, "UTC"),
        (-90.0, 0.0, "UTC"),
    ],
)
def test_every_sunset_and_twilight_belongs_to_exactly_one_night(
    latitude, longitude, timezone, year_at
):
    """No event of the Sun between the first noon and the last is lost or told twice."""
    nights, events = year_at(2027, latitude, longitude, timezone)
    records = sun_nights(events, nights, 20.0)
    limits = {
        ("set_utc", "rise_utc"): -50 / 60,
        ("civil_dusk_utc", "civil_dawn_utc"): -6.0,
        ("astronomical_dusk_utc", "astronomical_dawn_utc"): -18.0,
    }
    first, last = nights.spans[0, 0] + DAY_S, nights.spans[-1, 1] - DAY_S
    for names, limit in limits.items():
        below = events.sun_below(limit)
        for column, name in enumerate(names):
            told = [getattr(r, name).timestamp() for r in records if getattr(r, name)]
            told = np.array([at for at in told if first < at < last])
            wanted = below[:, column]
            wanted = wanted[(wanted > first) & (wanted < last)]
            assert len(told) == len(wanted), name
            assert np.abs(np.sort(told) - wanted).max(initial=0.0) < 1.0, name


@pytest.mark.parametrize(("latitude", "day_month", "night_month"), [(69.0, 6, 12), (-78.0, 12, 6)])
def test_polar_day_and_night_have_no_sunset(latitude, day_month, night_month, year_at):
    """In the middle of either the Sun neither sets nor rises; its extremes tell which it is."""
    nights, events = year_at(2027, latitude, 19.0)
    by_date = dict(zip(nights.dates, sun_nights(events, nights, 20.0), strict=True))
    bright, dark = by_date[date(2027, day_month, 20)], by_date[date(2027, night_month, 20)]
    for sun in (bright, dark):
        assert sun.set_utc is None
        assert sun.rise_utc is None
        assert sun.cap_by_utc is None
    assert bright.lowest_altitude_deg > -50 / 60
    assert dark.highest_altitude_deg < -50 / 60


@pytest.mark.parametrize("latitude", [90.0, -90.0])
def test_sun_rises_and_sets_once_a_year_at_the_pole(latitude, year_at):
    """One sunrise and one sunset within some days of the equinoxes."""
    _, events = year_at(2027, latitude, 0.0)
    found = events.rise_set("sun")
    assert len(found.utc_s) == 2
    march, september = np.array(["2027-03-20", "2027-09-23"], dtype="datetime64[s]").astype(float)
    assert np.abs(found.utc_s - [march, september]).max() < 4 * DAY_S
    assert found.upward.tolist() == ([True, False] if latitude > 0 else [False, True])


@pytest.mark.parametrize(
    ("timezone", "latitude", "longitude"),
    [("Pacific/Auckland", -36.9, 174.8), ("Pacific/Kiritimati", 1.9, -157.4)],
)
def test_evenings_beyond_the_date_line_keep_their_own_date(timezone, latitude, longitude, year_at):
    """The sunset of a night falls on its date and the sunrise on the next, by local clocks."""
    nights, events = year_at(2027, latitude, longitude, timezone)
    zone = ZoneInfo(timezone)
    for day, sun in zip(nights.dates, sun_nights(events, nights, 20.0), strict=True):
        assert sun.set_utc.astimezone(zone).date() == day
        assert sun.rise_utc.astimezone(zone).date() == day + timedelta(days=1)


def test_moon_and_sun_pass_the_zenith_of_the_equator_unharmed(year_at):
    """Near 90 degrees altitudes stay below it, refracted too, and transits come every 24.84 h."""
    _, events = year_at(2027, 0.0, -78.5, "America/Guayaquil")
    grid = events.grid
    assert grid.moon.altitude_deg.max() > 89.0
    assert events.sky.refracted_deg(grid.moon.altitude_deg).max() <= 90.0
    assert np.abs(np.diff(events.moon_transits) / 3600 - 24.84).max() < 0.6


@pytest.mark.parametrize("year", [1900, 2016, 2052])
def test_rises_of_the_outermost_years_stand_on_the_direct_sky(year, year_at, direct):
    """At each moonrise found, Skyfield itself sees the upper limb on the horizon."""
    nights, events = year_at(year, -36.9, 174.8, "Pacific/Auckland")
    found = events.moon_rise_set.utc_s
    per_year = 365.2425 * 24 / 24.84
    assert len(found) == pytest.approx(2 * per_year * (len(nights.dates) + 3) / 365.2425, abs=4)
    some = np.concatenate((found[:12], found[-12:]))
    seen = direct.seen(direct.ephemeris["moon"], events.sky.site, direct.times(*some))
    limb = np.degrees(np.arcsin(1737.4 / seen.distance_km))
    assert np.abs(seen.altitude_deg + 34 / 60 + limb).max() * 3600 < 0.2


@pytest.mark.parametrize("year", [1899, 2053, -5, 10000])
def test_years_outside_the_ephemeris_are_refused_by_name(year, kernel):
    """The message names the year, the ephemeris and what it covers."""
    with pytest.raises(EphemerisError, match=rf"{year}.*DE421.*1900 to 2052"):
        build_year_sky(kernel, year, ())
