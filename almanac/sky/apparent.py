"""How light reaches the Earth's centre: bent by the Sun, and met by a moving observer.

Vectors have shape (3, ...) on ICRS axes.
"""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

LIGHT_KM_PER_DAY = 299792.458 * 86400.0
AU_KM = 149597870.7
"""IAU 2012 Resolution B2."""
SUN_DEFLECTION_KM = 2 * 1.47662504
"""2GM/c2 of the Sun (GM 1.32712440041e20 m3/s2: IERS Conventions 2010, table 1.1)."""
LEAST_DEFLECTION_GAP = 1e-5
"""Keeps the deflection finite within half a degree of the Sun's centre, where none can be seen."""


def dot(one: Floats, other: Floats) -> Floats:
    """Scalar product over the first axis."""
    return one[0] * other[0] + one[1] * other[1] + one[2] * other[2]


def length(vectors: Floats) -> Floats:
    """Length over the first axis."""
    return np.sqrt(dot(vectors, vectors))


def deflected(direction: Floats, from_sun: Floats, earth_from_sun_km: Floats) -> Floats:
    """Bend light past the Sun (Explanatory Supplement 3rd ed., eq. 7.63).

    direction and from_sun are unit vectors to the source from the Earth and from the Sun: the
    same for a star.
    """
    distance = length(earth_from_sun_km)
    away = earth_from_sun_km / distance
    gap = np.maximum(1 + dot(from_sun, away), LEAST_DEFLECTION_GAP)
    bend = dot(direction, from_sun) * away - dot(away, direction) * from_sun
    return direction + SUN_DEFLECTION_KM / distance / gap * bend


def aberrated(direction: Floats, beta: Floats) -> Floats:
    """Add the observer's velocity in units of light (Explanatory Supplement 3rd ed., 7.2.3).

    The length is left at 1 plus the speed toward the source: times the distance, the vector ends
    where the source was in the observer's own frame, so that a site's vector can be subtracted.
    """
    root = np.sqrt(1 - dot(beta, beta))
    toward = dot(direction, beta)
    return root * direction + (1 + toward / (1 + root)) * beta
