"""The booklet's tables: every night of a month in a line."""

from collections.abc import Iterator

from almanac.publish.booklet_words import COLUMNS
from almanac.publish.charts.drawing import on_paper, svg
from almanac.publish.charts.moon_dots import RADIUS, moon_dots
from almanac.publish.meeting_words import capital
from almanac.publish.pages.book import Book
from almanac.publish.pages.booklet_parts import Month, NightRow
from almanac.publish.pages.month import month_view
from almanac.publish.pages.night_line import NightLine
from almanac.publish.steps import best_window, span
from almanac.records.year import Night, Window

ROW = 2 * RADIUS + 28
"""Units from disc to disc."""
NOTE = 150
"""Letters that a row's second line has room for."""


def month_table(book: Book, month: int) -> Month:
    """A month's table."""
    words = book.words
    nights = [night for night in book.almanac.nights if night.date.month == month]
    return Month(
        title=capital(words.date(nights[0].date, "month")),
        summary=month_view(book, month).summary,
        head=tuple(words.gettext(head) for head, _ in COLUMNS),
        moons=_moons(book, nights),
        rows=tuple(
            _row(book, line, night)
            for line, night in zip(book.month_lines(month), nights, strict=True)
        ),
    )


def _moons(book: Book, nights: list[Night]) -> str:
    placed = [(ROW // 2, ROW * i + ROW // 2, night.moon) for i, night in enumerate(nights)]
    drawing = moon_dots(placed)
    return on_paper(svg("moons", "", "", ROW * len(nights), [drawing], ROW))


def _row(book: Book, line: NightLine, night: Night) -> NightRow:
    words, sun = book.words, night.sun
    window = best_window(night) if night.windows else None
    star, hop, frame = _star(book, window) if window else ("", "", "")
    return NightRow(
        day=f"{line.weekday} {line.day}",
        lit=words.percent(night.moon.illuminated_fraction),
        reason=line.reason,
        hours=span(window.start_utc, window.end_utc, words) if window else "",
        star=star,
        hop=hop,
        frame=frame,
        detail=line.detail,
        cap=words.clock(sun.cap_by_utc) if window and sun.cap_by_utc else "",
        dark=span(night.dark.start_utc, night.dark.end_utc, words) if night.dark else "",
        note=_note(tuple(_notes(book, line, night, window))),
        grade=line.quality,
    )


def _star(book: Book, window: Window) -> tuple[str, str, str]:
    """Star with the time to start on it, hop, and chance that it lands in the frame."""
    words = book.words
    if window.calibration is None:
        return words.gettext("by eye"), "", ""
    hop = window.calibration.chosen
    star = f"{words.clock(hop.at_utc)} {hop.star}"
    return star, words.hop(hop.turn_deg, hop.climb_deg), words.chance(hop.landing_chance)


def _notes(book: Book, line: NightLine, night: Night, best: Window | None) -> Iterator[str]:
    """Further windows, the sky's events and the club's dates of a night."""
    words = book.words
    for window in night.windows:
        if window is not best:
            hours = span(window.start_utc, window.end_utc, words)
            yield words.gettext("also %(hours)s", hours=hours)
    yield from line.marks


def _note(notes: tuple[str, ...]) -> str:
    """As many of the notes as there is room for; the chapter of events has all."""
    for count in range(len(notes), 0, -1):
        joined = " · ".join(notes[:count])
        if len(joined) <= NOTE:
            return joined
    return ""
