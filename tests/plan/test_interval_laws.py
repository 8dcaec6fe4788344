"""Sets of spans obey the laws of sets, checked against a raster of true and false."""

from itertools import pairwise

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from almanac.plan.intervals import NONE, intersect, longer, outside, overlaps, rows_of, union

Floats = NDArray[np.float64]
LAST = 24


@st.composite
def span_sets(draw: st.DrawFn) -> Floats:
    """Spans with whole ends from 0 to LAST, in order, some of them touching."""
    edges = sorted(draw(st.sets(st.integers(0, LAST), max_size=10)))
    keep = draw(st.lists(st.booleans(), min_size=10, max_size=10))
    kept = [pair for pair, on in zip(pairwise(edges), keep, strict=False) if on]
    return np.array(kept, dtype=float).reshape(-1, 2)


def raster(spans: Floats) -> NDArray[np.bool_]:
    """Which unit cells the spans cover."""
    cells = np.zeros(LAST, dtype=bool)
    for start, end in spans.astype(int):
        cells[start:end] = True
    return cells


def in_order(spans: Floats) -> bool:
    """Non-empty, rising and not overlapping."""
    return bool(np.all(spans[:, 1] > spans[:, 0]) and np.all(spans[1:, 0] >= spans[:-1, 1]))


@given(span_sets(), span_sets())
def test_intersection_is_what_both_cover(one: Floats, other: Floats) -> None:
    """The overlap covers a cell exactly where both do, and comes out in order."""
    found = intersect(one, other)
    assert np.array_equal(raster(found), raster(one) & raster(other))
    assert in_order(found)


@given(span_sets(), span_sets())
def test_intersection_finds_each_overlap_of_two_spans(one: Floats, other: Floats) -> None:
    """One piece for every pair that overlaps, so touching spans keep their cut."""
    pairs = [(max(a, c), min(b, d)) for a, b in one for c, d in other if min(b, d) - max(a, c) > 0]
    assert intersect(one, other).tolist() == [list(pair) for pair in pairs]


@given(span_sets(), span_sets())
def test_intersection_commutes(one: Floats, other: Floats) -> None:
    """Which set comes first makes no difference."""
    assert np.array_equal(intersect(one, other), intersect(other, one))


@given(span_sets(), span_sets(), span_sets())
def test_intersection_is_associative(one: Floats, other: Floats, third: Floats) -> None:
    """Conditions may be laid on in any order."""
    left = intersect(intersect(one, other), third)
    assert np.array_equal(left, intersect(one, intersect(other, third)))


@given(span_sets())
def test_intersection_with_nothing_is_nothing(one: Floats) -> None:
    """The empty set swallows, and keeps the shape that the next step needs."""
    assert intersect(one, NONE).shape == intersect(NONE, one).shape == (0, 2)


@given(span_sets(), st.integers(0, LAST), st.integers(0, LAST))
def test_outside_and_inside_make_the_whole(spans: Floats, one: int, other: int) -> None:
    """Every cell of [first, last] is either inside or outside, never both."""
    first, last = sorted((one, other))
    frame = np.array([[float(first), float(last)]])
    inside, rest = intersect(frame, spans), outside(spans, first, last)
    assert np.array_equal(raster(rest), raster(frame) & ~raster(spans))
    assert not np.any(raster(inside) & raster(rest))
    length = np.sum(inside[:, 1] - inside[:, 0]) + np.sum(rest[:, 1] - rest[:, 0])
    assert length == last - first


@given(span_sets())
def test_outside_twice_gives_the_spans_back(spans: Floats) -> None:
    """What is outside the outside is inside, with touching spans joined."""
    twice = outside(outside(spans, 0.0, LAST), 0.0, LAST)
    assert np.array_equal(twice, union(spans, NONE))


