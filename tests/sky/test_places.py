"""Altitudes and azimuths against Skyfield called directly, astropy with ERFA, and JPL Horizons."""

from types import SimpleNamespace

import numpy as np
import pytest
from astropy import units
from astropy.coordinates import Distance, SkyCoord
from astropy.time import Time
from skyfield.api import Star

from almanac.records.agreement import (
    BODY_SKYFIELD_ARCSEC,
    MOON_ASTROPY_ARCSEC,
    REFRACTED_HIGH_ARCSEC,
    REFRACTED_HIGH_DEG,
    REFRACTED_LOW_ARCSEC,
    STAR_ASTROPY_ARCSEC,
    STAR_SKYFIELD_ARCSEC,
    SUN_ASTROPY_ARCSEC,
)
from almanac.sky.site_sky import SiteSky
from almanac.sky.star_places import mean_places

FIELDS = {
    "northern": (52.2, -1.5, 100.0),
    "far north": (85.0, 20.0, 0.0),
    "equator": (0.0, -78.5, 2850.0),
    "southern": (-31.273, 149.061, 1165.0),
    "date line": (-18.1, 179.999, 5.0),
    "high": (28.3, -16.5, 3000.0),
    "south pole": (-90.0, 0.0, 2835.0),
}
YEARS = (1900, 2016, 2027, 2052)

# Two ways through the same standards (IERS Conventions 2010; SOFA, Astrometry Tools): same
# kernel, same UT1.
ASTROPY_LIMIT_ARCSEC = {"moon": MOON_ASTROPY_ARCSEC, "sun": SUN_ASTROPY_ARCSEC}


def random_instants(year, count, seed):
    """POSIX seconds anywhere in the span of a year's nights."""
    first = (np.datetime64(f"{year}-01-01") - np.datetime64("1970-01-01")) / np.timedelta64(1, "s")
    return np.sort(first + np.random.default_rng(seed).uniform(-30, 376, count) * 86400)


def skyfield_stars(stars):
    """The catalogue as Skyfield's own star type."""
    return [
        Star(
            ra_hours=star.ra_deg / 15,
            dec_degrees=star.dec_deg,
            ra_mas_per_year=star.pm_ra_mas,
            dec_mas_per_year=star.pm_dec_mas,
            parallax_mas=star.parallax_mas,
            epoch=2451545.0 - 8.75 * 365.25,
        )
        for star in stars
    ]


@pytest.mark.parametrize("year", YEARS)
@pytest.mark.parametrize("field", FIELDS)
def test_moon_and_sun_stand_where_skyfield_puts_them(
    field, year, sky_of, make_site, direct, apart_arcsec
):
    """Nodes, a turn and a shift give what the library gives instant by instant."""
    where = make_site(*FIELDS[field])
    instants = random_instants(year, 40, year)
    sky = SiteSky(sky_of(year), where)
    for body in ("moon", "sun"):
        target = direct.ephemeris[body]
        expected = direct.seen(target, where, direct.times(*instants))
        assert apart_arcsec(sky.body(body, instants), expected).max() < BODY_SKYFIELD_ARCSEC


@pytest.mark.parametrize("year", YEARS)
def test_stars_stand_where_skyfield_puts_them(
    year, sky_of, make_site, direct, apart_arcsec, catalogue
):
    """All stars at once give what the library gives star by star."""
    instants = random_instants(year, 3, year + 1)
    for name in ("northern", "southern"):
        where = make_site(*FIELDS[name])
        seen = SiteSky(sky_of(year), where).stars(instants)
        times = direct.times(*instants)
        for index, star in enumerate(skyfield_stars(catalogue.stars)):
            expected = direct.seen(star, where, times)
            column = type(expected)(
                seen.altitude_deg[:, index], seen.azimuth_deg[:, index], expected.distance_km
            )
            assert apart_arcsec(column, expected).max() < STAR_SKYFIELD_ARCSEC, star


