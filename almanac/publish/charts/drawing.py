"""What all charts share: the frame of an SVG, the inks, relative paths, text.

A chart is colour-blind by itself: every ink is a CSS custom property of the site with the light
theme's colour as its fallback, so the same bytes follow the reader's theme on a page and, with
``on_paper``, a printer's black. Coordinates are user units of the viewBox; paths are whole tenths
inside ``scale(.1)``.
"""

import re
from collections.abc import Iterable, Sequence
from itertools import pairwise

import numpy as np
from markupsafe import Markup, escape
from numpy.typing import NDArray

Ints = NDArray[np.int64]

WIDTH = 640
"""Units across: 20-unit text is 11 px on a phone whose content is 358 px wide."""
TEXT = 20
"""Largest text size in units; layout reserves room for it."""
EM_WIDTH = 0.6
"""Mean advance of a letter or figure in ems; wider than most system sans faces (0.5 to 0.6)."""

LIGHT = {
    "paper": "#FAF8F3",
    "ink": "#1F1D1A",
    "quiet": "#5A554C",
    "hairline": "#D8D2C4",
    "moon": "#8A5A00",
    "star": "#0F5C4D",
    "sky-day": "#FAF8F3",
    "sky-civil": "#F1ECE1",
    "sky-nautical": "#EAE4D7",
    "sky-astronomical": "#E3DCCE",
    "sky-night": "#DCD5C6",
    "ground": "#8E8576",
    "dark": "#43414A",
    "moonlight": "#F4CF7C",
    "disc-lit": "#FFFBEF",
    "disc-dark": "#4B4740",
}
"""Inks by name: the site's light theme."""

DARK = {
    "paper": "#12141A",
    "ink": "#ECE7DC",
    "quiet": "#A9A497",
    "hairline": "#33363F",
    "moon": "#E8B55B",
    "star": "#6CC5AE",
    "sky-day": "#2B2F3B",
    "sky-civil": "#20242E",
    "sky-nautical": "#191D25",
    "sky-astronomical": "#13161D",
    "sky-night": "#0C0E13",
    "ground": "#4A4C52",
    "dark": "#08090C",
    "moonlight": "#E8B55B",
    "disc-lit": "#F1E8D2",
    "disc-dark": "#2A2D36",
}
"""The site's dark theme."""

RED = {
    "paper": "#000000",
    "ink": "#FF6A5E",
    "quiet": "#F23A2E",
    "hairline": "#5A0F0A",
    "moon": "#FF6A5E",
    "star": "#FF6A5E",
    "sky-day": "#2A0604",
    "sky-civil": "#1C0403",
    "sky-nautical": "#100202",
    "sky-astronomical": "#0A0101",
    "sky-night": "#000000",
    "ground": "#5A0F0A",
    "dark": "#000000",
    "moonlight": "#D8372B",
    "disc-lit": "#B82C21",  # 3:1 to the dark part, and no brighter than that
    "disc-dark": "#2A0604",
}
"""The site's page for use at the telescope."""

PRINT = {
    "paper": "#FFFFFF",
    "ink": "#000000",
    "quiet": "#333333",
    "hairline": "#BBBBBB",
    "moon": "#000000",
    "star": "#000000",
    "sky-day": "#FFFFFF",
    "sky-civil": "#F4F4F4",
    "sky-nautical": "#EDEDED",
    "sky-astronomical": "#E6E6E6",
    "sky-night": "#DFDFDF",
    "ground": "#777777",
    "dark": "#666666",
    "moonlight": "#FFFFFF",
    "disc-lit": "#FFFFFF",
    "disc-dark": "#444444",
}
"""Black on white."""

_INK = re.compile(r"var\(--([a-z-]+)(?:,([^)]*))?\)")
_HALO = re.compile(
    r'<text (font-size="(\d+)px"[^>]*?) class="halo" stroke="[^"]*" stroke-width="\d+" '
    r'x="([\d.]+)" y="([\d.]+)" dy=".35em"(?: text-anchor="(\w+)")?[^>]*>([^<]*)</text>'
)
PRINTED_EM_WIDTH = 0.46
"""Mean advance of the printed serif."""
LEFT_OF_ANCHOR = {None: 0.0, "middle": 0.5, "end": 1.0}


def ink(name: str) -> str:
    """The CSS value of a named ink; KeyError for a name that no palette has."""
    if name not in LIGHT:
        raise KeyError(name)
    return f"var(--{name})"


def on_paper(svg: str) -> str:
    """The SVG with every ink replaced by its printed colour, other properties by their fallbacks.

    A text's halo becomes a bar behind it: halos put every letter's outline into a PDF, half of
    its bytes.
    """
    return _INK.sub(lambda match: PRINT.get(match[1], match[2]), _HALO.sub(_barred, svg))


