"""How near to the Sun a move of the telescope may come: the box of directions that it spans.

A mount may turn either axis first, or both, so that a move from one direction to another can pass
any point of the rectangle between their azimuths and altitudes. It is taken to turn the shorter
way round in azimuth; where both ways are nearly as long it may take either, and the rectangle is
the whole round.
"""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

EITHER_WAY_DEG = 5.0
"""A turn this near to half a round may go either way; common practice, no source."""


def box_clearance_deg(
    sun_azimuth_deg: Floats,
    sun_altitude_deg: Floats,
    from_azimuth_deg: Floats,
    from_altitude_deg: Floats,
    to_azimuth_deg: Floats,
    to_altitude_deg: Floats,
) -> Floats:
    """Least angle on the sphere between the Sun and any point of a move's box, degrees.

    Altitudes from -90 to 90; arrays that broadcast. Exact: the nearest point lies at the Sun's own
    azimuth, or at the nearer edge in azimuth; along that edge the cosine of the distance,
    sin s sin h + cos s cos d cos h, is a sinusoid of the altitude h.
    """
    low = np.minimum(from_altitude_deg, to_altitude_deg)
    high = np.maximum(from_altitude_deg, to_altitude_deg)
    turn = (to_azimuth_deg - from_azimuth_deg + 180.0) % 360.0 - 180.0
    past = np.where(turn < 0, to_azimuth_deg, from_azimuth_deg)
    width = np.where(np.abs(turn) > 180.0 - EITHER_WAY_DEG, 360.0, np.abs(turn))
    after = (sun_azimuth_deg - past) % 360.0
    aside = np.where(after <= width, 0.0, np.minimum(after - width, 360.0 - after))
    sine, cosine = np.sin(np.radians(sun_altitude_deg)), np.cos(np.radians(sun_altitude_deg))
    level = cosine * np.cos(np.radians(aside))
    nearest = np.clip(np.degrees(np.arctan2(sine, level)), low, high)
    ends = (low, nearest, high)
    return np.min([_angle_deg(h, sine, level, cosine, aside) for h in ends], axis=0)


def _angle_deg(
    altitude_deg: Floats, sine: Floats, level: Floats, cosine: Floats, aside: Floats
) -> Floats:
    """Angle from the Sun to a point aside in azimuth; good for small angles too."""
    height = np.radians(altitude_deg)
    along = sine * np.sin(height) + level * np.cos(height)
    across = cosine * np.sin(np.radians(aside))
    upward = sine * np.cos(height) - level * np.sin(height)
    return np.degrees(np.arctan2(np.hypot(across, upward), along))


def is_allowed(
    clearance_deg: Floats, sun_up: NDArray[np.bool_], stop_deg: float
) -> NDArray[np.bool_]:
    """Whether a move may be offered: the Sun is down, or is never nearer than stop_deg."""
    return ~sun_up | (clearance_deg >= stop_deg)