@given(span_sets(), span_sets())
def test_union_is_what_either_covers(one: Floats, other: Floats) -> None:
    """The union covers a cell where either does; its spans keep apart."""
    found = union(one, other)
    assert np.array_equal(raster(found), raster(one) | raster(other))
    assert in_order(found)
    assert np.all(found[1:, 0] > found[:-1, 1])
    assert np.array_equal(found, union(other, one))


@given(span_sets())
def test_union_is_idempotent(one: Floats) -> None:
    """A set joined with itself, or joined again, does not change."""
    joined = union(one, NONE)
    assert np.array_equal(union(one, one), joined)
    assert np.array_equal(union(joined, one), joined)


@given(span_sets(), span_sets(), span_sets())
def test_intersection_spreads_over_union(one: Floats, other: Floats, third: Floats) -> None:
    """What lies in one and in either of two lies in one of the two overlaps."""
    left = intersect(one, union(other, third))
    right = union(intersect(one, other), intersect(one, third))
    assert np.array_equal(raster(left), raster(right))


@given(st.lists(st.tuples(st.integers(0, LAST), st.integers(0, LAST)), max_size=12))
def test_union_takes_spans_in_any_order_that_overlap(pairs: list[tuple[int, int]]) -> None:
    """A heap of overlapping spans comes out as a set of spans."""
    heap = np.array([sorted(pair) for pair in pairs if pair[0] != pair[1]], dtype=float)
    heap = heap.reshape(-1, 2)
    found = union(heap, NONE)
    assert np.array_equal(raster(found), raster(heap))
    assert np.all(found[1:, 0] > found[:-1, 1])


@given(span_sets(), span_sets())
def test_pieces_cut_by_nights_lie_in_their_night(nights: Floats, spans: Floats) -> None:
    """rows_of names the night that holds the whole of each piece."""
    pieces = intersect(nights, spans)
    rows = rows_of(pieces, nights)
    assert np.all(nights[rows, 0] <= pieces[:, 0])
    assert np.all(pieces[:, 1] <= nights[rows, 1])


@given(st.lists(st.tuples(st.integers(0, LAST), st.integers(0, LAST)), max_size=8), span_sets())
def test_overlaps_takes_frames_in_any_order(frames: list[tuple[int, int]], spans: Floats) -> None:
    """Frames may overlap, be empty or run backwards; each names its own overlaps in order."""
    rows, found = overlaps(np.array(frames, dtype=float).reshape(-1, 2), spans)
    expected = [
        (row, max(a, c), min(b, d))
        for row, (a, b) in enumerate(frames)
        for c, d in spans
        if min(b, d) > max(a, c)
    ]
    assert [(row, *span) for row, span in zip(rows, found.tolist(), strict=True)] == expected


def test_touching_spans_stay_two_in_an_overlap_and_become_one_in_a_union() -> None:
    """A night cuts at noon; a club's hours that touch are one evening."""
    touching = np.array([[0.0, 5.0], [5.0, 9.0]])
    assert intersect(touching, np.array([[1.0, 8.0]])).tolist() == [[1.0, 5.0], [5.0, 8.0]]
    assert union(touching, NONE).tolist() == [[0.0, 9.0]]


def test_spans_that_only_touch_do_not_overlap() -> None:
    """A common end is no common span."""
    assert intersect(np.array([[0.0, 5.0]]), np.array([[5.0, 9.0]])).shape == (0, 2)


def test_a_span_inside_a_longer_one_does_not_shorten_the_union() -> None:
    """The union reaches as far as the longest of what it has met, not the last."""
    assert union(np.array([[0.0, 9.0]]), np.array([[1.0, 2.0]])).tolist() == [[0.0, 9.0]]


def test_shortest_length_is_inclusive() -> None:
    """A span of exactly the least length stays."""
    spans = np.array([[0.0, 5.0], [10.0, 14.999], [20.0, 30.0]])
    assert longer(spans, 5.0).tolist() == [[0.0, 5.0], [20.0, 30.0]]
