"""An eclipse of the Sun as one site has it: contacts, how much is covered, and from which side."""

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from almanac.sky.crossings import crossings, roots
from almanac.sky.eclipses import K_EXTERNAL, K_INTERNAL, SLOPE_S, overlap
from almanac.sky.moonlight import from_zenith_deg
from almanac.sky.site_events import HORIZON_REFRACTION_DEG, SUN_RISES_DEG
from almanac.sky.site_sky import (
    EQUATOR_KM,
    MOON_RADIUS_KM,
    SUN_RADIUS_KM,
    Horizontal,
    SiteSky,
    angle_deg,
)

Floats = NDArray[np.float64]

REACH_S = 4 * 3600.0
"""A site's eclipse begins and ends within this of greatest eclipse on Earth."""
STEP_S = 120.0


class Discs(Struct, frozen=True):
    """Sun and Moon together at instants, topocentric and airless; angles in degrees, shape (n,)."""

    sun: Horizontal
    moon: Horizontal
    apart: Floats
    sun_radius: Floats
    moon_radius: Floats
    """Of the mean limb."""
    moon_inner_radius: Floats
    """Of its valleys: for totality and annularity."""

    @property
    def magnitude(self) -> Floats:
        """Part of the Sun's diameter covered; in an annular eclipse too, by the same formula."""
        return (self.sun_radius + self.moon_radius - self.apart) / (2 * self.sun_radius)

    @property
    def diameter_ratio(self) -> Floats:
        """Moon's diameter over the Sun's."""
        return self.moon_radius / self.sun_radius

    @property
    def obscuration(self) -> Floats:
        """Part of the Sun's area covered."""
        return overlap(self.sun_radius, self.moon_radius, self.apart)

    @property
    def touching(self) -> Floats:
        """Positive while the discs overlap; smooth through conjunction."""
        return (self.sun_radius + self.moon_radius) ** 2 - self.apart**2

    @property
    def within(self) -> Floats:
        """Positive while one disc lies inside the other; smooth through conjunction."""
        return (self.sun_radius - self.moon_inner_radius) ** 2 - self.apart**2

    @property
    def moon_from_zenith_deg(self) -> Floats:
        """Direction from the Sun's centre to the Moon's, from the zenith, counterclockwise."""
        return from_zenith_deg(self.sun.direction, self.moon.direction)


def discs(sky: SiteSky, utc_s: Floats) -> Discs:
    """Sun and Moon at POSIX seconds."""
    seen = sky.bodies(("sun", "moon"), utc_s)
    sun, moon = seen["sun"], seen["moon"]
    return Discs(
        sun=sun,
        moon=moon,
        apart=angle_deg(sun.direction, moon.direction),
        sun_radius=np.degrees(np.arcsin(SUN_RADIUS_KM / sun.distance_km)),
        moon_radius=np.degrees(np.arcsin(K_EXTERNAL * EQUATOR_KM / moon.distance_km)),
        moon_inner_radius=np.degrees(np.arcsin(K_INTERNAL * EQUATOR_KM / moon.distance_km)),
    )


def standing_deg(sky: SiteSky, body: str, utc_s: Floats) -> Floats:
    """How far the upper limb of sun or moon has cleared both horizons; positive while it shows.

    The ideal one as at rise and set (airless -50' for the Sun; 34' of refraction and its own
    semidiameter for the Moon), and the site's profile by the refracted limb.
    """
    seen = sky.body(body, utc_s)
    if body == "sun":
        radius = np.degrees(np.arcsin(SUN_RADIUS_KM / seen.distance_km))
        risen = seen.altitude_deg - SUN_RISES_DEG
    else:
        radius = np.degrees(np.arcsin(MOON_RADIUS_KM / seen.distance_km))
        risen = seen.altitude_deg + HORIZON_REFRACTION_DEG + radius
    clear = sky.refracted_deg(seen.altitude_deg) + radius - sky.ground_deg(seen.azimuth_deg)
    return np.minimum(risen, clear)


class LocalEclipse(Struct, frozen=True):
    """When the Moon's disc lies over the Sun's for a site, be the Sun up or not."""

    kind: str
    """partial, annular or total."""
    contacts_s: dict[str, float]
    """POSIX seconds of c1 c2 greatest c3 c4 in order of time; c2 and c3 only if central."""


def local_eclipse(sky: SiteSky, greatest_s: float) -> LocalEclipse | None:
    """The site's circumstances of the eclipse that is greatest on Earth then; None if it misses."""
    times = np.arange(greatest_s - REACH_S, greatest_s + REACH_S + 1, STEP_S)
    outer = crossings(lambda at: discs(sky, at).touching, times).utc_s
    if len(outer) < 2:
        return None
    first, last = float(outer[0]), float(outer[-1])
    middle = _nearest_s(sky, first, last)
    inner = crossings(lambda at: discs(sky, at).within, np.sort(np.append(times, middle)))
    contacts = {"c1": first, "greatest": middle, "c4": last}
    if not len(inner.utc_s):
        return LocalEclipse("partial", contacts)
    contacts |= {"c2": float(inner.utc_s[0]), "c3": float(inner.utc_s[-1])}
    seen = discs(sky, np.array([middle]))
    kind = "total" if seen.moon_inner_radius[0] >= seen.sun_radius[0] else "annular"
    return LocalEclipse(kind, dict(sorted(contacts.items(), key=lambda item: item[1])))


def _nearest_s(sky: SiteSky, first: float, last: float) -> float:
    """When the centres are nearest between first and last contact."""

    def slope(utc_s: Floats) -> Floats:
        before, after = discs(sky, utc_s - SLOPE_S), discs(sky, utc_s + SLOPE_S)
        return after.apart**2 - before.apart**2

    return float(roots(slope, np.array([first]), np.array([last]))[0])
