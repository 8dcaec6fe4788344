"""What a site sees: azimuth, altitude, distance and the angle between bodies."""

from collections.abc import Sequence
from functools import cached_property

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from almanac.records.config import Site
from almanac.sky.apparent import LIGHT_KM_PER_DAY, length
from almanac.sky.nodes import Nodes, Times
from almanac.sky.refraction import refraction_deg
from almanac.sky.year_sky import YearSky

Floats = NDArray[np.float64]
Turn = tuple[Floats, Floats]
"""Sine and cosine of local apparent sidereal time."""

EQUATOR_KM = 6378.137
FLATTENING = 1 / 298.257223563
"""WGS84 (NGA.STND.0036, World Geodetic System 1984, table 3.1)."""
EARTH_TURN_RAD_PER_S = 7.292115e-5
"""WGS84, the same table."""
MOON_RADIUS_KM = 1737.4
"""Mean radius (Archinal et al., Celest. Mech. Dyn. Astr. 109 (2011) 101, table 5)."""
SUN_RADIUS_KM = 696000.0
"""IAU 1976 (Explanatory Supplement to the Astronomical Almanac, 3rd ed., table of constants)."""


NEVER_ZERO = 1e-300
"""Added to a length, it changes none but zero, for which no azimuth would be defined."""


class Horizontal(Struct, frozen=True, dict=True):
    """Places on the site's sky; each array has the shape of the times, computed when first asked.

    Angles come from arctangents of one argument, which cost half of those of two.
    """

    east_north_up: Floats
    """Vectors of shape (3, ...): kilometres, or near 1 for stars."""

    @cached_property
    def _level(self) -> Floats:
        east, north, _ = self.east_north_up
        return np.sqrt(east * east + north * north)

    @cached_property
    def altitude_deg(self) -> Floats:
        """Airless, -90 to 90."""
        with np.errstate(divide="ignore"):
            slope = self.east_north_up[2] / self._level
        altitude = np.arctan(slope, out=slope)
        altitude *= 180 / np.pi
        return altitude

    @cached_property
    def azimuth_deg(self) -> Floats:
        """From north through east, 0 to 360."""
        east, north, _ = self.east_north_up
        with np.errstate(divide="ignore"):
            slope = (east + NEVER_ZERO) / (self._level + north)
        azimuth = np.arctan(slope, out=slope)
        azimuth *= 360 / np.pi
        azimuth += 360.0 * (azimuth < 0)
        return azimuth

    @cached_property
    def distance_km(self) -> Floats:
        """From the site; of stars it means nothing."""
        return length(self.east_north_up)

    @cached_property
    def direction(self) -> Floats:
        """Unit vectors (east, north, up), shape (3, ...)."""
        return self.east_north_up / self.distance_km


def ground_deg(site: Site, azimuth_deg: Floats) -> Floats:
    """Altitude of the site's horizon profile at azimuths."""
    azimuths = np.array(site.horizon.azimuth_deg)
    altitudes = np.array(site.horizon.altitude_deg)
    around = np.concatenate(([azimuths[-1] - 360], azimuths, [azimuths[0] + 360]))
    heights = np.concatenate(([altitudes[-1]], altitudes, [altitudes[0]]))
    return np.interp(np.asarray(azimuth_deg) % 360.0, around, heights)


def angle_deg(one: Floats, other: Floats) -> Floats:
    """Angle between unit vectors of shape (3, ...); exact for small angles too."""
    return np.degrees(
        2 * np.arctan2(np.linalg.norm(one - other, axis=0), np.linalg.norm(one + other, axis=0))
    )


def from_angles(altitude_deg: Floats, azimuth_deg: Floats) -> Floats:
    """Unit vector (east, north, up), shape (3, ...)."""
    altitude, azimuth = np.radians(altitude_deg), np.radians(azimuth_deg)
    level = np.cos(altitude)
    return np.stack([level * np.sin(azimuth), level * np.cos(azimuth), np.sin(altitude)])


