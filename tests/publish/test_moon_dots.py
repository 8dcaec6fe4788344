"""Small Moons: the same lit part as the large disc, in few bytes."""

import re

import pytest

from almanac.publish.charts.moon_disc import bright_limb_from_zenith_deg, lit_path
from almanac.publish.charts.moon_dots import RADIUS, moon_dots
from almanac.records.year import MoonNight, YearAlmanac

UNITS = 1.5
"""Allowed error: half-units are rounded, and the cubics are only nearly round."""


def lit_outline(moon: MoonNight) -> list[tuple[float, float]]:
    """The six ends of the curves and the start, in units about the middle."""
    path = re.search(r'scale\(\.5\)"[^>]* d="([^"]+)"', moon_dots([(0, 0, moon)]))
    assert path is not None
    figures = [list(map(int, re.findall(r"-?\d+", part))) for part in re.split("[Mmcz]", path[1])]
    _, _, start, *curves, _ = figures
    x, y = start
    ends = [(x / 2, y / 2)]
    for curve in curves:
        x, y = x + curve[4], y + curve[5]
        ends.append((x / 2, y / 2))
    return ends


def test_the_lit_part_is_that_of_the_large_disc(north: YearAlmanac) -> None:
    """Cusps, middle of the limb and middle of the terminator lie where the exact outline has."""
    for night in north.nights[::7]:
        moon = night.moon
        limb_deg = bright_limb_from_zenith_deg(moon)
        exact = lit_path(moon.phase_angle_deg, limb_deg, float(RADIUS))
        left, top, *_ = map(float, re.findall(r"-?[\d.]+", exact))
        right_cusp, limb, left_cusp, terminator, back = lit_outline(moon)
        assert right_cusp == back
        assert left_cusp == pytest.approx((left, top), abs=UNITS)
        assert right_cusp == pytest.approx((-left, -top), abs=UNITS)
        assert limb[0] ** 2 + limb[1] ** 2 == pytest.approx(RADIUS**2, abs=2 * UNITS * RADIUS)
        lit = ((limb[0] - terminator[0]) ** 2 + (limb[1] - terminator[1]) ** 2) ** 0.5
        assert lit / (2 * RADIUS) == pytest.approx(moon.illuminated_fraction, abs=0.05)


def test_a_years_moons_are_few_bytes(north: YearAlmanac) -> None:
    """A Moon takes no more than 150 bytes."""
    placed = [(50 * i, 0, night.moon) for i, night in enumerate(north.nights)]
    assert len(moon_dots(placed)) < 150 * len(placed)
