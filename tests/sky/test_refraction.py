"""Refraction against other formulas, their published values and another library's air."""

import erfa
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from almanac.sky.refraction import refraction_deg

# T. Saemundsson, Sky & Telescope 72 (1986) 70, as in J. Meeus, Astronomical Algorithms, 2nd ed.,
# eq. 16.4: minutes of arc at true altitudes in degrees, 1010 mbar and 10 C.
SAEMUNDSSON = {0.0: 28.982, 1.0: 21.744, 10.0: 5.408, 45.0: 1.013}


def bennett_deg(apparent_deg):
    """G. G. Bennett, Journal of Navigation 35 (1982) 255: refraction at an apparent altitude."""
    return 1 / np.tan(np.radians(apparent_deg + 7.31 / (apparent_deg + 4.4))) / 60


@pytest.mark.parametrize("altitude_deg", SAEMUNDSSON)
def test_published_values_come_out(altitude_deg, make_site):
    """The formula's own check values, to their last figure."""
    minutes = refraction_deg(np.array([altitude_deg]), make_site(0.0, 0.0))[0] * 60
    assert minutes == pytest.approx(SAEMUNDSSON[altitude_deg], abs=0.0006)


def test_bennett_leads_back_to_the_true_altitude(make_site):
    """Raised by this formula and lowered by Bennett's, a body stands where it was.

    Meeus (ch. 16) gives 4" for the two together: 10" is allowed above 5 degrees, 30" below.
    """
    true_deg = np.linspace(0.0, 89.9, 900)
    apparent_deg = true_deg + refraction_deg(true_deg, make_site(0.0, 0.0))
    off_arcsec = np.abs(apparent_deg - bennett_deg(apparent_deg) - true_deg) * 3600
    assert off_arcsec[true_deg > 5].max() < 10.0
    assert off_arcsec.max() < 30.0


def erfa_refraction_deg(apparent_deg, pressure_hpa, temperature_c):
    """ERFA's refco (SOFA, Astrometry Tools): yellow light in dry air."""
    first, third = erfa.refco(pressure_hpa, temperature_c, 0.0, 0.574)
    slope = np.tan(np.radians(90 - apparent_deg))
    return np.degrees(first * slope + third * slope**3)


@pytest.mark.parametrize(("pressure_hpa", "temperature_c"), [(700, -10), (1030, 35), (850, 0)])
def test_air_thins_refraction_as_another_library_has_it(pressure_hpa, temperature_c, make_site):
    """By pressure and temperature refraction changes as ERFA's does, to one per cent."""
    apparent_deg = np.linspace(15.0, 80.0, 20)
    expected = erfa_refraction_deg(apparent_deg, pressure_hpa, temperature_c)
    expected /= erfa_refraction_deg(apparent_deg, 1010, 10)
    air = make_site(0.0, 0.0, pressure_hpa=pressure_hpa, temperature_c=temperature_c)
    seen = refraction_deg(apparent_deg, air) / refraction_deg(apparent_deg, make_site(0.0, 0.0))
    assert seen == pytest.approx(expected, rel=0.01)


@settings(deadline=None)
@given(st.lists(st.floats(-90, 90), min_size=2, max_size=50))
def test_refraction_never_lowers_and_never_changes_the_order(make_site, altitudes):
    """Whatever stands higher is seen higher, and nothing is pushed down."""
    true_deg = np.sort(np.array(altitudes))
    raised = refraction_deg(true_deg, make_site(0.0, 0.0))
    assert (raised >= 0).all()
    assert (np.diff(true_deg + raised) >= -1e-12).all()


def test_no_air_bends_no_light(make_site):
    """With zero pressure the refraction is zero."""
    airless = make_site(0.0, 0.0, pressure_hpa=0.0)
    assert (refraction_deg(np.linspace(-5, 90, 20), airless) == 0).all()
