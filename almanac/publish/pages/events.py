"""The year's list of events, one typed row each whatever the kind."""

from collections.abc import Iterator
from datetime import datetime
from typing import NamedTuple

from almanac.publish.eclipse_words import eclipse_name, here_name, seen_from
from almanac.publish.meeting_words import (
    approach_here,
    approach_name,
    occultation_here,
    occultation_name,
)
from almanac.publish.pages.book import (
    EVENTS_HREF,
    Book,
    approach_href,
    eclipse_href,
    occultation_href,
)
from almanac.publish.pages.elsewhere import event_anchor
from almanac.publish.pages.engine import Link, render
from almanac.records.events import Eclipse


class EventRow(NamedTuple):
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
    anchor: str = ""
    """Of an eclipse, which every site lists: the way to it from the other sites' pages."""


class EventsView(NamedTuple):
    """All that the page shows."""

    rows: tuple[EventRow, ...]
    months: tuple[tuple[str, tuple[EventRow, ...]], ...]
    """The same by month, also where one has none: pages of other sites lead to each."""
    zone: str


def events_page(book: Book) -> str:
    """The page of the year's events."""
    title = book.words.gettext("Events of the year")
    here = Link(EVENTS_HREF, title, True)
    rows = event_rows(book)
    view = EventsView(rows, tuple(_by_month(book, rows)), book.words.zone_name)
    return render("events.html", book.frame("events", title, here), view, book.words)


def event_rows(book: Book) -> tuple[EventRow, ...]:
    """All events of the year in order of time."""
    rows = (*_eclipse_rows(book), *_occultation_rows(book), *_approach_rows(book))
    return tuple(sorted(rows, key=lambda row: row.at_utc))


def _by_month(book: Book, rows: tuple[EventRow, ...]) -> Iterator[tuple[str, tuple[EventRow, ...]]]:
    mine = [f"{book.words.day(row.at_utc):%Y-%m}" for row in rows]
    year = (f"{book.almanac.year}-{month:02d}" for month in range(1, 13))
    for key in sorted({*mine, *year}):
        yield key, tuple(row for row, month in zip(rows, mine, strict=True) if month == key)


def _occultation_rows(book: Book) -> Iterator[EventRow]:
    for one in book.almanac.meetings.occultations:
        yield EventRow(
            at_utc=one.middle_utc,
            day=_day(book, one.middle_utc),
            name=occultation_name(one, book.words),
            href=occultation_href(one) if one.seen else "",
            here=occultation_here(one, book.words),
            visible=one.seen,
        )


def _approach_rows(book: Book) -> Iterator[EventRow]:
    for one in book.almanac.meetings.approaches:
        yield EventRow(
            at_utc=one.at_utc,
            day=_day(book, one.at_utc),
            name=approach_name(one, book.words),
            href=approach_href(one),
            here=approach_here(one, book.words),
            visible=True,
        )


def _day(book: Book, at_utc: datetime) -> str:
    return book.words.date(book.words.day(at_utc), "short_weekday_day")


def _eclipse_rows(book: Book) -> Iterator[EventRow]:
    for eclipse in book.almanac.eclipses:
        yield _eclipse_row(book, eclipse)


def _eclipse_row(book: Book, eclipse: Eclipse) -> EventRow:
    """By the name of what is seen here; by that on Earth if nothing is."""
    at_utc = eclipse.deepest_utc or eclipse.greatest_utc
    name = here_name if eclipse.visible else eclipse_name
    return EventRow(
        at_utc=at_utc,
        day=_day(book, at_utc),
        name=name(eclipse, book.words),
        href=eclipse_href(eclipse) if eclipse.visible else "",
        here=seen_from(eclipse, book.words),
        visible=eclipse.visible,
        anchor=event_anchor(eclipse_href(eclipse)),
    )
