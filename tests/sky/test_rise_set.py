"""Rise, set, transit and twilight against published minutes and two other libraries."""

from itertools import pairwise

import ephem
import numpy as np
import pytest

from almanac.records.agreement import RISE_SET_ASTROPY_S, RISE_SET_PUBLISHED_S, TWILIGHT_S
from almanac.sky.site_events import SiteEvents
from almanac.sky.site_sky import SiteSky

FIELDS = {
    "northern": (52.2, -1.5, 100.0),
    "southern": (-31.273, 149.061, 1165.0),
    "equator": (0.0, -78.5, 2850.0),
    "date line": (-18.1, 179.999, 5.0),
    "sixty north": (60.0, 25.0, 0.0),
}
DAY_S = 86400.0
MOON_RADIUS_KM = 1737.4
"""Archinal et al., Celest. Mech. Dyn. Astr. 109 (2011) 101, table 5."""


@pytest.fixture(scope="session")
def month_of(sky_of, make_site, at_utc):
    """The events of some days at a named field."""
    kept = {}

    def events(field, day, days):
        if (field, day, days) not in kept:
            sky = SiteSky(sky_of(int(day[:4])), make_site(*FIELDS[field]))
            start = at_utc(day)
            kept[field, day, days] = SiteEvents(sky, start, start + days * DAY_S)
        return kept[field, day, days]

    return events


def sun_turns(events, altitude_deg):
    """Instants at which the Sun passes an altitude within the grid."""
    first, last = events.grid.utc_s[[0, -1]]
    edges = np.sort(events.sun_below(altitude_deg).ravel())
    return edges[(edges > first) & (edges < last)]


def height_deg(body, seen):
    """Altitude above the one at which a body rises: the upper limb on an ideal horizon."""
    if body == "sun":
        return seen.altitude_deg + 50 / 60
    return seen.altitude_deg + 34 / 60 + np.degrees(np.arcsin(MOON_RADIUS_KM / seen.distance_km))


def assert_same_roots(found_s, astropy_sky, where, body, height, first, last, limit_s):
    """Every sign change of an astropy height in the span is found, no other, and at its instant."""
    scan = np.arange(first, last, 900.0)
    above = height(astropy_sky.body(body, where, scan)) > 0
    change = np.flatnonzero(above[1:] != above[:-1])
    assert len(found_s) == len(change)
    assert ((found_s > scan[change]) & (found_s < scan[change + 1])).all()
    around = found_s[:, None] + np.array([-2.0, 2.0])
    level = height(astropy_sky.body(body, where, around.ravel())).reshape(around.shape)
    root = around[:, 0] - level[:, 0] * 4.0 / (level[:, 1] - level[:, 0])
    assert np.abs(root - found_s).max() < limit_s


@pytest.mark.parametrize(
    ("body", "latitude", "longitude"),
    [("Moon", -45.0, 150.0), ("Sun", 29.0, -81.0), ("Sun", 60.0, 0.0)],
)
def test_published_minutes_of_rise_and_set_are_met(
    body, latitude, longitude, sky_of, make_site, published, at_utc
):
    """Each published rise and set has its own within 60 seconds."""
    rows = [
        row
        for row in published("rise_set.csv")
        if row["body"] == body and float(row["latitude_deg"]) == latitude
    ]
    assert len(rows) > 100
    year = int(rows[0]["at_utc"][:4])
    sky = SiteSky(sky_of(year), make_site(latitude, longitude))
    start = at_utc(f"{year}-01-01")
    found = SiteEvents(sky, start - DAY_S, start + 367 * DAY_S).rise_set(body.lower())
    for event, instants in (("r", found.up()), ("s", found.down())):
        expected = np.array([at_utc(row["at_utc"]) for row in rows if row["event"] == event])
        off = np.abs(instants[:, None] - expected).min(axis=0)
        assert off.max() <= RISE_SET_PUBLISHED_S


@pytest.mark.parametrize("body", ["moon", "sun"])
@pytest.mark.parametrize(
    ("field", "day"),
    [("northern", "2027-03-05"), ("southern", "2027-08-01"), ("equator", "2027-06-01")],
)
def test_rise_and_set_are_where_astropy_sees_them(field, day, body, month_of, astropy_sky):
    """Over ten days each is found to a second, and none is invented."""
    events = month_of(field, day, 10)
    first, last = events.grid.utc_s[[0, -1]]
    found = events.rise_set(body)
    assert_same_roots(
        found.utc_s,
        astropy_sky,
        events.sky.site,
        body,
        lambda seen: height_deg(body, seen),
        first,
        last,
        RISE_SET_ASTROPY_S,
    )