class SiteSky(Struct, frozen=True, dict=True):
    """The year's sky as seen from one site."""

    sky: YearSky
    site: Site

    @cached_property
    def _slope(self) -> tuple[float, float]:
        """Sine and cosine of the latitude."""
        latitude = np.radians(self.site.latitude_deg)
        return float(np.sin(latitude)), float(np.cos(latitude))

    @cached_property
    def _place_km(self) -> Floats:
        """The site's geocentric (east, north, up), from its geodetic place."""
        sine, cosine = self._slope
        out, along = self._meridian_km
        return np.array([0.0, cosine * along - sine * out, cosine * out + sine * along])

    @cached_property
    def _meridian_km(self) -> tuple[float, float]:
        """The site's distance from the Earth's axis and from the equator's plane."""
        sine, cosine = self._slope
        square = (1 - FLATTENING) ** 2
        curve = EQUATOR_KM / np.sqrt(cosine**2 + square * sine**2)
        height = self.site.elevation_m / 1000.0
        return float((curve + height) * cosine), float((square * curve + height) * sine)

    @cached_property
    def _beta_east(self) -> float:
        """Eastward speed of the site in units of light."""
        return EARTH_TURN_RAD_PER_S * self._meridian_km[0] * 86400.0 / LIGHT_KM_PER_DAY

    def _turn(self, tt_days: Times) -> Turn:
        """Sine and cosine of local apparent sidereal time."""
        angle = np.radians(self.sky.gast_deg(tt_days) + self.site.longitude_deg)
        return np.sin(angle), np.cos(angle)

    def _faced(self, vectors: Floats, turn: Turn) -> Floats:
        """Vectors of date, shape (3, ..., n), to (east, north, up) from the Earth's centre."""
        (x, y, z), (sine, cosine) = vectors, turn
        slope_sine, slope_cosine = self._slope
        east, north, up = seen = np.empty_like(vectors)
        outward = x * cosine
        outward += np.multiply(y, sine, out=east)
        np.multiply(y, cosine, out=east)
        east -= np.multiply(x, sine, out=north)
        np.multiply(z, slope_cosine, out=north)
        north -= np.multiply(outward, slope_sine, out=up)
        np.multiply(z, slope_sine, out=up)
        outward *= slope_cosine
        up += outward
        return seen

    def turned(self, vectors: Floats, tt_days: Times) -> Floats:
        """Vectors of date, shape (3, ..., n), on the site's axes east, north, up."""
        return self._faced(vectors, self._turn(tt_days))

    def body_vectors(self, names: Sequence[str], utc_s: Times) -> Floats:
        """Apparent topocentric (east, north, up) in km at n POSIX seconds: (3, names, n).

        The Moon's light reaches a site up to 21 ms before it would the Earth's centre.
        """
        tt_days = self.sky.clock.tt_times(utc_s)
        turn = self._turn(tt_days)
        centre = self._faced(self.sky.bodies_at(names, tt_days), turn)
        seen = centre - self._place_km[:, None, None]
        if "moon" in names:
            moon = names.index("moon")
            nearer_days = (length(centre[:, moon]) - length(seen[:, moon])) / LIGHT_KM_PER_DAY
            velocity = self._faced(self.sky.moon_km_per_day.at(tt_days), turn)
            seen[:, moon] += nearer_days * velocity
        seen[0] += length(seen) * self._beta_east
        return seen

    def bodies(self, names: Sequence[str], utc_s: Times) -> dict[str, Horizontal]:
        """Apparent topocentric places of bodies of the Solar System at n POSIX seconds."""
        seen = self.body_vectors(names, utc_s)
        return {name: Horizontal(seen[:, row]) for row, name in enumerate(names)}

    def body(self, name: str, utc_s: Times) -> Horizontal:
        """One of them."""
        return self.bodies((name,), utc_s)[name]

    def star_vectors(self, utc_s: Times) -> Floats:
        """Apparent (east, north, up) of all catalogue stars at n POSIX seconds: (3, stars, n)."""
        tt_days = self.sky.clock.tt_times(utc_s)
        seen = self.turned(self.sky.stars.at(tt_days), tt_days)
        seen[0] += self._beta_east
        return seen

    def stars(self, utc_s: Times) -> Horizontal:
        """Apparent places of all catalogue stars: arrays of shape (n, stars)."""
        return Horizontal(self.star_vectors(utc_s).swapaxes(1, 2))

    def star_pairs(
        self, rows: NDArray[np.int64], utc_s: Floats, nodes: Nodes | None = None
    ) -> Horizontal:
        """One star of the catalogue, or of other nodes, for each instant: arrays of shape (n,)."""
        tt_days = self.sky.clock.tt_days(utc_s)
        seen = self.turned((nodes or self.sky.stars).pairs_at(rows, tt_days), tt_days)
        seen[0] += self._beta_east
        return Horizontal(seen)

    def fixed(self, ra_deg: Floats, dec_deg: Floats, utc_s: float) -> Horizontal:
        """Places of ICRS directions at one instant without aberration: for charts, to 0.01 deg."""
        ra, dec = np.radians(ra_deg), np.radians(dec_deg)
        icrs = np.stack([np.cos(dec) * np.cos(ra), np.cos(dec) * np.sin(ra), np.sin(dec)])
        tt_days = self.sky.clock.tt_days(np.array([utc_s]))
        of_date = self.sky.equator.at(tt_days)[:, :, 0] @ icrs
        return Horizontal(self.turned(of_date[:, :, None], tt_days)[:, :, 0])

    def of_date(self, vectors: Floats, utc_s: float) -> tuple[Floats, Floats]:
        """Airless altitude and azimuth at one instant of (3, n) directions on the equator of date.

        As from the Earth's centre: for charts.
        """
        tt_days = self.sky.clock.tt_days(np.full(vectors.shape[1], utc_s))
        seen = Horizontal(self.turned(vectors, tt_days))
        return seen.altitude_deg, seen.azimuth_deg

    def refracted_deg(self, true_altitude_deg: Floats) -> Floats:
        """Apparent altitude for true altitudes."""
        return true_altitude_deg + refraction_deg(true_altitude_deg, self.site)

    def ground_deg(self, azimuth_deg: Floats) -> Floats:
        """Altitude of the horizon profile at azimuths."""
        return ground_deg(self.site, azimuth_deg)
