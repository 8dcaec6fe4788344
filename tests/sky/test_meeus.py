"""Worked examples of J. Meeus, Astronomical Algorithms, 2nd ed. (Willmann-Bell, 1998).

Each check names its example; where the book's short series are coarser than the ephemeris, the
tolerance is what that chapter claims.
"""

import numpy as np
import pytest

from almanac.sky.moonlight import moonlight
from almanac.sky.phases import find_apsides, find_phases
from almanac.sky.refraction import refraction_deg
from almanac.sky.site_sky import Horizontal, angle_deg, from_angles
from almanac.sky.star_places import mean_places

SECOND_DEG = 1 / 240
"""A second of time at the celestial equator."""


@pytest.fixture(scope="session")
def at_tt(sky_of, tt_of):
    """A year's sky and an instant given by Julian date in dynamical time."""

    def place(year, julian_date):
        return sky_of(year), np.array([tt_of(julian_date)])

    return place


def right_ascension_and_declination(vector):
    """Degrees of a place on the equator of date."""
    x, y, z = vector
    return np.degrees(np.arctan2(y, x)) % 360, np.degrees(np.arctan2(z, np.hypot(x, y)))


def test_example_12a_sidereal_time(sky_of, direct):
    """Apparent sidereal time at Greenwich, 1987 April 10, 0h UT: 13h 10m 46.1351s."""
    sky = sky_of(1987)
    tt_days = np.array([direct.timescale.ut1_jd(2446895.5).tt - 2451545.0])
    published_deg = (13 + 10 / 60 + 46.1351 / 3600) * 15
    assert sky.gast_deg(tt_days)[0] % 360 == pytest.approx(published_deg, abs=0.02 * SECOND_DEG)


def test_example_22a_true_obliquity(at_tt):
    """True obliquity, 1987 April 10, 0h TD: 23 26' 36.850".

    The book's mean obliquity is of 1980, 0.04" above today's (Capitaine et al., Astron.
    Astrophys. 412 (2003) 567); its nutation is good to 0.01".
    """
    sky, tt_days = at_tt(1987, 2446895.5)
    published_arcsec = 23 * 3600 + 26 * 60 + 36.850
    assert sky.obliquity_deg.at(tt_days)[0] * 3600 == pytest.approx(published_arcsec, abs=0.046)


def test_example_25b_the_sun(at_tt):
    """The Sun, 1992 October 13, 0h TD: longitude 199 54' 21.8", 13h 13m 30.749s, -7 47' 01.74"."""
    sky, tt_days = at_tt(1992, 2448908.5)
    longitude_deg = sky.ecliptic_longitude_deg("sun", tt_days)[0]
    assert longitude_deg == pytest.approx(199 + 54 / 60 + 21.818 / 3600, abs=0.0003)
    ascension, declination = right_ascension_and_declination(sky.bodies["sun"].at(tt_days))
    assert ascension[0] / 15 == pytest.approx(13 + 13 / 60 + 30.749 / 3600, abs=0.00002)
    assert declination[0] == pytest.approx(-(7 + 47 / 60 + 1.74 / 3600), abs=0.0002)


def test_example_27a_a_solstice(at_tt):
    """June solstice of 1962, 21h 24m 42s TD by the full theory: longitude 90, 5 s of motion."""
    sky, tt_days = at_tt(1962, 2437836.5 + (21 * 3600 + 24 * 60 + 42) / 86400)
    around = tt_days + np.array([-5.0, 5.0]) / 86400
    before, after = sky.ecliptic_longitude_deg("sun", around)
    assert before < 90 < after


def test_example_47a_the_moon(at_tt):
    """The Moon, 1992 April 12, 0h TD: longitude 133.167265, 134.688470, 13.768368, 368409.7 km.

    The distance here is the light-time one of the apparent place.
    """
    sky, tt_days = at_tt(1992, 2448724.5)
    longitude_deg = sky.ecliptic_longitude_deg("moon", tt_days)[0]
    assert longitude_deg == pytest.approx(133.167265, abs=0.005)
    vector = sky.bodies["moon"].at(tt_days)
    ascension, declination = right_ascension_and_declination(vector)
    assert ascension[0] == pytest.approx(134.688470, abs=0.005)
    assert declination[0] == pytest.approx(13.768368, abs=0.003)
    assert np.linalg.norm(vector) == pytest.approx(368409.7, abs=20.0)


def test_example_48a_the_lit_disc(at_tt):
    """1992 April 12, 0h TD: fraction 0.6786, phase angle 69.0756, bright limb at 285.0."""
    sky, tt_days = at_tt(1992, 2448724.5)
    moon, sun = (Horizontal(sky.bodies[body].at(tt_days)) for body in ("moon", "sun"))
    light = moonlight(moon, sun)
    assert light.illuminated_fraction[0] == pytest.approx(0.6786, abs=0.001)
    assert light.phase_angle_deg[0] == pytest.approx(69.0756, abs=0.02)
    assert light.bright_limb_from_zenith_deg[0] == pytest.approx(285.0, abs=0.1)


@pytest.mark.parametrize(
    ("year", "kind", "julian_date"),
    [(1977, "new", 2443192.65118), (2044, "last_quarter", 2467636.49186)],
)
def test_examples_49a_and_49b_phases(year, kind, julian_date, at_tt):
    """New Moon of February 1977 and the first last quarter of 2044, to 20 seconds."""
    sky, tt_days = at_tt(year, julian_date)
    published_s = sky.clock.utc_s(tt_days)[0]
    found = find_phases(sky, published_s - 86400, published_s + 86400)
    assert found.kinds == (kind,)
    assert found.utc_s[0] == pytest.approx(published_s, abs=20.0)


def test_example_50a_an_apogee(at_tt):
    """Apogee of October 1988: JDE 2447442.3543 to 3 minutes, parallax 3240.679" to 0.5"."""
    sky, tt_days = at_tt(1988, 2447442.3543)
    published_s = sky.clock.utc_s(tt_days)[0]
    found = find_apsides(sky, published_s - 86400, published_s + 86400)
    assert found.kinds == ("apogee",)
    assert found.utc_s[0] == pytest.approx(published_s, abs=180.0)
    parallax_arcsec = np.degrees(np.arcsin(6378.14 / found.distance_km[0])) * 3600
    assert parallax_arcsec == pytest.approx(3240.679, abs=0.5)


def test_example_16a_refraction_at_the_sun_s_lower_limb(make_site):
    """True altitude 33' 14.76" is raised by 24.618' to 57' 51.8"."""
    raised = refraction_deg(np.array([(33 + 14.76 / 60) / 60]), make_site(0.0, 0.0))
    assert raised[0] * 60 == pytest.approx(24.618, abs=0.002)


def test_example_17a_arcturus_and_spica():
    """From 213.9154, +19.1825 to 201.2983, -11.1614 it is 32.7930 degrees."""
    arcturus, spica = from_angles(19.1825, 213.9154), from_angles(-11.1614, 201.2983)
    assert angle_deg(arcturus, spica) == pytest.approx(32.7930, abs=1e-4)


def test_exercise_of_chapter_17_aldebaran_and_antares(catalogue):
    """On the J2000.0 places of the list they are 169 58' apart."""
    ascension, declination = mean_places(catalogue.stars, 0.0)
    names = [star.name for star in catalogue.stars]
    one, other = names.index("Aldebaran"), names.index("Antares")
    unit = from_angles(declination, ascension)
    assert angle_deg(unit[:, one], unit[:, other]) == pytest.approx(169 + 58 / 60, abs=0.01)
