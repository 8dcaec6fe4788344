"""The stars to learn: the fewest that serve every window, and what each further star buys."""

from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from almanac.plan.best_stars import MOST_BOUNDS, Found, Table, best_set

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Indices = NDArray[np.int64]

MOST_STARS = 8
"""Length of the curve at most."""
CHANCE_UNITS = 10_000
"""Chances are compared in steps of 1e-4, which is what their quadrature is good to."""
LEAST_GAIN = 0.001
"""The curve ends where no further star could raise the mean chance by as much."""
EASY = 2
"""A greedy cover of so few stars is smallest: it would have been one star if one were enough."""
MOST_NODES = 1
"""Branches of the mixed-integer solver: usual years are solved at the root, and the largest tables
take seconds for each. Counted and not timed, so that every machine gives the same answer."""

ADVISED, WORTH_LEARNING = 4, 0.02
"""Stars that the trade says serve a year, and what one more must add to the mean landing chance:
both common practice, no source."""


class StarSet(Struct, frozen=True):
    """Some stars and how well they serve."""

    stars: tuple[int, ...]
    """Columns: known stars, then the others, each in order of HIP number."""
    windows_served: int
    mean_chance: float
    """Mean over the windows served of the best star's landing chance; 0 without windows."""


class StarList(Struct, frozen=True):
    """What a club that knows some stars should learn."""

    fewest: StarSet
    """The known stars and the fewest others with which every window that can be served is."""
    curve: tuple[StarSet, ...]
    """The known stars and the best 1, 2, 3, ... others."""
    proven: bool
    """Whether no better set can exist; False where the search was cut short."""


def star_list(usable: Bools, chance: Floats, hip: Indices, known: Bools) -> StarList:
    """The fewest stars and the curve: proven optimal, unless the list says that it is not.

    usable and chance are (windows, stars), hip and known (stars,). Known stars come first and
    count for nothing. A set of k others is best if no other set of at most k serves more windows;
    among those, if none has a higher sum of chances over all windows served (each by its best
    star, in steps of 1e-4); among those, by the smaller sum of places in order of HIP number, and
    then by the first place that differs. The curve has at most MOST_STARS points.
    """
    order = np.lexsort((hip, ~known))
    useful = order[usable[:, order].any(axis=0) | known[order]]
    picker = _Picker(usable[:, useful], chance[:, useful], int(known.sum()))
    fewest, curve, proven = picker.sets()

    def named(found: StarSet) -> StarSet:
        columns = tuple(int(useful[column]) for column in found.stars)
        return StarSet(columns, found.windows_served, found.mean_chance)

    return StarList(named(fewest), tuple(named(found) for found in curve), proven)


def advised(found: StarList) -> StarSet:
    """The set to teach: on the curve up to ADVISED stars, while each is WORTH_LEARNING.

    A further star is always taken while it serves more windows. The known stars alone if the
    curve is empty.
    """
    best = found.curve[0] if found.curve else found.fewest
    for point in found.curve[1:ADVISED]:
        gain = point.mean_chance - best.mean_chance
        if point.windows_served == best.windows_served and gain < WORTH_LEARNING:
            break
        best = point
    return best


def served_by(columns: Sequence[int], usable: Bools, chance: Floats) -> StarSet:
    """How well a given set of stars serves; usable and chance are (windows, stars)."""
    mine = list(columns)
    can = usable[:, mine].any(axis=1)
    best = np.where(usable[:, mine], chance[:, mine], 0.0)[can].max(axis=1, initial=0.0)
    return StarSet(tuple(mine), int(can.sum()), float(best.mean()) if can.any() else 0.0)


