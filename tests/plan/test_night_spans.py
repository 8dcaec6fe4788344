"""Nights run from local noon to local noon, whatever the clocks do."""

from collections.abc import Callable
from datetime import UTC, date, datetime, time, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from almanac.plan.nights import YearNights, club_hours, year_nights
from almanac.records.config import HoursSpan

Show = Callable[[float, str], str]
HOUR = 3600.0
ADELAIDE = "Australia/Adelaide"
ALL_WEEK: tuple[None, ...] = (None,) * 7
ZONES = [
    "UTC",
    "Europe/Paris",
    "America/Los_Angeles",
    "Australia/Adelaide",
    "Australia/Lord_Howe",
    "Asia/Kathmandu",
    "Pacific/Chatham",
    "Pacific/Kiritimati",
    "Pacific/Pago_Pago",
    "Africa/Casablanca",
    "America/Havana",
    "Antarctica/Troll",
]


def hours_of(nights: YearNights) -> dict[str, float]:
    """Length of each night in hours by date."""
    lengths = (nights.spans[:, 1] - nights.spans[:, 0]) / HOUR
    return {f"{day}": float(length) for day, length in zip(nights.dates, lengths, strict=True)}


def unusual(nights: YearNights) -> dict[str, float]:
    """Nights that are not 24 hours long."""
    return {day: length for day, length in hours_of(nights).items() if length != 24}


def every_day(*spans: tuple[str, str]) -> tuple[tuple[HoursSpan, ...], ...]:
    """The same hours on all seven evenings."""
    return (tuple(HoursSpan(*map(time.fromisoformat, span)) for span in spans),) * 7


@settings(max_examples=25)
@given(st.integers(1900, 2052), st.sampled_from(ZONES))
def test_nights_follow_each_other_without_gap(year: int, zone: str) -> None:
    """Each night ends where the next begins, and holds its midnight."""
    nights = year_nights(year, zone)
    assert np.array_equal(nights.spans[1:, 0], nights.spans[:-1, 1])
    assert np.all(nights.midnights > nights.spans[:, 0])
    assert np.all(nights.midnights < nights.spans[:, 1])
    assert {day.year for day in nights.dates} == {year}


@pytest.mark.parametrize("zone", ZONES)
def test_a_night_is_named_by_its_evening(zone: str, wall_clock: Show) -> None:
    """The clock shows noon of the date at the start and noon of the next date at the end."""
    nights = year_nights(2027, zone)
    for day, (start, end) in zip(nights.dates, nights.spans, strict=True):
        assert wall_clock(start, zone) == f"{day} 12:00"
        assert wall_clock(end, zone) == f"{day + timedelta(days=1)} 12:00"


@pytest.mark.parametrize(("year", "count"), [(2027, 365), (2028, 366), (2000, 366), (1900, 365)])
def test_leap_years_have_one_night_more(year: int, count: int) -> None:
    """Also the century rule."""
    nights = year_nights(year, "Europe/Paris")
    assert len(nights.dates) == count
    assert date(year, 2, 28) + timedelta(days=1) in nights.dates


def test_first_and_last_night_belong_to_their_evening() -> None:
    """The year's nights begin on 1 January at noon and end on the next 1 January at noon."""
    nights = year_nights(2027, "Europe/Paris")
    assert (nights.dates[0], nights.dates[-1]) == (date(2027, 1, 1), date(2027, 12, 31))
    assert nights.spans[0, 0] == datetime(2027, 1, 1, 11, tzinfo=UTC).timestamp()
    assert nights.spans[-1, 1] == datetime(2028, 1, 1, 11, tzinfo=UTC).timestamp()


def test_two_years_join_at_noon() -> None:
    """No hour is lost or counted twice at the turn of the year."""
    for zone in ZONES:
        assert year_nights(2027, zone).spans[-1, 1] == year_nights(2028, zone).spans[0, 0]


