"""The closed form of the hop's error against a mount that is tilted and turned in full."""

import math
from collections.abc import Callable
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec import Struct
from numpy.typing import NDArray
from scipy.special import ndtr

from almanac.plan.hop import (
    SOLVE_ERROR_DEG,
    HopError,
    half_frame_deg,
    hop_error,
    landing_chance,
)
from almanac.records.agreement import LANDING_PART
from almanac.records.config import Telescope

Floats = NDArray[np.float64]
MakeTelescope = Callable[..., Telescope]
DRAWS = 100_000
FRAME = (0.299, 0.532)
"""Half frame of the default telescope: 1080 x 1920 px of 2.9 um behind 300 mm."""


class Hop(Struct, frozen=True):
    """A star, the Moon, and how far the mount's axis may lean each way."""

    star: tuple[float, float]
    """(azimuth_deg, altitude_deg)."""
    moon: tuple[float, float]
    level_deg: float = 0.3

    def error(self) -> HopError:
        places = [np.array(angle) for angle in (*self.star, *self.moon)]
        return hop_error(*places, self.level_deg)


HOPS = [
    Hop((90, 60), (180, 40)),
    Hop((170, 55), (180, 40)),
    Hop((180, 30), (180, 70)),
    Hop((0, 45), (180, 20)),
    Hop((300, 78), (120, 16)),
    Hop((355, 20), (15, 25)),
    Hop((90, 60), (180, 40), level_deg=1.0),
    Hop((200, 25), (140, 80), level_deg=0.5),
]


def toward(azimuth_deg: Floats | float, altitude_deg: Floats | float) -> Floats:
    """Unit vectors (north, east, up), shape (3, n)."""
    azimuth, altitude = np.radians(azimuth_deg), np.radians(altitude_deg)
    level = np.cos(altitude)
    return np.stack(
        np.broadcast_arrays(level * np.cos(azimuth), level * np.sin(azimuth), np.sin(altitude))
    )


def rotated(vectors: Floats, axis: Floats, angle: Floats, back: bool = False) -> Floats:
    """Rodrigues' rotation of (3, n) vectors about (3, n) unit axes by angles in radians."""
    turn = -angle if back else angle
    along = np.sum(axis * vectors, axis=0)
    sideways = np.cross(axis, vectors, axis=0)
    return vectors * np.cos(turn) + sideways * np.sin(turn) + axis * along * (1 - np.cos(turn))


@cache
def landings(hop: Hop) -> Floats:
    """Where the Moon falls in the frame, degrees (across, up), shape (2, DRAWS).

    The mount's vertical axis leans by a random rotation about a level axis. It solves on the
    star, which tells it its encoders' offsets there, moves both encoders by the difference of
    the catalogued places, and looks: the Moon is projected on the tangent plane of the frame,
    whose sides follow the leaning mount.
    """
    random = np.random.default_rng(20270101)
    lean = np.radians(hop.level_deg) * random.standard_normal((2, DRAWS))
    angle = np.hypot(*lean)
    axis = np.stack([lean[0] / angle, lean[1] / angle, np.zeros(DRAWS)])
    star = rotated(np.repeat(toward(*hop.star)[:, None], DRAWS, axis=1), axis, angle, back=True)
    encoders = np.degrees([np.arctan2(star[1], star[0]), np.arcsin(star[2])])
    encoders += np.subtract(hop.moon, hop.star)[:, None]
    frame = [
        rotated(vector, axis, angle)
        for vector in (
            toward(*encoders),
            toward(encoders[0] + 90, 0.0),
            toward(encoders[0], encoders[1] + 90),
        )
    ]
    ahead, right, up = (np.sum(side * toward(*hop.moon)[:, None], axis=0) for side in frame)
    seen = np.degrees(np.arctan2([right, up], ahead))
    return seen + SOLVE_ERROR_DEG * random.standard_normal((2, DRAWS))


@pytest.mark.parametrize("hop", HOPS, ids=str)
@pytest.mark.parametrize("frame", [FRAME, (0.532, 0.299), (0.12, 0.12)], ids=str)
def test_landing_chance_agrees_with_a_tilted_mount(hop: Hop, frame: tuple[float, float]) -> None:
    """To four standard errors of the draws and 0.003 for what a linear tilt leaves out."""
    across, up = np.abs(landings(hop))
    hits = float(np.mean((across < frame[0]) & (up < frame[1])))
    noise = math.sqrt(max(hits * (1 - hits), 1 / DRAWS) / DRAWS)
    assert landing_chance(hop.error(), frame) == pytest.approx(hits, abs=4 * noise + LANDING_PART)