def test_rise_and_set_through_a_leap_second(month_of, astropy_sky):
    """Either side of 2016-12-31T23:59:60 the events keep their second."""
    events = month_of("date line", "2016-12-29", 6)
    first, last = events.grid.utc_s[[0, -1]]
    for body in ("moon", "sun"):
        found = events.rise_set(body).utc_s
        assert_same_roots(
            found,
            astropy_sky,
            events.sky.site,
            body,
            lambda seen, body=body: height_deg(body, seen),
            first,
            last,
            RISE_SET_ASTROPY_S,
        )


@pytest.mark.parametrize("altitude_deg", [-6.0, -12.0, -18.0])
@pytest.mark.parametrize(("field", "day"), [("northern", "2027-05-12"), ("southern", "2027-12-10")])
def test_twilights_are_where_astropy_sees_them(field, day, altitude_deg, month_of, astropy_sky):
    """Dusk and dawn to 3 seconds; nights without full darkness near midsummer have none."""
    events = month_of(field, day, 10)
    first, last = events.grid.utc_s[[0, -1]]
    assert_same_roots(
        sun_turns(events, altitude_deg),
        astropy_sky,
        events.sky.site,
        "sun",
        lambda seen: seen.altitude_deg - altitude_deg,
        first,
        last,
        TWILIGHT_S,
    )


def observer_of(site):
    """The site in PyEphem, without air."""
    observer = ephem.Observer()
    observer.lat, observer.lon = np.radians(site.latitude_deg), np.radians(site.longitude_deg)
    observer.elevation = site.elevation_m
    observer.pressure = 0
    return observer


def ephem_instants(observer, step, start_s, end_s):
    """POSIX seconds of successive events in a span."""
    zero = ephem.Date("1970/1/1")
    observer.date = ephem.Date(zero + start_s / DAY_S)
    found = []
    while True:
        at = step()
        if (seconds := (at - zero) * DAY_S) > end_s:
            return np.array(found)
        found.append(seconds)
        observer.date = at + ephem.minute


@pytest.mark.parametrize("field", FIELDS)
def test_rise_set_and_transit_are_where_ephem_has_them(field, month_of):
    """Over two months: 5 seconds, with its convention for the horizon (-34', upper limb)."""
    events = month_of(field, "2027-01-20", 60)
    first, last = events.grid.utc_s[[0, -1]]
    moon, sun, observer = ephem.Moon(), ephem.Sun(), observer_of(events.sky.site)
    moon_found, sun_found = events.rise_set("moon"), events.rise_set("sun")
    cases = [
        (moon_found.up(), "-0:34", lambda: observer.next_rising(moon)),
        (moon_found.down(), "-0:34", lambda: observer.next_setting(moon)),
        (sun_found.up(), "-0:50", lambda: observer.next_rising(sun, use_center=True)),
        (sun_found.down(), "-0:50", lambda: observer.next_setting(sun, use_center=True)),
        (events.moon_transits, "0", lambda: observer.next_transit(moon)),
    ]
    for found, horizon, step in cases:
        observer.horizon = horizon
        expected = ephem_instants(observer, step, first, last)
        assert len(found) == len(expected)
        assert np.abs(found - expected).max() < 5.0


def test_spans_of_the_sun_below_a_limit_nest(month_of):
    """Darker spans lie inside lighter ones."""
    events = month_of("northern", "2027-05-12", 10)
    dark = [events.sun_below(limit) for limit in (-50 / 60, -6.0, -12.0, -18.0)]
    for outer, inner in pairwise(dark):
        for start, end in inner:
            assert ((outer[:, 0] <= start) & (end <= outer[:, 1])).any()


def test_moon_down_fills_what_the_risen_moon_leaves(month_of):
    """Up and down together are the whole time, without overlap."""
    events = month_of("southern", "2027-08-01", 10)
    first, last = events.grid.utc_s[[0, -1]]
    down = events.moon_down()
    edges = events.moon_rise_set.utc_s
    assert set(down.ravel().tolist()) - {first, last} == set(edges.tolist())
    middles = down.mean(axis=1)
    assert (events.sky.body("moon", middles).altitude_deg < -0.5).all()
