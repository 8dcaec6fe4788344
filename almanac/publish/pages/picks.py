"""The year's moments that stand out, each with the figure that made it so."""

from collections.abc import Iterator
from datetime import date
from typing import NamedTuple

from almanac.publish import steps
from almanac.publish.pages.book import Book, night_href
from almanac.publish.pages.engine import Link
from almanac.records.globe import Pick

LISTED_ELSEWHERE = "finest_detail"
"""The ten finest nights have a list of their own."""


class PickLine(NamedTuple):
    """A moment in one line."""

    what: str
    night: Link
    at: str
    value: str
    place: str
    """Where the Moon then stands, or that no window holds it."""


def pick_lines(book: Book, day: date | None = None) -> Iterator[PickLine]:
    """The picks of the book's year, or of one night, in their order."""
    for pick in book.almanac.picks:
        if pick.code != LISTED_ELSEWHERE and day in (None, pick.date):
            yield _line(book, pick)


def _line(book: Book, pick: Pick) -> PickLine:
    words = book.words
    where = steps.place(pick.altitude_deg, pick.azimuth_deg, words)
    return PickLine(
        what=words.pick(pick.stage or pick.code),
        night=Link(night_href(pick.date), words.date(pick.date, "short_weekday_day")),
        at=words.clock(pick.at_utc),
        value=_value(book, pick),
        place=where if pick.in_window else words.gettext("not in a window"),
    )


def _value(book: Book, pick: Pick) -> str:
    words = book.words
    match pick.code:
        case "best_of_stage":
            return book.detail(pick.value)
        case "highest_moon" | "lowest_moon":
            return words.gettext("%(height)s high", height=words.degrees(pick.value))
        case "largest_full_moon" | "smallest_full_moon":
            return words.gettext(
                "%(width)s′ wide", width=words.number(pick.angular_diameter_arcmin, 1)
            )
        case "thinnest_waxing" | "thinnest_waning":
            return words.gettext("%(part)s lit", part=words.percent(pick.value, 1))
        case code:
            raise KeyError(code)
