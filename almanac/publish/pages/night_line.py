"""A night in one line, as lists and calendars show it."""

from datetime import date
from typing import NamedTuple

from markupsafe import Markup

from almanac.publish import steps
from almanac.publish.wording import Wording
from almanac.records.year import Night


class NightLine(NamedTuple):
    """A night in one line, for lists and calendars; every field is text to show."""

    href: str
    date: date
    day: str
    weekday: str
    """Short."""
    title: str
    """Weekday, day and month."""
    short: str
    """The same, shortened."""
    disc: Markup
    shape: str
    hours: str
    """The windows' hours, or empty."""
    reason: str
    """Why there is none, or empty."""
    star: str
    detail: str
    """With its unit, or empty."""
    limits: tuple[str, ...]
    """What limits it for all its detail: short clips, an unsure hop."""
    quality: str
    """good, fair, poor or none: thirds of the year's nights by rank."""
    quality_text: str
    marks: tuple[str, ...]
    """Phases, apsides and eclipses that fall in the night, with their times."""


def quality(rank: int | None, count: int) -> str:
    """good, fair or poor by thirds of the count ranked nights; none without a window."""
    if rank is None:
        return "none"
    return ("good", "fair", "poor")[min(3 * (rank - 1) // count, 2)]


def reason(night: Night, words: Wording) -> str:
    """Why the night has no window, in a few words; beside the Sun the caution comes first."""
    if not night.no_window:
        return ""
    if steps.NEW_MOON in night.cautions:
        return words.gettext("Near the Sun: do not look")
    return words.no_window(night.no_window)
