"""The year's list of events, one typed row each whatever the kind."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from almanac.publish.eclipse_words import eclipse_name, seen_from
from almanac.publish.pages.book import EVENTS_HREF, Book, eclipse_href
from almanac.publish.pages.engine import Link, render
from almanac.records.events import Eclipse


@dataclass(frozen=True)
class EventRow:
    """An event in one line."""

    at_utc: datetime
    """By which rows are sorted."""
    day: str
    name: str
    href: str
    """Of its page; empty if it has none."""
    here: str
    """What of it can be seen from the site."""
    visible: bool


@dataclass(frozen=True)
class EventsView:
    """All that the page shows."""

    rows: tuple[EventRow, ...]
    zone: str


def events_page(book: Book) -> str:
    """The page of the year's events."""
    title = book.words.gettext("Events of the year")
    here = Link(EVENTS_HREF, title, True)
    view = EventsView(event_rows(book), book.words.zone_name)
    return render("events.html", book.frame("events", title, here), view, book.words)


def event_rows(book: Book) -> tuple[EventRow, ...]:
    """All events of the year in order of time."""
    return tuple(sorted(_eclipse_rows(book), key=lambda row: row.at_utc))


def _eclipse_rows(book: Book) -> Iterator[EventRow]:
    for eclipse in book.almanac.eclipses:
        yield _eclipse_row(book, eclipse)


def _eclipse_row(book: Book, eclipse: Eclipse) -> EventRow:
    at_utc = eclipse.deepest_utc or eclipse.greatest_utc
    return EventRow(
        at_utc=at_utc,
        day=book.words.date(book.words.local(at_utc).date(), "short_weekday_day"),
        name=eclipse_name(eclipse, book.words),
        href=eclipse_href(eclipse) if eclipse.visible else "",
        here=seen_from(eclipse, book.words),
        visible=eclipse.visible,
    )
