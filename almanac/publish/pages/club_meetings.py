"""The club's meetings as rows of a table: how each falls and which day would be better."""

from collections.abc import Iterator

from msgspec import Struct

from almanac.publish import club_words
from almanac.publish.club_words import REASONS, reason
from almanac.publish.pages.book import Book, night_href
from almanac.publish.pages.club_marks import meeting_anchor
from almanac.publish.pages.engine import Link
from almanac.publish.steps import NEW_MOON
from almanac.records.diary import ClubMeeting


class MeetingRow(Struct, frozen=True):
    """One date of a meeting."""

    anchor: str
    day: str
    href: str
    """Of its night; empty if that is the year before's."""
    hours: str
    title: str
    judgement: str
    poor: bool
    lines: tuple[str, ...]
    better: tuple[Link, ...]


def meeting_row(book: Book, meeting: ClubMeeting) -> MeetingRow:
    """One date of a meeting."""
    words = book.words
    return MeetingRow(
        anchor=meeting_anchor(meeting),
        day=words.date(meeting.day, "short_weekday_day"),
        href=night_href(meeting.night) if meeting.night else "",
        hours=club_words.hours(meeting, words),
        title=meeting.title,
        judgement=club_words.judgement(meeting.judgement, words),
        poor=meeting.judgement == "poor",
        lines=tuple(_meeting_lines(book, meeting)),
        better=tuple(_better(book, meeting)),
    )


def _meeting_lines(book: Book, meeting: ClubMeeting) -> Iterator[str]:
    """Why it falls so, and what the sky gives in its hours."""
    words = book.words
    if meeting.judgement == "poor" or not (meeting.moon or meeting.dark):
        yield words.caution(NEW_MOON) if _beside_sun(book, meeting) else reason(meeting, words)
    for moon in meeting.moon:
        yield club_words.moon_line(moon, words)
    if meeting.dark:
        yield club_words.dark_line(meeting, words)
    if meeting.outdoors and meeting.clear_chance is not None:
        chance = words.chance(meeting.clear_chance)
        yield words.gettext("Chance of a clear sky: %(alone)s.", alone=chance)


def _beside_sun(book: Book, meeting: ClubMeeting) -> bool:
    """Whether the Moon of a night without a window is not to be looked for at all."""
    if not meeting.outdoors or meeting.reason in REASONS:
        return False
    nights = (night for night in book.almanac.nights if night.date == meeting.night)
    return any(NEW_MOON in night.cautions for night in nights)


def _better(book: Book, meeting: ClubMeeting) -> Iterator[Link]:
    """Ways to the nearest better day, and to the nearest on the same weekday."""
    words = book.words
    for better in dict.fromkeys((meeting.better, meeting.better_same_weekday)):
        if better:
            day = words.date(better.day, "short_weekday_day")
            falls = club_words.judgement(better.judgement, words)
            text = words.gettext("%(day)s %(falls)s", day=day, falls=falls)
            yield Link(night_href(better.night), text)
