"""The Moon's disc from its numbers: lit part, size and tilt as an alt-azimuth frame shows it.

Zenith up, no mirror: what the naked eye or a camera sees.
"""

import math
from collections.abc import Sequence

from markupsafe import Markup, escape

from almanac.publish.charts.drawing import ink
from almanac.publish.charts.moon_names import DOT, TEXT_SIZE, drawn, named
from almanac.publish.terms import N_
from almanac.publish.wording import Wording
from almanac.records.globe import LitFeature
from almanac.records.year import MoonNight

MEAN_DIAMETER_ARCMIN = 31.08
"""Seen from the Earth's centre at the mean distance 384 400 km, radius 1737.4 km (Archinal et al.,
Celestial Mechanics 109 (2011) 101, table 4): 2 asin(1737.4 / 384400)."""
LARGEST_DIAMETER_ARCMIN = 34.1
"""Room kept: perigee of 356 400 km with the Moon overhead, one Earth radius nearer."""
RADIUS = 125
"""Of the mean Moon in the large disc's drawing."""
NAMES_WIDTH = 142
"""Room for names on either side of the largest disc."""
MAP_RADIUS = 60
UNLIT, FULL = 0.005, 0.995
"""Lit fractions outside which no lit side is named."""

SIDES = (
    N_("lit side above"),
    N_("lit side on the left and above"),
    N_("lit side on the left"),
    N_("lit side on the left and below"),
    N_("lit side below"),
    N_("lit side on the right and below"),
    N_("lit side on the right"),
    N_("lit side on the right and above"),
)
"""Where the middle of the bright limb lies, by eighths of a turn from the zenith to the left."""


def bright_limb_from_zenith_deg(moon: MoonNight) -> float:
    """Angle at the disc from the zenith to the middle of the bright limb, 0 to 360.

    Positive turns from up to the left, as position angles do with north up.
    """
    return (moon.bright_limb_position_angle_deg - moon.zenith_position_angle_deg) % 360


def lit_path(phase_angle_deg: float, limb_deg: float, radius: float) -> str:
    """The outline of the lit part about the origin, y downward, to tenths of a unit.

    The limb is a half circle, the terminator the half of an ellipse whose short half-axis is
    radius x cos(phase angle) (Meeus, Astronomical Algorithms, 2nd ed., chapter 48).
    """
    tilt = math.radians(limb_deg)
    x, y = radius * math.cos(tilt), -radius * math.sin(tilt)
    short = radius * math.cos(math.radians(phase_angle_deg))
    cusps = f"{-x:.1f} {-y:.1f}", f"{x:.1f} {y:.1f}"
    r = f"{radius:g}"
    ellipse = f"A{r} {abs(short):.1f} {-limb_deg:.0f} 0 {int(short > 0)} {cusps[0]}"
    return f"M{cusps[0]}A{r} {r} 0 0 1 {cusps[1]}{ellipse}z".replace("-0.0", "0").replace(".0", "")


def moon_disc(
    moon: MoonNight, words: Wording, features: Sequence[LitFeature] = (), radius: float = RADIUS
) -> Markup:
    """The disc as inline SVG with a text alternative, all to one scale, features named beside it.

    ``radius`` is that of the mean Moon in units; the drawing has the same size with and without
    names.
    """
    half = math.ceil(radius * LARGEST_DIAMETER_ARCMIN / MEAN_DIAMETER_ARCMIN + 1)
    wide = half + NAMES_WIDTH
    size = _radius(moon, radius)
    names = drawn(named(features, size, wide, half))
    return Markup(
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{-wide} {-half} {2 * wide} {2 * half}" '
        f'role="img" aria-label="{escape(disc_text(moon, features, words))}" '
        f'font-family="system-ui,sans-serif" font-size="{TEXT_SIZE}">'
        f"{_shapes(moon, size)}{''.join(names)}</svg>"
    )


def tiny_moon_disc(moon: MoonNight) -> Markup:
    """The disc for a table cell that also tells the phase in words: no text alternative.

    Its inks stand once in the stylesheet, for a year has hundreds.
    """
    radius = _radius(moon, 8.5)
    lit = lit_path(moon.phase_angle_deg, bright_limb_from_zenith_deg(moon), radius)
    return Markup(
        f'<svg viewBox="-10 -10 20 20" aria-hidden="true"><circle r="{radius:g}"/>'
        f'<path d="{lit}"/></svg>'
    )


def feature_map(latitude_deg: float, longitude_deg: float, label: str) -> Markup:
    """The mean disc with the Moon's north up and one place marked, as a small map.

    Longitude is east positive. A place beyond the mean limb is marked on the limb.
    """
    right, up = map_place(latitude_deg, longitude_deg)
    x, y = MAP_RADIUS * right, -MAP_RADIUS * up
    half, edge = MAP_RADIUS + 4, f'stroke="{ink("quiet")}"'
    r = MAP_RADIUS
    return Markup(
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{-half} {-half} {2 * half} {2 * half}" '
        f'role="img" aria-label="{escape(label)}">'
        f'<circle r="{r}" fill="{ink("disc-lit")}" {edge}/>'
        f'<path {edge} stroke-width=".6" d="M{-r} 0H{r}M0 {-r}V{r}"/>'
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{DOT}" fill="{ink("moon")}" {edge}/>'
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="9" fill="none" stroke="{ink("moon")}" '
        'stroke-width="2"/></svg>'
    )


def map_place(latitude_deg: float, longitude_deg: float) -> tuple[float, float]:
    """Right and up, in radii, of a place of the Moon at mean libration with its north up."""
    latitude, longitude = math.radians(latitude_deg), math.radians(longitude_deg)
    right, up = math.cos(latitude) * math.sin(longitude), math.sin(latitude)
    beyond = math.cos(longitude) < 0
    far = math.hypot(right, up) if beyond else 1.0
    return right / far, up / far


def _radius(moon: MoonNight, mean_radius: float) -> float:
    return round(mean_radius * moon.angular_diameter_arcmin / MEAN_DIAMETER_ARCMIN, 1)


def _shapes(moon: MoonNight, radius: float) -> str:
    edge = f'stroke="{ink("quiet")}" stroke-width="{radius / 80:.2g}"'
    lit = lit_path(moon.phase_angle_deg, bright_limb_from_zenith_deg(moon), radius)
    return (
        f'<circle r="{radius:g}" fill="{ink("disc-dark")}" {edge}/>'
        f'<path fill="{ink("disc-lit")}" d="{lit}"/>'
    )


def disc_text(moon: MoonNight, features: Sequence[LitFeature], words: Wording) -> str:
    """The disc in words, with each named feature and where it stands."""
    text = moon_text(moon, words)
    if not features:
        return text
    places = ", ".join(
        words.gettext("%(name)s (%(place)s)", name=f.name, place=words.disc_place(f.right, f.up))
        for f in features
    )
    return words.gettext("%(moon)s. Marked: %(features)s", moon=text, features=places)


def moon_text(moon: MoonNight, words: Wording) -> str:
    """The disc in words, such as: Waxing gibbous, 63% lit, lit side on the right and below."""
    shape = words.moon_shape(moon.illuminated_fraction, moon.waxing)
    lit = words.gettext("%(percent)s lit", percent=words.percent(moon.illuminated_fraction))
    parts = [shape, lit]
    if UNLIT < moon.illuminated_fraction < FULL:
        parts.append(words.gettext(SIDES[round(bright_limb_from_zenith_deg(moon) / 45) % 8]))
    return ", ".join(parts)
