"""Air, blur and exposure against published values and sums done by hand."""

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from almanac.plan.detail import (
    airmass,
    blur,
    detail_km,
    dispersion_arcsec,
    exposure_stops,
    field_rotation_deg_per_hour,
    longest_clip_s,
    moon_magnitude,
    phase_dimming_mag,
    pixel_arcsec,
)
from almanac.records.config import Site, Telescope

MakeSite = Callable[..., Site]
MakeTelescope = Callable[..., Telescope]


@pytest.mark.parametrize(
    ("zenith_deg", "expected"),
    [(0, 0.9997), (30, 1.1540), (60, 1.9943), (70, 2.9031), (80, 5.586), (85, 10.306), (90, 37.92)],
)
def test_airmass_follows_kasten_and_young(zenith_deg: float, expected: float) -> None:
    """Their formula (Appl. Opt. 28 (1989) 4735) evaluated apart, to the digits given."""
    assert airmass(np.array(90.0 - zenith_deg)) == pytest.approx(expected, rel=1e-4)


@given(st.floats(0, 89), st.floats(0.01, 1))
def test_airmass_falls_as_the_moon_climbs(altitude: float, higher: float) -> None:
    """From the horizon to the zenith without a turn."""
    assert airmass(np.array(altitude + higher)) < airmass(np.array(altitude))


FILIPPENKO = [
    # Filippenko, PASP 94 (1982) 715, table I: arcseconds from the place at 5000 A
    (1.5, 350, 1.34), (1.5, 400, 0.71), (1.5, 600, -0.37), (1.5, 700, -0.60), (1.5, 1000, -0.91),
    (2.0, 350, 2.08), (2.0, 400, 1.10), (2.0, 600, -0.58), (2.0, 700, -0.92), (2.0, 1000, -1.40),
]  # fmt: skip


@pytest.mark.parametrize(("secant", "wavelength_nm", "expected"), FILIPPENKO)
def test_dispersion_agrees_with_filippenkos_table(
    secant: float, wavelength_nm: float, expected: float, make_site: MakeSite
) -> None:
    """At 600 mmHg and 7 C, to the last digit printed; bluer light stands higher."""
    site = make_site(pressure_hpa=600 * 1.33322387415, temperature_c=7.0)
    altitude = np.array(90 - math.degrees(math.acos(1 / secant)))
    found = dispersion_arcsec(altitude, (wavelength_nm, 500.0), site)
    assert found == pytest.approx(expected, abs=0.0051)


def test_dispersion_adds_up_over_neighbouring_bands(make_site: MakeSite) -> None:
    """The spectrum from 450 to 650 is that from 450 to 550 and on to 650."""
    altitude = np.linspace(5, 85, 9)
    site = make_site()
    whole = dispersion_arcsec(altitude, (450.0, 650.0), site)
    parts = [dispersion_arcsec(altitude, band, site) for band in ((450.0, 550.0), (550.0, 650.0))]
    assert whole == pytest.approx(parts[0] + parts[1], rel=1e-12)
    assert np.all(np.diff(whole) < 0)


ROTATION = [(52, 180, 30, 10.69), (52, 180, 60, 18.52), (52, 180, 80, 53.3), (52, 90, 30, 0.0)]


@pytest.mark.parametrize(("latitude", "azimuth", "altitude", "expected"), ROTATION)
def test_field_rotation_has_the_textbook_values(
    latitude: float, azimuth: float, altitude: float, expected: float
) -> None:
    """15.041 arcsec/s x cos(latitude) cos(azimuth) / cos(altitude), worked by hand."""
    found = field_rotation_deg_per_hour(np.array(altitude), np.array(azimuth), latitude, "altaz")
    assert found == pytest.approx(expected, abs=0.05 if expected > 50 else 0.005)


def parallactic_deg(hour_deg: float, dec_deg: float, lat_deg: float) -> float:
    """Meeus, Astronomical Algorithms, 2nd ed., eq. 14.1."""
    hour, dec, lat = np.radians([hour_deg, dec_deg, lat_deg])
    below = np.tan(lat) * np.cos(dec) - np.sin(dec) * np.cos(hour)
    return float(np.degrees(np.arctan2(np.sin(hour), below)))


