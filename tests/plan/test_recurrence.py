"""Rules of meetings on the wall clock: known calendars, clock changes, rules that mean harm."""

import time as stopwatch
from collections.abc import Callable
from datetime import UTC, date, datetime, time
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest

from almanac.plan.recurrence import days_of, meeting_days, rule_days, start_of
from almanac.records.config import Meeting

NEW_YEAR = date(2027, 1, 1)
MakeMeeting = Callable[..., Meeting]


@pytest.fixture
def meeting() -> MakeMeeting:
    """A maker of meetings by their rules."""

    def make(rule: str, start: time = time(19, 30), first: date = NEW_YEAR) -> Meeting:
        return Meeting("Made up", rule, start, 120.0, outdoors=True, first=first)

    return make


@pytest.mark.parametrize(
    ("rule", "first", "days"),
    [
        ("FREQ=MONTHLY;BYDAY=2FR;BYMONTH=1,2", NEW_YEAR, [(1, 8), (2, 12)]),
        ("FREQ=MONTHLY;BYDAY=-1TU;BYMONTH=3,4", NEW_YEAR, [(3, 30), (4, 27)]),
        ("FREQ=MONTHLY;BYDAY=5FR", NEW_YEAR, [(1, 29), (4, 30), (7, 30), (10, 29), (12, 31)]),
        ("FREQ=YEARLY;BYMONTHDAY=31;BYMONTH=2,3", NEW_YEAR, [(3, 31)]),
        ("FREQ=YEARLY", date(2024, 5, 9), [(5, 9)]),  # what the rule leaves open is the first's
        ("FREQ=YEARLY;INTERVAL=2", date(2024, 5, 9), []),
        ("FREQ=YEARLY;INTERVAL=3", date(2024, 5, 9), [(5, 9)]),
        ("FREQ=DAILY;COUNT=3", date(2026, 12, 30), [(1, 1)]),  # two of three lie in 2026
        ("FREQ=WEEKLY;COUNT=2;BYDAY=SU", NEW_YEAR, [(1, 3), (1, 10)]),  # the first is no Sunday
        ("FREQ=MONTHLY;BYDAY=MO,TU,WE,TH,FR;BYSETPOS=-1;BYMONTH=5", NEW_YEAR, [(5, 31)]),
        ("FREQ=YEARLY;BYDAY=FR;BYMONTHDAY=13", NEW_YEAR, [(8, 13)]),
    ],
)
def test_a_rule_names_the_days_of_the_calendar(
    rule: str, first: date, days: list[tuple[int, int]]
) -> None:
    """Days of 2027 found with a wall calendar: 1 January is a Friday."""
    assert rule_days(rule, first, 2027) == tuple(date(2027, *day) for day in days)


def test_every_fourth_week_goes_on_from_year_to_year() -> None:
    """An interval is counted from the first date, not from each new year."""
    rule, first = "FREQ=WEEKLY;INTERVAL=4;BYDAY=FR", date(2024, 1, 5)
    days = [day for year in range(2024, 2031) for day in rule_days(rule, first, year)]
    assert days[0] == first
    assert {(later - one).days for one, later in pairwise(days)} == {28}


@pytest.mark.parametrize("year", [1900, 2024, 2027, 2052])
def test_no_year_of_the_ephemeris_is_out_of_reach(year: int) -> None:
    """Every day of the year is a day of the plainest rule, counted from long before."""
    days = rule_days("FREQ=DAILY", date(1900, 1, 1), year)
    assert days == days_of(year, ZoneInfo("UTC"))


@pytest.mark.parametrize(
    "rule",
    [
        "FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30",
        "FREQ=WEEKLY;BYDAY=MO;BYSETPOS=300",
        "FREQ=MONTHLY;BYMONTHDAY=31;BYMONTH=2,4,6;BYSETPOS=-366",
        "FREQ=YEARLY;BYYEARDAY=1;BYMONTH=12",
        "FREQ=YEARLY;BYWEEKNO=53;BYDAY=MO;BYMONTH=6",
        "FREQ=DAILY;INTERVAL=9999",
        "FREQ=YEARLY;INTERVAL=9999",
        "FREQ=DAILY;COUNT=1",
    ],
)
def test_a_rule_without_a_day_comes_to_an_end(rule: str) -> None:
    """In the worst year to begin with it is given up in seconds, where dateutil takes a minute."""
    begin = stopwatch.process_time()
    assert rule_days(rule, date(1900, 1, 2), 2052) == ()
    assert stopwatch.process_time() - begin < 8.0


