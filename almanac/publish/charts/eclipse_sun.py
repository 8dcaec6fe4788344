"""The Sun's disc with the Moon's bite at several times, zenith up at each."""

from collections.abc import Iterator

from markupsafe import Markup

from almanac.publish.charts.drawing import TEXT, WIDTH, ink, svg, text
from almanac.publish.wording import Wording
from almanac.records.events import Eclipse, EclipseMoment, SolarView

ACROSS = 4
CELL = WIDTH / ACROSS
RADIUS = 54
"""Of the Sun's disc."""
ROW = 2 * RADIUS + 4 * TEXT


def eclipse_sun_chart(eclipse: Eclipse, words: Wording) -> Markup:
    """The chart of an eclipse of the Sun that can be seen; ValueError for another."""
    view = eclipse.solar
    if view is None:
        raise ValueError(f"{eclipse.slug} shows no Sun")
    rows = -(-len(view.looks) // ACROSS)
    title = words.gettext("The Sun's disc at several times, zenith up")
    looks = (f"{words.clock(one.at_utc)} {_covered(one, words)}" for one in view.looks)
    told = f"{words.gap}; ".join(looks)
    return svg("suns", title, told, rows * ROW, _body(view, words))


def _covered(moment: EclipseMoment, words: Wording) -> str:
    return words.gettext("%(part)s covered", part=words.percent(moment.obscuration))


def _body(view: SolarView, words: Wording) -> Iterator[str]:
    scale = RADIUS / view.sun_radius_deg
    deepest = max(view.looks, key=lambda one: one.magnitude)
    for place, one in enumerate(view.looks):
        x, y = CELL * (place % ACROSS + 0.5), ROW * (place // ACROSS) + RADIUS + 8
        moon_x, moon_y = x + scale * one.right_deg, y - scale * one.up_deg
        moon = scale * view.moon_radius_deg
        disc = f'cx="{x:.1f}" cy="{y:.1f}" r="{RADIUS}"'
        yield f'<clipPath id="sun{place}"><circle {disc}/></clipPath>'
        yield f'<circle {disc} fill="{ink("moonlight")}"/>'
        yield (
            f'<circle clip-path="url(#sun{place})" cx="{moon_x:.1f}" cy="{moon_y:.1f}" '
            f'r="{moon:.1f}" fill="{ink("disc-dark")}"/>'
        )
        wide = 3 if one is deepest else 1.2
        yield f'<circle {disc} fill="none" stroke="{ink("ink")}" stroke-width="{wide}"/>'
        foot = y + RADIUS + TEXT
        yield text(x, foot, words.clock(one.at_utc), "middle")
        yield text(x, foot + 1.15 * TEXT, _covered(one, words), "middle", "quiet")
