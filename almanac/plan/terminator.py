"""What the low Sun shows on the Moon: features near the terminator, light effects, lit limbs.

All of it is geometry on a sphere: colongitude and latitude of the Sun say how a place is lit, the
direction to the observer how it is seen. Arrays over features run along the first axis.
"""

from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from almanac.records.catalogue import LunarFeature

Floats = NDArray[np.float64]
Rows = NDArray[np.int64]

LOW_SUN_DEG = (0.0, 8.0)
"""A feature is near the terminator while the Sun at its centre is between these; common practice,
no source."""
CLEAREST_SUN_DEG = (1.0, 5.0)
"""Shadows are long and the ground between them is lit; common practice, no source."""
FARTHEST_DEG = 80.0
"""From the disc's centre: beyond it a feature is squeezed to less than a sixth of its width."""
WIDE_KM = np.radians(LOW_SUN_DEG[1] - LOW_SUN_DEG[0]) * 1737.4
"""Across more than this the Sun's altitude differs by the whole band: the centre says little.
Mean radius 1737.4 km (Archinal et al., Celest. Mech. Dyn. Astr. 109 (2011) 101, table 5)."""


class Places(Struct, frozen=True):
    """Features as columns, so that they meet instants by broadcasting: shape (features, 1)."""

    latitude_deg: Floats
    longitude_deg: Floats
    diameter_km: Floats

    @property
    def direction(self) -> Floats:
        """Unit vectors on the Moon's axes, (features, 3)."""
        latitude, longitude = np.radians(self.latitude_deg), np.radians(self.longitude_deg)
        level = np.cos(latitude)
        return np.hstack(
            [level * np.cos(longitude), level * np.sin(longitude), np.sin(latitude)],
        )


def places(features: Sequence[LunarFeature]) -> Places:
    """The table's features in order."""
    rows = [(f.latitude_deg, f.longitude_deg, f.diameter_km) for f in features]
    return Places(*np.array(rows, dtype=np.float64).reshape(-1, 3).T[:, :, None])


def sun_altitude_deg(
    latitude_deg: Floats, longitude_deg: Floats, colongitude_deg: Floats, subsolar_deg: Floats
) -> Floats:
    """Altitude of the Sun's centre at places of the Moon; arguments broadcast.

    sin h = sin b0 sin lat + cos b0 cos lat sin(c0 + lon) (spherical triangle; the Astronomical
    Almanac, section D, from memory).
    """
    latitude, subsolar = np.radians(latitude_deg), np.radians(subsolar_deg)
    turn = np.radians(colongitude_deg + longitude_deg)
    sine = np.sin(subsolar) * np.sin(latitude)
    return np.degrees(np.arcsin(sine + np.cos(subsolar) * np.cos(latitude) * np.sin(turn)))


def is_morning(longitude_deg: Floats, colongitude_deg: Floats) -> NDArray[np.bool_]:
    """Whether the Sun is climbing at a longitude."""
    return np.cos(np.radians(colongitude_deg + longitude_deg)) > 0


def from_centre_deg(direction: Floats, toward: Floats) -> Floats:
    """Angle of features (m, 3) from the disc's centre for observers at toward (3, n): (m, n).

    Seen from the Moon's centre; 90 is the limb to 0.3 degree.
    """
    return np.degrees(np.arccos(np.clip(direction @ toward, -1.0, 1.0)))


class Shown(Struct, frozen=True):
    """Features near the terminator at n instants: one row each, instants in order, best first."""

    instant: Rows
    feature: Rows
    sun_altitude_deg: Floats
    morning: NDArray[np.bool_]
    from_centre_deg: Floats


def near_terminator(
    at: Places, colongitude_deg: Floats, subsolar_deg: Floats, toward: Floats
) -> Shown:
    """Features with a low Sun that are not too near the limb; toward is (3, n).

    Order: those narrower than WIDE_KM first; of these the ones with the Sun in CLEAREST_SUN_DEG;
    then the larger as seen (diameter times the cosine of the angle from the disc's centre).
    """
    altitude = sun_altitude_deg(at.latitude_deg, at.longitude_deg, colongitude_deg, subsolar_deg)
    away = from_centre_deg(at.direction, toward)
    low = (altitude >= LOW_SUN_DEG[0]) & (altitude <= LOW_SUN_DEG[1]) & (away <= FARTHEST_DEG)
    instant, feature = np.nonzero(low.T)
    high, far, size = altitude[feature, instant], away[feature, instant], at.diameter_km[feature, 0]
    clear = (high >= CLEAREST_SUN_DEG[0]) & (high <= CLEAREST_SUN_DEG[1])
    order = np.lexsort((-size * np.cos(np.radians(far)), ~clear, size > WIDE_KM, instant))
    instant, feature = instant[order], feature[order]
    morning = is_morning(at.longitude_deg[feature, 0], colongitude_deg[instant])
    return Shown(instant, feature, high[order], morning, far[order])


class SunPath(Struct, frozen=True):
    """The Sun over the Moon through a year, on times close enough for straight lines (6 hours)."""

    utc_s: Floats
    colongitude_deg: Floats
    """Rising, without turning back at 360."""
    subsolar_deg: Floats

    def when(self, colongitude_deg: Floats) -> Floats:
        """Instants at which the unturned colongitude has these values."""
        return np.interp(colongitude_deg, self.colongitude_deg, self.utc_s)

    def at(self, utc_s: Floats) -> tuple[Floats, Floats]:
        """Unturned colongitude and subsolar latitude at instants."""
        return (
            np.interp(utc_s, self.utc_s, self.colongitude_deg),
            np.interp(utc_s, self.utc_s, self.subsolar_deg),
        )

    def turns(self) -> Floats:
        """Multiples of 360 that cover the year."""
        first, last = np.floor(self.colongitude_deg[[0, -1]] / 360.0)
        return 360.0 * np.arange(first - 1, last + 2)

    def spans(self, low_deg: Floats, high_deg: Floats) -> Floats:
        """When the colongitude runs from low to high, each within a turn: (n, turns, 2)."""
        ends = np.stack(np.broadcast_arrays(low_deg, high_deg), axis=-1)
        return self.when(ends[..., None, :] + self.turns()[:, None])


def _reaches_deg(path: SunPath, at: Places, altitude_deg: float, morning: bool) -> Floats:
    """Unturned colongitudes at which the Sun comes to an altitude: (features, turns).

    Solved twice, the second time with the subsolar latitude of the first answer. Where the Sun
    never comes so high, its noon.
    """
    sign = 1.0 if morning else -1.0
    noon = 90.0 - at.longitude_deg + path.turns()
    latitude = np.radians(at.latitude_deg)
    found = noon - sign * 90.0
    for _ in range(2):
        subsolar = np.radians(path.at(path.when(found))[1])
        sine = np.sin(np.radians(altitude_deg)) - np.sin(subsolar) * np.sin(latitude)
        turn = np.degrees(np.arcsin(np.clip(sine / (np.cos(subsolar) * np.cos(latitude)), -1, 1)))
        found = noon - sign * (90.0 - turn)
    return found


def low_sun_spans(path: SunPath, at: Places, morning: bool) -> tuple[Rows, Floats]:
    """Feature and span (n, 2) of every time the Sun is low there, climbing or sinking."""
    edges = [path.when(_reaches_deg(path, at, edge, morning)) for edge in LOW_SUN_DEG]
    spans = np.stack(edges if morning else edges[::-1], axis=-1)
    feature = np.broadcast_to(np.arange(len(spans))[:, None], spans.shape[:2])
    real = spans[..., 1] > spans[..., 0]
    return feature[real], spans[real]
