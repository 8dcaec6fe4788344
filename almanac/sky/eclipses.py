"""Eclipses of Moon and Sun as the whole Earth has them: greatest, gamma, kind, contacts.

All from geocentric apparent vectors: what is seen from Earth's centre casts the shadows too.
"""

from collections.abc import Callable

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from almanac.sky.crossings import roots
from almanac.sky.site_sky import EQUATOR_KM, SUN_RADIUS_KM
from almanac.sky.year_sky import YearSky

Floats = NDArray[np.float64]

K_EXTERNAL, K_INTERNAL = 0.2725076, 0.272281
"""The Moon's radius in Earth's equatorial radii: of the mean limb (IAU 1982), and of the valleys
where the last sunlight shines (Espenak & Meeus, Five Millennium Canon of Solar Eclipses,
NASA/TP-2006-214141, section 1.4)."""
DANJON = 1 + 1 / 85 - 1 / 594
"""The air makes Earth's shadow as large as if the Moon's parallax were this much greater; the last
term is the flattening at mid-latitude: Danjon's rule (Espenak & Meeus, Five Millennium Catalog of
Lunar Eclipses, NASA/TP-2009-214173, section 1.4)."""
RULES_APART = (0.026, 0.005)
"""Penumbral and umbral magnitudes by the other rule in use, Chauvenet's, are greater by so much
(Espenak, Shadow Diameters and Lunar Eclipses, EclipseWise)."""
CONTACT_REACH_S = 4 * 3600.0
"""No phase begins or ends farther from greatest eclipse: the longest lasts 6.3 hours."""
SLOPE_S = 30.0
GREATEST_REACH_S = 6 * 3600.0
"""Greatest eclipse comes within an hour of the phase."""
ECCENTRICITY_SQUARED = 0.00669438
"""WGS84 (NGA.STND.0036), first eccentricity."""


def overlap(disc: Floats, cover: Floats, apart: Floats) -> Floats:
    """Part of a disc's area under another disc: radii and distance of the centres in one unit."""
    reach = np.clip(apart, np.abs(disc - cover), disc + cover)
    with np.errstate(divide="ignore", invalid="ignore"):
        one = np.arccos(np.clip((reach**2 + disc**2 - cover**2) / (2 * reach * disc), -1, 1))
        two = np.arccos(np.clip((reach**2 + cover**2 - disc**2) / (2 * reach * cover), -1, 1))
    lens = disc**2 * (one - np.sin(2 * one) / 2) + cover**2 * (two - np.sin(2 * two) / 2)
    whole = np.minimum(1.0, (cover / disc) ** 2)
    inside = apart <= np.abs(disc - cover)
    return np.where(inside, whole, np.where(apart >= disc + cover, 0.0, lens / (np.pi * disc**2)))


def least_s(function: Callable[[Floats], Floats], utc_s: Floats, reach_s: float) -> Floats:
    """Where a bowl of time is lowest, one instant within reach of each of utc_s."""

    def slope(times: Floats) -> Floats:
        return function(times + SLOPE_S) - function(times - SLOPE_S)

    return roots(slope, utc_s - reach_s, utc_s + reach_s)


class Shadow(Struct, frozen=True):
    """The Moon and Earth's shadow at instants; angles at Earth's centre in radians, shape (n,)."""

    distance: Floats
    """Between the centres of Moon and shadow."""
    penumbra: Floats
    umbra: Floats
    moon: Floats
    """Radii."""
    axis_km: Floats
    """From the Moon's centre to the shadow's axis, positive where the Moon is north of it."""
    east: Floats
    north: Floats
    """Of the Moon's centre from the shadow's, on the sky."""

    @property
    def umbral_magnitude(self) -> Floats:
        """Part of the Moon's diameter in the umbra."""
        return (self.umbra + self.moon - self.distance) / (2 * self.moon)

    @property
    def penumbral_magnitude(self) -> Floats:
        """Part of the Moon's diameter in the penumbra."""
        return (self.penumbra + self.moon - self.distance) / (2 * self.moon)


def earth_shadow(sky: YearSky, utc_s: Floats) -> Shadow:
    """Earth's shadow, enlarged by Danjon's rule, and the Moon at POSIX seconds."""
    tt_days = sky.clock.tt_days(utc_s)
    moon, sun = sky.bodies["moon"].at(tt_days), sky.bodies["sun"].at(tt_days)
    moon_km, sun_km = np.linalg.norm(moon, axis=0), np.linalg.norm(sun, axis=0)
    axis = -sun / sun_km
    level = np.hypot(axis[0], axis[1])
    east = (moon[1] * axis[0] - moon[0] * axis[1]) / level
    along = np.sum(moon * axis, axis=0)
    north = (moon[2] - along * axis[2]) / level
    off_axis = np.hypot(east, north)
    parallax = DANJON * np.arcsin(EQUATOR_KM / moon_km) + np.arcsin(EQUATOR_KM / sun_km)
    sun_radius = np.arcsin(SUN_RADIUS_KM / sun_km)
    return Shadow(
        distance=np.arctan2(off_axis, along),
        penumbra=parallax + sun_radius,
        umbra=parallax - sun_radius,
        moon=np.arcsin(K_EXTERNAL * EQUATOR_KM / moon_km),
        axis_km=np.copysign(off_axis, north),
        east=np.arctan2(east, along),
        north=np.arctan2(north, along),
    )


class LunarEclipse(Struct, frozen=True):
    """An eclipse of the Moon."""

    kind: str
    """penumbral, partial or total."""
    greatest_s: float
    gamma: float
    """Least distance of the Moon's centre from the shadow's axis, Earth's radii, north positive."""
    penumbral_magnitude: float
    umbral_magnitude: float
    borderline: str | None
    """What another rule for the shadow could call it, where that is close: none for no eclipse."""
    contacts_s: dict[str, float]
    """POSIX seconds of p1 u1 u2 greatest u3 u4 p4 in order of time; those that happen."""


