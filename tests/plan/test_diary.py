"""Meetings on made-up skies: how much of their hours serves, why not, and which day is better."""

from datetime import date, timedelta

import numpy as np
import pytest

from almanac.plan.diary import (
    JUDGEMENTS,
    better_day,
    dark_reason,
    judged,
    longest_in,
    moon_reason,
    seconds_in,
)

HOUR = 3600.0
HOURS = np.array([[19.0, 21.0], [43.0, 45.0], [67.0, 69.0], [91.0, 93.0]]) * HOUR
"""Two hours on each of four evenings."""


def test_seconds_in_spans_are_summed_for_each_evening() -> None:
    """Two parts of one evening count together; a span over several evenings counts in each."""
    spans = np.array([[18.0, 19.5], [20.5, 20.75], [44.0, 68.0]]) * HOUR
    assert (seconds_in(HOURS, spans) / HOUR).tolist() == [0.75, 1.0, 1.0, 0.0]


def test_the_longest_part_of_each_evening() -> None:
    """Evenings without a part are left out."""
    spans = np.array([[18.0, 19.25], [20.0, 22.0], [44.9, 60.0]]) * HOUR
    assert longest_in(HOURS, spans) == {0: (20 * HOUR, 21 * HOUR), 1: (44.9 * HOUR, 45 * HOUR)}


@pytest.mark.parametrize(
    ("minutes", "judgement"),
    [(0, "poor"), (19.9, "poor"), (20, "fair"), (59.9, "fair"), (60, "good"), (120, "good")],
)
def test_half_of_the_hours_is_good_and_a_short_window_fair(minutes: float, judgement: str) -> None:
    """Two hours, with a shortest window of twenty minutes; both limits belong to the better."""
    (found,) = judged(np.array([minutes * 60.0]), HOURS[:1], 20 * 60.0)
    assert JUDGEMENTS[found] == judgement


def test_a_meeting_shorter_than_the_shortest_window_can_be_good() -> None:
    """Ten minutes that are all served are good; none served is poor."""
    hours = np.array([[0.0, 600.0], [0.0, 600.0]])
    assert judged(np.array([600.0, 0.0]), hours, 1200.0).tolist() == [2, 0]


def test_reasons_name_what_tells() -> None:
    """The night's own reason goes before that of the hours; the Sun's before the Moon's."""
    assert moon_reason(0, "too_thin") == "too_thin"
    assert moon_reason(0, None) == "moon_other_hours"
    assert [moon_reason(1, None), moon_reason(2, None)] == ["moon_part", "moon_most"]
    assert [dark_reason(0, False), dark_reason(0, True)] == ["twilight", "moonlight"]
    assert [dark_reason(1, True), dark_reason(2, True)] == ["dark_part", "dark_most"]


EVERY_DAY = tuple(range(7))


def found_day(marks: str, at: int, weekdays: tuple[int, ...] = EVERY_DAY) -> int | None:
    """The better day on days from Friday 1 January 2027, by letters: p poor, f fair, g good."""
    days = [date(2027, 1, 1) + timedelta(days=k) for k in range(len(marks))]
    return better_day(days, np.array(["pfg".index(mark) for mark in marks]), at, weekdays)


@pytest.mark.parametrize(
    ("marks", "at", "row"),
    [
        ("pppp", 1, None),
        ("gpppg", 1, 0),  # the nearest
        ("gpg", 1, 2),  # of two as near the later
        ("fpppg", 1, 4),  # a good one before a nearer fair one
        ("fpppp", 3, 0),
        ("gf", 1, 0),
        ("fg" + "p" * 21, 22, 1),  # three weeks are near
        ("g" + "p" * 22, 22, None),  # a day more is not
    ],
)
def test_the_nearest_better_day(marks: str, at: int, row: int | None) -> None:
    """Good before fair, near before far, later before earlier, within three weeks."""
    assert found_day(marks, at) == row


def test_only_the_clubs_weekdays_count() -> None:
    """The nearest Friday to a Friday is a week off."""
    assert found_day("pggggggg", 0, (4,)) == 7
    assert found_day("pggggggp", 0, (4,)) is None
