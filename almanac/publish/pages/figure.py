"""A figure as pages list it."""

from collections.abc import Iterable
from functools import cache
from html import escape
from typing import NamedTuple

from markupsafe import Markup


class Figure(NamedTuple):
    """A value with its name."""

    term: str
    value: str
    meaning: str = ""
    """What every figure of this name is."""
    note: str = ""
    """What this value says."""


def figure_list(figures: Iterable[Figure]) -> Markup:
    """Figures as a list of terms; a night has forty of them, so no template loops over them."""
    rows = "\n".join([_row(figure) for figure in figures])
    return Markup(f'<dl class="figures">\n{rows}\n</dl>')


def _row(figure: Figure) -> str:
    more = "".join([_meaning(text) for text in figure[2:] if text])
    return f"<div><dt>{escape(figure.term)}</dt><dd>{escape(figure.value)}</dd>{more}</div>"


@cache
def _meaning(text: str) -> str:
    return f'<dd class="meaning">{escape(text)}</dd>'