@given(st.floats(-65, 65), st.floats(-28, 28), st.floats(-80, 80))
def test_field_rotation_is_the_parallactic_angles_rate(
    lat_deg: float, dec_deg: float, hour_deg: float
) -> None:
    """The rate agrees with a difference of Meeus' parallactic angle over a second of time."""
    hour, dec, lat = np.radians([hour_deg, dec_deg, lat_deg])
    east = -np.cos(dec) * np.sin(hour)
    north = np.sin(dec) * np.cos(lat) - np.cos(dec) * np.cos(hour) * np.sin(lat)
    up = np.sin(dec) * np.sin(lat) + np.cos(dec) * np.cos(hour) * np.cos(lat)
    altitude, azimuth = np.degrees(np.arcsin(up)), np.degrees(np.arctan2(east, north))
    if not 1 < altitude < 88:
        return
    turn = 15.041 / 3600
    moved = [parallactic_deg(hour_deg + sign * turn / 2, dec_deg, lat_deg) for sign in (1, -1)]
    rate = abs((moved[0] - moved[1] + 180) % 360 - 180) * 3600
    found = field_rotation_deg_per_hour(np.array(altitude), np.array(azimuth), lat_deg, "altaz")
    assert found == pytest.approx(rate, rel=1e-4, abs=1e-3)


def test_an_equatorial_mounts_field_stands_still(make_telescope: MakeTelescope) -> None:
    """No rotation, and so no longest clip."""
    found = field_rotation_deg_per_hour(np.array([30.0]), np.array([180.0]), 52.0, "equatorial")
    assert found.tolist() == [0.0]
    assert longest_clip_s(0.0, 31.0, make_telescope(mount="equatorial")) is None


@pytest.mark.parametrize(
    ("angle", "expected"),
    [(10, 0.23), (30, 0.79), (60, 1.62), (90, 2.63), (120, 3.93), (150, 5.9)],
)
def test_the_phase_law_fits_allens_table(angle: float, expected: float) -> None:
    """Allen, Astrophysical Quantities, tabulates the law; its two-term fit keeps to 0.035 mag.

    The fit is eq. 9 of Krisciunas & Schaefer, PASP 103 (1991) 1033.
    """
    assert phase_dimming_mag(np.array(float(angle))) == pytest.approx(expected, abs=0.035)


def test_the_phase_law_is_the_two_term_fit() -> None:
    """0.026 x 90 + 4e-9 x 90^4 = 2.34 + 0.26244; waxing and waning alike."""
    assert phase_dimming_mag(np.array([90.0, -90.0])) == pytest.approx([2.60244, 2.60244])


def test_the_mean_full_moon_has_allens_magnitude() -> None:
    """-12.73 at the mean distance (0.00257 au) and 1 au from the Sun; 5 log of the distances."""
    au = 149597870.7
    zero = np.array(0.0)
    assert moon_magnitude(zero, np.array(au), np.array(0.00257 * au)) == pytest.approx(-12.73)
    nearer = moon_magnitude(zero, np.array(au), np.array(0.00257 * au * 0.9))
    assert nearer == pytest.approx(-12.73 + 5 * math.log10(0.9))


def test_seeing_grows_with_airmass_to_the_power_three_fifths(
    make_site: MakeSite, make_telescope: MakeTelescope
) -> None:
    """Fried, J. Opt. Soc. Am. 56 (1966) 1372: r0 as sec z to -3/5, hence the blur to +3/5."""
    found = blur(np.array([30.0, 60.0]), make_telescope(), make_site(seeing_arcsec=3.0)).seeing
    assert found == pytest.approx([3 * 1.9943**0.6, 3 * 1.1540**0.6], rel=1e-4)


def test_the_blur_budget_is_the_sum_done_by_hand(
    make_site: MakeSite, make_telescope: MakeTelescope
) -> None:
    """60 mm, 550 nm, 2.9 um at 300 mm, seeing 2 at 30 degrees; the parts in quadrature."""
    site, telescope = make_site(), make_telescope()
    found = blur(np.array(30.0), telescope, site)
    assert found.diffraction == pytest.approx(1.947, abs=0.001)  # 1.03 x 550e-6 / 60 x 206265
    assert found.sampling == pytest.approx(1.994, abs=0.001)  # 2.9e-3 / 300 x 206265
    assert found.seeing == pytest.approx(3.026, abs=0.001)  # 2 x 1.9943^0.6
    squares = 1.947**2 + 1.994**2 + 3.026**2 + float(found.dispersion) ** 2
    assert found.total == pytest.approx(math.sqrt(squares), abs=0.002)
    assert 1.3 < float(found.dispersion) < 1.7  # 0.85 arcsec x cot 30 deg


