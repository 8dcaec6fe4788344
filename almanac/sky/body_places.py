"""Apparent geocentric places of Moon, Sun and planets.

The ephemeris is read once a day, and for the Moon's way about the Earth at each time asked for;
what lies between is interpolated to the metre. Only the Sun's deflection changes within hours.
"""

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from almanac.sky.apparent import LIGHT_KM_PER_DAY, aberrated, deflected, length
from almanac.sky.kernel import Kernel
from almanac.sky.nodes import Grid, Nodes

Floats = NDArray[np.float64]
Path = Callable[[Floats], Floats]
"""Barycentric places in km, shape (3, n), at n times."""

SUN = 0
BODIES = ("sun", "mercury", "venus", "mars", "jupiter", "saturn", "uranus", "neptune", "moon")
POINTS = 8
LIGHT_TIME_STEPS = 2
"""The first leaves Mercury 0.01 arcsecond off, the second nothing."""


def path_nodes(kernel: Kernel, body: str, days: Grid) -> Nodes:
    """Barycentric places in km of the Earth, the Sun or a planet; their rate is its velocity."""
    return Nodes.on(days, kernel.barycentric_km(body, days.times), POINTS)


def apparent_km(kernel: Kernel, earth: Nodes, days: Grid, times: Grid) -> Floats:
    """Vectors on ICRS axes of shape (3, BODIES, n), as they are in the Earth's own frame.

    Deflected by the Sun alone. The days, on which earth is given, must reach beyond the times by
    two stencils.
    """
    far, moon = _far_km(kernel, earth, days).at(times), _moon_km(kernel, earth, times)
    seen = np.concatenate((far, moon[:, None]), axis=1)
    distance, from_sun = length(seen), seen - seen[:, SUN, None]
    from_sun[:, SUN] = seen[:, SUN]
    bent = deflected(seen / distance, from_sun / length(from_sun), -seen[:, SUN, None])
    return distance * aberrated(bent, earth.rate_at(times)[:, None] / LIGHT_KM_PER_DAY)


def _far_km(kernel: Kernel, earth: Nodes, days: Grid) -> Nodes:
    inner = days.widened(-POINTS // 2)
    here, paths = earth.at(inner), [path_nodes(kernel, body, days).at for body in BODIES[:-1]]
    seen = [_seen_km(path, here, inner.times) for path in paths]
    return Nodes.on(inner, np.stack(seen, axis=1), POINTS)


def _moon_km(kernel: Kernel, earth: Nodes, times: Grid) -> Floats:
    wide = times.widened(POINTS // 2)
    around = Nodes.on(wide, kernel.moon_from_earth_km(wide.times), POINTS)
    return _seen_km(lambda at: earth.at(at) + around.at(at), earth.at(times), times.times)


def _seen_km(path: Path, here: Floats, tt_days: Floats) -> Floats:
    """From here to where the body was when its light set out."""
    seen = path(tt_days) - here
    for _ in range(LIGHT_TIME_STEPS):
        seen = path(tt_days - length(seen) / LIGHT_KM_PER_DAY) - here
    return seen
