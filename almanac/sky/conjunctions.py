"""Where the Moon passes stars and planets: geocentric passages, and places of pairs from a site.

A target is a row: the stars of ``YearSky.zodiac`` first, then PLANETS.
"""

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from almanac.sky.site_sky import Horizontal, SiteSky
from almanac.sky.year_sky import YearSky

Floats = NDArray[np.float64]
Rows = NDArray[np.int64]

PLANETS = ("mercury", "venus", "mars", "jupiter", "saturn", "uranus", "neptune")
STEP_DAYS = 0.25
FASTEST_DEG = 2.5
"""The Moon moves by less in STEP_DAYS, so that a passage is never farther from a step."""


class Conjunctions(Struct, frozen=True):
    """Geocentric passages of the Moon, target by target in order of time."""

    target: Rows
    utc_s: Floats
    """Of the least separation, to a few minutes."""
    separation_deg: Floats
    """Least, to 0.02 degrees."""


def star_count(sky: YearSky) -> int:
    """How many targets are stars."""
    return int(sky.zodiac.values.shape[1])


def conjunctions(sky: YearSky, start_s: float, end_s: float, within_deg: float) -> Conjunctions:
    """Passages within an angle of every target between two POSIX instants."""
    first, last = sky.clock.tt_days(np.array([start_s, end_s]))
    times = np.arange(first - STEP_DAYS, last + 2 * STEP_DAYS, STEP_DAYS)
    planets = np.stack([sky.bodies[name].at(times) for name in PLANETS], axis=1)
    targets = np.concatenate((sky.zodiac.at(times), planets / _length(planets)), axis=1)
    moon = sky.bodies["moon"].at(times)
    cosine = np.einsum("in,ikn->kn", moon / _length(moon), targets)
    near = cosine[:, 1:-1] > np.cos(np.radians(within_deg + FASTEST_DEG))
    turning = (cosine[:, 1:-1] >= cosine[:, :-2]) & (cosine[:, 1:-1] > cosine[:, 2:])
    row, step = np.nonzero(near & turning)
    shift, least = vertex(*(2 - 2 * cosine[row, step + k] for k in range(3)))
    utc_s = sky.clock.utc_s(times[step + 1] + shift * STEP_DAYS)
    separation = np.degrees(np.sqrt(np.maximum(least, 0.0)))
    kept = (separation <= within_deg) & (utc_s >= start_s) & (utc_s <= end_s)
    return Conjunctions(row[kept], utc_s[kept], separation[kept])


def _length(vectors: Floats) -> Floats:
    return np.asarray(np.linalg.norm(vectors, axis=0))


def vertex(before: Floats, here: Floats, after: Floats) -> tuple[Floats, Floats]:
    """Place, in steps from the middle, and height of the parabola through three neighbours."""
    slope, bend = (after - before) / 2, before - 2 * here + after
    shift = -slope / bend
    return shift, here + slope * shift / 2


def target_places(sky: SiteSky, target: Rows, utc_s: Floats) -> Horizontal:
    """One target for each instant: arrays of shape (n,); a star's distance means nothing."""
    count = star_count(sky.sky)
    east_north_up = np.empty((3, len(utc_s)))
    kind = np.maximum(target - count, -1)
    for index in np.unique(kind).tolist():
        mine = kind == index
        seen = (
            sky.body(PLANETS[index], utc_s[mine])
            if index >= 0
            else sky.star_pairs(target[mine], utc_s[mine], sky.sky.zodiac)
        )
        east_north_up[:, mine] = seen.east_north_up
    return Horizontal(east_north_up)