@pytest.mark.parametrize("field", FIELDS)
@pytest.mark.parametrize("body", ["moon", "sun"])
def test_moon_and_sun_stand_where_astropy_puts_them(
    field, body, sky_of, make_site, astropy_sky, apart_arcsec
):
    """A second library, through ERFA, sees the same sky with the same kernel and UT1."""
    where = make_site(*FIELDS[field])
    instants = random_instants(2027, 30, 5)
    expected = astropy_sky.body(body, where, instants)
    seen = SiteSky(sky_of(2027), where).body(body, instants)
    assert apart_arcsec(seen, expected).max() < ASTROPY_LIMIT_ARCSEC[body]


@pytest.mark.parametrize("field", ["northern", "southern", "far north"])
def test_stars_stand_where_astropy_puts_them(
    field, sky_of, make_site, astropy_sky, apart_arcsec, catalogue
):
    """Proper motion, parallax, deflection and aberration agree for every star that ships."""
    where = make_site(*FIELDS[field])
    stars = catalogue.stars
    icrs = SkyCoord(
        ra=[star.ra_deg for star in stars] * units.deg,
        dec=[star.dec_deg for star in stars] * units.deg,
        pm_ra_cosdec=[star.pm_ra_mas for star in stars] * units.mas / units.yr,
        pm_dec=[star.pm_dec_mas for star in stars] * units.mas / units.yr,
        distance=Distance(parallax=[star.parallax_mas for star in stars] * units.mas),
        obstime=Time("J1991.25"),
    )
    for instant in random_instants(2027, 2, 8):
        seen = SiteSky(sky_of(2027), where).stars(np.array([instant]))
        expected = astropy_sky.stars(icrs, where, instant)
        flat = type(expected)(seen.altitude_deg[0], seen.azimuth_deg[0], seen.distance_km[0])
        assert apart_arcsec(flat, expected).max() < STAR_ASTROPY_ARCSEC


def test_topocentric_distance_is_geometric(sky_of, make_site, direct):
    """A body's distance is that of its centre from the site when its light set out."""
    where = make_site(*FIELDS["high"])
    instants = random_instants(2027, 40, 9)
    seen = SiteSky(sky_of(2027), where).body("moon", instants)
    times = direct.times(*(instants - seen.distance_km / 299792.458))
    target = direct.ephemeris["moon"].at(times)
    place = direct.observer(where).at(times)
    assert seen.distance_km == pytest.approx((target - place).distance().km, abs=0.1)


# Jet Propulsion Laboratory, Horizons On-Line Ephemeris System, output of 2019-04-12 21:13:29:
# Moon (DE431mx), airless apparent azimuth and elevation, 29 N 279 E 10 m, UT1 before 1962.
HORIZONS_AIRLESS = {
    "1900-01-11T00:00": (105.6825, 67.6014),
    "1900-02-10T00:00": (95.7409, 60.5269),
    "1900-06-10T00:00": (134.6643, 28.1708),
    "1900-12-27T00:00": (233.0108, 41.1792),
    "1904-01-01T00:00": (93.4681, 42.7559),
    "1904-04-30T00:00": (103.7841, 0.1676),
}


@pytest.mark.parametrize("instant", HORIZONS_AIRLESS)
def test_moon_of_the_first_years_stands_where_horizons_puts_it(
    instant, sky_of, make_site, at_utc, apart_arcsec
):
    """Delta-T, clock time before 1972 and the kernel's early end agree with a newer kernel."""
    azimuth_deg, altitude_deg = HORIZONS_AIRLESS[instant]
    sky = SiteSky(sky_of(int(instant[:4])), make_site(29.0, -81.0, 10.0))
    seen = sky.body("moon", np.array([at_utc(instant)]))
    expected = SimpleNamespace(altitude_deg=altitude_deg, azimuth_deg=azimuth_deg)
    assert apart_arcsec(seen, expected).max() < 10.0  # the bound of Horizons' comparison


