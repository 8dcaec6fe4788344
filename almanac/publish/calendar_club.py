"""Entries of the club's calendar: its meetings with their sky, and the outings proposed."""

from collections import Counter
from collections.abc import Iterable, Iterator

from msgspec.structs import replace

from almanac.publish import night_lines
from almanac.publish.calendar import Entry, uid
from almanac.publish.calendar_nights import cap_lines, dangers, entry, minutes, night_of
from almanac.publish.club_words import judgement
from almanac.publish.meeting_words import capital
from almanac.publish.outing_words import evening_line, outing_title
from almanac.publish.pages.book import Book
from almanac.publish.pages.club_marks import DATES_HREF, meeting_anchor, outing_anchor
from almanac.publish.pages.club_meetings import meeting_row
from almanac.records.diary import ClubMeeting, Outing, OutingDate


def club_entries(book: Book) -> list[Entry]:
    """Meetings and proposed outings with their reserves, in order of time."""
    found = told_apart([*_meetings(book), *_outings(book)])
    return sorted(found, key=lambda one: (str(one.start), one.uid))


def told_apart(entries: Iterable[Entry]) -> Iterator[Entry]:
    """Entries of one key, such as two meetings of a title on a day, with UIDs by their order."""
    counts = Counter[str]()
    for one in entries:
        yield replace(one, uid=uid(one.uid, counts[one.uid])) if counts[one.uid] else one
        counts[one.uid] += 1


def _meetings(book: Book) -> Iterator[Entry]:
    """Each meeting; known by title and day, so that it stays itself at another hour."""
    words = book.words
    for meeting in book.almanac.diary.meetings:
        summary = meeting.title
        if meeting.judgement == "poor":
            summary = words.gettext("%(meeting)s, falls badly", meeting=summary)
        yield entry(
            book,
            ("meeting", meeting.title, meeting.day),
            minutes(meeting.start_utc, meeting.end_utc),
            summary,
            _meeting_lines(book, meeting),
            f"{DATES_HREF}#{meeting_anchor(meeting)}",
        )


def _meeting_lines(book: Book, meeting: ClubMeeting) -> Iterator[str]:
    """Dangers come first."""
    row, words = meeting_row(book, meeting), book.words
    night = night_of(book, meeting.start_utc) if meeting.night and meeting.outdoors else None
    if night:
        yield from dangers(night, words)
    yield words.gettext("%(what)s.", what=capital(judgement(meeting.judgement, words)))
    yield from row.lines
    for better in row.better:
        yield words.gettext("Better: %(day)s.", day=better.text)
    if night:
        yield from cap_lines(night, words)
    yield night_lines.zone_at(meeting.start_utc, words)


def _outings(book: Book) -> Iterator[Entry]:
    """Each proposed evening, then those in reserve for it."""
    words = book.words
    for place, outing in enumerate(book.almanac.diary.outings):
        title = outing_title(outing.rule, words)
        proposed = words.gettext("Proposed: %(outing)s", outing=title)
        for proposal in outing.proposals:
            yield _evening(book, outing, place, proposal.main, proposed)
            day = words.date(proposal.main.date, "short_day")
            reserve = words.gettext("%(outing)s, in reserve for %(day)s", outing=title, day=day)
            for backup in proposal.backups:
                yield _evening(book, outing, place, backup.date, reserve)


def _evening(book: Book, outing: Outing, place: int, evening: OutingDate, summary: str) -> Entry:
    """An evening; known by its kind of outing and its date."""
    return entry(
        book,
        ("outing", outing.rule.kind, outing.rule.title, evening.date),
        minutes(evening.start_utc, evening.end_utc),
        summary,
        _evening_lines(book, evening),
        f"{DATES_HREF}#{outing_anchor(place)}",
    )


def _evening_lines(book: Book, evening: OutingDate) -> Iterator[str]:
    words, night = book.words, night_of(book, evening.start_utc)
    yield from dangers(night, words)
    yield evening_line(evening, words)
    if evening.clear_chance is not None:
        chance = words.chance(evening.clear_chance)
        yield words.gettext("Chance of a clear sky: %(alone)s.", alone=chance)
    yield from cap_lines(night, words)
    yield night_lines.zone_at(evening.start_utc, words)