@pytest.mark.parametrize(
    ("zone", "expected"),
    [
        ("Europe/Paris", {"2027-03-27": 23, "2027-10-30": 25}),
        ("America/Los_Angeles", {"2027-03-13": 23, "2027-11-06": 25}),
        ("Australia/Adelaide", {"2027-04-03": 25, "2027-10-02": 23}),
        ("Australia/Lord_Howe", {"2027-04-03": 24.5, "2027-10-02": 23.5}),
        ("Antarctica/Troll", {"2027-03-27": 22, "2027-10-30": 26}),
        ("Asia/Kathmandu", {}),
    ],
)
def test_clock_changes_shorten_and_lengthen_a_night(zone: str, expected: dict[str, float]) -> None:
    """The night of a change has an hour (or half, or two) less or more, and no other has."""
    assert unusual(year_nights(2027, zone)) == expected


@pytest.mark.parametrize(
    ("zone", "year", "skipped"),
    [
        ("Pacific/Apia", 2011, date(2011, 12, 30)),
        ("Pacific/Fakaofo", 2011, date(2011, 12, 30)),
        ("Pacific/Kwajalein", 1993, date(1993, 8, 21)),
        ("Pacific/Kiritimati", 1994, date(1994, 12, 31)),
    ],
)
def test_a_date_that_the_zone_skipped_has_no_night(
    zone: str, year: int, skipped: date, wall_clock: Show
) -> None:
    """The evening before runs to noon of the date after, about a day later."""
    nights = year_nights(year, zone)
    assert skipped not in nights.dates
    before = nights.dates.index(skipped - timedelta(days=1))
    start, end = nights.spans[before]
    assert wall_clock(end, zone) == f"{skipped + timedelta(days=1)} 12:00"
    assert 23 <= (end - start) / HOUR <= 25
    assert start < nights.midnights[before] < end
    assert len(nights.dates) == 364


def test_hours_of_an_evening_before_a_skipped_date_run_through(wall_clock: Show) -> None:
    """Hours past midnight reach into the date that follows in fact."""
    nights = year_nights(2011, "Pacific/Apia")
    hours = club_hours(nights, every_day(("22:00", "02:00")), "Pacific/Apia")
    row = nights.dates.index(date(2011, 12, 29))
    inside = hours[(hours[:, 0] >= nights.spans[row, 0]) & (hours[:, 1] <= nights.spans[row, 1])]
    shown = [wall_clock(at, "Pacific/Apia") for at in inside[0]]
    assert shown == ["2011-12-29 22:00", "2011-12-31 02:00"]
    assert inside[0, 1] - inside[0, 0] == 4 * HOUR


def test_midnight_is_the_clocks_midnight(wall_clock: Show) -> None:
    """Not the middle of the span."""
    for zone in ("Europe/Paris", "Australia/Lord_Howe", "Pacific/Chatham"):
        nights = year_nights(2027, zone)
        for day, midnight in zip(nights.dates, nights.midnights, strict=True):
            assert wall_clock(midnight, zone) == f"{day + timedelta(days=1)} 00:00"


def test_a_midnight_that_is_skipped_is_the_first_moment_of_the_new_date(wall_clock: Show) -> None:
    """Havana set its clocks on at midnight in 2019: the new date begins at one."""
    nights = year_nights(2019, "America/Havana")
    row = nights.dates.index(date(2019, 3, 9))
    assert wall_clock(nights.midnights[row], "America/Havana") == "2019-03-10 01:00"


def test_without_hours_the_whole_night_is_the_clubs() -> None:
    """None for every weekday is the whole year in one span."""
    nights = year_nights(2027, "Europe/Paris")
    hours = club_hours(nights, ALL_WEEK, "Europe/Paris")
    assert hours.tolist() == [[nights.spans[0, 0], nights.spans[-1, 1]]]


def test_a_week_without_hours_has_none() -> None:
    """Empty evenings give an empty set of the usual shape."""
    nights = year_nights(2027, "Europe/Paris")
    assert club_hours(nights, ((),) * 7, "Europe/Paris").shape == (0, 2)


