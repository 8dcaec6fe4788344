"""Many small Moons in one drawing, all of one size: few bytes each, on a page and in a PDF."""

import math
from collections.abc import Sequence

from almanac.publish.charts.drawing import ink
from almanac.publish.charts.moon_disc import bright_limb_from_zenith_deg
from almanac.records.year import MoonNight

RADIUS = 16
QUARTER = 0.5523
"""Control points of a cubic curve that is nearly a quarter of a circle: 4/3 (sqrt(2) - 1)."""
LIMB = ((1, 0), (1, QUARTER), (QUARTER, 1), (0, 1), (-QUARTER, 1), (-1, QUARTER), (-1, 0))
TERMINATOR = ((-1, -QUARTER), (-QUARTER, -1), (0, -1), (QUARTER, -1), (1, -QUARTER), (1, 0))
"""Curves of the lit limb and of the full circle's other half, which is flattened to the phase."""

Placed = Sequence[tuple[int, int, MoonNight]]
"""Moons with the units across and down of their middles."""


def moon_dots(moons: Placed) -> str:
    """Round dots for edges and dark sides, and one path for all lit parts, zenith up."""
    dots = "".join(f"M{x} {y}h0" for x, y, _ in moons)
    lit = "".join(f"M{2 * x} {2 * y}{_lit(moon)}" for x, y, moon in moons)
    return (
        f'<g stroke-linecap="round"><path stroke="{ink("ink")}" stroke-width="{2 * RADIUS + 3}" '
        f'd="{dots}"/><path stroke="{ink("disc-dark")}" stroke-width="{2 * RADIUS}" d="{dots}"/>'
        f'</g><path transform="scale(.5)" fill="{ink("disc-lit")}" d="{lit}"/>'
    )


def _lit(moon: MoonNight) -> str:
    """The lit part about the current point, in whole half-units: half a circle, half an ellipse.

    As charts.moon_disc, but in cubic curves, for arcs grow long in a PDF.
    """
    tilt = math.radians(bright_limb_from_zenith_deg(moon))
    flat = math.cos(math.radians(moon.phase_angle_deg))
    outline = [*LIMB, *((x, y * flat) for x, y in TERMINATOR)]
    start, *rest = (_turned(x, y, tilt) for x, y in outline)
    path, here = f"m{start[0]} {start[1]}", start
    for i in range(0, len(rest), 3):
        curve = rest[i : i + 3]
        path += "c" + " ".join(f"{x - here[0]} {y - here[1]}" for x, y in curve)
        here = curve[-1]
    return path.replace(" -", "-") + "z"


def _turned(x: float, y: float, tilt: float) -> tuple[int, int]:
    """A point of the unit disc, turned to the left, in half-units with y downward."""
    scale, sine, cosine = 2 * RADIUS, math.sin(tilt), math.cos(tilt)
    return round(scale * (x * cosine - y * sine)), round(-scale * (x * sine + y * cosine))
