"""The best few columns of a table: choose stars so that each window's best one sums to most.

Exact, by branch and bound. The bound is Lagrange's, as Cornuejols, Fisher & Nemhauser used it
for this problem (Management Science 23 (1977) 789): give each window a price; a set cannot be
worth more than all prices together and what its stars offer above them. Prices are improved by
subgradient steps (Held, Wolfe & Crowder, Mathematical Programming 6 (1974) 62). All worths and
prices are whole numbers, so that sums are exact and a bound proves what it says.
"""

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Indices = NDArray[np.int64]

ROOT_STEPS, NODE_STEPS = 150, 12
"""Subgradient steps at the first bound and at each later one: they set the pace only."""
PATIENCE = 3
MOST_BOUNDS = 1500
"""Bounds asked for in one search: some seconds for the largest tables, hundreds in usual years.
Counted and not timed, so that every machine gives the same answer."""


class Found(NamedTuple):
    """A set of columns, and whether it is proven that none is better."""

    columns: tuple[int, ...]
    proven: bool


class Table(Struct, frozen=True):
    """What each star is worth to each window, in whole numbers below 2**53 in sum."""

    worth: Floats
    """(windows, stars); 0 where the star cannot serve."""
    base: Floats
    """(windows,); what is there without any star of the table."""
    cost: Floats
    """(stars,), at least 0: what taking a star takes off the sum."""

    def total(self, chosen: Sequence[int]) -> float:
        """Sum over the windows of the best chosen star, less the costs."""
        return float(self.best(chosen).sum() - self.cost[list(chosen)].sum())

    def best(self, chosen: Sequence[int]) -> Floats:
        """Worth of each window with these stars."""
        return np.maximum(self.base, self.worth[:, list(chosen)].max(axis=1, initial=0.0))

    def served(self, chosen: Sequence[int]) -> int:
        """Windows that some star serves."""
        return int(np.count_nonzero(self.best(chosen)))


class _Bound(Struct):
    """An upper bound with the prices that give it and each star's offer above them."""

    value: float
    price: Floats
    offer: Floats


class _Search:
    """Finds the set of at most count stars of greatest total among those serving enough."""

    def __init__(self, table: Table, served: int, start: tuple[int, ...], bounds: int) -> None:
        """Begin with a set that serves enough windows."""
        self.table, self.served = table, served
        self.best, self.total = start, table.total(start)
        self.bounds_left, self.proven = bounds, True

    def offer(self, chosen: tuple[int, ...]) -> None:
        """Keep a set if it is better, or equal and first in order."""
        total = self.table.total(chosen)
        if (-total, chosen) < (-self.total, self.best) and (
            self.table.served(chosen) >= self.served
        ):
            self.best, self.total = chosen, total

    def last_star(self, inside: tuple[int, ...], left: Indices) -> None:
        """Add the best one of the stars that are left."""
        base = self.table.best(inside)
        level = np.maximum(self.table.worth[:, left], base[:, None])
        total = level.sum(axis=0) - self.table.cost[left]
        total[np.count_nonzero(level, axis=0) < self.served] = -np.inf
        self.offer(tuple(sorted((*inside, int(left[np.argmax(total)])))))

    def swap(self) -> None:
        """Exchange one star for another as long as that helps."""
        before = -np.inf
        while self.total > before:
            before = self.total
            for star in self.best:
                rest = tuple(other for other in self.best if other != star)
                self.last_star(rest, np.setdiff1d(np.arange(len(self.table.cost)), rest))

    def bound(
        self, inside: tuple[int, ...], left: Indices, count: int, price: Floats, steps: int
    ) -> _Bound:
        """The best bound found for inside with count more of the stars left."""
        base, worth, cost = self.table.best(inside), self.table.worth[:, left], self.table.cost
        paid = float(cost[list(inside)].sum())
        found = _Bound(np.inf, price, np.zeros(len(left)))
        pace, stale = 1.0, 0
        for _ in range(steps):
            level = np.maximum(base, price)
            above = np.maximum(worth - level[:, None], 0.0)
            offer = above.sum(axis=0) - cost[left]
            top = np.argsort(-offer, kind="stable")[:count]
            top = top[offer[top] > 0]
            value = float(level.sum() + offer[top].sum()) - paid
            if value < found.value:
                found, stale = _Bound(value, price, offer), 0
            else:
                stale += 1
                if stale > PATIENCE:
                    pace, stale, price = pace / 2, 0, found.price
            slope = (price > base) - np.count_nonzero(above[:, top], axis=1)
            if found.value < self.total or not slope.any():
                break
            step = pace * (value - self.total + 1.0) / float(slope @ slope)
            price = np.floor(np.maximum(price - step * slope, 0.0))
        return found

    def branch(
        self, inside: tuple[int, ...], left: Indices, count: int, price: Floats, steps: int
    ) -> None:
        """Look at every set that has these stars inside and count more of those left."""
        self.offer(tuple(sorted(inside)))
        if not count or not len(left):
            return
        if not self.bounds_left:
            self.proven = False
            return
        self.bounds_left -= 1
        found = self.bound(inside, left, count, price, steps)
        least = np.sort(np.maximum(found.offer, 0.0))[::-1][count - 1] if count <= len(left) else 0
        kept = found.value - least + np.minimum(found.offer, least) >= self.total
        left, offer = left[kept], found.offer[kept]
        if found.value < self.total or not len(left):
            return
        if count == 1:
            self.last_star(inside, left)
            return
        first = int(np.argmax(offer))
        star, rest = int(left[first]), np.delete(left, first)
        self.branch((*inside, star), rest, count - 1, found.price, NODE_STEPS)
        self.branch(inside, rest, count, found.price, NODE_STEPS)


def best_set(
    table: Table, count: int, served: int, start: Sequence[int], bounds: int = MOST_BOUNDS
) -> Found:
    """The at most count stars of greatest total among all sets that serve served windows.

    start is any such set. Of equal totals the set that is first in order of its columns is taken:
    a proven answer does not depend on start. After so many bounds the best set met is given
    without a proof.
    """
    search = _Search(table, served, tuple(sorted(start)), bounds)
    search.swap()
    everything = np.arange(len(table.cost))
    search.branch((), everything, count, table.worth.max(axis=1, initial=0.0) // 2, ROOT_STEPS)
    return Found(search.best, search.proven)