def test_a_blur_of_an_arcsecond_is_two_kilometres_on_the_moon() -> None:
    """384400 km / 206264.8."""
    assert detail_km(np.array(1.0), np.array(384400.0)) == pytest.approx(1.8636, abs=1e-4)


@given(st.floats(5, 84), st.floats(0.5, 5), st.floats(30, 500))
def test_more_air_never_sharpens(
    make_site: MakeSite,
    make_telescope: MakeTelescope,
    altitude: float,
    lower: float,
    aperture: float,
) -> None:
    """Total blur falls with altitude whatever the telescope."""
    heights = np.array([altitude, max(altitude - lower, 1.0)])
    pair = blur(heights, make_telescope(aperture_mm=aperture), make_site()).total
    assert pair[0] < pair[1]


@given(st.floats(0, 154), st.floats(0.01, 1), st.floats(5, 90))
def test_a_thinner_moon_needs_more_light(angle: float, more: float, altitude: float) -> None:
    """Exposure rises with phase angle from full to a thin crescent."""
    stops = exposure_stops(np.array([angle, angle + more]), np.array(altitude))
    assert stops[1] > stops[0]


@given(st.floats(0, 150), st.floats(5, 85), st.floats(0.1, 5))
def test_a_lower_moon_needs_more_light(angle: float, altitude: float, higher: float) -> None:
    """Extinction only ever takes."""
    stops = exposure_stops(np.array(angle), np.array([altitude, altitude + higher]))
    assert stops[0] > stops[1]


def test_a_full_moon_at_the_zenith_is_the_measure() -> None:
    """Nought stops."""
    assert exposure_stops(np.array(0.0), np.array(90.0)) == pytest.approx(0.0, abs=1e-12)


def test_the_half_moon_needs_about_two_stops_more() -> None:
    """Common practice, no source: about two stops; the phase law says two and a half."""
    assert exposure_stops(np.array(90.0), np.array(90.0)) == pytest.approx(2.0, abs=0.6)


def test_a_fifth_of_a_magnitude_an_airmass_is_lost() -> None:
    """At 30 degrees one airmass more than at the zenith: 0.2 mag or 0.26 stops."""
    found = exposure_stops(np.array(0.0), np.array(30.0))
    assert found == pytest.approx(0.2 * (1.9943 - 0.9997) / (2.5 * math.log10(2)), abs=1e-4)


def test_a_clip_ends_when_the_limb_has_moved_a_pixel(make_telescope: MakeTelescope) -> None:
    """A Moon of 31 arcmin is 933 px across; at 15 deg/h its limb moves a pixel in 29.5 s."""
    found = longest_clip_s(15.0, 31.0, make_telescope())
    assert found == pytest.approx(3600 / math.radians(15) / (933 / 2), abs=0.02)
    assert found == pytest.approx(29.5, abs=0.05)


@given(st.floats(0.1, 300), st.floats(20, 3000))
def test_clips_shorten_with_rotation_and_with_scale(
    make_telescope: MakeTelescope, rotation: float, focal_mm: float
) -> None:
    """Twice the rate is half the time, and in that time the limb's arc is one pixel."""
    telescope = make_telescope(focal_length_mm=focal_mm)
    once, twice = (longest_clip_s(rate, 31.0, telescope) for rate in (rotation, 2 * rotation))
    assert once is not None
    assert twice is not None
    assert once == pytest.approx(2 * twice)
    arc_px = math.radians(rotation) / 3600 * once * 31 * 30 / pixel_arcsec(telescope)
    assert arc_px == pytest.approx(1.0)


def test_at_a_pole_the_field_stands_still(make_telescope: Callable[..., Telescope]) -> None:
    """The cosine of 90 degrees is not quite nought: that is no clip of many years."""
    turn = field_rotation_deg_per_hour(np.array([20.0]), np.array([150.0]), 90.0, "altaz")
    assert longest_clip_s(float(turn[0]), 31.0, make_telescope()) is None
