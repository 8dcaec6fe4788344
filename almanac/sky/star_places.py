"""Apparent geocentric directions of stars, all at once."""

import numpy as np
from numpy.typing import NDArray

from almanac.records.catalogue import Star
from almanac.sky.apparent import AU_KM, LIGHT_KM_PER_DAY, aberrated, deflected, length
from almanac.sky.nodes import Grid, Nodes

Floats = NDArray[np.float64]

HIPPARCOS_EPOCH_TT_DAYS = -8.75 * 365.25
"""J1991.25 from J2000.0 (ESA SP-1200, The Hipparcos and Tycho Catalogues, vol. 1, 1.2.2)."""
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


def apparent_directions(stars: tuple[Star, ...], times: Grid, earth: Nodes, sun: Nodes) -> Floats:
    """Unit vectors on ICRS axes, (3, stars, n): motion, parallax, deflection, aberration.

    earth and sun are barycentric places in km.
    """
    unit, motion = (vectors.T[:, :, None] for vectors in space_motion(stars))
    years = (times.times - HIPPARCOS_EPOCH_TT_DAYS) / 365.25
    parallax = np.array([star.parallax_mas for star in stars])[:, None] * MAS_RAD
    observer = earth.at(times)[:, None]
    place = unit + motion * years - parallax * (observer / AU_KM)
    place /= length(place)
    seen = deflected(place, place, observer - sun.at(times)[:, None])
    seen = aberrated(seen, earth.rate_at(times)[:, None] / LIGHT_KM_PER_DAY)
    return seen / length(seen)
