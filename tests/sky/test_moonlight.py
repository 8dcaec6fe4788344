"""How the Moon is lit and turned, against published tables and plain spherical trigonometry."""

import numpy as np
import pytest

from almanac.records.agreement import LIT_PART
from almanac.sky.moonlight import moonlight, pole_from_zenith_deg
from almanac.sky.site_sky import Horizontal, SiteSky, angle_deg, from_angles


def placed(altitude_deg, azimuth_deg, distance_km=4e5):
    """A body put into the sky by hand."""
    altitude, azimuth = np.atleast_1d(altitude_deg), np.atleast_1d(azimuth_deg)
    return Horizontal(distance_km * from_angles(altitude, azimuth))


def test_lit_fraction_and_distance_are_the_published_ones(sky_of, published, at_utc):
    """Geocentric: the fraction agrees to 0.0005 with the hourly tables, the distance to 50 km.

    The tables give the barycentric light-time distance, which is up to 40 km off the centres'.
    """
    rows = published("lit_moon.csv")
    assert len(rows) == 27
    for row in rows:
        sky = sky_of(int(row["at_utc"][:4]))
        tt_days = sky.clock.tt_days(np.array([at_utc(row["at_utc"])]))
        moon, sun = (Horizontal(sky.bodies[body].at(tt_days)) for body in ("moon", "sun"))
        light = moonlight(moon, sun)
        fraction = float(row["lit_percent"]) / 100
        assert light.illuminated_fraction[0] == pytest.approx(fraction, abs=LIT_PART)
        assert moon.distance_km[0] == pytest.approx(float(row["distance_km"]), abs=50.0)


def test_light_of_an_observer_is_that_of_skyfield_s_triangle(sky_of, make_site, direct):
    """Topocentric phase angle and fraction follow from the three bodies' places in space."""
    where = make_site(-31.273, 149.061, 1165.0)
    instants = 1.8e9 + np.arange(40) * 86400 * 3.7
    sky = SiteSky(sky_of(2027), where)
    light = moonlight(sky.body("moon", instants), sky.body("sun", instants))
    observer = direct.observer(where).at(direct.times(*instants))
    to_moon = observer.observe(direct.ephemeris["moon"]).apparent().position.km
    to_sun = observer.observe(direct.ephemeris["sun"]).apparent().position.km
    from_moon, home = to_sun - to_moon, -to_moon
    cosine = np.sum(from_moon * home, axis=0) / (
        np.linalg.norm(from_moon, axis=0) * np.linalg.norm(home, axis=0)
    )
    assert light.phase_angle_deg == pytest.approx(np.degrees(np.arccos(cosine)), abs=0.001)
    assert light.illuminated_fraction == pytest.approx((1 + cosine) / 2, abs=1e-5)


def test_diameter_is_that_of_the_iau_radius_at_the_site_s_distance(sky_of, make_site):
    """The Moon high up looks larger than from the Earth's centre, by up to two per cent."""
    sky = SiteSky(sky_of(2027), make_site(0.0, 0.0))
    instants = 1.8e9 + np.arange(2000) * 3600.0
    moon, sun = sky.body("moon", instants), sky.body("sun", instants)
    light = moonlight(moon, sun)
    # 1737.4 km: Archinal et al., Celest. Mech. Dyn. Astr. 109 (2011) 101, table 5.
    expected = 2 * np.degrees(np.arcsin(1737.4 / moon.distance_km)) * 60
    assert light.diameter_arcmin == pytest.approx(expected, rel=1e-9)
    centre = np.linalg.norm(sky.sky.bodies["moon"].at(sky.sky.clock.tt_days(instants)), axis=0)
    gain = centre / moon.distance_km
    high, low = moon.altitude_deg > 60, np.abs(moon.altitude_deg) < 1
    assert gain[high].min() > 1.013
    assert gain[high].max() < 1.02
    assert np.abs(gain[low] - 1).max() < 0.001


@pytest.mark.parametrize(
    ("sun_altitude", "sun_azimuth", "expected"),
    [
        (60.0, 180.0, 0.0),  # above the Moon
        (0.0, 180.0, 180.0),  # below
        (30.0, 150.0, 90.0),  # to the left as one faces south
        (30.0, 210.0, 270.0),  # to the right
    ],
)
def test_lit_limb_faces_the_sun(sun_altitude, sun_azimuth, expected):
    """With the Moon in the south, up is 0 and left is 90."""
    light = moonlight(placed(30.0, 180.0), placed(sun_altitude, sun_azimuth, 1.5e8))
    off = (light.bright_limb_from_zenith_deg[0] - expected + 180) % 360 - 180
    assert abs(off) < 10  # great circles leave the almucantar at a few degrees


