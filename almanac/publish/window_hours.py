"""The hours of windows as every list of nights prints them, with the day and the time to cap."""

from datetime import date
from itertools import pairwise

from almanac.publish.steps import span
from almanac.publish.wording import Wording
from almanac.records.year import Night, Window

SUN_UP = "sun_up_in_window"


def spans(night: Night, words: Wording) -> str:
    """The hours of all windows of a night; a day after the evening's is named once."""
    days = [night.date, *(words.day(window.start_utc) for window in night.windows)]
    return ", ".join(
        _hours(night, window, day if day != before else None, words)
        for window, (before, day) in zip(night.windows, pairwise(days), strict=True)
    )


def window_hours(night: Night, window: Window, words: Wording) -> str:
    """The hours of one window of a night; one that opens after midnight names its day."""
    day = words.day(window.start_utc)
    return _hours(night, window, day if day != night.date else None, words)


def _hours(night: Night, window: Window, day: date | None, words: Wording) -> str:
    """With the number of its day: "Sun" alone, beside the Moon's hours, is read as the Sun.

    A window that goes on to sunrise never stands without the time to cap.
    """
    hours = span(window.start_utc, window.end_utc, words)
    if day:
        hours = f"{words.date(day, 'weekday_number')} {hours}"
    cap_by = night.sun.cap_by_utc
    if cap_by and cap_by < window.end_utc and SUN_UP not in night.cautions:
        return words.gettext("%(hours)s, cap by %(cap)s", hours=hours, cap=words.clock(cap_by))
    return hours
