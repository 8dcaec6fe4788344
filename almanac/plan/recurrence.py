"""The days of a meeting's rule: RFC 5545 recurrences laid on a site's wall clock."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache
from zoneinfo import ZoneInfo

from dateutil.rrule import rrulestr

from almanac.records.config import Meeting

CYCLE_YEARS = 400
"""The Gregorian calendar comes round after 146097 days, which are whole weeks."""
NOON = time(12)


@lru_cache(maxsize=1024)
def rule_days(rule: str, first: date, year: int) -> tuple[date, ...]:
    """The days of a year that a rule names, counted from its first date; UNTIL is left aside.

    The first date is DTSTART: it fixes what the rule leaves open, and COUNT and INTERVAL count
    from it, but it is no day of the rule unless the rule names it. A rule that names no day would
    be searched to the year 9999: it is therefore laid as late as the calendar's cycle allows, and
    given up there after less than 400 years.
    """
    if first.year > year:
        return ()
    later = (date.max.year - year) // CYCLE_YEARS * CYCLE_YEARS
    begin = datetime.combine(_moved(first, later), time())
    parts = ";".join(part for part in rule.split(";") if not part.startswith("UNTIL="))
    last = date(year + later, 12, 31)
    return tuple(_moved(day, -later) for day in _until(parts, begin, last) if day.year == last.year)


def _moved(day: date, years: int) -> date:
    return day.replace(year=day.year + years)


def _until(parts: str, begin: datetime, last: date) -> Iterator[date]:
    """The rule's days up to the last."""
    try:
        for instant in rrulestr(parts, dtstart=begin):
            if instant.date() > last:
                return
            yield instant.date()
    except (OverflowError, ValueError):  # past the end of the calendar
        return


def start_of(day: date, clock: time, zone: ZoneInfo) -> datetime:
    """The UTC instant of a wall-clock time.

    In an hour that the clocks skip it is taken by the offset before the gap, in one that comes
    twice it is the first (RFC 5545, sections 3.8.5.3 and 3.3.5).
    """
    return datetime.combine(day, clock, zone).astimezone(UTC)


def days_of(year: int, zone: ZoneInfo) -> tuple[date, ...]:
    """The days of a year without those that the zone skips: on them is no meeting (3.3.10)."""
    first = date(year, 1, 1)
    days = [first + timedelta(days=k) for k in range((date(year + 1, 1, 1) - first).days)]
    return tuple(day for day in days if start_of(day, NOON, zone).astimezone(zone).date() == day)


def meeting_days(meeting: Meeting, year: int, zone: ZoneInfo) -> frozenset[date]:
    """The days of a year that a meeting's rule names, up to its UNTIL.

    UNTIL is inclusive; without a Z it is local time, and a date alone means its whole day.
    """
    days = rule_days(meeting.rule, meeting.first, year)
    return frozenset(day for day in days if not _past(meeting, day, zone))


def _past(meeting: Meeting, day: date, zone: ZoneInfo) -> bool:
    """Whether a day's start is after the rule's UNTIL."""
    until = next((p[6:] for p in meeting.rule.split(";") if p.startswith("UNTIL=")), None)
    if until is None:
        return False
    if until.endswith("Z"):
        last = datetime.strptime(until, "%Y%m%dT%H%M%SZ").replace(tzinfo=UTC)
        return start_of(day, meeting.start, zone) > last
    if "T" in until:
        return datetime.combine(day, meeting.start) > datetime.strptime(until, "%Y%m%dT%H%M%S")
    return day > datetime.strptime(until, "%Y%m%d").date()
