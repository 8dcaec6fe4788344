"""The whole sky on a plane: azimuthal equidistant, zenith in the middle, east on the left."""

import math

import numpy as np
from numpy.typing import NDArray

from almanac.publish.charts.drawing import WIDTH
from almanac.records.config import Horizon

Floats = NDArray[np.float64]

CENTRE, RADIUS = WIDTH / 2, 250
DECIMALS = 3
"""Of places on the disc: names that just touch are decided by these, and not by the last bit in
which two processors' arithmetic differs."""


def disc_point(altitude_deg: float, azimuth_deg: float) -> tuple[float, float]:
    """Units across and down of a direction; below the level horizon it lies outside the rim."""
    distance, azimuth = RADIUS * (90 - altitude_deg) / 90, math.radians(azimuth_deg)
    return CENTRE - distance * math.sin(azimuth), CENTRE - distance * math.cos(azimuth)


def project(altitude_deg: Floats, azimuth_deg: Floats) -> Floats:
    """The same of many directions: rows x and y."""
    distance, azimuth = RADIUS * (90 - altitude_deg) / 90, np.radians(azimuth_deg)
    return np.round(CENTRE - distance * np.stack((np.sin(azimuth), np.cos(azimuth))), DECIMALS)


def profile(azimuth_deg: Floats, horizon: Horizon) -> Floats:
    """The ground's height in some directions, not below level."""
    if not horizon.azimuth_deg:
        return np.zeros_like(azimuth_deg)
    azimuth, altitude = np.array(horizon.azimuth_deg), np.array(horizon.altitude_deg)
    around_deg = np.concatenate((azimuth[-1:] - 360, azimuth, azimuth[:1] + 360))
    heights = np.concatenate((altitude[-1:], altitude, altitude[:1]))
    return np.maximum(np.interp(azimuth_deg, around_deg, heights), 0)


def above(altitude_deg: Floats, azimuth_deg: Floats, horizon: Horizon) -> NDArray[np.bool_]:
    """Which directions clear the ground."""
    return altitude_deg > profile(azimuth_deg % 360, horizon)
