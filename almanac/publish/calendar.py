"""Calendars as text by RFC 5545: content lines, escapes, folds; names of a calendar by RFC 7986.

Written here and not by a library: a site-year of calendars takes the one that is in common use
twenty times as long, a quarter of a whole build. It reads them back in the tests.
"""

import os
import re
from collections.abc import Iterable, Iterator
from datetime import UTC, date, datetime, timedelta
from urllib.parse import quote
from uuid import UUID, uuid5

from msgspec import Struct

from almanac.errors import AlmanacError

PRODID = "-//Moon night almanac//Calendars//"
"""Followed by the language in which the entries are written."""
LINE_OCTETS = 75
"""A content line is folded above this (RFC 5545, section 3.1)."""
REFRESH = "P1D"
"""How often to look for a new version: a moved meeting is known a day later."""
HALF_MINUTE = timedelta(seconds=30)
NAMES = UUID("0d5b1f5e-6a0c-4c57-9d4a-2f7f3f0f8c61")
"""Of this program's entries, drawn once at random; UIDs are named within it (RFC 9562, 5.5)."""
URI_MARKS = ":/?#[]@!$&'()*+,;=%~"
"""Characters that stand for themselves in an address (RFC 3986, section 2.2)."""

_LINE_ENDS = re.compile("\r\n|[\r\u2028\u2029]")
_CONTROLS = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029]")
"""What TEXT must not hold (section 3.3.11, CONTROL), and other controls, of no use either."""


class Entry(Struct, frozen=True):
    """An entry of a calendar: hours by the clock, or whole days if start and end are dates."""

    uid: str
    stamp_utc: datetime
    start: datetime | date
    end: datetime | date | None
    """First moment or day that is not part of it; None for an instant or for one day."""
    summary: str
    description: str
    url: str = ""
    """Of its page; empty if the site has no known address."""
    location: str = ""
    geo_deg: tuple[float, float] | None = None
    """Latitude and longitude."""


class Heading(Struct, frozen=True):
    """What a calendar says of itself."""

    name: str
    description: str
    url: str = ""
    """Of the page that explains it."""
    source: str = ""
    """Where it can be fetched anew."""
    language: str = "en"


def uid(*names: object) -> str:
    """A UUID of these names in their order: the same for the same names, whatever else changes."""
    return str(uuid5(NAMES, "\n".join(str(name) for name in names)))


def stamp(year: int) -> datetime:
    """DTSTAMP of a year's entries: when they were last revised (RFC 5545, section 3.8.7.2).

    That is what SOURCE_DATE_EPOCH says, in POSIX seconds; without it the start of the year
    before, so that the same input gives the same bytes. There is no LAST-MODIFIED, which without
    a METHOD would say the same: a reader that compares it with the one it knows would pass over
    an entry that has changed under the same date. AlmanacError for a SOURCE_DATE_EPOCH that is
    no such number.
    """
    given = os.environ.get("SOURCE_DATE_EPOCH")
    if not given:
        return datetime(year - 1, 1, 1, tzinfo=UTC)
    try:
        return datetime.fromtimestamp(int(given), UTC)
    except (ValueError, OverflowError, OSError) as error:
        raise AlmanacError(f"SOURCE_DATE_EPOCH is {given!r}: not seconds since 1970.") from error


def minute(instant: datetime) -> datetime:
    """The nearest whole minute, halves up: what the pages print as the instant's time."""
    return (instant + HALF_MINUTE).replace(second=0, microsecond=0)


def calendar(heading: Heading, entries: str) -> str:
    """A whole calendar around the text of its entries."""
    text = heading.name, heading.description
    head = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        f"PRODID:{PRODID}{heading.language.upper()}",
        *(f"{name}:{escaped(text[0])}" for name in ("NAME", "X-WR-CALNAME")),
        *(f"{name}:{escaped(text[1])}" for name in ("DESCRIPTION", "X-WR-CALDESC")),
        f"REFRESH-INTERVAL;VALUE=DURATION:{REFRESH}",
        f"X-PUBLISHED-TTL:{REFRESH}",
    ]
    if heading.url:
        head.append(f"URL:{address(heading.url)}")
    if heading.source:
        head.append(f"SOURCE;VALUE=URI:{address(heading.source)}")
    return f"{lines(head)}{entries}END:VCALENDAR\r\n"


def entry_text(entries: Iterable[Entry]) -> str:
    """The entries in their order, to stand in a calendar; those of several years may be joined."""
    return lines(line for entry in entries for line in _entry_lines(entry))


def entries_of(text: str) -> str:
    """The entries of a calendar of ours, as ``entry_text`` made them."""
    start = text.find("\r\nBEGIN:VEVENT\r\n")
    return "" if start < 0 else text[start + 2 : text.rindex("END:VCALENDAR\r\n")]


def _entry_lines(entry: Entry) -> Iterator[str]:
    yield "BEGIN:VEVENT"
    yield f"UID:{entry.uid}"
    yield f"DTSTAMP:{_utc(entry.stamp_utc)}"
    yield f"DTSTART{_when(entry.start)}"
    if entry.end is not None and entry.end > entry.start:
        yield f"DTEND{_when(entry.end)}"
    yield f"SUMMARY:{escaped(entry.summary)}"
    if entry.description:
        yield f"DESCRIPTION:{escaped(entry.description)}"
    if entry.url:
        yield f"URL:{address(entry.url)}"
    if entry.location:
        yield f"LOCATION:{escaped(entry.location)}"
    if entry.geo_deg:
        yield "GEO:{:.6f};{:.6f}".format(*entry.geo_deg)
    yield "TRANSP:TRANSPARENT"
    yield "END:VEVENT"


def _when(moment: datetime | date) -> str:
    if isinstance(moment, datetime):
        return f":{_utc(moment)}"
    return f";VALUE=DATE:{moment:%Y%m%d}"


def _utc(instant: datetime) -> str:
    return "{:04d}{:02d}{:02d}T{:02d}{:02d}{:02d}Z".format(*instant.utctimetuple())


def escaped(text: str) -> str:
    """TEXT as it stands in a content line (section 3.3.11), rid of what it must not hold."""
    if _CONTROLS.search(text):
        text = _CONTROLS.sub("", _LINE_ENDS.sub("\n", text))
    for mark in "\\;,":  # the backslash first
        text = text.replace(mark, f"\\{mark}")
    return text.replace("\n", "\\n")


def address(url: str) -> str:
    """An address in the letters of RFC 3986, section 2, others percent-encoded."""
    return quote(url, safe=URI_MARKS)


def lines(unfolded: Iterable[str]) -> str:
    """Content lines, folded, each with its CRLF."""
    return "".join(f"{folded(line)}\r\n" for line in unfolded)


def folded(line: str) -> str:
    """A content line in pieces of at most 75 octets, cut between characters (section 3.1)."""
    octets = line.encode()
    if len(octets) <= LINE_OCTETS:
        return line
    pieces, start, room = [], 0, LINE_OCTETS
    while len(octets) - start > room:
        cut = start + room
        while octets[cut] & 0xC0 == 0x80:  # inside a character of UTF-8
            cut -= 1
        pieces.append(octets[start:cut])
        start, room = cut, LINE_OCTETS - 1  # the space that marks a fold counts
    return b"\r\n ".join((*pieces, octets[start:])).decode()