def _barred(haloed: re.Match[str]) -> str:
    """A text without its halo, over a bar of paper as high as its small letters."""
    style, size, x, y, anchor, content = haloed.groups()
    width = PRINTED_EM_WIDTH * float(size) * len(content)
    left = float(x) - width * LEFT_OF_ANCHOR[anchor]
    bar = f'<path stroke="{ink("paper")}" stroke-width="{0.55 * float(size):g}" '
    where = f' text-anchor="{anchor}"' if anchor else ""
    return (
        f'{bar}d="M{left:.0f} {y}h{width:.0f}"/>'
        f'<text {style} x="{x}" y="{y}" dy=".35em"{where}>{content}</text>'
    )


def css(palette: dict[str, str]) -> str:
    """The palette as CSS declarations, for a theme's rule in the site's stylesheet."""
    return "".join(f"--{name}:{colour};" for name, colour in palette.items())


def svg(
    name: str,
    title: str,
    description: str,
    height: int,
    body: Iterable[str],
    width: int = WIDTH,
    margin: int = 0,
) -> Markup:
    """A whole drawing, width x height units, with its text alternative.

    ``name`` makes the ids; it must be unique on the page. Title and description are escaped here,
    the body is not. ``margin`` is room that words need beyond the left and right edge.
    """
    view = f"{-margin} 0 {width + 2 * margin} {height}"
    return Markup(
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{view}" role="img" '
        f'aria-labelledby="{name}-t {name}-d" font-family="system-ui,sans-serif" '
        f'font-size="var(--chart-text,{TEXT}px)" '
        f'fill="{ink("ink")}">'
        f'<title id="{name}-t">{escape(title)}</title>'
        f'<desc id="{name}-d">{escape(description)}</desc>' + "".join(body) + "</svg>"
    )


def text(x: float, y: float, content: str, anchor: str = "start", ink_name: str = "ink") -> str:
    """A line of text whose middle stands at y, whatever its size; the content is escaped."""
    where = "" if anchor == "start" else f' text-anchor="{anchor}"'
    fill = "" if ink_name == "ink" else f' fill="{ink(ink_name)}"'
    return f'<text x="{x:.4g}" y="{y:.4g}" dy=".35em"{where}{fill}>{escape(content)}</text>'


def dots(places: Iterable[tuple[float, float]], radius: float, ink_name: str) -> str:
    """Discs of one size, as round ends of lines of no length: a fraction of circles' bytes."""
    ends = "".join([f"M{x:.1f} {y:.1f}h.1" for x, y in places])
    width = f'stroke-width="{2 * radius:g}"'
    return f'<path stroke="{ink(ink_name)}" stroke-linecap="round" {width} d="{ends}"/>'


def rings(places: Sequence[tuple[float, float]], radius: float, ink_name: str) -> str:
    """Rings two units wide, filled with paper."""
    return dots(places, radius + 1, ink_name) + dots(places, radius - 1, "paper")


def group(ink_name: str, texts: Iterable[str], anchor: str = "start") -> str:
    """Texts of one ink and anchor, each written without them."""
    return f'<g fill="{ink(ink_name)}" text-anchor="{anchor}">{"".join(texts)}</g>'


def text_width(content: str, size: float = TEXT) -> float:
    """Room to keep for a text, in units."""
    return EM_WIDTH * size * len(content)


def polyline(x: Ints, y: Ints) -> str:
    """A relative path through whole-unit points (at least one)."""
    if len(x) == 1:
        return f"m{x[0]} {y[0]}h0"
    steps = np.empty(2 * len(x) - 2, np.int64)
    steps[::2], steps[1::2] = x[1:] - x[:-1], y[1:] - y[:-1]
    # A list's own text is the fastest way from numbers to digits, and this is most of a chart.
    return f"m{x[0]} {y[0]}l{repr(steps.tolist())[1:-1].replace(', ', ' ').replace(' -', '-')}"


def absolute_polyline(x: Ints, y: Ints) -> str:
    """As ``polyline``, beginning at absolute coordinates: the second and later parts of a path."""
    return "M" + polyline(x, y)[1:]


def straightened(x: Ints, y: Ints) -> tuple[Ints, Ints]:
    """The polyline without the points at which it keeps its height."""
    keep = np.ones(len(x), bool)
    keep[1:-1] = (y[1:-1] != y[:-2]) | (y[1:-1] != y[2:])
    return x[keep], y[keep]


def runs(mask: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Half-open index ranges of the true stretches."""
    turns = (np.flatnonzero(mask[1:] != mask[:-1]) + 1).tolist()
    edges = [0, *turns, len(mask)]
    return list(pairwise(edges))[0 if mask[0] else 1 :: 2]
