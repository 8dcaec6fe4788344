"""Entries of the calendar of events: phases, apsides, eclipses, occultations, close approaches."""

from collections.abc import Iterator
from datetime import datetime, timedelta

from msgspec.structs import replace

from almanac.publish import night_lines
from almanac.publish.calendar import Entry, minute
from almanac.publish.calendar_nights import cap_lines, dangers, entry, minutes, night_of
from almanac.publish.eclipse_words import here_name, seen_from, sun_cautions
from almanac.publish.meeting_words import (
    approach_here,
    approach_name,
    capital,
    contact_sentence,
    occultation_name,
    seen_contacts,
)
from almanac.publish.pages.book import (
    Book,
    approach_href,
    eclipse_href,
    night_href,
    occultation_href,
)
from almanac.publish.wording import Wording
from almanac.records.events import Eclipse
from almanac.records.meetings import Approach, Occultation
from almanac.records.year import Apsis, Phase

DAY = timedelta(days=1)
SOON = timedelta(hours=3)
"""A telescope that is out may stay out so long (common practice, no source)."""

Dated = tuple[datetime, Entry]


def event_entries(book: Book) -> list[Entry]:
    """All events of the year that the site can use, in order of time."""
    found = book.almanac
    dated: list[Dated] = [
        *((phase.at_utc, _phase(book, phase)) for phase in found.phases),
        *((apsis.at_utc, _apsis(book, apsis)) for apsis in found.apsides),
        *((one.greatest_utc, _eclipse(book, one)) for one in found.eclipses if one.visible),
        *((o.middle_utc, _occultation(book, o)) for o in found.meetings.occultations if o.seen),
        *((one.at_utc, _approach(book, one)) for one in found.meetings.approaches),
    ]
    return [entry for _, entry in sorted(dated, key=lambda pair: pair[0])]


def _phase(book: Book, phase: Phase) -> Entry:
    return _all_day(book, phase, book.words.phase(phase.kind), ())


def _apsis(book: Book, apsis: Apsis) -> Entry:
    words = book.words
    distance = words.gettext(
        "%(distance)s\u00a0km from the Earth's centre to the Moon's.",
        distance=words.number(apsis.distance_km),
    )
    return _all_day(book, apsis, words.apsis(apsis.kind), (distance,))


def _all_day(book: Book, event: Phase | Apsis, name: str, lines: tuple[str, ...]) -> Entry:
    """An instant of the whole Earth, on its local day with its time in the name.

    Numbered by its day in UTC, which no setting of the site moves.
    """
    at, words = event.at_utc, book.words
    day = words.day(at)
    placed = entry(
        book,
        (event.kind, at.date()),
        (day, day + DAY),
        f"{name} {words.clock(at)}",
        (*lines, night_lines.zone_at(at, words)),
        night_href(night_of(book, at).date),
    )
    return replace(placed, location="", geo_deg=None)


def _eclipse(book: Book, eclipse: Eclipse) -> Entry:
    seen = [moment.at_utc for moment in eclipse.contacts if moment.visible]
    name, lines = here_name(eclipse, book.words), _eclipse_lines(book, eclipse)
    if eclipse.solar:
        name = book.words.gettext("%(eclipse)s: only through a solar filter", eclipse=name)
    return entry(
        book,
        ("eclipse", eclipse.slug),
        minutes(seen[0], seen[-1]),
        name,
        lines,
        eclipse_href(eclipse),
    )


def _eclipse_lines(book: Book, eclipse: Eclipse) -> Iterator[str]:
    words = book.words
    if eclipse.solar:
        yield from sun_cautions(eclipse.solar, words)
    yield _sentence(seen_from(eclipse, words), words)
    if not eclipse.solar:
        yield from _of_the_night(book, eclipse.greatest_utc)
    yield night_lines.zone_at(eclipse.greatest_utc, words)


def _occultation(book: Book, one: Occultation) -> Entry:
    seen, words = seen_contacts(one), book.words
    lines = (
        *(contact_sentence(one, contact, words) for contact in seen),
        *_of_the_night(book, one.middle_utc),
        night_lines.zone_at(one.middle_utc, words),
    )
    return entry(
        book,
        ("occultation", one.hip or one.name, one.date),
        minutes(seen[0].at_utc, seen[-1].at_utc),
        occultation_name(one, words),
        lines,
        occultation_href(one),
    )


def _approach(book: Book, one: Approach) -> Entry:
    words = book.words
    lines = (
        _sentence(approach_here(one, words), words),
        *_of_the_night(book, one.at_utc),
        night_lines.zone_at(one.at_utc, words),
    )
    return entry(
        book,
        ("approach", one.name, one.date),
        (minute(one.at_utc), None),
        approach_name(one, words),
        lines,
        approach_href(one),
    )


def _sentence(text: str, words: Wording) -> str:
    return words.gettext("%(what)s.", what=capital(text))


def _of_the_night(book: Book, at_utc: datetime) -> tuple[str, ...]:
    """The night's dangers, and the time to cap where it is near."""
    night = night_of(book, at_utc)
    cap_by = night.sun.cap_by_utc
    soon = cap_by is not None and cap_by - at_utc < SOON
    return (*dangers(night, book.words), *(cap_lines(night, book.words) if soon else ()))
