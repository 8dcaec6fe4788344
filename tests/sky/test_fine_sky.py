"""Angles filled in between exact ones: every minute against Skyfield, and against astropy."""

from types import SimpleNamespace

import numpy as np
import pytest
from skyfield.api import Star

from almanac.sky.body_places import BODIES
from almanac.sky.fine_sky import STEEP_DEG, fine_angles
from almanac.sky.kernel import TARGETS
from almanac.sky.nodes import Grid
from almanac.sky.site_sky import Horizontal, SiteSky

DAY_S = 86400.0
FIELDS = {
    "mid-latitude": (40.4, -1.5, 100.0),
    "equator": (0.0, -78.5, 2850.0),
    "tropic": (23.4, 120.9, 2500.0),
    "southern": (-33.4, -70.6, 800.0),
    "sixty-nine north": (69.0, 19.0, 50.0),
    "eighty-five north": (85.0, 20.0, 0.0),
    "pole": (-90.0, 0.0, 2835.0),
}
LIMIT_ARCSEC = 0.02
MERCURY_LIMIT_ARCSEC = STAR_LIMIT_ARCSEC = 0.05
ASTROPY_LIMIT_ARCSEC = 1.5
"""Two ways through the same standards, as for single instants."""


def off_arcsec(altitude_deg, azimuth_deg, other_altitude_deg, other_azimuth_deg):
    """Largest difference in altitude, or in azimuth on the sky."""
    turn = (azimuth_deg - other_azimuth_deg + 180) % 360 - 180
    side = np.abs(turn * np.cos(np.radians(other_altitude_deg)))
    return 3600 * max(np.abs(altitude_deg - other_altitude_deg).max(), side.max())


@pytest.fixture(scope="session")
def exact_angles():
    """Places of bodies and stars asked for instant by instant."""

    def angles(sky, bodies, utc_s):
        vectors = [sky.body_vectors(bodies, utc_s), sky.star_vectors(utc_s)]
        return Horizontal(np.concatenate(vectors, axis=1))

    return angles


@pytest.mark.parametrize("field", FIELDS)
@pytest.mark.parametrize("day", [46, 170, 234])
def test_every_minute_of_a_day_is_what_that_minute_gives_alone(
    field, day, sky_of, make_site, at_utc, exact_angles
):
    """Between the nodes, near the zenith and across north nothing is lost to a hundredth."""
    sky = SiteSky(sky_of(2027), make_site(*FIELDS[field]))
    grid = Grid(at_utc("2027-01-01") + day * DAY_S, 60.0, 1440)
    filled, alone = fine_angles(sky, BODIES, True, grid), exact_angles(sky, BODIES, grid.times)
    off = off_arcsec(filled.altitude_deg, filled.azimuth_deg, alone.altitude_deg, alone.azimuth_deg)
    assert off < 0.01
    assert filled.azimuth_deg.min() >= 0.0
    assert filled.azimuth_deg.max() <= 360.0


def test_bodies_that_pass_the_zenith_of_the_equator_are_among_them(
    sky_of, make_site, at_utc, exact_angles
):
    """The day of the test above has places so steep that only vectors serve."""
    sky = SiteSky(sky_of(2027), make_site(*FIELDS["equator"]))
    utc_s = at_utc("2027-01-01") + 46 * DAY_S + np.arange(0.0, DAY_S, 60.0)
    altitude = np.abs(exact_angles(sky, BODIES, utc_s).altitude_deg)
    assert altitude.max() > 89.0
    assert np.count_nonzero(altitude > STEEP_DEG) > 1000


@pytest.mark.parametrize("field", FIELDS)
def test_minutes_stand_where_skyfield_puts_them(
    field, sky_of, make_site, at_utc, direct, catalogue
):
    """Every seventh minute of two days, all bodies and a third of the stars."""
    where = make_site(*FIELDS[field])
    grid = Grid(at_utc("2027-04-27"), 60.0, 2880)
    filled = fine_angles(SiteSky(sky_of(2027), where), BODIES, True, grid)
    times = direct.times(*grid.times[::7])
    rows = {name: (row, direct.ephemeris[TARGETS[name]]) for row, name in enumerate(BODIES)}
    for index, star in list(enumerate(catalogue.stars))[::3]:
        rows[star.name] = len(BODIES) + index, skyfield_star(star)
    for name, (row, target) in rows.items():
        expected = direct.seen(target, where, times)
        off = off_arcsec(
            filled.altitude_deg[row, ::7],
            filled.azimuth_deg[row, ::7],
            expected.altitude_deg,
            expected.azimuth_deg,
        )
        loose = name == "mercury" or name not in BODIES
        assert off < (STAR_LIMIT_ARCSEC if loose else LIMIT_ARCSEC), name


def skyfield_star(star):
    """A star of the catalogue as Skyfield's own type."""
    return Star(
        ra_hours=star.ra_deg / 15,
        dec_degrees=star.dec_deg,
        ra_mas_per_year=star.pm_ra_mas,
        dec_mas_per_year=star.pm_dec_mas,
        parallax_mas=star.parallax_mas,
        epoch=2451545.0 - 8.75 * 365.25,
    )


@pytest.mark.parametrize(
    ("latitude", "longitude", "day"),
    [(-1.3, 36.8, "2027-03-21"), (57.3, -4.4, "2027-10-30"), (-45.9, 170.5, "2027-07-04")],
)
@pytest.mark.parametrize("body", ["moon", "sun", "venus", "jupiter"])
def test_minutes_of_other_sites_stand_where_astropy_puts_them(
    latitude, longitude, day, body, sky_of, make_site, at_utc, astropy_sky, apart_arcsec
):
    """Through ERFA, with the same kernel and UT1."""
    where = make_site(latitude, longitude, 300.0)
    grid = Grid(at_utc(day), 60.0, 1440)
    filled = fine_angles(SiteSky(sky_of(2027), where), (body,), False, grid)
    some = slice(None, None, 37)
    seen = SimpleNamespace(
        altitude_deg=filled.altitude_deg[0, some], azimuth_deg=filled.azimuth_deg[0, some]
    )
    expected = astropy_sky.body(body, where, grid.times[some])
    assert apart_arcsec(seen, expected).max() < ASTROPY_LIMIT_ARCSEC


@pytest.mark.parametrize(("step_s", "count"), [(60.0, 1), (60.0, 39), (20.0, 500), (600.0, 100)])
def test_any_grid_is_filled(step_s, count, sky_of, make_site, at_utc, exact_angles):
    """Short grids, finer ones, and ones too coarse to fill anything in."""
    sky = SiteSky(sky_of(2027), make_site(*FIELDS["mid-latitude"]))
    grid = Grid(at_utc("2027-05-05T03:17"), step_s, count)
    filled = fine_angles(sky, ("moon",), True, grid)
    alone = exact_angles(sky, ("moon",), grid.times)
    assert filled.altitude_deg.shape == alone.altitude_deg.shape
    off = off_arcsec(filled.altitude_deg, filled.azimuth_deg, alone.altitude_deg, alone.azimuth_deg)
    assert off < 0.01
