"""Interpolation between equally spaced nodes: one small matrix product per set of times."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

POINTS = 8
"""Nodes used for each value: degree 7 keeps 6-hour lunar nodes below 0.001 arcsecond."""


def _polynomials(points: int) -> Floats:
    """Coefficients of the Lagrange basis on integer nodes: weights(u) = rows @ [1, u, u^2...]."""
    first = 1 - points // 2
    offsets = np.arange(first, first + points, dtype=float)
    return np.asarray(np.linalg.inv(np.vander(offsets, increasing=True)).T)


BASIS = _polynomials(POINTS)


@dataclass(frozen=True)
class Nodes:
    """Values on equally spaced times, shape (n, ...), and Lagrange interpolation between them."""

    start: float
    step: float
    values: Floats

    def _place(self, times: Floats) -> tuple[NDArray[np.int64], Floats]:
        """Index of the first node of each time's stencil, and the fraction past its middle."""
        position = (np.asarray(times, dtype=float) - self.start) / self.step
        lowest, highest = POINTS // 2 - 1, len(self.values) - POINTS // 2 - 1
        if position.size and (position.min() < lowest - 1e-6 or position.max() > highest + 1):
            raise ValueError("time outside the interpolated span")
        index = np.clip(np.floor(position).astype(np.int64), lowest, highest)
        return index - lowest, position - index

    def _combine(self, first: NDArray[np.int64], weights: Floats) -> Floats:
        tail = (1,) * (self.values.ndim - 1)
        total: Any = 0.0
        for k in range(POINTS):
            total = total + weights[k].reshape(-1, *tail) * self.values[first + k]
        return np.asarray(total)

    def at(self, times: Floats) -> Floats:
        """Interpolated values, shape (m, ...), for times of shape (m,)."""
        first, u = self._place(times)
        return self._combine(first, BASIS @ (u ** np.arange(POINTS)[:, None]))

    def rate_at(self, times: Floats) -> Floats:
        """Derivative by time, per unit of time, shape (m, ...)."""
        first, u = self._place(times)
        powers = np.arange(POINTS)[:, None]
        slopes = powers * u ** np.maximum(powers - 1, 0)
        return self._combine(first, BASIS @ slopes) / self.step
