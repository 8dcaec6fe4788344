"""A year's events of Moon, Sun, planets and stars, each put before Skyfield itself."""

import numpy as np
import pytest
from skyfield.api import Star

from almanac.sky.kernel import TARGETS
from almanac.sky.site_events import (
    HORIZON_REFRACTION_DEG,
    SUN_RISES_DEG,
    TWILIGHTS_DEG,
    SiteEvents,
)
from almanac.sky.site_sky import MOON_RADIUS_KM, SiteSky
from almanac.sky.star_events import star_events

DAY_S = 86400.0
BODIES = ("moon", "sun", "mercury", "venus", "mars", "jupiter", "saturn")
FIELDS = {
    "mid-latitude": (40.4, -1.5, 100.0),
    "equator": (0.0, -78.5, 2850.0),
    "sixty-nine north": (69.0, 19.0, 50.0),
    "eighty-five north": (85.0, 20.0, 0.0),
}
LIMIT_ARCSEC = 0.02
LIMIT_S = 0.03
STAR_LIMIT_ARCSEC = 0.05
STEPS_S = (300.0, 600.0)


@pytest.fixture(scope="session")
def year_of(sky_of, make_site, at_utc):
    """A place's year of events on a search grid."""

    def events(field, step_s):
        start = at_utc("2027-01-01")
        sky = SiteSky(sky_of(2027), make_site(*FIELDS[field]))
        return SiteEvents(sky, start, start + 365 * DAY_S, step_s)

    return events


def rises_deg(body, target, direct, where, times):
    """The centre's airless altitude at rise; the Moon's disc from its geometric distance."""
    if body == "sun":
        return SUN_RISES_DEG
    if body != "moon":
        return -HORIZON_REFRACTION_DEG
    distance = (target.at(times) - direct.observer(where).at(times)).distance().km
    return -HORIZON_REFRACTION_DEG - np.degrees(np.arcsin(MOON_RADIUS_KM / distance))


def height_deg(body, direct, where, utc_s, limit=None):
    """Skyfield's altitude above the one at which a body rises, or above a limit."""
    times, target = direct.times(*utc_s), direct.ephemeris[TARGETS[body]]
    wanted = rises_deg(body, target, direct, where, times) if limit is None else limit
    return direct.seen(target, where, times).altitude_deg - wanted


def assert_passed(height, utc_s, upward, mid_latitude):
    """At each instant the height is zero; a second before and after it has its signs."""
    before, here, after = height((utc_s[:, None] + [-1.0, 0.0, 1.0]).ravel()).reshape(-1, 3).T
    assert np.abs(here).max() * 3600 < LIMIT_ARCSEC
    slope = (after - before) / 2
    steep = np.abs(slope) * 3600 > 0.5  # arcseconds a second: others graze within a minute
    assert (np.sign(slope) == np.where(upward, 1, -1))[steep].all()
    if mid_latitude:
        assert steep.all()
        assert np.abs(here / slope).max() < LIMIT_S


@pytest.mark.parametrize("field", FIELDS)
@pytest.mark.parametrize("body", BODIES)
def test_each_rise_and_set_of_a_year_is_on_the_horizon(field, body, year_of, direct):
    """Everywhere to 0.02 arcsecond of altitude, away from the poles to 0.03 second."""
    events = year_of(field, 600.0)
    found, where = events.rise_set(body), events.sky.site
    assert found.utc_s.size
    assert (found.upward[1:] != found.upward[:-1]).all()
    assert_passed(
        lambda at: height_deg(body, direct, where, at),
        found.utc_s,
        found.upward,
        field in ("mid-latitude", "equator"),
    )


