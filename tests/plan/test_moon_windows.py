"""Moon windows on made-up skies whose answers are known beforehand."""

from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace
from numpy.typing import NDArray

from almanac.plan.windows import NO_WINDOW, Conditions, YearWindows, find_windows

Floats = NDArray[np.float64]
DAY, HOUR, MINUTE = 86400.0, 3600.0, 60.0
NIGHTS = np.array([[k * DAY, (k + 1) * DAY] for k in range(3)])
"""Three nights; each begins at its noon, so that midnight is 12 hours on."""


def spans(*hours: tuple[float, float]) -> Floats:
    """Spans given in hours from the first noon."""
    return np.array(hours, dtype=float).reshape(-1, 2) * HOUR


ALWAYS = spans((-12, 90))
OPEN = Conditions(ALWAYS, ALWAYS, ALWAYS, ALWAYS, ALWAYS)


def search(daylight: bool = False, shortest_min: float = 20.0, **changed: Floats) -> YearWindows:
    """Windows with every condition open but those given."""
    return find_windows(NIGHTS, replace(OPEN, **changed), shortest_min * MINUTE, daylight)


def in_hours(found: YearWindows) -> list[list[float]]:
    """The windows in hours from the first noon."""
    return (found.spans / HOUR).round(6).tolist()


def test_without_limits_each_night_is_one_window() -> None:
    """The windows are the nights themselves, cut at each noon."""
    found = search()
    assert in_hours(found) == [[0, 24], [24, 48], [48, 72]]
    assert found.night.tolist() == [0, 1, 2]
    assert found.no_window == (None, None, None)


def test_a_window_may_cross_midnight() -> None:
    """Midnight cuts nothing."""
    found = search(above_ground=spans((10, 14)))
    assert in_hours(found) == [[10, 14]]
    assert found.night.tolist() == [0]


def test_a_window_is_cut_at_noon() -> None:
    """A Moon that is up through noon gives each night its own part."""
    found = search(above_ground=spans((22, 27)))
    assert in_hours(found) == [[22, 24], [24, 27]]
    assert found.night.tolist() == [0, 1]
    assert found.no_window == (None, None, "moon_below_limit")


def test_a_night_may_have_several_windows() -> None:
    """A tree in the way, a high Moon and two spans of hours make four of one."""
    found = search(
        above_ground=spans((2, 8), (9, 20)),
        below_mount_limit=spans((-12, 12), (13, 90)),
        in_hours=spans((3, 15), (16, 19)),
    )
    assert in_hours(found) == [[3, 8], [9, 12], [13, 15], [16, 19]]
    assert found.night.tolist() == [0, 0, 0, 0]
    assert found.no_window == (None, "moon_below_limit", "moon_below_limit")


def test_every_minute_of_a_window_fulfils_every_condition() -> None:
    """The window starts with the last condition to come and ends with the first to go."""
    found = search(
        above_ground=spans((1, 9)),
        below_mount_limit=spans((2, 10)),
        sun_allows=spans((3, 11)),
        in_hours=spans((4, 12)),
        lit_enough=spans((5, 13)),
    )
    assert in_hours(found) == [[5, 9]]


@pytest.mark.parametrize(
    ("condition", "code"),
    [
        ("above_ground", "moon_below_limit"),
        ("below_mount_limit", "moon_too_high"),
        ("sun_allows", "sun_up"),
        ("in_hours", "outside_hours"),
        ("lit_enough", "too_thin"),
    ],
)
def test_each_condition_names_itself(condition: str, code: str) -> None:
    """The only condition that fails in the second night is its reason, and is a known code."""
    found = search(**{condition: spans((-12, 24), (48, 90))})
    assert found.no_window == (None, code, None)
    assert code in NO_WINDOW


def test_too_close_to_the_sun_replaces_sun_up_where_daylight_is_allowed() -> None:
    """By day it is not the Sun's height that forbids but its nearness; other codes stay."""
    found = search(daylight=True, sun_allows=spans((-12, 24)), lit_enough=spans((-12, 90)))
    assert found.no_window == (None, "sun_too_close", "sun_too_close")
    assert search(daylight=True, lit_enough=spans()).no_window == ("too_thin",) * 3


