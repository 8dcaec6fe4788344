"""A night's card as plain text, to print or to read over a shoulder at the telescope."""

import textwrap
from collections.abc import Iterable

from almanac.publish.card import Card, CardRow, card_of
from almanac.publish.wording import Wording
from almanac.records.config import ClubConfig
from almanac.records.year import Night, YearAlmanac

WIDTH = 72
LABEL_WIDTH, TIME_WIDTH = 12, 7
"""A longer label widens its column."""
PLAIN = str.maketrans(
    {"−": "-", "–": "-", "″": '"', "′": "'", "\u00a0": " ", "\u202f": " ", "\u2060": "", "×": "x"}
)
"""Characters that a bare terminal may lack; the degree sign and letters of names stay."""


def night_card(almanac: YearAlmanac, night: Night, config: ClubConfig, words: Wording) -> str:
    """The night on a card of at most 72 columns, ending in a newline."""
    return card_text(card_of(almanac, night, config, words))


def card_text(card: Card) -> str:
    """The card in lines of at most 72 columns, ending in a newline."""
    tables = (*card.windows, card.end)
    labels = max((LABEL_WIDTH, *(len(row.label) + 1 for rows in tables for row in rows)))
    blocks = [
        _wrapped((card.title, card.zone, card.moon)),
        list(card.events),
        _cautions(card.cautions),
        _wrapped((card.sentence,)),
        *(_rows(rows, labels) for rows in tables),
        list(card.standing_out),
    ]
    text = "\n\n".join("\n".join(block) for block in blocks if block)
    return text.translate(PLAIN) + "\n"


def _wrapped(texts: Iterable[str]) -> list[str]:
    return [line for text in texts for line in textwrap.wrap(text, WIDTH)]


def _cautions(cautions: Iterable[str]) -> list[str]:
    lines = []
    for text in cautions:
        lines += textwrap.wrap(text, WIDTH, initial_indent="! ", subsequent_indent="  ")
    return lines


def _rows(rows: Iterable[CardRow], labels: int) -> list[str]:
    """Labels, times and texts in columns; a line that goes on stands under the words above."""
    lines = []
    for row in rows:
        beside = row.at or not row.label
        indent = " " * (labels + (TIME_WIDTH if beside else 0))
        first = f"{row.label:<{labels}}" + (f"{row.at:<{TIME_WIDTH}}" if beside else "")
        text = textwrap.wrap(row.text, WIDTH, initial_indent=first, subsequent_indent=indent)
        lines += text or [first.rstrip()]
    return lines