@pytest.mark.parametrize("latitude", [52.2, 5.0, -5.0, -31.3, -75.0])
def test_pole_stands_at_the_parallactic_angle(latitude):
    """The angle from the zenith to the north pole obeys the formula in every quarter of the sky.

    J. Meeus, Astronomical Algorithms, 2nd ed., eq. 14.1: tan q = sin H / (tan lat cos dec - sin
    dec cos H), q from north to the zenith, positive west of the meridian.
    """
    altitude, azimuth = (
        grid.ravel() for grid in np.meshgrid([5.0, 30, 60, 85], np.arange(7, 360, 23))
    )
    pole = pole_from_zenith_deg(placed(altitude, azimuth), latitude)
    h, a, place = np.radians(altitude), np.radians(azimuth), np.radians(latitude)
    sin_dec = np.sin(place) * np.sin(h) + np.cos(place) * np.cos(h) * np.cos(a)
    dec = np.arcsin(sin_dec)
    hour = np.arctan2(
        -np.cos(h) * np.sin(a), np.sin(h) * np.cos(place) - np.cos(h) * np.sin(place) * np.cos(a)
    )
    parallactic = np.degrees(
        np.arctan2(np.sin(hour), np.tan(place) * np.cos(dec) - np.sin(dec) * np.cos(hour))
    )
    off = (pole + parallactic + 180) % 360 - 180
    assert np.abs(off).max() < 1e-6


def test_celestial_north_is_up_in_the_north_and_down_in_the_south():
    """On the upper meridian the pole is at the zenith side at 52 N, at the foot at 35 S."""
    assert pole_from_zenith_deg(placed(30.0, 180.0), 52.0)[0] == pytest.approx(0.0, abs=1e-9)
    assert pole_from_zenith_deg(placed(60.0, 0.0), -35.0)[0] == pytest.approx(180.0)


@pytest.mark.parametrize(("latitude", "longitude"), [(52.2, -1.5), (-31.273, 149.061)])
def test_bright_limb_s_position_angle_is_the_same_from_both_hemispheres(
    latitude, longitude, sky_of, make_site
):
    """Zenith and pole angles together give the position angle of the celestial frame.

    J. Meeus, Astronomical Algorithms, 2nd ed., eq. 48.5, geocentric: parallax moves it little
    where the Moon is not close to the Sun or to being full.
    """
    sky = SiteSky(sky_of(2027), make_site(latitude, longitude))
    instants = 1.8e9 + np.arange(400) * 86400 * 0.731
    tt_days = sky.sky.clock.tt_days(instants)
    ra, dec = {}, {}
    for body in ("moon", "sun"):
        x, y, z = sky.sky.bodies[body].at(tt_days)
        ra[body], dec[body] = np.arctan2(y, x), np.arctan2(z, np.hypot(x, y))
    turn = ra["sun"] - ra["moon"]
    geocentric = np.degrees(
        np.arctan2(
            np.cos(dec["sun"]) * np.sin(turn),
            np.sin(dec["sun"]) * np.cos(dec["moon"])
            - np.cos(dec["sun"]) * np.sin(dec["moon"]) * np.cos(turn),
        )
    )
    moon, sun = sky.body("moon", instants), sky.body("sun", instants)
    light = moonlight(moon, sun)
    seen = light.bright_limb_from_zenith_deg - pole_from_zenith_deg(moon, latitude)
    off = np.abs((seen - geocentric + 180) % 360 - 180)
    clear = (light.sun_separation_deg > 30) & (light.sun_separation_deg < 150)
    assert np.count_nonzero(clear) > 200
    assert off[clear].max() < 2.0


def test_angles_are_exact_when_small_and_when_nearly_opposite():
    """A microsecond of arc and its complement to 180 degrees survive the arithmetic."""
    one, tiny = from_angles(40.0, 70.0), 1e-9
    near = angle_deg(one, from_angles(40.0 + tiny, 70.0))
    assert near == pytest.approx(tiny, rel=1e-5)
    far = angle_deg(one, -from_angles(40.0 + tiny, 70.0))
    assert 180.0 - far == pytest.approx(tiny, rel=1e-4)
