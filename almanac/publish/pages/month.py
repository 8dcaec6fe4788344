"""The page of a month: a calendar of seven columns, or one night a line on a phone."""

from typing import NamedTuple

from almanac.publish.meeting_words import capital
from almanac.publish.pages.book import Book, cards_href, month_href, month_sky_href
from almanac.publish.pages.engine import Frame, Link, render
from almanac.publish.pages.night_line import NightLine


class MonthView(NamedTuple):
    """All that the page shows."""

    title: str
    summary: str
    weekdays: tuple[str, ...]
    first_column: int
    """1 to 7: the weekday on which the month begins, Monday first."""
    lines: tuple[NightLine, ...]
    zone: str
    previous: Link | None
    next: Link | None
    sky: Link | None
    """The month's star chart."""
    cards: Link
    """The nights' cards, to print."""
    compared: str
    """Way to the page that compares the month with other sites', or empty."""


def month_page(book: Book, month: int) -> str:
    """The page of a month of the year."""
    return render("month.html", month_frame(book, month), month_view(book, month), book.words)


def month_view(book: Book, month: int) -> MonthView:
    """The view of a month of the year."""
    words, lines = book.words, book.month_lines(month)
    return MonthView(
        title=capital(words.month(month)),
        summary=_summary(book, month),
        weekdays=tuple(words.weekday(i) for i in range(7)),
        first_column=lines[0].date.isoweekday(),
        lines=lines,
        zone=words.zone_name,
        previous=_neighbour(book, month - 1),
        next=_neighbour(book, month + 1),
        sky=_sky(book, month),
        cards=Link(cards_href(book.almanac.year, month), words.gettext("Cards to print")),
        compared=book.elsewhere.compared(month),
    )


def month_frame(book: Book, month: int) -> Frame:
    """The frame of a month's page."""
    name = capital(book.words.month(month))
    here = Link(month_href(book.almanac.year, month), name, True)
    return book.frame("month", name, here, month=month)


def _neighbour(book: Book, month: int) -> Link | None:
    if not 1 <= month <= 12:
        return None
    return Link(month_href(book.almanac.year, month), book.words.month(month))


def _sky(book: Book, month: int) -> Link | None:
    if not book.almanac.months:
        return None
    words = book.words
    text = words.gettext("The stars of %(month)s, to print", month=words.month(month))
    return Link(month_sky_href(book.almanac.year, month), text)


def _summary(book: Book, month: int) -> str:
    words, lines = book.words, book.month_lines(month)
    count = sum(bool(line.hours) for line in lines)
    best = next((line for line in book.best if line.date.month == month), None)
    if best is None:
        return words.gettext("No night of this month has a window for the Moon.")
    nights = words.ngettext("%(n)d night with a window", "%(n)d nights with a window", count)
    return words.gettext(
        "%(nights)s. The finest is %(day)s, %(hours)s, down to %(detail)s.",
        nights=nights,
        day=best.title,
        detail=best.detail,
        hours=best.hours,
    )
