"""Eclipses of the Sun: which new Moons bring one, where greatest, and of what kind on Earth."""

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from almanac.sky.crossings import crossings
from almanac.sky.eclipses import GREATEST_REACH_S, MoonShadow, least_s, moon_shadow
from almanac.sky.year_sky import YearSky

Floats = NDArray[np.float64]

CENTRAL_REACH_S = 3 * 3600.0
"""The axis crosses Earth in less than twice that."""
CENTRAL_STEP_S = 300.0


class SolarEclipse(Struct, frozen=True):
    """An eclipse of the Sun somewhere on Earth."""

    kind: str
    """partial, annular, total or hybrid."""
    greatest_s: float
    """POSIX seconds at which the shadow's axis passes nearest Earth's centre."""
    gamma: float
    """That distance in Earth's equatorial radii, positive where the axis passes north."""
    magnitude: float
    """At the ground nearest the axis then: Moon's diameter over the Sun's where the axis meets
    it, else the part of the Sun's diameter that is covered."""


def solar_eclipses(sky: YearSky, new_s: Floats) -> list[SolarEclipse]:
    """Eclipses of the Sun at the given instants of new Moon, in their order."""

    def off_centre(utc_s: Floats) -> Floats:
        shadow = moon_shadow(sky, utc_s)
        return shadow.x**2 + shadow.y**2

    greatest = least_s(off_centre, new_s, GREATEST_REACH_S)
    shadow = moon_shadow(sky, greatest)
    gap = _gap(shadow)
    real = np.flatnonzero(gap < shadow.penumbra)
    gamma = np.copysign(np.hypot(shadow.x, shadow.y), shadow.y)
    magnitude = _magnitude(shadow, gap)
    return [
        SolarEclipse(
            kind=_kind(sky, greatest[row], float(gap[row]), float(shadow.umbra[row])),
            greatest_s=float(greatest[row]),
            gamma=float(gamma[row]),
            magnitude=float(magnitude[row]),
        )
        for row in real.tolist()
    ]


def _gap(shadow: MoonShadow) -> Floats:
    """How far the axis passes from the ground, 0 where it meets it."""
    around = np.maximum(shadow.round_distance, 1.0)
    return np.hypot(shadow.x, shadow.y) * (1 - 1 / around)


def _height(shadow: MoonShadow) -> Floats:
    """Of the ground under the axis, from the plane through Earth's centre toward the Moon."""
    return np.sqrt(np.maximum(0.0, 1 - shadow.round_distance**2))


def _magnitude(shadow: MoonShadow, gap: Floats) -> Floats:
    outer = shadow.penumbra - _height(shadow) * shadow.penumbra_slope
    inner = shadow.umbra - _height(shadow) * shadow.umbra_slope
    return np.where(gap > 0, (outer - gap) / (outer + inner), (outer - inner) / (outer + inner))


def _kind(sky: YearSky, greatest_s: float, gap: float, umbra: float) -> str:
    """total or annular if the umbra touches Earth; hybrid if it changes along its way."""
    if gap > abs(umbra):
        return "partial"
    if gap > 0:
        return "annular" if umbra > 0 else "total"
    times = np.arange(
        greatest_s - CENTRAL_REACH_S, greatest_s + CENTRAL_REACH_S + 1, CENTRAL_STEP_S
    )
    ends = crossings(lambda at: 1 - moon_shadow(sky, at).round_distance ** 2, times).utc_s
    shadow = moon_shadow(sky, np.append(ends, greatest_s))
    closed = shadow.umbra - _height(shadow) * shadow.umbra_slope < 0
    if closed.all():
        return "total"
    return "hybrid" if closed.any() else "annular"
