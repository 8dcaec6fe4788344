"""The root finder on made-up functions whose roots are known."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from almanac.sky.crossings import TOLERANCE_S, Function, crossings, roots
from almanac.sky.crossings import spans as spans_between

GRID = np.arange(0.0, 3601.0, 300.0)


def spans_above(function: Function, times: np.ndarray) -> np.ndarray:
    """Spans of the grid's whole length in which a function is positive."""
    return spans_between(crossings(function, times), float(times[0]), float(times[-1]))


def vertex(at_s, height, width_s=400.0):
    """A parabola whose top is given; positive between its two roots if height is."""
    return lambda t: height - ((t - at_s) / width_s) ** 2


def test_a_function_that_never_passes_zero_has_no_root():
    """Always up or always down: nothing found, and the span says which."""
    for level, spans in ((2.0, [[0.0, 3600.0]]), (-2.0, [])):

        def function(t, level=level):
            return level + np.sin(t / 500)

        found = crossings(function, GRID)
        assert found.utc_s.size == 0
        assert found.starts_above == (level > 0)
        assert spans_above(function, GRID).tolist() == spans


def test_each_root_of_a_sine_is_found_with_its_direction():
    """Rise and set alternate at the known instants."""
    found = crossings(lambda t: np.sin((t - 100) * np.pi / 900), GRID)
    assert found.utc_s == pytest.approx([100.0, 1000.0, 1900.0, 2800.0], abs=TOLERANCE_S)
    assert found.upward.tolist() == [True, False, True, False]
    assert not found.starts_above
    assert found.up() == pytest.approx([100.0, 1900.0], abs=TOLERANCE_S)


@pytest.mark.parametrize("height", [1.0, 0.1, 1e-3, 1e-6])
@pytest.mark.parametrize("at_s", [1500.0, 1603.7, 1650.0, 1799.9])
@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_grazing_pair_between_two_samples_is_found(at_s, height, sign):
    """A body that shows itself for seconds between samples has a rise and a set."""
    function = vertex(at_s, height)
    found = crossings(lambda t: sign * function(t), GRID)
    half = 400.0 * np.sqrt(height)
    assert found.utc_s == pytest.approx([at_s - half, at_s + half], abs=2 * TOLERANCE_S)
    assert found.upward.tolist() == [sign > 0, sign < 0]


def test_a_near_miss_has_no_root():
    """A top a millionth below zero is no rise."""
    assert crossings(vertex(1603.7, -1e-6), GRID).utc_s.size == 0


@pytest.mark.parametrize("sign", [1.0, -1.0])
@pytest.mark.parametrize("at_s", [1500.0, 1603.7])
def test_touching_zero_makes_no_span_of_any_length(at_s, sign):
    """A function that only touches zero is below it, or above, all the time."""
    function = vertex(at_s, 0.0)
    spans = spans_above(lambda t: sign * function(t), GRID)
    total = (spans[:, 1] - spans[:, 0]).sum() if len(spans) else 0.0
    assert total == pytest.approx(0.0 if sign > 0 else 3600.0, abs=3 * TOLERANCE_S)


@pytest.mark.parametrize("root_s", [0.0, 1e-4, 300.0, 1500.0, 3599.9999, 3600.0])
def test_roots_on_samples_and_at_both_edges_are_kept_in_their_span(root_s):
    """A root that falls on a sample is found once; the span before or after it is whole."""
    below = spans_above(lambda t: root_s - t, GRID)
    above = spans_above(lambda t: t - root_s, GRID)
    length_below = (below[:, 1] - below[:, 0]).sum() if len(below) else 0.0
    length_above = (above[:, 1] - above[:, 0]).sum() if len(above) else 0.0
    assert length_below == pytest.approx(root_s, abs=2 * TOLERANCE_S)
    assert length_above == pytest.approx(3600.0 - root_s, abs=2 * TOLERANCE_S)
    assert max(len(below), len(above)) <= 1


@pytest.mark.parametrize("jump_s", [1234.567, 1500.0, 1500.0001])
def test_a_jump_is_a_root_where_it_jumps(jump_s):
    """The wall of a barn is passed at once."""
    found = crossings(lambda t: np.where(t < jump_s, -3.0, 5.0), GRID)
    assert found.utc_s == pytest.approx([jump_s], abs=TOLERANCE_S)
    assert found.upward.tolist() == [True]


