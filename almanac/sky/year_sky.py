"""What is the same for every site: places of Moon, Sun, planets and stars over a year.

Nodes hold geocentric apparent vectors on the true equator and equinox of date. Their aberration
adds the observer's velocity without restoring the length, so that a vector's length is the
distance in the Earth's frame and a site's vector can simply be subtracted.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from almanac.records.catalogue import Star
from almanac.sky.clock import Clock
from almanac.sky.kernel import EarthState, Kernel
from almanac.sky.nodes import Nodes, Times, times_of
from almanac.sky.star_places import LIGHT_AU_PER_DAY, apparent_directions

Floats = NDArray[np.float64]

NODE_DAYS = 0.25
POINTS = 8
"""Stencil of the bodies: degree 7 keeps 6-hour lunar nodes below 0.001 arcsecond."""
STAR_NODE_DAYS, STAR_POINTS = 0.125, 2
"""Stars drift by an arcsecond in days: a straight line over 3 hours is exact to 0.04 arcsecond
beside the Sun, where its deflection changes fastest, and to 0.001 elsewhere."""
ZODIAC_NODE_DAYS, ZODIAC_POINTS = 1.0, 4
"""Exact to 0.001 arcsecond away from the Sun, where alone a star can be seen to be hidden."""
SIDEREAL_DEG_PER_DAY = 360.98564736629
"""Rate of sidereal time on mean solar days (Meeus, Astronomical Algorithms, 2nd ed., eq. 12.4)."""
DAYS_BEFORE, DAYS_AFTER = 40, 12
"""Beyond the calendar year: the last new Moon before it, the last night's morning after it."""
LIGHT_KM_PER_DAY = 299792.458 * 86400.0


@dataclass(frozen=True)
class YearSky:
    """The sky of one year for every site."""

    year: int
    clock: Clock
    gast_residual_deg: Nodes
    """Greenwich apparent sidereal time less SIDEREAL_DEG_PER_DAY times tt_days."""
    obliquity_deg: Nodes
    equator: Nodes
    """Rotation from ICRS to the true equator and equinox of date, shape (3, 3, n)."""
    bodies: dict[str, Nodes]
    """Kilometres, shape (3, n)."""
    stars: Nodes
    """Unit vectors, shape (3, stars, n), in the catalogue's order."""
    zodiac: Nodes
    """The same of the stars that the Moon can hide."""

    def gast_deg(self, tt_days: Times) -> Floats:
        """Greenwich apparent sidereal time, a whole number of turns left in."""
        return self.gast_residual_deg.at(tt_days) + SIDEREAL_DEG_PER_DAY * times_of(tt_days)

    def ecliptic_longitude_deg(self, body: str, tt_days: Floats) -> Floats:
        """Apparent geocentric longitude on the true ecliptic and equinox of date, 0 to 360."""
        x, y, z = self.bodies[body].at(tt_days)
        tilt = np.radians(self.obliquity_deg.at(tt_days))
        return np.degrees(np.arctan2(y * np.cos(tilt) + z * np.sin(tilt), x)) % 360.0


def _grid(first: float, last: float, step: float) -> Floats:
    """Equally spaced times from first to last with the interpolation's margin on both sides."""
    count = int(np.ceil((last - first) / step)) + 1 + POINTS
    return first + step * (np.arange(count, dtype=np.float64) - POINTS // 2)


def _nodes(times: Floats, values: Floats, points: int = POINTS) -> Nodes:
    return Nodes(float(times[0]), float(times[1] - times[0]), values, points)


def _year_bounds(year: int) -> tuple[float, float]:
    """tt_days of the span that a year's almanac may ask for."""
    january = (np.datetime64(f"{year}-01-01") - np.datetime64("2000-01-01T12")) / np.timedelta64(
        1, "D"
    )
    return float(january) - DAYS_BEFORE, float(january) + 366 + DAYS_AFTER


def _unnormalised(position_km: Floats, earth: EarthState) -> Floats:
    """Undo the length-preserving aberration: see the module's first lines."""
    beta = earth.velocity_au_per_day / LIGHT_AU_PER_DAY
    length = np.linalg.norm(position_km, axis=0)
    return np.asarray(position_km * (1 + np.sum(beta * position_km, axis=0) / length))


def build_year_sky(
    kernel: Kernel, year: int, stars: tuple[Star, ...], zodiac: Sequence[Star] = ()
) -> YearSky:
    """Compute the nodes of a year once, for all sites. Raises EphemerisError outside DE421."""
    kernel.require_year(year)
    first, last = _year_bounds(year)
    times = _grid(first, last, NODE_DAYS)
    daily = _grid(float(times[0]), float(times[-1]), 1.0)
    stand = kernel.orientation(daily)
    equator = _nodes(daily, stand.equator)
    residual = np.unwrap(stand.gast_deg - SIDEREAL_DEG_PER_DAY * daily % 360.0, period=360)
    return YearSky(
        year=year,
        clock=Clock.of(kernel, _nodes(daily, stand.delta_t_s)),
        gast_residual_deg=_nodes(daily, residual),
        obliquity_deg=_nodes(daily, stand.obliquity_deg),
        equator=equator,
        bodies=_body_nodes(kernel, times, equator.at(times)),
        stars=_star_nodes(kernel, _grid(first, last, STAR_NODE_DAYS), equator, stars, STAR_POINTS),
        zodiac=_star_nodes(
            kernel,
            _grid(first, last, ZODIAC_NODE_DAYS)[2:-2],
            equator,
            tuple(zodiac),
            ZODIAC_POINTS,
        ),
    )


def _body_nodes(kernel: Kernel, times: Floats, equator: Floats) -> dict[str, Nodes]:
    earth = kernel.earth(times)

    return {
        body: _nodes(times, np.einsum("ijn,jn->in", equator, _unnormalised(seen, earth)))
        for body, seen in kernel.apparent_km(times).items()
    }


def _star_nodes(
    kernel: Kernel, times: Floats, equator: Nodes, stars: tuple[Star, ...], points: int
) -> Nodes:
    seen = apparent_directions(stars, times, kernel.earth(times))
    turned = np.einsum("ijn,jsn->isn", equator.at(times), seen)
    return _nodes(times, turned, points)