def test_hours_follow_the_evenings_weekday(wall_clock: Show) -> None:
    """A Friday's hours past midnight belong to Friday evening only."""
    hours = [(), (), (), (), every_day(("20:00", "01:30"))[0], (), ()]
    nights = year_nights(2027, "Europe/Paris")
    found = club_hours(nights, tuple(hours), "Europe/Paris")
    assert len(found) == 53  # 2027 begins on a Friday
    shown = [wall_clock(at, "Europe/Paris") for at in found[0]]
    assert shown == ["2027-01-01 20:00", "2027-01-02 01:30"]
    for start, _ in found:
        assert datetime.fromtimestamp(start, UTC).weekday() == 4


def test_morning_hours_belong_to_the_evening_before(wall_clock: Show) -> None:
    """Hours before noon are those of the next morning, and end before noon at the latest."""
    nights = year_nights(2027, ADELAIDE)
    found = club_hours(nights, every_day(("04:00", "06:30"), ("11:00", "12:00")), ADELAIDE)
    shown = [wall_clock(at, ADELAIDE) for at in found[:2].ravel()]
    assert shown == [
        "2027-01-02 04:00",
        "2027-01-02 06:30",
        "2027-01-02 11:00",
        "2027-01-02 12:00",
    ]


def test_noon_to_noon_is_the_whole_night() -> None:
    """A span that ends at noon ends at the next noon, one that starts at noon at the first."""
    nights = year_nights(2027, "Europe/Paris")
    found = club_hours(nights, every_day(("12:00", "12:00")), "Europe/Paris")
    assert found.tolist() == [[nights.spans[0, 0], nights.spans[-1, 1]]]


def test_hours_that_overlap_or_touch_are_one(wall_clock: Show) -> None:
    """In whatever order they are given."""
    nights = year_nights(2027, "Europe/Paris")
    given_hours = every_day(("21:00", "23:00"), ("19:00", "21:30"), ("23:00", "00:15"))
    found = club_hours(nights, given_hours, "Europe/Paris")
    assert len(found) == 365
    shown = [wall_clock(at, "Europe/Paris") for at in found[100]]
    assert shown == ["2027-04-11 19:00", "2027-04-12 00:15"]


def test_hours_through_a_clock_change_have_their_real_length() -> None:
    """Eight hours on the clock are seven in spring and nine in autumn."""
    nights = year_nights(2027, "Europe/Paris")
    found = club_hours(nights, every_day(("22:00", "06:00")), "Europe/Paris")
    lengths = dict(zip(nights.dates, (found[:, 1] - found[:, 0]) / HOUR, strict=True))
    assert lengths[date(2027, 3, 27)] == 7
    assert lengths[date(2027, 10, 30)] == 9
    assert lengths[date(2027, 6, 1)] == 8


def test_hours_that_the_clock_skips_do_not_turn_round() -> None:
    """A span from 02:15 to 02:45 on the night when two becomes three is never negative."""
    nights = year_nights(2027, "Europe/Paris")
    found = club_hours(nights, every_day(("02:15", "02:45")), "Europe/Paris")
    assert np.all(found[:, 1] > found[:, 0])
    assert np.all(found[1:, 0] >= found[:-1, 1])
    assert np.max(found[:, 1] - found[:, 0]) <= HOUR / 2


@settings(max_examples=25)
@given(
    st.sampled_from(ZONES),
    st.lists(
        st.tuples(st.times(), st.times()).filter(
            lambda span: (span[0].hour < 12, span[0]) < (span[1] <= time(12), span[1])
        ),
        max_size=3,
    ),
)
def test_every_span_of_hours_lies_in_one_night(zone: str, spans: list[tuple[time, time]]) -> None:
    """Hours never spill over a noon, unless they fill the night to it."""
    nights = year_nights(2027, zone)
    found = club_hours(nights, (tuple(HoursSpan(*span) for span in spans),) * 7, zone)
    rows = np.searchsorted(nights.spans[:, 0], found[:, 0], side="right") - 1
    crosses = found[:, 1] > nights.spans[rows, 1]
    whole = [span for span in spans if span[0] == time(12) or span[1] == time(12)]
    assert not np.any(crosses) or whole