def test_two_jumps_apart_by_more_than_a_sample_are_both_found():
    """A chimney wider than a step hides the Moon once."""
    found = crossings(lambda t: np.where((t > 700) & (t < 1350), -1.0, 1.0), GRID)
    assert found.utc_s == pytest.approx([700.0, 1350.0], abs=TOLERANCE_S)
    assert found.upward.tolist() == [False, True]


def test_two_close_roots_of_a_steep_function_are_told_apart():
    """Roots 20 seconds apart around a sample are both found."""
    found = crossings(lambda t: (t - 1490.0) * (t - 1510.0) / 1e4, GRID)
    assert found.utc_s == pytest.approx([1490.0, 1510.0], abs=TOLERANCE_S)


def test_a_flat_top_at_zero_is_not_positive():
    """A function that is zero for a while is not above zero."""
    found = spans_above(lambda t: np.minimum(0.0, np.abs(t - 1800) - 600), GRID)
    assert found.shape == (0, 2)


def test_values_given_save_their_computation_and_change_nothing():
    """With known samples the function is asked only where it must be."""
    asked = []

    def function(t):
        asked.append(t.size)
        return np.sin(t / 400)

    plain = crossings(function, GRID)
    before = sum(asked)
    given_values = crossings(function, GRID, np.sin(GRID / 400))
    assert given_values.utc_s.tolist() == plain.utc_s.tolist()
    assert sum(asked) - before == before - GRID.size


@settings(max_examples=50, deadline=None)
@given(
    st.floats(0, 700),
    st.sampled_from([1, 3, 5]),
    st.lists(st.tuples(st.floats(1, 300), st.floats(1, 300)), min_size=1, max_size=5),
)
def test_brackets_close_on_every_root(first_s, power, widths):
    """In each bracket the root comes within the tolerance, wherever it lies and however flat."""
    expected = first_s + 700.0 * np.arange(len(widths))
    left, right = np.array(widths).T

    def function(t):
        return np.sin((t - first_s) * np.pi / 700) ** power

    found = roots(function, expected - left, expected + right)
    assert np.abs(found - expected).max() <= 2 * TOLERANCE_S


@st.composite
def bumpy(draw):
    """A sum of a few slow waves and a slope: smooth, with at most two roots in a step."""
    waves = draw(
        st.lists(
            st.tuples(st.floats(-1, 1), st.floats(2500, 9000), st.floats(0, 7)),
            min_size=1,
            max_size=4,
        )
    )
    level = draw(st.floats(-1, 1))
    slope = draw(st.floats(-1e-3, 1e-3))
    return lambda t: level + slope * t + sum(a * np.sin(t / p * 7 + f) for a, p, f in waves)


@settings(max_examples=50, deadline=None)
@given(bumpy())
def test_spans_are_where_a_fine_scan_sees_the_function_positive(function):
    """Second by second, above and below are what the spans say, grazing by a hair left out."""
    fine = np.arange(300.0, 3301.0, 1.0)
    height = function(fine)
    spans = spans_above(function, GRID)
    inside = ((fine[:, None] >= spans[:, 0]) & (fine[:, None] <= spans[:, 1])).any(axis=1)
    clear = np.abs(height) > 2e-3
    assert (inside[clear] == (height[clear] > 0)).all()


@settings(max_examples=50, deadline=None)
@given(bumpy(), st.lists(st.floats(0, 3600), max_size=5), st.floats(-3, 3))
def test_steps_on_a_smooth_function_are_found_where_they_stand_alone(function, steps, jump):
    """Walls on a hill: spans follow the jumps where none falls between the same two samples."""
    steps = sorted(steps)
    cells = [int(at // 300) for at in steps]
    steps = np.array([at for at, cell in zip(steps, cells, strict=True) if cells.count(cell) == 1])

    def stepped(t):
        sign = (-1.0) ** np.searchsorted(steps, t)
        return function(t) + jump * sign

    times = np.union1d(GRID, np.concatenate((steps - 1e-3, steps + 1e-3)).clip(0, 3600))
    spans = spans_above(stepped, times)
    fine = np.arange(300.5, 3300.0, 1.0)
    height = stepped(fine)
    inside = ((fine[:, None] >= spans[:, 0]) & (fine[:, None] <= spans[:, 1])).any(axis=1)
    near = np.abs(fine[:, None] - steps).min(axis=1, initial=np.inf) < 0.01
    clear = (np.abs(height) > 2e-3) & ~near
    assert (inside[clear] == (height[clear] > 0)).all()
