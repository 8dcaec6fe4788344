"""One root finder for rise, set, transit, twilight and horizon-profile crossings."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Function = Callable[[Floats], Floats]
Rows = NDArray[np.int64]
PairFunction = Callable[[Floats, Rows], Floats]
"""Of times and of the row that each time belongs to."""

TOLERANCE_S = 1e-3


@dataclass(frozen=True)
class Crossings:
    """Instants at which a function of time passes zero, in order."""

    utc_s: Floats
    upward: NDArray[np.bool_]
    starts_above: bool
    """Whether the function is positive at the first time of the grid."""

    def up(self) -> Floats:
        """Instants at which it becomes positive."""
        return self.utc_s[self.upward]

    def down(self) -> Floats:
        """Instants at which it stops being positive."""
        return self.utc_s[~self.upward]


def roots(function: Function, low: Floats, high: Floats) -> Floats:
    """One root in each bracket [low, high], where function changes sign; shape (n,)."""
    return paired_roots(lambda times, _: function(times), low, high)


def paired_roots(function: PairFunction, low: Floats, high: Floats) -> Floats:
    """The same where each bracket has a function of its own, told by its row.

    Chandrupatla's method (Advances in Engineering Software 28 (1997) 145): inverse quadratic
    where safe, bisection elsewhere. Converged roots are frozen: they are not evaluated again.
    A jump counts as a root.
    """
    a, b = np.array(high, dtype=float), np.array(low, dtype=float)
    every = np.arange(len(a))
    fa, fb = function(a, every), function(b, every)
    c, fc = a.copy(), fa.copy()
    step = np.full(a.shape, 0.5)
    active = np.flatnonzero((fa != 0) & (fb != 0))
    while active.size:
        i = active
        x = a[i] + step[i] * (b[i] - a[i])
        fx = function(x, i)
        same = np.sign(fx) == np.sign(fa[i])
        c[i], fc[i] = np.where(same, a[i], b[i]), np.where(same, fa[i], fb[i])
        b[i], fb[i] = np.where(same, b[i], a[i]), np.where(same, fb[i], fa[i])
        a[i], fa[i] = x, fx
        limit = TOLERANCE_S / np.maximum(np.abs(b[i] - a[i]), TOLERANCE_S / 2)
        step[i] = np.clip(
            _next_step(a[i], b[i], c[i], fa[i], fb[i], fc[i]), limit / 2, 1 - limit / 2
        )
        active = i[(limit < 1) & (fx != 0)]
    return np.where(np.abs(fa) < np.abs(fb), a, b)


def _next_step(a: Floats, b: Floats, c: Floats, fa: Floats, fb: Floats, fc: Floats) -> Floats:
    """Fraction of the way from a to b: inverse quadratic if Chandrupatla's test allows it."""
    with np.errstate(divide="ignore", invalid="ignore"):
        xi, phi = (a - b) / (c - b), (fa - fb) / (fc - fb)
        quadratic = fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (
            fc - fb
        )
        safe = (phi**2 < xi) & ((1 - phi) ** 2 < 1 - xi) & np.isfinite(quadratic)
    return np.where(safe, quadratic, 0.5)


def _touching(function: Function, times: Floats, values: Floats) -> tuple[Floats, Floats]:
    """Times and values at the vertex of every extremum that points toward zero."""
    before, here, after = values[:-2], values[1:-1], values[2:]
    turning = (np.abs(here) <= np.abs(before)) & (np.abs(here) <= np.abs(after))
    same = (np.sign(before) == np.sign(here)) & (np.sign(after) == np.sign(here))
    i = np.flatnonzero(turning & same) + 1
    left, right = times[i] - times[i - 1], times[i + 1] - times[i]
    slope_left = (values[i] - values[i - 1]) / left
    slope_right = (values[i + 1] - values[i]) / right
    bend = slope_right - slope_left
    with np.errstate(divide="ignore", invalid="ignore"):
        shift = -(slope_left * right + slope_right * left) / (2 * bend)
    vertex = times[i] + np.clip(np.where(np.isfinite(shift), shift, 0.0), -left, right)
    return vertex, function(vertex) if vertex.size else vertex


def crossings(function: Function, times: Floats, values: Floats | None = None) -> Crossings:
    """All sign changes of function between the first and the last of rising times.

    The function must not pass zero more than twice between neighbours; grazing pairs are found
    by a parabola at each local extremum, hence not inside the first and the last step. Values at
    times may be given if they are known.
    """
    if values is None:
        values = function(times)
    vertex, height = _touching(function, times, values)
    all_times = np.concatenate((times, vertex))
    order = np.argsort(all_times, kind="stable")
    all_times, positive = all_times[order], (np.concatenate((values, height)) > 0)[order]
    change = np.flatnonzero(positive[1:] != positive[:-1])
    found = roots(function, all_times[change], all_times[change + 1])
    return Crossings(found, positive[change + 1], bool(positive[0]))


def spans(found: Crossings, first: float, last: float) -> Floats:
    """Spans (n, 2) between an upward crossing, or first, and a downward one, or last."""
    starts = np.concatenate(([first] if found.starts_above else [], found.up()))
    ends = found.down()
    if len(ends) < len(starts):
        ends = np.concatenate((ends, [last]))
    return np.stack([starts, ends], axis=1)