@pytest.mark.parametrize("field", FIELDS)
@pytest.mark.parametrize("limit_deg", TWILIGHTS_DEG.values())
def test_each_twilight_of_a_year_is_at_its_depth(field, limit_deg, year_of, direct):
    """Dusk and dawn alike."""
    events = year_of(field, 600.0)
    first, last = events.grid.utc_s[[0, -1]]
    edges = events.sun_below(limit_deg).ravel()
    down = np.arange(len(edges)) % 2 == 0
    inside = (edges > first) & (edges < last)
    assert_passed(
        lambda at: height_deg("sun", direct, events.sky.site, at, limit_deg),
        edges[inside],
        ~down[inside],
        field in ("mid-latitude", "equator"),
    )


@pytest.mark.parametrize("field", FIELDS)
@pytest.mark.parametrize("step_s", STEPS_S)
@pytest.mark.parametrize("body", ["moon", "sun", "venus", "mercury"])
def test_no_passage_of_a_year_is_lost_to_the_search_grid(field, step_s, body, year_of):
    """A look every minute sees the same rises and sets, unless they are a minute apart."""
    events = year_of(field, step_s)
    found = events.rise_set(body).utc_s
    minutes = np.arange(*events.grid.utc_s[[0, -1]], 60.0)
    seen = events.sky.body(body, minutes)
    radius = {"moon": np.degrees(np.arcsin(MOON_RADIUS_KM / seen.distance_km))}
    dip = -SUN_RISES_DEG if body == "sun" else HORIZON_REFRACTION_DEG + radius.get(body, 0.0)
    above = seen.altitude_deg + dip > 0
    change = np.flatnonzero(above[1:] != above[:-1])
    apart = np.diff(found)
    brief = np.count_nonzero(apart < 60.0)
    assert len(found) - 2 * brief <= len(change) <= len(found)
    nearest = np.abs(found[:, None] - (minutes[change] + 30.0)).min(axis=0)
    assert nearest.max() <= 30.01


@pytest.mark.parametrize("field", FIELDS)
@pytest.mark.parametrize("body", BODIES)
def test_each_transit_of_a_year_is_on_the_meridian(field, body, year_of, direct):
    """Skyfield's hour angle is zero to 0.03 second, once a day or nearly so."""
    events = year_of(field, 600.0)
    found = events.transits(body)
    apparent = (
        direct.observer(events.sky.site)
        .at(direct.times(*found))
        .observe(direct.ephemeris[TARGETS[body]])
        .apparent()
    )
    assert np.abs(apparent.hadec()[0].hours).max() * 3600 < LIMIT_S
    assert len(found) in ({352, 353, 354} if body == "moon" else range(363, 368))


@pytest.mark.parametrize("field", ["mid-latitude", "equator", "sixty-nine north"])
def test_each_rise_set_and_transit_of_a_star_is_where_skyfield_has_it(
    field, year_of, direct, catalogue
):
    """Every fifth star: altitude to 0.05 arcsecond beside the Sun, and one of each in a day."""
    events = year_of(field, 600.0)
    where, start = events.sky.site, events.start_s
    found = star_events(events.sky, start, start + 365 * DAY_S)
    for row, star in list(enumerate(catalogue.stars))[::5]:
        target = Star(
            ra_hours=star.ra_deg / 15,
            dec_degrees=star.dec_deg,
            ra_mas_per_year=star.pm_ra_mas,
            dec_mas_per_year=star.pm_dec_mas,
            parallax_mas=star.parallax_mas,
            epoch=2451545.0 - 8.75 * 365.25,
        )
        rise, set_ = found.rise_s[found.rise_star == row], found.set_s[found.set_star == row]
        transit = found.transit_s[found.transit_star == row]
        assert len(transit) in (366, 367)
        assert len(rise) in (0, 365, 366, 367)
        assert abs(len(rise) - len(set_)) <= 1
        apparent = direct.observer(where).at(direct.times(*transit)).observe(target).apparent()
        assert np.abs(apparent.hadec()[0].hours).max() * 3600 < LIMIT_S
        if len(rise):
            seen = direct.seen(target, where, direct.times(*rise, *set_))
            off = np.abs(seen.altitude_deg + HORIZON_REFRACTION_DEG).max()
            assert off * 3600 < STAR_LIMIT_ARCSEC, star.name
