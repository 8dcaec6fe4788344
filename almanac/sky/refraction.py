"""Atmospheric refraction for printed altitudes."""

import numpy as np
from numpy.typing import NDArray

from almanac.records.config import Site

Floats = NDArray[np.float64]

LOWEST_DEG = -1.0
"""Below this true altitude the formula means nothing: refraction is held constant."""


def refraction_deg(true_altitude_deg: Floats, site: Site) -> Floats:
    """Refraction to add to true altitudes in degrees, never negative.

    Saemundsson, Sky & Telescope 72 (1986) 70, scaled by pressure and temperature as in Meeus,
    Astronomical Algorithms, 2nd ed., ch. 16.
    """
    altitude = np.maximum(true_altitude_deg, LOWEST_DEG)
    minutes = 1.02 / np.tan(np.radians(altitude + 10.3 / (altitude + 5.11)))
    weather = site.pressure_hpa / 1010.0 * 283.0 / (273.0 + site.temperature_c)
    return np.maximum(minutes, 0.0) * weather / 60.0