def lunar_kind(penumbral: float, umbral: float) -> str:
    """The kind by the magnitudes; none outside the penumbra."""
    if penumbral <= 0:
        return "none"
    if umbral <= 0:
        return "penumbral"
    return "total" if umbral >= 1 else "partial"


def borderline(penumbral: float, umbral: float) -> str | None:
    """The other kind that the eclipse would be if the shadow were a little larger or smaller."""
    kind = lunar_kind(penumbral, umbral)
    outer, inner = RULES_APART
    others = {lunar_kind(penumbral + side * outer, umbral + side * inner) for side in (-1, 1)}
    return next(iter(others - {kind}), None)


def lunar_eclipses(sky: YearSky, full_s: Floats) -> list[LunarEclipse]:
    """Eclipses of the Moon at the given instants of full Moon, in their order."""

    def off_axis(utc_s: Floats) -> Floats:
        return earth_shadow(sky, utc_s).distance ** 2

    greatest = least_s(off_axis, full_s, GREATEST_REACH_S)
    seen = earth_shadow(sky, greatest)
    real = np.flatnonzero(seen.penumbral_magnitude > 0)
    return [_lunar(sky, seen, row, float(greatest[row])) for row in real.tolist()]


def _lunar(sky: YearSky, seen: Shadow, row: int, greatest_s: float) -> LunarEclipse:
    penumbral = float(seen.penumbral_magnitude[row])
    umbral = float(seen.umbral_magnitude[row])
    return LunarEclipse(
        kind=lunar_kind(penumbral, umbral),
        greatest_s=greatest_s,
        gamma=float(seen.axis_km[row]) / EQUATOR_KM,
        penumbral_magnitude=penumbral,
        umbral_magnitude=umbral,
        borderline=borderline(penumbral, umbral),
        contacts_s=_lunar_contacts(sky, penumbral, umbral, greatest_s),
    )


def _touch(shadow: Shadow, phase: str) -> Floats:
    """How far a phase is from beginning, negative while it lasts."""
    reach = {
        "penumbral": shadow.penumbra + shadow.moon,
        "partial": shadow.umbra + shadow.moon,
        "total": shadow.umbra - shadow.moon,
    }
    return shadow.distance - reach[phase]


def _phase_s(sky: YearSky, phase: str, greatest_s: float) -> tuple[float, float]:
    """First and last instant of a phase."""
    low = np.array([greatest_s - CONTACT_REACH_S, greatest_s])

    def away(utc_s: Floats) -> Floats:
        return _touch(earth_shadow(sky, utc_s), phase)

    found = roots(away, low, low + CONTACT_REACH_S)
    return float(found[0]), float(found[1])


def _lunar_contacts(
    sky: YearSky, penumbral: float, umbral: float, greatest_s: float
) -> dict[str, float]:
    begin: dict[str, float] = {}
    end: dict[str, float] = {}
    phases = (
        ("penumbral", "p1", "p4", penumbral > 0),
        ("partial", "u1", "u4", umbral > 0),
        ("total", "u2", "u3", umbral >= 1),
    )
    for phase, first, last, happens in phases:
        if happens:
            begin[first], end_s = _phase_s(sky, phase, greatest_s)
            end = {last: end_s, **end}
    return {**begin, "greatest": greatest_s, **end}


class MoonShadow(Struct, frozen=True):
    """The Moon's shadow at instants, in Earth's equatorial radii on the plane through its centre
    that the axis meets at a right angle (Explanatory Supplement, 3rd ed., section 11.3.2)."""

    x: Floats
    y: Floats
    """Of the axis, east and north."""
    penumbra: Floats
    umbra: Floats
    """Radii on that plane; the umbra's is negative where the cone has not closed yet."""
    umbra_slope: Floats
    penumbra_slope: Floats
    """By how much they shrink for each radius toward the Moon."""
    stretch: Floats
    """y on an Earth made round: divided by this."""

    @property
    def round_distance(self) -> Floats:
        """Of the axis from Earth's centre on an Earth made round: below 1 it meets the ground."""
        return np.hypot(self.x, self.y / self.stretch)


def moon_shadow(sky: YearSky, utc_s: Floats) -> MoonShadow:
    """The Moon's shadow at POSIX seconds."""
    tt_days = sky.clock.tt_days(utc_s)
    moon = sky.bodies["moon"].at(tt_days) / EQUATOR_KM
    sun = sky.bodies["sun"].at(tt_days) / EQUATOR_KM
    apart = np.linalg.norm(sun - moon, axis=0)
    axis = (sun - moon) / apart
    level = np.hypot(axis[0], axis[1])
    height = np.sum(moon * axis, axis=0)
    sun_radius = SUN_RADIUS_KM / EQUATOR_KM
    outer, inner = (sun_radius + K_EXTERNAL) / apart, (sun_radius - K_INTERNAL) / apart
    outer_slope, inner_slope = outer / np.sqrt(1 - outer**2), inner / np.sqrt(1 - inner**2)
    return MoonShadow(
        x=(moon[1] * axis[0] - moon[0] * axis[1]) / level,
        y=(moon[2] - height * axis[2]) / level,
        penumbra=height * outer_slope + K_EXTERNAL / np.sqrt(1 - outer**2),
        umbra=height * inner_slope - K_INTERNAL / np.sqrt(1 - inner**2),
        penumbra_slope=outer_slope,
        umbra_slope=inner_slope,
        stretch=np.sqrt(1 - ECCENTRICITY_SQUARED * level**2),
    )
