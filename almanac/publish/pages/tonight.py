"""The front page's data of a site's year: what stands there tonight, by the minute."""

import json
import math
from datetime import datetime
from typing import Any

from almanac.publish.charts.moon_disc import bright_limb_from_zenith_deg, lit_path
from almanac.publish.eclipse_words import mark
from almanac.publish.night_lines import SUN_NEAR, caution_lines
from almanac.publish.pages.book import Book, eclipse_href
from almanac.publish.pages.club_marks import is_outing
from almanac.publish.pages.night_line import NightLine
from almanac.publish.steps import sentence, window_sentence
from almanac.publish.wording import Wording
from almanac.records.year import Night, Window

DISC_RADIUS = 50.0
"""Of the front page's disc, in the units of its viewBox in the template."""

Row = list[Any]


def tonight(book: Book) -> str:
    """A year's nights as a script, which works from a folder on disk where JSON would not.

    A row is: date, minute of the sunrise that ends the night (of noon without one), minute to cap
    by (0 without a sunrise), sentence, grade, title, hours or why there are none, finest detail,
    limits, path of the disc's lit part, windows, events. A window is: minute of its start, minute
    of the hop (of the start without a star), last minute for its use, star (or empty), its own
    sentence (only where the night has several). An event, an eclipse or a date of the club, is: its
    page, its text, 1 if the night is worth going out for its sake. Minutes count from 1970 in UTC,
    rounded.
    """
    rows = [
        [*_row(line, night, book.words), _events(book, night)]
        for line, night in zip(book.lines, book.almanac.nights, strict=True)
    ]
    body = ",\n".join(json.dumps(row, ensure_ascii=False, separators=(",", ":")) for row in rows)
    site, number = json.dumps(book.almanac.site.slug), book.almanac.year
    # No text can be taken for markup, whatever reads the script.
    return f"almanacNights({site},{number},[\n{body}\n]);\n".replace("<", "\\u003c")


def _row(line: NightLine, night: Night, words: Wording) -> Row:
    moon, sun = night.moon, night.sun
    return [
        line.date.isoformat(),
        minute(sun.rise_utc or night.end_utc),
        minute(sun.cap_by_utc) if sun.cap_by_utc else 0,
        _advice(night, words),
        line.quality,
        line.title,
        line.hours or line.reason,
        line.detail,
        f"{words.gap}; ".join(line.limits),
        lit_path(moon.phase_angle_deg, bright_limb_from_zenith_deg(moon), DISC_RADIUS),
        [_window(night, window, words) for window in night.windows],
    ]


def _events(book: Book, night: Night) -> Row:
    eclipses = [
        [eclipse_href(one), mark(one, book.words), int(one.body == "moon")]
        for one in book.eclipses_of(night)
    ]
    dates = book.club_links.get(night.date, ())
    return [*eclipses, *([link.href, link.text, int(is_outing(link))] for link in dates)]


def _advice(night: Night, words: Wording) -> str:
    """The night's sentence, behind the warning where the Moon stands close to a risen Sun."""
    codes = (code for code in night.cautions if code == SUN_NEAR)
    return " ".join((*caution_lines(night, codes, words), sentence(night, words)))


def _window(night: Night, window: Window, words: Wording) -> Row:
    star = window.calibration.chosen if window.calibration else None
    row = [
        minute(window.start_utc),
        minute(star.hop_utc if star else window.start_utc),
        minute(usable_until(night, window)),
        star.star if star else "",
    ]
    return row if len(night.windows) == 1 else [*row, window_sentence(window, words)]


def minute(instant: datetime) -> int:
    """Whole minutes since 1970-01-01 UTC, rounded, halves up: the minute that a clock text says."""
    return math.floor(instant.timestamp() / 60 + 0.5)


def usable_until(night: Night, window: Window) -> datetime:
    """The window's end, or the time to cap before it."""
    cap_by = night.sun.cap_by_utc
    return cap_by if cap_by and window.start_utc < cap_by < window.end_utc else window.end_utc