def test_too_short_is_said_only_of_a_window_that_was_there() -> None:
    """A night whose only window is dropped for its length says so."""
    found = search(above_ground=spans((10, 10.3), (30, 31)))
    assert found.no_window == ("too_short", None, "moon_below_limit")
    assert in_hours(found) == [[30, 31]]


def test_a_window_of_exactly_the_shortest_length_is_kept() -> None:
    """The limit is inclusive."""
    kept = spans((10, 10.5), (34, 34.4999))
    found = search(shortest_min=30.0, above_ground=kept)
    assert in_hours(found) == [[10, 10.5]]
    assert found.no_window[1] == "too_short"


def test_the_parts_on_both_sides_of_noon_are_measured_apart() -> None:
    """Fifteen minutes before noon and fifteen after are two short windows, not one long."""
    found = search(above_ground=spans((23.75, 24.25)))
    assert found.no_window == ("too_short", "too_short", "moon_below_limit")


def test_the_first_condition_that_empties_a_night_gives_the_reason() -> None:
    """All conditions fail in the second night; they are laid on in the order of the codes."""
    names = ("above_ground", "below_mount_limit", "sun_allows", "in_hours", "lit_enough")
    others = spans((-12, 24), (48, 90))
    for first, code in enumerate(NO_WINDOW[:5]):
        found = search(**dict.fromkeys(names[first:], others))
        assert found.no_window[1] == code


def test_a_reason_is_what_removed_the_last_of_it() -> None:
    """The Moon is up only by day: the Sun removed it, though hours would have too."""
    found = search(above_ground=spans((1, 5)), sun_allows=spans((6, 18)), in_hours=spans((7, 11)))
    assert found.no_window[0] == "sun_up"


def test_conditions_that_never_meet_name_the_later_one() -> None:
    """Each alone would allow a window."""
    found = search(sun_allows=spans((6, 18)), in_hours=spans((2, 5)))
    assert found.no_window[0] == "outside_hours"


def test_a_sky_without_a_moon_has_no_windows() -> None:
    """Empty arrays keep their shape."""
    found = search(above_ground=spans())
    assert found.spans.shape == (0, 2)
    assert found.night.shape == (0,)
    assert found.no_window == ("moon_below_limit",) * 3


@st.composite
def some_spans(draw: st.DrawFn) -> Floats:
    """Spans on whole quarter hours."""
    edges = sorted(draw(st.sets(st.integers(0, 288), max_size=12)))
    return np.array(edges[: len(edges) // 2 * 2], dtype=float).reshape(-1, 2) * 900


def covers(sets: Sequence[Floats], moment: float) -> list[bool]:
    """Whether each set holds a moment."""
    return [bool(np.any((one[:, 0] < moment) & (moment < one[:, 1]))) for one in sets]


@settings(max_examples=40)
@given(st.tuples(*[some_spans()] * 5), st.sampled_from([0.0, 15.0, 60.0]))
def test_windows_agree_with_a_clock_watched_every_quarter_hour(
    five: tuple[Floats, ...], shortest_min: float
) -> None:
    """Each quarter hour is in a window exactly if all hold for long enough around it."""
    found = find_windows(NIGHTS, Conditions(*five), shortest_min * MINUTE, daylight=False)
    for row, (noon, _) in enumerate(NIGHTS):
        moments = noon + 450 + 900 * np.arange(96)
        held = np.array([covers(five, moment) for moment in moments])
        good = held.all(axis=1)
        edges = np.flatnonzero(np.diff(np.concatenate(([0], good, [0]))))
        runs = [
            [noon + 900 * a, noon + 900 * b]
            for a, b in edges.reshape(-1, 2)
            if (b - a) * 15 >= shortest_min
        ]
        assert found.spans[found.night == row].tolist() == runs
        left = np.logical_and.accumulate(held, axis=1).any(axis=0)
        code = NO_WINDOW[int(np.argmin(np.append(left, False)))]
        assert found.no_window[row] == (None if runs else code)