class _Picker:
    """The columns in order: known stars first, then the others by HIP number."""

    def __init__(self, usable: Bools, chance: Floats, known: int) -> None:
        self.usable, self.known = usable, known
        self.chance = np.where(usable, chance, 0.0)
        others = usable.shape[1] - known
        scale = MOST_STARS * others + 1.0  # the costs of a set stay below one unit of chance
        # A served window counts a whole chance more, so that sets serving fewer fall behind early.
        worth = usable * (CHANCE_UNITS + np.round(chance * CHANCE_UNITS)) * scale
        self.table = Table(
            worth=worth[:, known:],
            base=worth[:, :known].max(axis=1, initial=0.0),
            cost=np.arange(others, dtype=float),
        )
        self.proven = True

    def sets(self) -> tuple[StarSet, tuple[StarSet, ...], bool]:
        """The fewest stars that serve all, the curve, and whether all of them are proven best."""
        servable = int(np.count_nonzero(self.usable.any(axis=1)))
        left = self.usable[self.table.base == 0, self.known :]
        cover = self._noted(smallest_cover(left[left.any(axis=1)]))
        fewest = self._best(len(cover), servable, cover)
        curve: list[StarSet] = []
        best: tuple[int, ...] = ()
        for count in range(1, min(MOST_STARS, len(self.table.cost)) + 1):
            if self._room(best) < LEAST_GAIN:
                break
            if count < len(cover):
                start = self._noted(most_served(left, count, self.proven))
            else:
                start = fewest if count == len(cover) else best
            best = self._best(count, self.table.served(start), start)
            curve.append(self._set(best))
        return self._set(fewest), tuple(curve), self.proven

    def _best(self, count: int, served: int, start: tuple[int, ...]) -> tuple[int, ...]:
        """The best set; once a search was cut short no other is made: it would take as long."""
        bounds = MOST_BOUNDS if self.proven else 0
        return self._noted(best_set(self.table, count, served, start, bounds))

    def _noted(self, found: Found) -> tuple[int, ...]:
        self.proven = self.proven and found.proven
        return found.columns

    def _room(self, chosen: Sequence[int]) -> float:
        """How much all other stars together could add to the windows served or the mean."""
        every = self._set(range(len(self.table.cost)))
        now = self._set(chosen)
        if now.windows_served < every.windows_served:
            return np.inf
        return every.mean_chance - now.mean_chance

    def _set(self, chosen: Sequence[int]) -> StarSet:
        stars = (*range(self.known), *(self.known + column for column in chosen))
        served = self.usable[:, stars].any(axis=1)
        chance = self.chance[:, stars].max(axis=1, initial=0.0)[served]
        return StarSet(stars, int(served.sum()), float(chance.mean()) if len(chance) else 0.0)


def smallest_cover(serves: Bools) -> Found:
    """A smallest set of columns with a true value in every row; each row has one.

    Exact: by SciPy's mixed-integer solver with no gap allowed, unless a greedy cover is so small
    that it needs no proof.
    """
    greedy = _greedy(serves, serves.shape[1])
    if len(greedy) <= EASY:
        return Found(greedy, True)
    columns = serves.shape[1]
    return _solved(np.ones(columns), columns, serves.astype(float), 1.0) or Found(greedy, False)


def most_served(serves: Bools, count: int, exact: bool = True) -> Found:
    """At most count columns with true values in as many rows as possible, exact as above."""
    greedy = _greedy(serves, count)
    if count == 1 or not exact:
        return Found(greedy, exact)
    rows, columns = serves.shape
    # A row's own variable says that it is left out, which costs one; it is whole of itself.
    objective = np.concatenate([np.zeros(columns), np.ones(rows)])
    covered = np.concatenate([serves, np.eye(rows)], axis=1)
    few = np.concatenate([-np.ones(columns), np.zeros(rows)])
    limits = np.concatenate([np.ones(rows), [-float(count)]])
    return _solved(objective, columns, np.vstack([covered, few]), limits) or Found(greedy, False)


def _greedy(serves: Bools, count: int) -> tuple[int, ...]:
    """At most count columns, each the one that serves most of the rows still left."""
    chosen: list[int] = []
    left = serves[serves.any(axis=1)]
    while len(left) and len(chosen) < count:
        chosen.append(int(left.sum(axis=0).argmax()))
        left = left[~left[:, chosen[-1]]]
    return tuple(chosen)


def _solved(objective: Floats, columns: int, rows: Floats, least: Floats | float) -> Found | None:
    """Which of the first columns variables are 1 where the objective is smallest.

    All lie between 0 and 1, those are whole, and rows @ variables >= least. After MOST_NODES the
    best solution met, or None if none was.
    """
    from scipy.optimize import Bounds, LinearConstraint, milp  # slow to import, seldom needed

    found = milp(
        objective,
        integrality=np.arange(len(objective)) < columns,
        bounds=Bounds(0, 1),
        constraints=LinearConstraint(rows, least, np.inf),
        options={"mip_rel_gap": 0.0, "node_limit": MOST_NODES},
    )
    if found.x is None:
        return None
    chosen = tuple(np.flatnonzero(found.x[:columns] > 0.5).tolist())
    return Found(chosen, bool(found.success and found.mip_gap == 0))
