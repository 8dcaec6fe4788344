"""Nights' cards to print, four to a sheet: a page for each month, and one night's as a PDF."""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from msgspec import Struct

from almanac.publish.card import Card, card_of
from almanac.publish.charts.paper import Paper
from almanac.publish.meeting_words import capital
from almanac.publish.pages.book import Book, cards_href, month_href
from almanac.publish.pages.engine import Link, render
from almanac.publish.pages.night_line import NightLine
from almanac.publish.pages.typeset import typeset

A_SHEET = 4
LINE, WIDE_LINE = 52, 70
"""Letters beside a label, and in a whole line."""
SIZES = {"usual": 29, "tight": 43, "dense": 54}
"""Most lines of cards in each size of type; what has more is tiny."""


class PageCard(NamedTuple):
    """A card on a month's page."""

    line: NightLine
    card: Card
    size: str
    """usual, tight, dense or tiny, by how much it holds."""
    finest: bool
    """Whether it is one of the month's finest: as many as fill a sheet."""


class CardsView(NamedTuple):
    """All that a month's page of cards shows."""

    title: str
    cards: tuple[PageCard, ...]


class SheetView(Struct, frozen=True):
    """All that a sheet of cards shows."""

    cards: tuple[Card, ...]
    """A_SHEET of them."""


def cards_page(book: Book, month: int) -> str:
    """The page of a month's cards."""
    words, year = book.words, book.almanac.year
    title = words.gettext("Cards for %(month)s", month=words.month(month))
    up = Link(month_href(year, month), capital(words.month(month)))
    here = Link(cards_href(year, month), title, True)
    frame = book.frame("cards", title, up, here, month=month)
    return render("cards.html", frame, CardsView(title, tuple(_cards(book, month))), words)


def _cards(book: Book, month: int) -> Iterator[PageCard]:
    finest = [line for line in book.best if line.date.month == month][:A_SHEET]
    for line, night in zip(book.lines, book.almanac.nights, strict=True):
        if night.windows and line.date.month == month:
            card = card_of(book.almanac, night, book.config, book.words)
            yield PageCard(line, card, _size(card), line in finest)


def _size(card: Card) -> str:
    """By the lines that the card will about take."""
    rows = [row.text for window in (*card.windows, card.end) for row in window]
    wide = (*card.events, *card.cautions, *card.standing_out)
    lines = 3 + 2 * len(card.windows) + _lines(rows, LINE) + _lines(wide, WIDE_LINE)
    return next((size for size, most in SIZES.items() if lines <= most), "tiny")


def _lines(texts: Iterable[str], letters: int) -> int:
    return sum(1 + len(text) // letters for text in texts)


def card_sheet(card: Card, paper: Paper) -> bytes:
    """One night's card as often as a sheet holds it, to hand round: a PDF of one page.

    The cards are of A6 on A4, and of a quarter of the sheet on Letter.
    """
    return typeset("cards", SheetView((card,) * A_SHEET), paper)
