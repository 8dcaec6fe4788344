"""Cards to print: the same words as the plain card, four to a sheet, none beyond its quarter."""

import html
import io
import re
from collections.abc import Callable
from typing import Any

import pypdf
import pytest
from msgspec.structs import asdict

from almanac.publish.card import Card, card_of
from almanac.publish.card_text import card_text
from almanac.publish.charts.paper import Paper
from almanac.publish.pages.book import Book, card_href, cards_href
from almanac.publish.pages.cards import A_SHEET, card_sheet, cards_page
from almanac.publish.wording import Wording
from almanac.records.catalogue import Catalogue
from almanac.records.config import ClubConfig
from almanac.records.year import Night, YearAlmanac

LEAST_MARGIN_PT = 14.0
"""5 mm: many printers reach no nearer to the edge (common practice, no source)."""
SIZES_PT = {"a4": (595.3, 841.9), "letter": (612.0, 792.0)}
"""ISO 216, ANSI/ASME Y14.1."""


@pytest.fixture(scope="module")
def book(north: YearAlmanac, catalogue: Catalogue, make_config: Callable[..., ClubConfig]) -> Book:
    """The made-up year at 44.6 N."""
    return Book(north, make_config((north.site,)), catalogue, Wording("en", north.site.timezone))


def card(book: Book, night: Night) -> Card:
    """A night's card."""
    return card_of(book.almanac, night, book.config, book.words)


def words_of(one: Card) -> list[str]:
    """Every text of a card that has a window."""
    rows = [row for window in (*one.windows, one.end) for row in window]
    cells = [cell for row in rows for cell in (row.label, row.at, row.text)]
    texts = [one.title, one.zone, one.moon, *one.events, *one.cautions, *cells, *one.standing_out]
    return [text for text in texts if text]


def squeezed(text: str) -> str:
    """Without blanks, joiners and the joined letters of a fount."""
    plain = text.replace("ﬁ", "fi").replace("ﬂ", "fl").replace("ﬀ", "ff")
    return re.sub(r"[\s\u2060\u00ad]+", "", plain)


def pieces(page: pypdf.PageObject) -> list[tuple[float, float, str]]:
    """Each piece of text with its place in points from the lower left."""
    found: list[tuple[float, float, str]] = []

    def visit(text: str, cm: list[float], tm: list[float], *_: Any) -> None:
        if text.strip():
            x = tm[4] * cm[0] + tm[5] * cm[2] + cm[4]
            y = tm[4] * cm[1] + tm[5] * cm[3] + cm[5]
            found.append((x, y, text.strip()))

    page.extract_text(visitor_text=visit)
    return found


def longest(book: Book) -> Night:
    """The night whose card has most lines."""
    with_window = [night for night in book.almanac.nights if night.windows]
    return max(with_window, key=lambda night: len(card_text(card(book, night))))


def test_a_month_has_a_card_for_each_night_with_a_window(book: Book) -> None:
    """The page holds every word of the cards that `almanac night` prints, and its nights alone."""
    page = re.sub(r"<[^>]+>", " ", cards_page(book, 3))
    shown = squeezed(html.unescape(page))
    nights = [night for night in book.almanac.nights if night.date.month == 3]
    for night in nights:
        one = card(book, night)
        assert (squeezed(one.title) in shown) == bool(night.windows)
        for text in words_of(one) if night.windows else ():
            assert squeezed(text) in shown
    assert sum(bool(night.windows) for night in nights) > 5


def test_the_finest_fill_a_sheet(book: Book) -> None:
    """As many of a month's cards are marked as finest as one sheet holds, by rank."""
    page = cards_page(book, 3)
    marked = re.findall(r'class="card \w+ finest" id="([^"]+)"', page)
    ranked = [night for night in book.almanac.nights if night.rank and night.date.month == 3]
    finest = sorted(ranked, key=lambda night: night.rank or 0)[:A_SHEET]
    assert sorted(marked) == sorted(str(night.date) for night in finest)


def test_a_night_leads_to_its_card(book: Book) -> None:
    """The address names the month's page and the card on it."""
    day = book.best[0].date
    href = card_href(day)
    assert href.startswith(cards_href(day.year, day.month))
    assert f'id="{href.partition("#")[2]}"' in cards_page(book, day.month)


@pytest.mark.parametrize("paper", SIZES_PT)
def test_a_sheet_holds_four_whole_cards(book: Book, paper: Paper) -> None:
    """One page of four equal cards, each word of the longest one inside its own quarter."""
    one = card(book, longest(book))
    reader = pypdf.PdfReader(io.BytesIO(card_sheet(one, paper)))
    (page,) = reader.pages
    width, height = SIZES_PT[paper]
    assert (page.mediabox.width, page.mediabox.height) == pytest.approx((width, height), abs=0.2)
    printed = squeezed(page.extract_text())
    for text in words_of(one):
        assert printed.count(squeezed(text)) >= 4
    for x, y, _ in pieces(page):
        assert x % (width / 2) > LEAST_MARGIN_PT
        assert LEAST_MARGIN_PT < y % (height / 2) < height / 2 - LEAST_MARGIN_PT
    quarters = {(x > width / 2, y > height / 2) for x, y, text in pieces(page)}
    assert len(quarters) == 4


def test_a_sheet_says_what_it_is(book: Book) -> None:
    """Titled, in its language, tagged; the same bytes each time."""
    one = card(book, longest(book))
    pdf = card_sheet(one, "a4")
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    assert reader.metadata is not None
    assert reader.metadata.title == one.title
    assert reader.root_object["/Lang"] == "en"
    assert reader.root_object["/MarkInfo"]["/Marked"]
    assert pdf == card_sheet(one, "a4")


def test_markup_in_names_is_text(book: Book) -> None:
    """A star or feature named like typst's markup is printed as it is written."""
    one = card(book, longest(book))
    odd = Card(**{**asdict(one), "title": '#panic("x") *bold* $x$ @a <b> \\'})
    page = pypdf.PdfReader(io.BytesIO(card_sheet(odd, "a4"))).pages[0]
    assert squeezed(odd.title) in squeezed(page.extract_text())
