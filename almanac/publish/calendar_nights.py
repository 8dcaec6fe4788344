"""Entries of the calendars of nights: Moon windows, dark hours; and what all entries share."""

from bisect import bisect_right
from collections.abc import Iterable, Iterator
from datetime import date, datetime, timedelta

from almanac.publish import night_lines, steps
from almanac.publish.calendar import Entry, minute, stamp, uid
from almanac.publish.calendar_names import web_address
from almanac.publish.pages.book import Book, night_href
from almanac.publish.pages.night_line import quality
from almanac.publish.window_limits import window_limits
from almanac.publish.wording import Wording
from almanac.records.year import Night, Window

SHORTEST_DARK = timedelta(hours=1)
"""Less is not worth a calendar's line (common practice, no source)."""
WORD_JOINER = "\u2060"
"""Keeps lines from breaking on pages; some calendars show it as a box."""
DANGERS = night_lines.DANGERS - {night_lines.CAP}

Hours = tuple[datetime, datetime]


def entry(
    book: Book,
    key: tuple[object, ...],
    hours: tuple[datetime | date, datetime | date | None],
    summary: str,
    lines: Iterable[str],
    href: str,
) -> Entry:
    """An entry with a page of the book.

    The key tells it from all others of the site and stays when its hours change.
    """
    site, club = book.almanac.site, book.config.club
    return Entry(
        uid=uid(club.name, site.slug, *key),
        stamp_utc=stamp(book.almanac.year),
        start=hours[0],
        end=hours[1],
        summary=summary,
        description="\n".join(dict.fromkeys(lines)).replace(WORD_JOINER, ""),
        url=web_address(book.config, f"{book.folder}{href}"),
        location=site.name,
        geo_deg=(site.latitude_deg, site.longitude_deg),
    )


def night_of(book: Book, at_utc: datetime) -> Night:
    """The night, noon to noon, in which an instant of the year lies."""
    nights = book.almanac.nights
    return nights[bisect_right(nights, at_utc, key=lambda night: night.start_utc) - 1]


def minutes(start: datetime, end: datetime) -> Hours:
    """Hours as the pages print them."""
    return minute(start), minute(end)


def dangers(night: Night, words: Wording) -> tuple[str, ...]:
    """The night's cautions about the Sun, but for the time to cap."""
    codes = (code for code in night.cautions if code in DANGERS)
    return night_lines.caution_lines(night, codes, words)


def cap_lines(night: Night, words: Wording) -> tuple[str, ...]:
    """By when to cover the telescope, if the Sun rises."""
    codes = (code for code in night.cautions if code == night_lines.CAP)
    return night_lines.caution_lines(night, codes, words)


def window_entries(book: Book) -> Iterator[Entry]:
    """Every window of the year; numbered in its night, so that it stays itself when it moves."""
    for night in book.almanac.nights:
        for number, window in enumerate(night.windows):
            yield entry(
                book,
                ("window", night.date, number),
                minutes(window.start_utc, window.end_utc),
                _window_summary(book, night, window),
                _window_lines(book, night, window),
                night_href(night.date),
            )


def _window_summary(book: Book, night: Night, window: Window) -> str:
    words = book.words
    grade = words.quality(quality(night.rank, book.ranked_count))
    if window.calibration:
        star = steps.star_place(window.calibration.chosen, words)
        text = words.gettext("Moon, %(night)s: start on %(star)s", night=grade, star=star)
    else:
        assert window.no_star is not None
        why = words.no_star(window.no_star)
        text = words.gettext("Moon, %(night)s: %(why)s", night=grade, why=why)
    return words.gettext("Sun up! %(what)s", what=text) if window.daylight else text


def _window_lines(book: Book, night: Night, window: Window) -> Iterator[str]:
    """Dangers come first."""
    words = book.words
    yield from dangers(night, words)
    yield steps.window_sentence(window, words)
    if covered := steps.covered(night, window, words):
        yield covered
    yield words.gettext(
        "Finest at %(best)s, the Moon then %(place)s: %(limits)s.",
        best=words.clock(window.best_utc),
        place=steps.place(window.altitude_deg, window.azimuth_deg, words),
        limits=f"{words.gap}; ".join(
            (book.detail(window.finest_detail_km), *window_limits(window, words))
        ),
    )
    yield from cap_lines(night, words)
    yield night_lines.zone_line(night, words)


def dark_entries(book: Book) -> Iterator[Entry]:
    """The dark hours of every night that has enough of them."""
    words = book.words
    for night in book.almanac.nights:
        dark = night.dark
        if dark is None or dark.end_utc - dark.start_utc < SHORTEST_DARK:
            continue
        start, end = minutes(dark.start_utc, dark.end_utc)
        length = words.duration((end - start).total_seconds())
        lines = (steps.dark_sentence(night, words), night_lines.zone_line(night, words))
        yield entry(
            book,
            ("dark", night.date),
            (start, end),
            words.gettext("Dark sky, %(length)s", length=length),
            lines,
            night_href(night.date),
        )