# Jet Propulsion Laboratory, Horizons On-Line Ephemeris System, outputs of 2019-04-12 18:11 and
# 18:13: Moon (DE431mx), refracted apparent azimuth and elevation, 10 m above the ellipsoid.
HORIZONS_REFRACTED = [
    (-30.0, 150.0, "2018-12-02T00:00", 308.6575, 43.4962),
    (-30.0, 150.0, "2018-12-02T01:00", 295.7473, 32.8840),
    (-30.0, 150.0, "2018-12-02T02:00", 285.9019, 21.1863),
    (-30.0, 150.0, "2018-12-02T02:30", 281.6613, 15.1262),
    (-30.0, 150.0, "2018-12-02T03:00", 277.6959, 9.0041),
    (-30.0, 150.0, "2018-12-02T03:15", 275.7824, 5.9473),
    (-30.0, 150.0, "2018-12-02T03:20", 275.1518, 4.9352),
    (-30.0, 150.0, "2018-12-02T03:30", 273.8988, 2.9375),
    (-30.0, 150.0, "2018-12-02T03:40", 272.6538, 1.0230),
    (-30.0, 150.0, "2018-12-02T03:45", 272.0334, 0.1304),
    (29.0, -81.0, "2018-12-02T07:25", 89.7100, 0.4978),
    (29.0, -81.0, "2018-12-02T07:35", 90.9136, 2.3915),
    (29.0, -81.0, "2018-12-02T07:50", 92.7268, 5.4220),
    (29.0, -81.0, "2018-12-02T08:10", 95.1771, 9.5583),
    (29.0, -81.0, "2018-12-02T09:00", 101.6465, 19.9285),
    (29.0, -81.0, "2018-12-02T11:00", 122.5140, 43.4173),
    (29.0, -81.0, "2018-12-02T13:30", 178.0133, 59.9835),
]


@pytest.mark.parametrize(
    ("latitude", "longitude", "instant", "azimuth", "altitude"), HORIZONS_REFRACTED
)
def test_refracted_moon_stands_where_horizons_puts_it(
    latitude, longitude, instant, azimuth, altitude, sky_of, make_site, at_utc
):
    """Printed altitudes in air of 10 C and 1010 mbar agree: 10" above 5 degrees, 30" below."""
    sky = SiteSky(sky_of(2018), make_site(latitude, longitude, 10.0))
    seen = sky.body("moon", np.array([at_utc(instant)]))
    off_arcsec = abs(sky.refracted_deg(seen.altitude_deg)[0] - altitude) * 3600
    assert off_arcsec < (
        REFRACTED_HIGH_ARCSEC if altitude > REFRACTED_HIGH_DEG else REFRACTED_LOW_ARCSEC
    )
    across = (seen.azimuth_deg[0] - azimuth) * np.cos(np.radians(altitude))
    assert abs(across) * 3600 < 10.0


@pytest.mark.parametrize("latitude", [90.0, -90.0, 0.0])
def test_special_latitudes_give_finite_places(latitude, sky_of, make_site):
    """Poles and equator have no place where a body's azimuth or altitude is undefined."""
    sky = SiteSky(sky_of(2027), make_site(latitude, 0.0))
    instants = random_instants(2027, 500, 3)
    for seen in (sky.body("moon", instants), sky.body("sun", instants), sky.stars(instants[:5])):
        assert np.isfinite(seen.altitude_deg).all()
        assert ((seen.azimuth_deg >= 0) & (seen.azimuth_deg < 360)).all()


def test_plain_places_for_charts_are_good_to_a_hundredth_of_a_degree(
    sky_of, make_site, catalogue, apart_arcsec
):
    """Directions without aberration, as charts take them, fall on the full places."""
    sky = SiteSky(sky_of(2027), make_site(*FIELDS["northern"]))
    instant = np.array([1.82e9])
    directions = mean_places(catalogue.stars, float(sky.sky.clock.tt_days(instant)[0]))
    plain = sky.fixed(*directions, float(instant[0]))
    full = sky.stars(instant)
    flat = SimpleNamespace(altitude_deg=full.altitude_deg[0], azimuth_deg=full.azimuth_deg[0])
    assert apart_arcsec(plain, flat).max() < 36.0
