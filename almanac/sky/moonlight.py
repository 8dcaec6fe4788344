"""How much of the Moon is lit, from where, and how large it looks from a site."""

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from almanac.sky.site_sky import MOON_RADIUS_KM, Horizontal, angle_deg

Floats = NDArray[np.float64]


class Moonlight(Struct, frozen=True):
    """The lit Moon at instants, topocentric; arrays of one shape."""

    phase_angle_deg: Floats
    """Sun - Moon - observer, 0 at full."""
    illuminated_fraction: Floats
    diameter_arcmin: Floats
    sun_separation_deg: Floats
    bright_limb_from_zenith_deg: Floats
    """Direction of the midpoint of the lit limb, from the zenith point toward the left (east of
    north's sense on the sky: counter-clockwise as seen), 0 to 360."""


def from_zenith_deg(origin: Floats, target: Floats) -> Floats:
    """Angle at origin from the zenith to target, counter-clockwise as seen, 0 to 360."""
    up = np.zeros_like(origin)
    up[2] = 1.0
    right = np.cross(origin, up, axis=0)
    rising = np.cross(right, origin, axis=0)
    sideways = np.sum(target * right, axis=0)
    upward = np.sum(target * rising, axis=0)
    return np.degrees(np.arctan2(-sideways, upward)) % 360.0


def moonlight(moon: Horizontal, sun: Horizontal) -> Moonlight:
    """Phase and size from the topocentric places of both bodies at the same instants.

    Phase angle from the triangle's sides (Meeus, Astronomical Algorithms, 2nd ed., eq. 48.3);
    fraction (1 + cos i) / 2 (eq. 48.1).
    """
    separation = angle_deg(moon.direction, sun.direction)
    apart = np.radians(separation)
    phase = np.degrees(
        np.arctan2(
            sun.distance_km * np.sin(apart), moon.distance_km - sun.distance_km * np.cos(apart)
        )
    )
    return Moonlight(
        phase_angle_deg=phase,
        illuminated_fraction=(1 + np.cos(np.radians(phase))) / 2,
        diameter_arcmin=2 * np.degrees(np.arcsin(MOON_RADIUS_KM / moon.distance_km)) * 60,
        sun_separation_deg=separation,
        bright_limb_from_zenith_deg=from_zenith_deg(moon.direction, sun.direction),
    )


def pole_from_zenith_deg(moon: Horizontal, latitude_deg: float) -> Floats:
    """Angle at the Moon from the zenith to the north celestial pole, counter-clockwise, 0 to 360.

    The parallactic angle is its negative.
    """
    latitude = np.radians(latitude_deg)
    pole = np.zeros_like(moon.direction)
    pole[1], pole[2] = np.cos(latitude), np.sin(latitude)
    return from_zenith_deg(moon.direction, pole)