@pytest.mark.parametrize("hop", HOPS, ids=str)
def test_covariance_agrees_with_a_tilted_mount(hop: Hop) -> None:
    """Both variances and the covariance with its sign, to two per cent of the largest."""
    found = np.cov(landings(hop))
    error = hop.error()
    expected = [[error.across, error.shared], [error.shared, error.along]]
    assert found == pytest.approx(np.array(expected), abs=0.02 * float(np.max(found)))


def test_the_worked_hop_has_the_worked_error() -> None:
    """Star 90/60, Moon 180/40, level 0.3: by hand 0.3 x cos 40 x hypot(1.7321, 0.8391).

    That is 0.442 across and 0.3 x sqrt(2) = 0.424 in height, before the solving error.
    """
    error = Hop((90, 60), (180, 40)).error()
    steep_star, steep_moon = math.tan(math.radians(60)), math.tan(math.radians(40))
    across = 0.3 * math.cos(math.radians(40)) * math.hypot(steep_star, steep_moon)
    assert math.sqrt(error.across - SOLVE_ERROR_DEG**2) == pytest.approx(across, rel=1e-12)
    assert math.sqrt(error.across) == pytest.approx(0.442, abs=0.001)
    assert math.sqrt(error.along) == pytest.approx(0.425, abs=0.001)


def test_a_star_in_the_same_direction_leaves_an_error_across_only() -> None:
    """At the Moon's azimuth the error is across only: (tan h difference) x cos h of the Moon."""
    same = Hop((180, 60), (180, 40)).error()
    assert same.along == pytest.approx(SOLVE_ERROR_DEG**2)
    steep = math.tan(math.radians(60)) - math.tan(math.radians(40))
    across = 0.3 * math.cos(math.radians(40)) * steep
    assert same.across == pytest.approx(across**2 + SOLVE_ERROR_DEG**2)
    aside = Hop((120, 40), (180, 40)).error()
    assert landing_chance(Hop((180, 20), (180, 40)).error(), FRAME) > landing_chance(aside, FRAME)


def test_a_star_near_the_zenith_serves_badly() -> None:
    """Its azimuth means little."""
    overhead = landing_chance(Hop((180, 88), (180, 40)).error(), FRAME)
    assert overhead < 0.1 < landing_chance(Hop((180, 60), (180, 40)).error(), FRAME)


azimuths = st.floats(0, 360)
altitudes = st.floats(0, 88)
levels = st.floats(0.01, 10)
halves = st.tuples(st.floats(0.05, 10), st.floats(0.4, 2.5)).map(lambda f: (f[0], f[0] * f[1]))


@given(azimuths, altitudes, azimuths, altitudes, levels, halves)
def test_a_chance_is_a_probability(
    a: float, h: float, moon_a: float, moon_h: float, level: float, frame: tuple[float, float]
) -> None:
    """From nought to one for every geometry a config allows, with a covariance that is one."""
    error = Hop((a, h), (moon_a, moon_h), level).error()
    assert 0.0 <= landing_chance(error, frame) <= 1.0
    assert min(error.across, error.along) >= SOLVE_ERROR_DEG**2
    assert error.across * error.along - error.shared**2 > 0


usual = st.floats(15, 85)


@settings(max_examples=60)
@given(azimuths, usual, azimuths, usual, levels, halves)
def test_the_quadrature_keeps_its_promise(
    a: float, h: float, moon_a: float, moon_h: float, level: float, frame: tuple[float, float]
) -> None:
    """To 1e-4 of the same integral over four thousand strips, at the usual altitudes."""
    error = Hop((a, h), (moon_a, moon_h), level).error()
    sigma = math.sqrt(error.across)
    reach = min(frame[0], 9 * sigma)
    x = np.linspace(-reach, reach, 4_001)
    middle = error.shared / error.across * x
    spread = math.sqrt(error.along - error.shared**2 / error.across)
    inside = ndtr((frame[1] - middle) / spread) - ndtr((-frame[1] - middle) / spread)
    density = np.exp(-0.5 * (x / sigma) ** 2) / (sigma * math.sqrt(2 * math.pi))
    assert landing_chance(error, frame) == pytest.approx(
        np.trapezoid(density * inside, x), abs=1e-4
    )


@given(azimuths, altitudes, azimuths, altitudes, st.floats(-720, 720))
def test_the_chance_does_not_know_where_north_is(
    a: float, h: float, moon_a: float, moon_h: float, turn: float
) -> None:
    """Turning star and Moon by one angle changes neither chance nor covariance."""
    error = Hop((a, h), (moon_a, moon_h)).error()
    turned = Hop((a + turn, h), (moon_a + turn, moon_h)).error()
    for name in ("across", "along", "shared"):
        size = float(np.maximum(error.across, error.along))
        assert getattr(turned, name) == pytest.approx(getattr(error, name), abs=1e-9 * size)
    assert landing_chance(turned, FRAME) == pytest.approx(landing_chance(error, FRAME), abs=1e-7)


