"""Interpolation between equally spaced nodes; on an equally spaced grid, one matrix product."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Grid:
    """Equally spaced times."""

    start: float
    step: float
    count: int

    @cached_property
    def times(self) -> Floats:
        """All of them, shape (count,)."""
        return self.start + self.step * np.arange(self.count, dtype=np.float64)


Times = Floats | Grid


def times_of(times: Times) -> Floats:
    """The plain array of times."""
    return times.times if isinstance(times, Grid) else np.asarray(times, dtype=np.float64)


@cache
def _basis(points: int) -> Floats:
    """Lagrange basis on neighbouring nodes: weights(u) = basis @ [1, u, u^2...].

    u is the fraction from the stencil's node ``points // 2 - 1`` to the next.
    """
    offsets = np.arange(points, dtype=np.float64) - (points // 2 - 1)
    return np.asarray(np.linalg.inv(np.vander(offsets, increasing=True)).T)


def _powers(u: Floats, points: int) -> Floats:
    rows = np.ones((points, len(u)))
    for k in range(1, points):
        rows[k] = rows[k - 1] * u
    return rows


def _value_weights(u: Floats, points: int) -> Floats:
    return _basis(points) @ _powers(u, points)


def _slope_weights(u: Floats, points: int) -> Floats:
    slopes = np.zeros((points, len(u)))
    slopes[1:] = np.arange(1, points)[:, None] * _powers(u, points)[:-1]
    return _basis(points) @ slopes


Weights = Callable[[Floats, int], Floats]


@dataclass(frozen=True)
class Nodes:
    """Values on equally spaced times, shape (..., n), and Lagrange interpolation between them."""

    start: float
    step: float
    values: Floats
    points: int
    """Nodes used for each value: even."""

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
        return self._combined(times, _value_weights)

    def pairs_at(self, rows: NDArray[np.int64], times: Floats) -> Floats:
        """Values of one row of the last axis but one for each time: shape (..., m)."""
        first, u = self._place(times)
        weights = _value_weights(u, self.points)
        total = weights[0] * self.values[..., rows, first]
        for k in range(1, self.points):
            total += weights[k] * self.values[..., rows, first + k]
        return total

    def rate_at(self, times: Times) -> Floats:
        """Derivative by time, per unit of time, shape (..., m)."""
        return self._combined(times, _slope_weights) / self.step

    def _combined(self, times: Times, weights_of: Weights) -> Floats:
        if isinstance(times, Grid):
            return self._on_grid(times, weights_of)
        first, u = self._place(times)
        weights = weights_of(u, self.points)
        total = weights[0] * self.values[..., first]
        for k in range(1, self.points):
            total += weights[k] * self.values[..., first + k]
        return total

    def _on_grid(self, grid: Grid, weights_of: Weights) -> Floats:
        """The same by one matrix product, where whole grid steps make a node's step."""
        fine = round(self.step / grid.step)
        if abs(fine * grid.step / self.step - 1) > 1e-12 or not grid.count:
            return self._combined(grid.times, weights_of)
        first, u = self._place(grid.times[[0, -1]])
        stencils = np.lib.stride_tricks.sliding_window_view(self.values, self.points, axis=-1)
        used = stencils[..., first[0] : first[1] + 2, :]
        skipped = int(u[0] * fine)
        fractions = u[0] - skipped / fine + np.arange(fine) / fine
        table = used.reshape(-1, self.points) @ weights_of(fractions, self.points)
        rows = table.reshape(*self.values.shape[:-1], -1)
        return rows[..., skipped : skipped + grid.count]
