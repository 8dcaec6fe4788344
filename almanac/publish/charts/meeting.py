"""Where on the Moon's limb a star goes, and the Moon beside its neighbour, both zenith up."""

import math
from collections.abc import Iterator

from markupsafe import Markup

from almanac.publish.charts.drawing import TEXT, WIDTH, ink, svg, text
from almanac.publish.charts.moon_disc import lit_path
from almanac.publish.meeting_words import body_name, capital, contact_sentence
from almanac.publish.wording import Wording
from almanac.records.meetings import Approach, LimbContact, Occultation

LIMB_RADIUS = 130.0
LIMB_HEIGHT = 360
APPROACH_HEIGHT = 460
MARGIN = 56.0
HEAD = 40.0
DOT = 6.0


def _moon(x: float, y: float, radius: float, fraction: float, limb_deg: float) -> str:
    """The disc with its lit part."""
    phase = math.degrees(math.acos(min(max(2 * fraction - 1, -1.0), 1.0)))
    return (
        f'<g transform="translate({x:.1f} {y:.1f})">'
        f'<circle r="{radius:.1f}" fill="{ink("disc-dark")}" stroke="{ink("quiet")}"/>'
        f'<path d="{lit_path(phase, limb_deg, round(radius, 1))}" fill="{ink("disc-lit")}"/></g>'
    )


def limb_chart(one: Occultation, contact: LimbContact, words: Wording) -> Markup:
    """The Moon as it stands at a contact, with the place on the limb marked."""
    x, y = WIDTH / 2, HEAD + LIMB_RADIUS + 20
    angle = math.radians(contact.zenith_angle_deg)
    px, py = x - LIMB_RADIUS * math.sin(angle), y - LIMB_RADIUS * math.cos(angle)
    left = px < x
    name_x = px + (-1 if left else 1) * 2.5 * DOT
    name = words.clock(contact.at_utc)
    body = [
        text(x, TEXT, words.gettext("↑ zenith"), "middle", "quiet"),
        _moon(x, y, LIMB_RADIUS, one.illuminated_fraction, contact.bright_limb_zenith_angle_deg),
        f'<circle cx="{px:.1f}" cy="{py:.1f}" r="{1.6 * DOT}" fill="none" '
        f'stroke="{ink("star")}" stroke-width="3"/>',
        f'<circle cx="{px:.1f}" cy="{py:.1f}" r="{DOT / 2}" fill="{ink("star")}"/>',
        text(name_x, py + TEXT / 3, name, "end" if left else "start", "ink"),
    ]
    told = contact_sentence(one, contact, words)
    kind = "vanish" if contact is one.disappearance else "return"
    title = words.gettext("Where on the Moon's limb")
    return svg(f"limb-{kind}", title, told, LIMB_HEIGHT, iter(body))


def approach_chart(one: Approach, upright: bool, words: Wording, name: str) -> Markup:
    """The Moon and what it comes near to, to scale, with the frame if it stands upright.

    The name, unique on the page, makes the drawing's ids.
    """
    title = words.gettext("The Moon and %(body)s", body=body_name(one, words))
    told = words.gettext(
        "%(angle)s apart; the zenith is up.", angle=words.degrees(one.separation_deg, 1)
    )
    return svg(name, title, told, APPROACH_HEIGHT, _approach_body(one, upright, words))


def _approach_body(one: Approach, upright: bool, words: Wording) -> Iterator[str]:
    moon, other = one.moon_diameter_arcmin / 120, one.diameter_arcmin / 120
    ends = [
        (min(-moon, place - other), max(moon, place + other))
        for place in (one.right_deg, one.up_deg)
    ]
    middle = [(low + high) / 2 for low, high in ends]
    centre = (middle[0], middle[1]) if one.fits_frame else (0.0, 0.0)
    frame = (one.frame_deg[0] / 2, one.frame_deg[1] / 2) if upright else (0.0, 0.0)
    left, right = min(ends[0][0], centre[0] - frame[0]), max(ends[0][1], centre[0] + frame[0])
    low, top = min(ends[1][0], centre[1] - frame[1]), max(ends[1][1], centre[1] + frame[1])
    scale = min(
        (WIDTH - 2 * MARGIN) / (right - left), (APPROACH_HEIGHT - HEAD - MARGIN) / (top - low)
    )
    x0 = WIDTH / 2 - scale * (left + right) / 2
    y0 = HEAD + (APPROACH_HEIGHT - HEAD - MARGIN) / 2 + scale * (top + low) / 2
    yield text(WIDTH / 2, TEXT, words.gettext("↑ zenith"), "middle", "quiet")
    if upright:
        x, y = x0 + scale * (centre[0] - frame[0]), y0 - scale * (centre[1] + frame[1])
        yield (
            f'<rect x="{x:.1f}" y="{y:.1f}" width="{2 * scale * frame[0]:.1f}" '
            f'height="{2 * scale * frame[1]:.1f}" fill="none" stroke="{ink("quiet")}" '
            f'stroke-dasharray="6 5"/>'
        )
    limb = one.bright_limb_zenith_angle_deg
    yield _moon(x0, y0, scale * moon, one.illuminated_fraction, limb)
    x, y = x0 + scale * one.right_deg, y0 - scale * one.up_deg
    radius = scale * other if other else DOT
    style = (
        f'fill="none" stroke="{ink("star")}" stroke-width="2" stroke-dasharray="3 4"'
        if other
        else f'fill="{ink("star")}"'
    )
    yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius:.1f}" {style}/>'
    label_y = min(y + radius + TEXT * 1.1, APPROACH_HEIGHT - 6)
    yield text(
        min(max(x, 70), WIDTH - 70), label_y, capital(body_name(one, words)), "middle", "ink"
    )
