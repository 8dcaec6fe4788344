"""Outings on made-up nights: their hours, what suits, and the order of the evenings."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import numpy as np
import pytest
from msgspec.structs import replace

from almanac.plan.outings import hours_for, ranked, season_of, seasons_of
from almanac.records.config import OutingRule
from almanac.records.diary import OutingDate, OutingMoon

RULE = OutingRule(
    kind="moon_evening",
    title="",
    weekdays=(4, 5),
    lit=(0.45, 0.95),
    moon="waxing",
    lowest_altitude_deg=20.0,
    hours_after_dark=2.0,
    shortest_min=45.0,
    least_landing_chance=0.0,
    dates=4,
    per_season=1,
    spacing_days=28,
    backups=2,
    backup_days=10,
)
HOUR = 3600.0
NIGHTS = np.array([[12.0, 36.0], [36.0, 60.0], [60.0, 84.0]]) * HOUR
DARK = np.array([[18.0, 30.0], [42.5, 54.0], [67.0, 77.0]]) * HOUR


def evening(
    day: date, value: float, hour: int = 19, season: str = "winter", **moon: Any
) -> OutingDate:
    """An evening with a first quarter's Moon, unless told otherwise."""
    start = datetime(day.year, day.month, day.day, hour, tzinfo=UTC)
    usual: dict[str, Any] = {"illuminated_fraction": 0.5, "waxing": True, "landing_chance": 0.7}
    return OutingDate(
        date=day,
        start_utc=start,
        end_utc=start + timedelta(hours=1),
        best_utc=start,
        season=season,
        rank=0,
        year_rank=0,
        value=value,
        clear_chance=None,
        moon=OutingMoon(0, 40.0, 180.0, finest_detail_km=7.0, **{**usual, **moon}),
    )


def test_seasons_are_quarters_of_the_calendar() -> None:
    """Turned by half a year in the south; the equator goes with the north."""
    assert seasons_of(51.0) == seasons_of(0.0) == ("winter", "spring", "summer", "autumn")
    assert seasons_of(-0.1) == ("summer", "autumn", "winter", "spring")
    assert [season_of(date(2027, month, 1), -32.0) for month in (1, 3, 4, 7, 12)] == [
        *("summer", "summer", "autumn", "winter", "spring")
    ]


def test_the_first_hours_of_the_dark_begin_with_the_club() -> None:
    """At dusk, or when the club comes if that is later; cut where its hours end."""
    club = np.array([[19.0, 23.0], [42.0, 44.0], [66.0, 73.0]]) * HOUR
    found = hours_for(NIGHTS, club, DARK, RULE) / HOUR
    assert found.tolist() == [[19.0, 21.0], [42.5, 44.0], [67.0, 69.0]]


def test_without_a_limit_all_the_clubs_hours_serve() -> None:
    """Twilight too, and every span of an evening."""
    club = np.array([[17.0, 19.0], [28.0, 30.0], [66.0, 73.0]]) * HOUR
    found = hours_for(NIGHTS, club, DARK, replace(RULE, hours_after_dark=0.0))
    assert found.tolist() == club.tolist()


def test_only_the_given_nights_have_hours() -> None:
    """A night without club hours, or without dark ones, has none; no night at all is no fault."""
    club = np.array([[12.0, 17.0], [36.0, 84.0]]) * HOUR
    found = hours_for(NIGHTS[[0, 2]], club, DARK, RULE) / HOUR
    assert found.tolist() == [[67.0, 69.0]]
    assert hours_for(NIGHTS[:0], club, DARK, RULE).shape == (0, 2)


@pytest.mark.parametrize(
    ("rule", "moon", "fits"),
    [
        ({}, {}, True),
        ({}, {"illuminated_fraction": 0.449}, False),
        ({}, {"illuminated_fraction": 0.95}, True),
        ({}, {"illuminated_fraction": 0.951}, False),
        ({}, {"waxing": False}, False),
        ({"moon": "waning"}, {"waxing": False}, True),
        ({"moon": "waning"}, {}, False),
        ({"moon": "either"}, {"waxing": False}, True),
        ({}, {"landing_chance": None}, True),
        ({"least_landing_chance": 0.5}, {"landing_chance": None}, False),
        ({"least_landing_chance": 0.7}, {}, True),
        ({"least_landing_chance": 0.71}, {}, False),
    ],
)
def test_the_moon_and_the_star_have_to_suit(
    rule: dict[str, Any], moon: dict[str, Any], fits: bool
) -> None:
    """Lit part, side of the month and landing chance, each at its edge."""
    found = ranked(replace(RULE, **rule), [evening(date(2027, 1, 15), 40.0, **moon)])
    assert bool(found) is fits


def test_without_a_moon_nothing_is_asked_of_it() -> None:
    """A dark evening suits whatever the rule's Moon."""
    dark = replace(evening(date(2027, 1, 8), 4.0), moon=None)
    rule = replace(RULE, kind="dark_sky", least_landing_chance=1.0)
    assert [one.rank for one in ranked(rule, [dark])] == [1]


def test_evenings_rank_in_their_season_and_in_the_year() -> None:
    """Higher is better for a Moon evening; in order of time whatever the order they came in."""
    evenings = [
        evening(date(2027, 4, 16), 47.0, season="spring"),
        evening(date(2027, 1, 15), 50.0),
        evening(date(2027, 1, 16), 57.0),
        evening(date(2027, 2, 12), 47.0),
    ]
    found = ranked(RULE, evenings)
    assert [(one.date.month, one.date.day, one.rank, one.year_rank) for one in found] == [
        *((1, 15, 2, 2), (1, 16, 1, 1), (2, 12, 3, 3), (4, 16, 1, 4)),
    ]


@pytest.mark.parametrize(
    ("kind", "best"),
    [("moon_evening", 3.0), ("dark_sky", 3.0), ("fine_detail", 1.0), ("thin_crescent", 1.0)],
)
def test_of_a_night_the_better_part_stays(kind: str, best: float) -> None:
    """More height and longer dark are better; finer detail and a thinner crescent are less."""
    parts = [evening(date(2027, 1, 15), value, hour=20) for value in (2.0, 1.0, 3.0)]
    (found,) = ranked(replace(RULE, kind=kind), parts)
    assert found.value == best


def test_of_two_parts_as_good_the_earlier_stays() -> None:
    """Also if it came later in the list."""
    late, early = (evening(date(2027, 1, 15), 2.0, hour=hour) for hour in (22, 19))
    assert ranked(RULE, [late, early])[0].start_utc.hour == 19