@pytest.mark.parametrize(
    ("until", "last"),
    [
        ("20270305", 5),  # a date alone is its whole day
        ("20270305T193000", 5),  # local, and inclusive
        ("20270305T192959", 4),
        ("20270305T183000Z", 5),  # 19:30 in Warsaw's winter
        ("20270305T182959Z", 4),
    ],
)
def test_until_is_inclusive(until: str, last: int, meeting: MakeMeeting) -> None:
    """The last of the days at 19:30 in Warsaw."""
    daily = meeting(f"FREQ=DAILY;UNTIL={until}", first=date(2027, 3, 1))
    days = meeting_days(daily, 2027, ZoneInfo("Europe/Warsaw"))
    assert sorted(days) == [date(2027, 3, day) for day in range(1, last + 1)]


@pytest.mark.parametrize(
    ("zone", "offsets"),
    [
        # Hours east of Greenwich before the first change, between, and after, by the zone's law.
        ("Europe/Warsaw", (1, 2, 1)),
        ("Australia/Broken_Hill", (10.5, 9.5, 10.5)),
        ("Pacific/Chatham", (13.75, 12.75, 13.75)),
        ("Pacific/Apia", (13, 13, 13)),
    ],
)
def test_half_past_seven_stays_half_past_seven(zone: str, offsets: tuple[float, ...]) -> None:
    """Over both changes of the clock the local time of a start stays."""
    days = (date(2027, 1, 20), date(2027, 7, 20), date(2027, 11, 20))
    for day, offset in zip(days, offsets, strict=True):
        start = start_of(day, time(19, 30), ZoneInfo(zone))
        assert start.astimezone(ZoneInfo(zone)).replace(tzinfo=None) == datetime(
            day.year, day.month, day.day, 19, 30
        )
        midnight_s = datetime(day.year, day.month, day.day, tzinfo=UTC).timestamp()
        assert start.timestamp() == midnight_s + (19.5 - offset) * 3600


@pytest.mark.parametrize(
    ("zone", "day", "clock", "utc"),
    [
        # RFC 5545, section 3.3.5, its own examples in New York.
        ("America/New_York", date(2007, 11, 4), time(1, 30), "2007-11-04T05:30"),
        ("America/New_York", date(2007, 3, 11), time(2, 30), "2007-03-11T07:30"),
        # The gap reaches midnight: the meeting of the 27th is held at half past midnight.
        ("America/Nuuk", date(2027, 3, 27), time(23, 30), "2027-03-28T01:30"),
        # Half an hour's change at Lord Howe Island.
        ("Australia/Lord_Howe", date(2027, 10, 3), time(2, 15), "2027-10-02T15:45"),
    ],
)
def test_hours_skipped_and_repeated_are_read_as_the_standard_says(
    zone: str, day: date, clock: time, utc: str
) -> None:
    """Skipped: by the offset before the gap. Repeated: the first."""
    assert start_of(day, clock, ZoneInfo(zone)) == datetime.fromisoformat(f"{utc}+00:00")


def test_a_date_that_the_zone_skips_has_no_meeting(meeting: MakeMeeting) -> None:
    """Samoa crossed the date line at the end of 29 December 2011: there was no 30th."""
    zone = ZoneInfo("Pacific/Apia")
    days = days_of(2011, zone)
    assert date(2011, 12, 30) not in days
    assert len(days) == 364
    fridays = meeting_days(meeting("FREQ=WEEKLY;BYDAY=FR", first=date(2011, 12, 1)), 2011, zone)
    held = [day for day in days if day in fridays]
    assert held[-2:] == [date(2011, 12, 16), date(2011, 12, 23)]


def test_a_rule_that_begins_after_the_year_has_no_day_in_it() -> None:
    """However late its first date is in the calendar."""
    for first in (date(2028, 1, 1), date(9999, 12, 31)):
        assert rule_days("FREQ=DAILY", first, 2027) == ()
    assert len(rule_days("FREQ=DAILY", date(2025, 9, 12), 1900)) == 0
