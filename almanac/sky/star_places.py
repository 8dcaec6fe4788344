"""Apparent geocentric directions of stars, all at once."""

import numpy as np
from numpy.typing import NDArray

from almanac.records.catalogue import Star
from almanac.sky.kernel import EarthState

Floats = NDArray[np.float64]

HIPPARCOS_EPOCH_TT_DAYS = -8.75 * 365.25
"""J1991.25 from J2000.0 (ESA SP-1200, The Hipparcos and Tycho Catalogues, vol. 1, 1.2.2)."""
LIGHT_AU_PER_DAY = 173.14463267424
"""299792.458 km/s over the astronomical unit of IAU 2012 Resolution B2 (149597870.7 km)."""
SUN_DEFLECTION_AU = 2 * 9.87062e-9
"""2GM/c2 of the Sun in au (Explanatory Supplement to the Astronomical Almanac, 3rd ed., 7.2.4)."""
LEAST_DEFLECTION_GAP = 1e-5
"""Keeps the deflection finite within half a degree of the Sun's centre, where none can be seen."""
MAS_RAD = np.pi / 180 / 3600e3


def space_motion(stars: tuple[Star, ...]) -> tuple[Floats, Floats]:
    """Unit vectors at J1991.25 and their yearly change on ICRS axes, each (stars, 3).

    Radial velocity is left out: for the stars of the list it moves none by 0.05 arcsecond
    within the ephemeris.
    """
    ra = np.radians([star.ra_deg for star in stars])
    dec = np.radians([star.dec_deg for star in stars])
    east = np.stack([-np.sin(ra), np.cos(ra), np.zeros_like(ra)], axis=1)
    north = np.stack([-np.sin(dec) * np.cos(ra), -np.sin(dec) * np.sin(ra), np.cos(dec)], axis=1)
    unit = np.stack([np.cos(dec) * np.cos(ra), np.cos(dec) * np.sin(ra), np.sin(dec)], axis=1)
    pm_ra = np.array([star.pm_ra_mas for star in stars])[:, None] * MAS_RAD
    pm_dec = np.array([star.pm_dec_mas for star in stars])[:, None] * MAS_RAD
    return unit, pm_ra * east + pm_dec * north


def mean_places(stars: tuple[Star, ...], tt_days: float) -> tuple[Floats, Floats]:
    """ICRS right ascension and declination in degrees with proper motion applied."""
    unit, motion = space_motion(stars)
    moved = unit + motion * (tt_days - HIPPARCOS_EPOCH_TT_DAYS) / 365.25
    moved /= np.linalg.norm(moved, axis=1, keepdims=True)
    ra = np.degrees(np.arctan2(moved[:, 1], moved[:, 0])) % 360
    return ra, np.degrees(np.arcsin(moved[:, 2]))


def _normalised(vectors: Floats) -> Floats:
    return vectors / np.linalg.norm(vectors, axis=-1, keepdims=True)


def _deflected(direction: Floats, earth_from_sun: Floats) -> Floats:
    """Bend light past the Sun (Explanatory Supplement 3rd ed., eq. 7.63 for a distant source)."""
    distance = np.linalg.norm(earth_from_sun, axis=-1, keepdims=True)
    away = earth_from_sun / distance
    cosine = np.sum(direction * away, axis=-1, keepdims=True)
    gap = np.maximum(1 + cosine, LEAST_DEFLECTION_GAP)
    return direction + SUN_DEFLECTION_AU / distance / gap * (away - cosine * direction)


def _aberrated(direction: Floats, beta: Floats) -> Floats:
    """Apply the observer's velocity in units of light (Explanatory Supplement 3rd ed., 7.2.3)."""
    root = np.sqrt(1 - np.sum(beta * beta, axis=-1, keepdims=True))
    dot = np.sum(direction * beta, axis=-1, keepdims=True)
    return (root * direction + (1 + dot / (1 + root)) * beta) / (1 + dot)


def apparent_directions(stars: tuple[Star, ...], tt_days: Floats, earth: EarthState) -> Floats:
    """Unit vectors on ICRS axes, (3, stars, times): motion, parallax, deflection, aberration."""
    unit, motion = space_motion(stars)
    years = (tt_days - HIPPARCOS_EPOCH_TT_DAYS) / 365.25
    parallax = np.array([star.parallax_mas for star in stars]) * MAS_RAD
    observer = earth.position_au.T[:, None, :]
    place = unit + motion * years[:, None, None] - parallax[:, None] * observer
    beta = earth.velocity_au_per_day.T[:, None, :] / LIGHT_AU_PER_DAY
    from_sun = (earth.position_au - earth.sun_au).T[:, None, :]
    seen = _normalised(_aberrated(_deflected(_normalised(place), from_sun), beta))
    return np.ascontiguousarray(seen.transpose(2, 1, 0))
