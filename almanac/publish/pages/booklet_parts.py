"""What the booklet's chapters are made of; every field is text to show, or a drawing."""

import html
import re

from msgspec import Struct

from almanac.publish.charts.drawing import on_paper
from almanac.publish.pages.prose import Block


class Prose(Struct, frozen=True):
    """Blocks of text in so many columns."""

    blocks: tuple[Block, ...]
    columns: int = 1
    kind: str = "prose"


class Figure(Struct, frozen=True):
    """A drawing, black on white, with its words; on a page of its own if it is tall."""

    title: str
    """Of its section, or empty."""
    svg: str
    alt: str
    caption: str
    tall: bool
    kind: str = "figure"


class Table(Struct, frozen=True):
    """A small table with a head."""

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    kind: str = "table"


class NightRow(Struct, frozen=True):
    """A night in one line of a month's table, and a second one in small type."""

    day: str
    lit: str
    reason: str
    """Why there is no window, or empty; then the next five are."""
    hours: str
    star: str
    hop: str
    frame: str
    detail: str
    cap: str
    dark: str
    note: str
    grade: str
    """good, fair, poor or none."""


class Month(Struct, frozen=True):
    """A month's table."""

    title: str
    summary: str
    head: tuple[str, ...]
    """Over the day, the disc and its lit part, and what NightRow has from hours to dark."""
    moons: str
    """The nights' discs, one below the other, a row each."""
    rows: tuple[NightRow, ...]
    kind: str = "month"


Part = Prose | Figure | Table | Month


class Chapter(Struct, frozen=True):
    """A chapter begins on a page of its own."""

    title: str
    parts: tuple[Part, ...]


def figure(svg: str, caption: str, title: str = "", tall: bool = False) -> Figure:
    """A page's drawing made ready for paper, its own description as text alternative."""
    found = re.search(r"<desc[^>]*>(.*?)</desc>", svg, re.DOTALL)
    alt = html.unescape(found[1]) if found else caption
    return Figure(title, on_paper(svg), alt, caption, tall)


def text(words: str) -> Block:
    """A paragraph."""
    return Block("text", (words,))


def row(*cells: str) -> Block:
    """A line of a list whose first words stand out."""
    return Block("row", cells)
