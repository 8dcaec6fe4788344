"""The page of a site's year that leads to its files: calendars, table, data, sheets to print."""

from collections.abc import Iterator, Mapping
from urllib.parse import urlsplit

from msgspec import Struct

from almanac.publish.calendar_names import (
    CALENDARS,
    DOWNLOADS_HREF,
    FEEDS,
    Feed,
    lasting_path,
    web_address,
)
from almanac.publish.charts.paper import PAPERS
from almanac.publish.pages.book import Book
from almanac.publish.pages.engine import Link, render
from almanac.publish.table_csv import NIGHTS_FILE
from almanac.publish.terms import N_

SHEETS = {
    "booklet": N_("The whole year as a booklet"),
    "wall": N_("The year at a glance, one sheet for the wall"),
    "year": N_("The chart of the year"),
    "seasons": N_("The sky of the seasons, a sheet each"),
    "skies": N_("The sky of the months, a sheet each"),
}
"""By the stem of the PDFs' names; those that the year lacks are left out."""

Sizes = Mapping[str, int]


class CalendarLine(Struct, frozen=True):
    """A calendar: what it is for and how to have it."""

    name: str
    about: str
    subscribe: str
    """Address for a program that subscribes; empty if the club gave none."""
    address: str
    """The same to copy."""
    lasting: str
    """The file of all years."""
    year: Link
    """The file of this year, with its size."""


class FileLine(Struct, frozen=True):
    """A file, or one of each size of paper."""

    about: str
    files: tuple[Link, ...]


class DownloadsView(Struct, frozen=True):
    """All that the page shows."""

    place: str
    addressed: bool
    """Whether the club gave the address of its site."""
    calendars: tuple[CalendarLine, ...]
    zone: str
    tables: tuple[FileLine, ...]
    sheets: tuple[FileLine, ...]


def downloads_page(book: Book, sizes: Sizes) -> str:
    """The page; sizes are those of the year's files in bytes, by name."""
    title = book.words.gettext("Calendars and files")
    frame = book.frame("downloads", title, Link(DOWNLOADS_HREF, title, True))
    return render("downloads.html", frame, downloads_view(book, sizes), book.words)


def downloads_view(book: Book, sizes: Sizes) -> DownloadsView:
    """The view of the page."""
    return DownloadsView(
        place=f"{book.almanac.site.name} {book.almanac.year}",
        addressed=book.config.club.url is not None,
        calendars=tuple(_calendar(book, feed, sizes) for feed in FEEDS),
        zone=book.words.zone_name,
        tables=tuple(_tables(book, sizes)),
        sheets=tuple(_sheets(book, sizes)),
    )


def _calendar(book: Book, feed: Feed, sizes: Sizes) -> CalendarLine:
    words = book.words
    address = web_address(book.config, lasting_path(book.almanac.site, feed))
    year = words.gettext(
        "%(year)s alone, %(size)s",
        year=str(book.almanac.year),
        size=_size(book, sizes[feed.file]),
    )
    return CalendarLine(
        name=words.gettext(feed.name),
        about=words.gettext(feed.about),
        subscribe=_subscribe(address),
        address=address,
        lasting=f"../{CALENDARS}/{feed.file}",
        year=Link(feed.file, year),
    )


def _subscribe(address: str) -> str:
    """The address with the scheme that opens a phone's or desktop's calendar."""
    return urlsplit(address)._replace(scheme="webcal").geturl() if address else ""


def _tables(book: Book, sizes: Sizes) -> Iterator[FileLine]:
    _ = book.words.gettext
    about = {
        NIGHTS_FILE: _(
            "For a spreadsheet (CSV): a row for each window and one for each night without."
        ),
        "year.json": _("For programs (JSON): every figure that the pages show."),
        "year.schema.json": _("What each of these figures is (JSON Schema)."),
    }
    for name, text in about.items():
        yield FileLine(text, (Link(name, f"{name}, {_size(book, sizes[name])}"),))


def _sheets(book: Book, sizes: Sizes) -> Iterator[FileLine]:
    for stem, text in SHEETS.items():
        files = tuple(
            Link(name, f"{paper.capitalize()}, {size}")
            for paper in PAPERS
            for name in (f"{stem}-{paper}.pdf",)
            if name in sizes
            for size in (_size(book, sizes[name]),)
        )
        if files:
            yield FileLine(book.words.gettext(text), files)


def _size(book: Book, count: int) -> str:
    """A file's size in kilobytes, at least one."""
    return book.words.gettext("%(size)s\u00a0kB", size=book.words.number(max(count / 1000, 1)))
