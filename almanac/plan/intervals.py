"""Sets of time spans: arrays (n, 2) of starts and ends in order, touching but not overlapping."""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

NONE: Floats = np.empty((0, 2))


def overlaps(one: Floats, other: Floats) -> tuple[NDArray[np.int64], Floats]:
    """Every non-empty overlap of a row of one with a span of other: the row, and the overlap.

    Rows of one may overlap each other and come in any order; results follow that order.
    """
    first = np.searchsorted(other[:, 1], one[:, 0], side="right")
    last = np.searchsorted(other[:, 0], one[:, 1], side="left")
    count = np.maximum(last - first, 0)
    row = np.repeat(np.arange(len(one)), count)
    column = np.arange(count.sum()) + np.repeat(first - (np.cumsum(count) - count), count)
    starts = np.maximum(one[row, 0], other[column, 0])
    ends = np.minimum(one[row, 1], other[column, 1])
    real = ends > starts
    return row[real], np.stack([starts, ends], axis=1)[real]


def intersect(one: Floats, other: Floats) -> Floats:
    """Every non-empty overlap of a span of one with a span of other, in order.

    Spans that touch stay apart, so that a list of nights cuts what it is intersected with.
    """
    return overlaps(one, other)[1]


def outside(spans: Floats, first: float, last: float) -> Floats:
    """What is left of [first, last] without the spans."""
    inside = intersect(np.array([[first, last]]), spans)
    starts = np.concatenate(([first], inside[:, 1]))
    ends = np.concatenate((inside[:, 0], [last]))
    return np.stack([starts, ends], axis=1)[ends > starts]


def union(one: Floats, other: Floats) -> Floats:
    """What is in one or in other; spans that touch are joined."""
    both = np.concatenate((one, other))
    both = both[np.argsort(both[:, 0], kind="stable")]
    if not len(both):
        return NONE
    reach = np.maximum.accumulate(both[:, 1])
    begins = np.concatenate(([True], both[1:, 0] > reach[:-1]))
    ends = np.concatenate((begins[1:], [True]))
    return np.stack([both[begins, 0], reach[ends]], axis=1)


def longer(spans: Floats, least_s: float) -> Floats:
    """Spans of at least this length."""
    return spans[spans[:, 1] - spans[:, 0] >= least_s]


def rows_of(spans: Floats, nights: Floats) -> NDArray[np.int64]:
    """For spans cut by nights: the index of the night that holds each."""
    return np.searchsorted(nights[:, 0], spans[:, 0], side="right") - 1
