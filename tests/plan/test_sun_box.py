"""How near to the Sun a move comes: the box against brute force, laws, and ten thousand hops."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from almanac.plan.sun_box import EITHER_WAY_DEG, box_clearance_deg, is_allowed

Floats = NDArray[np.float64]

azimuths = st.floats(0, 360, exclude_max=True)
altitudes = st.floats(-90, 90)
STEPS = 161


def unit(azimuth_deg: Floats, altitude_deg: Floats) -> Floats:
    """Unit vectors (east, north, up)."""
    azimuth, altitude = np.radians(azimuth_deg), np.radians(altitude_deg)
    level = np.cos(altitude)
    return np.stack([level * np.sin(azimuth), level * np.cos(azimuth), np.sin(altitude)])


def brute_deg(sun: Floats, start: Floats, end: Floats, steps: int = STEPS) -> float:
    """Least angle between the Sun and a fine mesh of the box, azimuth and altitude apart."""
    turn = (end[0] - start[0] + 180) % 360 - 180
    if abs(turn) > 180 - EITHER_WAY_DEG:
        turn = 360.0
    azimuth = start[0] + np.linspace(0, turn, steps)
    altitude = np.linspace(start[1], end[1], steps)
    mesh = unit(*np.meshgrid(azimuth, altitude))
    cosine = np.einsum("i,ijk->jk", unit(*sun), mesh)
    return float(np.degrees(np.arccos(np.clip(cosine.max(), -1, 1))))


def random_moves(count: int) -> tuple[Floats, Floats, Floats]:
    """Sun, start and end of moves: each (2, count), azimuth and altitude; the Sun is up."""
    dice = np.random.default_rng(2027)

    def directions(lowest: float) -> Floats:
        return np.stack([dice.uniform(0, 360, count), dice.uniform(lowest, 90, count)])

    return directions(-0.8), directions(-20.0), directions(-20.0)


def test_the_least_distance_is_that_of_a_fine_mesh_of_the_box() -> None:
    """On 200 random moves it is never above the mesh's least, nor more than a mesh width below."""
    sun, start, end = random_moves(200)
    ours = box_clearance_deg(*sun, *start, *end)
    meshed = np.array([brute_deg(*places) for places in zip(sun.T, start.T, end.T, strict=True)])
    assert np.all(ours <= meshed + 1e-6)
    assert np.all(meshed - ours <= 1.3)


@pytest.mark.parametrize(
    ("sun", "start", "end", "expected"),
    [
        ((180, 30), (170, 20), (190, 40), 0.0),
        ((180, 30), (170, 40), (190, 50), 10.0),
        ((350, 10), (355, 10), (20, 10), 4.9240),
        ((0, 80), (90, 10), (100, 89), 10.05),
        ((0, 10), (175, 20), (5, 20), 11.0801),
        ((90, 10), (0, 20), (180, 20), 10.0),
        ((270, 10), (0, 20), (180, 20), 10.0),
        ((270, 10), (10, 20), (170, 20), 95.81),
    ],
)
def test_boxes_with_known_answers(
    sun: tuple[float, float], start: tuple[float, float], end: tuple[float, float], expected: float
) -> None:
    """Sun inside, above, beside over north, past the zenith, and a turn of half a round."""
    found = box_clearance_deg(*map(np.float64, (*sun, *start, *end)))
    assert found == pytest.approx(expected, abs=0.06)


@settings(max_examples=200, deadline=None)
@given(azimuths, altitudes, azimuths, altitudes, azimuths, altitudes, azimuths)
def test_laws_of_the_box(
    sun_a: float, sun_h: float, a: float, h: float, b: float, g: float, turn: float
) -> None:
    """The way back is the way there, turning all of it changes nothing, ends lie in the box."""
    sun, start, end = (np.float64(sun_a), np.float64(sun_h)), (a, h), (b, g)
    there = box_clearance_deg(*sun, *start, *end)
    assert box_clearance_deg(*sun, *end, *start) == pytest.approx(there, abs=1e-6)
    if abs(abs((b - a + 180) % 360 - 180) - (180 - EITHER_WAY_DEG)) > 1e-6:
        turned = box_clearance_deg(sun[0] + turn, sun[1], a + turn, h, b + turn, g)
        assert turned == pytest.approx(there, abs=1e-6)
    for corner in (start, end, (a, g), (b, h)):
        alone = box_clearance_deg(*sun, *corner, *corner)
        assert there <= alone + 1e-6


def test_no_hop_of_ten_thousand_passes_within_the_stop_distance_of_a_risen_sun() -> None:
    """Of 10000 random hops those offered keep the mount, on either axis first, off the Sun."""
    stop_deg = 15.0
    sun, start, end = random_moves(10_000)
    up = sun[1] > -0.833
    offered = is_allowed(box_clearance_deg(*sun, *start, *end), up, stop_deg)
    assert 1000 < offered.sum() < 9900
    turn = (end[0] - start[0] + 180) % 360 - 180
    way = np.linspace(0, 1, 91)[:, None]
    nearest = np.full(10_000, np.inf)
    for along, up_first in ((way, 0.0), (way, 1.0), (0.0, way), (1.0, way)):
        azimuth, altitude = np.broadcast_arrays(
            start[0] + along * turn, start[1] + up_first * (end[1] - start[1])
        )
        path = unit(azimuth, altitude)
        cosine = np.einsum("in,ikn->kn", unit(*sun), path)
        nearest = np.minimum(nearest, np.degrees(np.arccos(np.clip(cosine.max(axis=0), -1, 1))))
    assert np.all(nearest[offered] >= stop_deg - 1e-6)
    assert np.any(nearest[~offered] < stop_deg)


def test_a_sun_below_the_horizon_stops_nothing() -> None:
    """A move across a Sun that is down is allowed, and a risen one at the stop distance too."""
    down, up = np.array([False]), np.array([True])
    assert is_allowed(np.array([0.0]), down, 15.0)
    assert is_allowed(np.array([15.0]), up, 15.0)
    assert not is_allowed(np.array([14.99]), up, 15.0)
