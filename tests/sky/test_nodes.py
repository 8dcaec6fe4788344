"""Interpolation between nodes: a grid at once gives what single times give."""

from fractions import Fraction
from math import prod

import numpy as np
import pytest

from almanac.sky.nodes import Grid, Nodes, value_weights
from almanac.sky.site_sky import SiteSky


def smooth(times):
    """A function with a known derivative, in two rows."""
    return np.stack([np.sin(times / 3), np.cos(times / 5)])


@pytest.mark.parametrize("fine", [2, 12, 24, 72, 288])
@pytest.mark.parametrize("points", [2, 8])
def test_a_grid_that_meets_the_nodes_is_not_a_step_off(points, fine):
    """Wherever a grid begins between two nodes, it gives the values of its times."""
    nodes = Nodes(0.0, 1.0, smooth(np.arange(30.0)), points)
    for k in range(fine):
        for begin in (4 + k / fine, np.nextafter(4 + k / fine, 0)):
            grid = Grid(float(begin), 1 / fine, 2 * fine + 1)
            assert np.abs(nodes.at(grid) - nodes.at(grid.times)).max() < 1e-9


def test_eight_points_follow_a_smooth_function_and_its_rate():
    """The interpolation's own error is far below its step."""
    nodes = Nodes(-2.0, 0.25, smooth(-2.0 + 0.25 * np.arange(100)), 8)
    times = np.random.default_rng(1).uniform(0.0, 20.0, 500)
    assert np.abs(nodes.at(times) - smooth(times)).max() < 1e-11
    rate = np.stack([np.cos(times / 3) / 3, -np.sin(times / 5) / 5])
    assert np.abs(nodes.rate_at(times) - rate).max() < 1e-9


@pytest.mark.parametrize("points", [2, 4, 6, 8, 10])
def test_weights_are_those_of_whole_numbers(points):
    """Lagrange's weights, got from fractions without any rounding, are met to the last digits."""
    offsets = range(1 - points // 2, points // 2 + 1)
    for u in (Fraction(0), Fraction(1, 8), Fraction(5, 16), Fraction(1, 2), Fraction(15, 16)):
        exact = [float(prod(Fraction(u - b) / (a - b) for b in offsets if b != a)) for a in offsets]
        found = value_weights(np.array([float(u)]), points)[:, 0]
        assert np.abs(found - exact).max() < 2e-15


def test_times_outside_the_nodes_are_refused():
    """Nothing is extrapolated: before the first full stencil or after the last is an error."""
    nodes = Nodes(0.0, 1.0, smooth(np.arange(20.0)), 8)
    assert nodes.at(np.array([3.0, 16.0])).shape == (2, 2)
    for outside in (2.99, 16.01, -1e6):
        with pytest.raises(ValueError, match="outside"):
            nodes.at(np.array([10.0, outside]))


@pytest.mark.parametrize("begin", ["1950-03-01", "2016-12-30", "2027-06-01"])
def test_a_site_s_grid_is_the_same_sky_as_its_times(begin, sky_of, make_site, at_utc):
    """Grid and single instants agree, also before 1972 and through a leap second."""
    sky = SiteSky(sky_of(int(begin[:4])), make_site(48.0, 11.0, 500.0))
    grid = Grid(at_utc(begin), 300.0, 1200)
    for body in ("moon", "sun"):
        at_once, one_by_one = sky.body(body, grid), sky.body(body, grid.times)
        assert np.abs(at_once.direction - one_by_one.direction).max() < 1e-11
