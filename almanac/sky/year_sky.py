"""What is the same for every site: places of Moon, Sun, planets and stars over a year.

Nodes hold geocentric apparent vectors on the true equator and equinox of date. Their aberration
adds the observer's velocity without restoring the length, so that a vector's length is the
distance in the Earth's frame and a site's vector can simply be subtracted.
"""

from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from almanac.records.catalogue import Star
from almanac.sky.body_places import BODIES, POINTS, apparent_km, path_nodes
from almanac.sky.clock import Clock
from almanac.sky.kernel import Kernel
from almanac.sky.nodes import Grid, Nodes, Times, times_of
from almanac.sky.star_places import apparent_directions

Floats = NDArray[np.float64]

NODE_DAYS, NODE_POINTS = 0.125, 6
"""The Moon is exact to 0.001 arcsecond, Mercury behind the Sun to 0.01, where the deflection
changes within hours."""
STAR_NODE_DAYS, STAR_POINTS = 0.25, 4
"""Exact to 0.02 arcsecond beside the Sun, to 0.001 elsewhere."""
ZODIAC_NODE_DAYS, ZODIAC_POINTS = 1.0, 4
"""Exact to 0.001 arcsecond away from the Sun, where alone a star can be seen to be hidden."""
SIDEREAL_DEG_PER_DAY = 360.98564736629
"""Rate of sidereal time on mean solar days (Meeus, Astronomical Algorithms, 2nd ed., eq. 12.4)."""
DAYS_BEFORE, DAYS_AFTER = 40, 12
"""Beyond the calendar year: the last new Moon before it, the last night's morning after it."""
EQUATOR_DAYS = 2.0
"""Nutation's shortest terms of an arcsecond's hundredth take 9 days."""


class YearSky(Struct, frozen=True):
    """The sky of one year for every site."""

    year: int
    clock: Clock
    gast_residual_deg: Nodes
    """Greenwich apparent sidereal time less SIDEREAL_DEG_PER_DAY times tt_days."""
    obliquity_deg: Nodes
    equator: Nodes
    """Rotation from ICRS to the true equator and equinox of date, shape (3, 3, n)."""
    bodies: dict[str, Nodes]
    """Kilometres, shape (3, n), all on the same nodes."""
    moon_km_per_day: Nodes
    """The Moon's velocity, good to a thousandth of it."""
    stars: Nodes
    """Unit vectors, shape (3, stars, n), in the catalogue's order."""
    zodiac: Nodes
    """The same of the stars that the Moon can hide."""

    def bodies_at(self, names: Sequence[str], tt_days: Times) -> Floats:
        """Geocentric kilometres of several bodies, shape (3, names, n)."""
        nodes = [self.bodies[name] for name in names]
        together = np.stack([one.values for one in nodes], axis=1)
        return replace(nodes[0], values=together).at(tt_days)

    def gast_deg(self, tt_days: Times) -> Floats:
        """Greenwich apparent sidereal time, a whole number of turns left in."""
        return self.gast_residual_deg.at(tt_days) + SIDEREAL_DEG_PER_DAY * times_of(tt_days)

    def ecliptic_longitude_deg(self, body: str, tt_days: Floats) -> Floats:
        """Apparent geocentric longitude on the true ecliptic and equinox of date, 0 to 360."""
        x, y, z = self.bodies[body].at(tt_days)
        tilt = np.radians(self.obliquity_deg.at(tt_days))
        return np.degrees(np.arctan2(y * np.cos(tilt) + z * np.sin(tilt), x)) % 360.0


def _grid(first: float, last: float, step: float, points: int = POINTS) -> Grid:
    """Equally spaced times from first to last with the interpolation's margin on both sides."""
    return Grid(first, step, int(np.ceil((last - first) / step)) + 1).widened(points // 2)


def _around(times: Grid, step: float) -> Grid:
    """A coarser grid on which the times can be interpolated."""
    return _grid(times.start, times.start + times.step * times.count, step)


def _year_bounds(year: int) -> tuple[float, float]:
    """tt_days of the span that a year's almanac may ask for."""
    january = (np.datetime64(f"{year}-01-01") - np.datetime64("2000-01-01T12")) / np.timedelta64(
        1, "D"
    )
    return float(january) - DAYS_BEFORE, float(january) + 366 + DAYS_AFTER


def build_year_sky(
    kernel: Kernel, year: int, stars: tuple[Star, ...], zodiac: Sequence[Star] = ()
) -> YearSky:
    """Compute the nodes of a year once, for all sites. Raises EphemerisError outside DE421."""
    kernel.require_year(year)
    first, last = _year_bounds(year)
    times = _grid(first, last, NODE_DAYS)
    days = _around(_around(times, 1.0), 1.0)
    slow = _around(days, EQUATOR_DAYS)
    stand = kernel.orientation(slow.times)
    equator = Nodes.on(slow, stand.equator, POINTS)
    earth, sun = path_nodes(kernel, "earth", days), path_nodes(kernel, "sun", days)
    residual = np.unwrap(stand.gast_deg - SIDEREAL_DEG_PER_DAY * slow.times % 360.0, period=360)

    def star_nodes(some: Sequence[Star], at: Grid, points: int) -> Nodes:
        seen = apparent_directions(tuple(some), at, earth, sun)
        return Nodes.on(at, _turned(equator.at(at), seen), points)

    seen = _turned(equator.at(times), apparent_km(kernel, earth, days, times))
    bodies = {body: Nodes.on(times, seen[:, row], NODE_POINTS) for row, body in enumerate(BODIES)}
    inner = times.widened(1 - NODE_POINTS // 2)
    return YearSky(
        year=year,
        clock=Clock.of(kernel, Nodes.on(slow, stand.delta_t_s, POINTS)),
        gast_residual_deg=_finer(Nodes.on(slow, residual, POINTS), times),
        obliquity_deg=Nodes.on(slow, stand.obliquity_deg, POINTS),
        equator=equator,
        bodies=bodies,
        moon_km_per_day=Nodes.on(inner, bodies["moon"].rate_at(inner), 2),
        stars=star_nodes(stars, _grid(first, last, STAR_NODE_DAYS), STAR_POINTS),
        zodiac=star_nodes(
            zodiac, _grid(first, last, ZODIAC_NODE_DAYS, ZODIAC_POINTS), ZODIAC_POINTS
        ),
    )


def _finer(nodes: Nodes, times: Grid) -> Nodes:
    """The same on nodes so near to each other that straight lines will do."""
    return Nodes.on(times, nodes.at(times), 2)


def _turned(equator: Floats, seen: Floats) -> Floats:
    """Vectors (3, targets, n) on ICRS axes to the equator of date."""
    return np.stack([sum(row[j] * seen[j] for j in range(3)) for row in equator])
