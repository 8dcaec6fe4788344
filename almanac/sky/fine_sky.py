"""Altitude and azimuth of everything on a fine grid: exact every few minutes, filled in between.

Both angles run smoothly except near the zenith and the nadir; there the vectors, which are smooth
everywhere, are filled in instead, and the angles taken from them.
"""

from collections.abc import Sequence
from functools import cached_property, reduce

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from almanac.sky.nodes import ROW_STEPS, Grid, banded, overlapping, product, value_weights
from almanac.sky.site_sky import Horizontal, SiteSky

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

COARSE_S = 480.0
POINTS = 10
STEEP_DEG = 75.0
"""So far from the horizon angles are taken from vectors: nearer, polynomials over POINTS nodes
are exact to 0.006 arcsecond for whatever passes through the zenith."""
BEFORE = POINTS // 2 - 1


class Angles(Struct, frozen=True):
    """Airless places on the site's sky, arrays of shape (targets, n)."""

    altitude_deg: Floats
    azimuth_deg: Floats
    """From north through east, 0 to 360."""


class _Rows(Struct, frozen=True, dict=True):
    """A grid as rows of steps, each made of a row of overlapping coarse nodes."""

    grid: Grid
    every: int
    """Steps from node to node."""

    @property
    def repeats(self) -> int:
        """Nodes from row to row."""
        return -(-ROW_STEPS // self.every)

    @property
    def count(self) -> int:
        """Rows."""
        return -(-self.grid.count // (self.every * self.repeats))

    @property
    def nodes(self) -> Grid:
        """Times of the nodes."""
        step = self.grid.step * self.every
        return Grid(self.grid.start - BEFORE * step, step, self.count * self.repeats + POINTS - 1)

    @cached_property
    def index(self) -> NDArray[np.int64]:
        """Nodes of each row: (rows, nodes)."""
        return overlapping(self.count, self.repeats, self.repeats + POINTS - 1)

    @cached_property
    def band(self) -> Floats:
        """What makes the steps of a row from its nodes: (nodes, steps)."""
        weights = value_weights(np.arange(self.every) / self.every, POINTS)
        return banded(weights, self.repeats)

    def of(self, values: Floats) -> Floats:
        """Rows of values on the nodes: (..., rows, nodes)."""
        return values.take(self.index, axis=-1)

    def filled(self, rows: Floats) -> Floats:
        """The steps of rows: (..., rows, steps)."""
        return product(rows, self.band)

    def own(self, between: Bools) -> Bools:
        """For each row whether something holds between two of its own nodes: (..., rows)."""
        return self._anywhere(between[..., BEFORE:], self.repeats)

    def around(self, between: Bools) -> Bools:
        """The same between any two of its nodes."""
        return self._anywhere(between, self.repeats + POINTS - 2)

    def _anywhere(self, between: Bools, length: int) -> Bools:
        last = (self.count - 1) * self.repeats + 1
        columns = [between[..., k : k + last : self.repeats] for k in range(length)]
        return reduce(np.logical_or, columns)


def fine_angles(sky: SiteSky, bodies: Sequence[str], stars: bool, grid: Grid) -> Angles:
    """Places of bodies, then of all catalogue stars if wanted, at each step of a grid."""
    rows = _Rows(grid, max(1, round(COARSE_S / grid.step)))
    vectors = _vectors(sky, bodies, stars, rows.nodes)
    seen = Horizontal(vectors)
    altitude = rows.filled(rows.of(seen.altitude_deg))
    azimuth = _azimuth(rows, seen.azimuth_deg)
    high = np.abs(seen.altitude_deg) > STEEP_DEG
    steep = rows.own(high[:, 1:] | high[:, :-1])
    target, row = np.nonzero(steep)
    exact = Horizontal(rows.filled(vectors[:, target[:, None], rows.index[row]]))
    altitude[steep], azimuth[steep] = exact.altitude_deg, exact.azimuth_deg
    flat = (len(altitude), -1)
    return Angles(altitude.reshape(flat)[:, : grid.count], azimuth.reshape(flat)[:, : grid.count])


def _vectors(sky: SiteSky, bodies: Sequence[str], stars: bool, times: Grid) -> Floats:
    parts = [sky.body_vectors(bodies, times)] if bodies else []
    return np.concatenate([*parts, sky.star_vectors(times)] if stars else parts, axis=1)


def _azimuth(rows: _Rows, azimuth_deg: Floats) -> Floats:
    """Filled in on turns that no row breaks off at north."""
    broken = np.abs(np.diff(azimuth_deg)) > 180
    nodes, breaks = rows.of(azimuth_deg), rows.around(broken)
    turns = nodes[breaks]
    turns -= 360 * np.rint((turns - turns[:, BEFORE, None]) / 360)
    nodes[breaks] = turns
    filled, north = rows.filled(nodes), rows.own(broken)
    past = filled[north]
    filled[north] = past - 360 * np.floor(past / 360)
    return filled