@given(azimuths, altitudes, azimuths, altitudes)
def test_east_and_west_are_alike(a: float, h: float, moon_a: float, moon_h: float) -> None:
    """The mirrored hop has the mirrored error and the same chance."""
    error, mirrored = Hop((a, h), (moon_a, moon_h)).error(), Hop((-a, h), (-moon_a, moon_h)).error()
    assert mirrored.across == pytest.approx(error.across)
    assert mirrored.shared == pytest.approx(-error.shared, abs=1e-9)
    assert landing_chance(mirrored, FRAME) == pytest.approx(landing_chance(error, FRAME), abs=1e-9)


@given(azimuths, altitudes, azimuths, altitudes, levels, st.floats(1.01, 3), halves)
def test_chance_falls_with_level_error_and_grows_with_the_frame(
    a: float,
    h: float,
    moon_a: float,
    moon_h: float,
    level: float,
    more: float,
    frame: tuple[float, float],
) -> None:
    """A worse tripod never helps; a larger sensor never hurts."""
    places = ((a, h), (moon_a, moon_h))
    chance = landing_chance(Hop(*places, level).error(), frame)
    assert landing_chance(Hop(*places, level * more).error(), frame) <= chance + 1e-6
    larger = (frame[0] * more, frame[1] * more)
    assert landing_chance(Hop(*places, level).error(), larger) >= chance - 1e-6


@given(azimuths, altitudes, azimuths, altitudes)
def test_a_huge_frame_always_holds_the_moon(
    a: float, h: float, moon_a: float, moon_h: float
) -> None:
    """Ten standard deviations each way."""
    error = Hop((a, h), (moon_a, moon_h)).error()
    frame = (10 * math.sqrt(error.across), 10 * math.sqrt(error.along))
    assert landing_chance(error, frame) == pytest.approx(1.0, abs=1e-6)


@given(azimuths, altitudes, azimuths, altitudes)
def test_without_tilt_only_solving_is_left(
    a: float, h: float, moon_a: float, moon_h: float
) -> None:
    """A perfectly levelled mount misses by the solving error alone, in two independent ways."""
    error = Hop((a, h), (moon_a, moon_h), 0.0).error()
    one = math.erf(0.03 / SOLVE_ERROR_DEG / math.sqrt(2))
    two = math.erf(0.05 / SOLVE_ERROR_DEG / math.sqrt(2))
    assert landing_chance(error, (0.03, 0.05)) == pytest.approx(one * two, abs=1e-6)


@given(azimuths, altitudes, levels)
def test_a_star_in_the_moons_place_needs_no_level(a: float, h: float, level: float) -> None:
    """No move, no error but that of solving."""
    error = Hop((a, h), (a, h), level).error()
    assert error.across == pytest.approx(SOLVE_ERROR_DEG**2)
    assert error.along == pytest.approx(SOLVE_ERROR_DEG**2)
    assert error.shared == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize("sign", [1, -1])
@pytest.mark.parametrize("frame", [(0.3, 0.9), (0.9, 0.3)])
def test_perfectly_correlated_axes_leave_one_error(sign: int, frame: tuple[float, float]) -> None:
    """With little else than one error the chance is that against the tighter side."""
    sigma = 0.4
    correlation = sign * math.sqrt(1 - (0.05 / sigma) ** 2)
    error = HopError(np.array(sigma**2), np.array(sigma**2), np.array(correlation * sigma**2))
    expected = math.erf(0.3 / sigma / math.sqrt(2))
    assert landing_chance(error, frame) == pytest.approx(expected, abs=1e-4)


def test_chances_come_in_the_shape_of_the_places() -> None:
    """Windows by stars."""
    star = np.array([[90.0, 120.0, 150.0], [10.0, 20.0, 30.0]])
    error = hop_error(star, star / 3, np.array([[180.0], [40.0]]), np.array([[40.0], [30.0]]), 0.3)
    found = landing_chance(error, FRAME)
    assert found.shape == (2, 3)
    single = Hop((20.0, 20 / 3), (40.0, 30.0)).error()
    assert found[1, 1] == pytest.approx(float(landing_chance(single, FRAME)), abs=1e-12)


def test_the_half_frame_is_half_the_sensors_angle(make_telescope: MakeTelescope) -> None:
    """540 x 2.9 um and 960 x 2.9 um behind 300 mm: atan 0.00522 and atan 0.00928."""
    across, up = half_frame_deg(make_telescope())
    assert (across, up) == pytest.approx((0.29908, 0.53169), abs=1e-5)
