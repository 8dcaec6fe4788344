"""Interpolation between equally spaced nodes; on an equally spaced grid, one matrix product."""

import math
from collections.abc import Callable
from functools import cache, cached_property

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

Floats = NDArray[np.float64]


class Grid(Struct, frozen=True, dict=True):
    """Equally spaced times."""

    start: float
    step: float
    count: int

    @cached_property
    def times(self) -> Floats:
        """All of them, shape (count,)."""
        return self.start + self.step * np.arange(self.count, dtype=np.float64)

    def widened(self, steps: int) -> "Grid":
        """With so many steps more at either end."""
        return Grid(self.start - steps * self.step, self.step, self.count + 2 * steps)


Times = Floats | Grid


def times_of(times: Times) -> Floats:
    """The plain array of times."""
    return times.times if isinstance(times, Grid) else np.asarray(times, dtype=np.float64)


@cache
def _basis(points: int) -> Floats:
    """Lagrange basis on neighbouring nodes: weights(u) = basis @ [1, u, u^2...].

    u is the fraction from the stencil's node ``points // 2 - 1`` to the next. Made of whole
    numbers, hence the same on every machine: an inverted matrix would differ in the last digits.
    """
    offsets = range(1 - points // 2, points // 2 + 1)
    rows = []
    for own in offsets:
        others = [other for other in offsets if other != own]
        rows.append(np.poly(others)[::-1] / math.prod(own - other for other in others))
    return np.stack(rows)


def _powers(u: Floats, points: int) -> Floats:
    rows = np.ones((points, len(u)))
    for k in range(1, points):
        rows[k] = rows[k - 1] * u
    return rows


def value_weights(u: Floats, points: int) -> Floats:
    """Lagrange weights (points, n) at fractions u past the middle of a stencil's nodes."""
    return np.einsum("pk,kn->pn", _basis(points), _powers(u, points))


def _slope_weights(u: Floats, points: int) -> Floats:
    slopes = np.zeros((points, len(u)))
    slopes[1:] = np.arange(1, points)[:, None] * _powers(u, points)[:-1]
    return np.einsum("pk,kn->pn", _basis(points), slopes)


def _weighted(values: Floats, first: NDArray[np.int64], weights: Floats) -> Floats:
    """Sum over the stencil that begins at first, along the last axis."""
    total = weights[0] * values.take(first, axis=-1)
    for k in range(1, len(weights)):
        total += weights[k] * values.take(first + k, axis=-1)
    return total


Weights = Callable[[Floats, int], Floats]

ROW_STEPS = 40
"""Grid steps that a row of the product makes at least: longer rows copy fewer nodes."""
ONE_CORE = 250_000
"""Multiplications that BLAS leaves to one core: on a busy machine waking others costs far more
than it saves."""


def product(rows: Floats, weights: Floats) -> Floats:
    """rows @ weights for rows of shape (..., k), piece by piece on one core."""
    flat = rows.reshape(-1, len(weights))
    made = np.empty((len(flat), weights.shape[1]))
    piece = max(1, ONE_CORE // weights.size)
    for start in range(0, len(flat), piece):
        part = slice(start, start + piece)
        np.matmul(flat[part], weights, out=made[part])
    return made.reshape(*rows.shape[:-1], weights.shape[1])


def banded(weights: Floats, repeats: int) -> Floats:
    """Weights of one step between nodes repeated for those after it, each a node further on."""
    points, fine = weights.shape
    band = np.zeros((points + repeats - 1, repeats, fine))
    for k in range(repeats):
        band[k : k + points, k] = weights
    return band.reshape(points + repeats - 1, -1)


def overlapping(count: int, every: int, length: int) -> NDArray[np.int64]:
    """Indices of rows of neighbours, each row begun so many after the last: (count, length)."""
    return every * np.arange(count)[:, None] + np.arange(length)


class Nodes(Struct, frozen=True):
    """Values on equally spaced times, shape (..., n), and Lagrange interpolation between them."""

    start: float
    step: float
    values: Floats
    points: int
    """Nodes used for each value: even."""

    @classmethod
    def on(cls, grid: Grid, values: Floats, points: int) -> "Nodes":
        """Nodes at the times of a grid."""
        return cls(grid.start, grid.step, values, points)

    def _place(self, times: Floats) -> tuple[NDArray[np.int64], Floats]:
        """Index of the first node of each time's stencil, and the fraction past its middle."""
        position = (times - self.start) / self.step
        before = self.points // 2 - 1
        last = self.values.shape[-1] - 1 - self.points // 2
        if position.size and not (before <= position.min() and position.max() <= last + 1):
            raise ValueError("time outside the interpolated span")
        index = np.minimum(np.floor(position).astype(np.int64), last)
        return index - before, position - index

    def at(self, times: Times) -> Floats:
        """Interpolated values, shape (..., m)."""
        return self._combined(times, value_weights)

    def pairs_at(self, rows: NDArray[np.int64], times: Floats) -> Floats:
        """Values of one row of the last axis but one for each time: shape (..., m)."""
        first, u = self._place(times)
        table = self.values.reshape(*self.values.shape[:-2], -1)
        return _weighted(table, rows * self.values.shape[-1] + first, value_weights(u, self.points))

    def rate_at(self, times: Times) -> Floats:
        """Derivative by time, per unit of time, shape (..., m)."""
        return self._combined(times, _slope_weights) / self.step

    def _combined(self, times: Times, weights_of: Weights) -> Floats:
        if isinstance(times, Grid):
            return self._on_grid(times, weights_of)
        first, u = self._place(times)
        return _weighted(self.values, first, weights_of(u, self.points))

    def _on_grid(self, grid: Grid, weights_of: Weights) -> Floats:
        """The same by one matrix product, where whole grid steps make a node's step."""
        fine = round(self.step / grid.step)
        if abs(fine * grid.step / self.step - 1) > 1e-12 or not grid.count:
            return self._combined(grid.times, weights_of)
        (start, _), u = self._place(grid.times[[0, -1]])
        skipped = int(u[0] * fine)
        fractions = u[0] - skipped / fine + np.arange(fine) / fine
        steps = -(-(skipped + grid.count) // fine)
        repeats = min(-(-ROW_STEPS // fine), steps)
        band = banded(weights_of(fractions, self.points), repeats)
        index = start + overlapping(-(-steps // repeats), repeats, len(band))
        rows = self.values.take(index, axis=-1, mode="clip")
        table = product(rows, band).reshape(*self.values.shape[:-1], -1)
        return table[..., skipped : skipped + grid.count]
