"""One root finder for rise, set, transit, twilight and horizon-profile crossings."""

from collections.abc import Callable

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Function = Callable[[Floats], Floats]
Rows = NDArray[np.int64]
Bools = NDArray[np.bool_]
PairFunction = Callable[[Floats, Rows], Floats]
"""Of times and of the row that each time belongs to."""

TOLERANCE_S = 1e-3


class Crossings(Struct, frozen=True):
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
    """The same where each bracket has a function of its own, told by its row."""
    low, high = np.asarray(low, dtype=float), np.asarray(high, dtype=float)
    rows = np.arange(len(low))
    times = np.stack([high, low, high])
    return _closed(function, times, np.stack([function(at, rows) for at in (high, low, high)]))


def _closed(function: PairFunction, times: Floats, values: Floats) -> Floats:
    """Close brackets between the first two rows of times on their roots; shape (n,).

    The third row lies beyond the first, or on it. Chandrupatla's method (Advances in Engineering
    Software 28 (1997) 145): inverse quadratic where safe, bisection elsewhere, here begun with a
    straight line. Converged roots are frozen: they are not evaluated again. A jump counts as a
    root.
    """
    (a, b, c), (fa, fb, fc) = times.copy(), values.copy()
    active = np.flatnonzero((fa != 0) & (fb != 0))
    otherwise = np.full(a.shape, 0.5)
    otherwise[active] = fa[active] / (fa[active] - fb[active])
    step = _next_step(a, b, c, fa, fb, fc, otherwise)
    while active.size:
        i = active
        x = a[i] + step[i] * (b[i] - a[i])
        fx = function(x, i)
        same = np.sign(fx) == np.sign(fa[i])
        c[i], fc[i] = np.where(same, a[i], b[i]), np.where(same, fa[i], fb[i])
        b[i], fb[i] = np.where(same, b[i], a[i]), np.where(same, fb[i], fa[i])
        a[i], fa[i] = x, fx
        step[i] = _next_step(a[i], b[i], c[i], fa[i], fb[i], fc[i], 0.5)
        active = i[(np.abs(b[i] - x) > TOLERANCE_S) & (fx != 0)]
    with np.errstate(invalid="ignore"):
        part = np.where(fa == 0, 0.0, np.where(fb == 0, 1.0, fa / (fa - fb)))
    return a + part * (b - a)


def _next_step(
    a: Floats,
    b: Floats,
    c: Floats,
    fa: Floats,
    fb: Floats,
    fc: Floats,
    otherwise: Floats | float,
) -> Floats:
    """Fraction of the way from a to b: inverse quadratic if Chandrupatla's test allows it.

    Some of the tolerance is added: so the last two steps pass the root from either side.
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        xi, phi = (a - b) / (c - b), (fa - fb) / (fc - fb)
        quadratic = fa / (fb - fa) * fc / (fb - fc) + (c - a) / (b - a) * fa / (fc - fa) * fb / (
            fc - fb
        )
        safe = (phi**2 < xi) & ((1 - phi) ** 2 < 1 - xi) & np.isfinite(quadratic)
    beyond = 0.4 * TOLERANCE_S / np.maximum(np.abs(b - a), TOLERANCE_S)
    return np.clip(np.where(safe, quadratic, otherwise), 0, 1 - 2 * beyond) + beyond


def _touching(
    function: Function, times: Floats, values: Floats, positive: Bools
) -> tuple[Rows, Floats, Floats]:
    """Of each extremum that points toward zero: the step in which its vertex lies, time, value."""
    nearer = np.abs(values)
    closer = nearer[1:] < nearer[:-1]
    i = np.flatnonzero(closer[:-1] & ~closer[1:]) + 1
    i = i[(positive[i - 1] == positive[i]) & (positive[i + 1] == positive[i])]
    left, right = times[i] - times[i - 1], times[i + 1] - times[i]
    slope_left = (values[i] - values[i - 1]) / left
    slope_right = (values[i + 1] - values[i]) / right
    bend = slope_right - slope_left
    with np.errstate(divide="ignore", invalid="ignore"):
        shift = -(slope_left * right + slope_right * left) / (2 * bend)
    shift = np.clip(np.where(np.isfinite(shift), shift, 0.0), -left, right)
    vertex = times[i] + shift
    return np.where(shift < 0, i - 1, i), vertex, function(vertex) if vertex.size else vertex


def crossings(function: Function, times: Floats, values: Floats | None = None) -> Crossings:
    """All sign changes of function between the first and the last of rising times.

    The function must not pass zero more than twice between neighbours; grazing pairs are found
    by a parabola at each local extremum, hence not inside the first and the last step. Values at
    times may be given if they are known.
    """
    if values is None:
        values = function(times)
    positive = values > 0
    change = np.flatnonzero(positive[1:] != positive[:-1])
    step, vertex, height = _touching(function, times, values, positive)
    over = np.flatnonzero((height > 0) != positive[step])
    step, vertex, height = step[over], vertex[over], height[over]
    after = np.minimum(change + 2, len(times) - 1)
    low = np.concatenate((times[change], times[step], vertex))
    order = np.argsort(low, kind="stable")
    brackets = np.stack(
        [
            np.concatenate((times[change + 1], vertex, times[step + 1])),
            low,
            np.concatenate((times[after], times[step + 1], times[step + 1])),
        ]
    )
    heights = np.stack(
        [
            np.concatenate((values[change + 1], height, values[step + 1])),
            np.concatenate((values[change], values[step], height)),
            np.concatenate((values[after], values[step + 1], values[step + 1])),
        ]
    )[:, order]
    found = _closed(lambda at, _: function(at), brackets[:, order], heights)
    return Crossings(found, heights[0] > 0, bool(positive[0]))


def spans(found: Crossings, first: float, last: float) -> Floats:
    """Spans (n, 2) between an upward crossing, or first, and a downward one, or last."""
    starts = np.concatenate(([first] if found.starts_above else [], found.up()))
    ends = found.down()
    if len(ends) < len(starts):
        ends = np.concatenate((ends, [last]))
    return np.stack([starts, ends], axis=1)
