"""When to solve, on which star, and why on none."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace
from numpy.typing import NDArray

from almanac.plan.star_choice import (
    EQUAL_CHANCE,
    NO_STAR,
    Candidates,
    calibration_moments,
    no_star_code,
    ranked_stars,
)

Floats = NDArray[np.float64]
HOUR, MINUTE = 3600.0, 60.0


def candidates(chance: list[float]) -> Candidates:
    """One window with stars that fulfil every condition."""
    every = np.ones((1, len(chance)), dtype=bool)
    return Candidates(every, every, every, np.array([chance]))


def ranking(
    chance: list[float], magnitude: list[float], known: tuple[int, ...] = (), count: int = 999
) -> list[int]:
    """Order of one window's stars."""
    is_known = np.isin(np.arange(len(chance)), known)
    return ranked_stars(candidates(chance), np.array(magnitude), is_known, count)[0]


def test_the_best_chance_wins() -> None:
    """Brightness does not count beyond two per cent."""
    assert ranking([0.5, 0.9, 0.7], [-1.0, 1.9, 0.0]) == [1, 2, 0]


def test_within_two_per_cent_the_brighter_wins() -> None:
    """0.90 and 0.885 count as equal, 0.90 and 0.875 do not."""
    assert ranking([0.900, 0.885], [1.5, 0.5]) == [1, 0]
    assert ranking([0.900, 0.875], [1.5, 0.5]) == [0, 1]


def test_within_two_per_cent_a_known_star_wins_over_a_brighter() -> None:
    """But not over one whose chance is better by more."""
    assert ranking([0.90, 0.89, 0.885], [0.0, 1.9, 0.5], known=(1,)) == [1, 0, 2]
    assert ranking([0.90, 0.87], [0.0, 1.9], known=(1,)) == [0, 1]


def test_equals_are_judged_against_the_best_not_along_a_chain() -> None:
    """0.86 is equal to 0.88 and 0.88 to 0.90, yet 0.86 does not win over 0.90."""
    assert ranking([0.90, 0.885, 0.87], [2.0, 1.0, 0.0]) == [1, 0, 2]


def test_the_spare_is_the_best_of_the_rest() -> None:
    """Once the chosen star is gone, two per cent are counted from the best that is left."""
    assert ranking([0.95, 0.90, 0.885, 0.5], [1.0, 1.0, 0.0, -1.0]) == [0, 2, 1, 3]


def test_no_more_stars_than_asked_for_and_each_once() -> None:
    """Two: the chosen one and one in reserve."""
    assert ranking([0.5, 0.9, 0.7], [0.0, 0.0, 0.0], count=2) == [1, 2]
    assert ranking([0.5], [0.0], count=2) == [0]


def test_full_equals_come_in_the_catalogues_order() -> None:
    """Nothing is left to chance."""
    assert ranking([0.9, 0.9, 0.9], [1.0, 1.0, 1.0]) == [0, 1, 2]


@given(st.lists(st.tuples(st.floats(0, 1), st.floats(-1.5, 6), st.booleans()), max_size=12))
def test_the_chosen_star_is_never_more_than_two_per_cent_from_the_best(
    stars: list[tuple[float, float, bool]],
) -> None:
    """And none within them is known or brighter and passed over."""
    chance, magnitude = [star[0] for star in stars], [star[1] for star in stars]
    known = tuple(index for index, star in enumerate(stars) if star[2])
    order = ranking(chance, magnitude, known)
    assert sorted(order) == list(range(len(stars)))
    for place, chosen in enumerate(order):
        rest = order[place:]
        best = max(chance[star] for star in rest)
        assert chance[chosen] >= best - EQUAL_CHANCE
        level = [star for star in rest if chance[star] >= best - EQUAL_CHANCE]
        assert stars[chosen][2] or not any(stars[star][2] for star in level)
        alike = [star for star in level if stars[star][2] == stars[chosen][2]]
        assert magnitude[chosen] == min(magnitude[star] for star in alike)


CONDITIONS = ["in_reach", "above_ground", "clear_of_moon"]
CODES = ["none_in_reach", "none_above_horizon", "none_clear_of_moon"]


@pytest.mark.parametrize(("condition", "code"), list(zip(CONDITIONS, CODES, strict=True)))
def test_each_condition_excludes_and_names_itself(condition: str, code: str) -> None:
    """A window whose stars all fail one condition has no star, and says which."""
    none = replace(candidates([0.9, 0.8]), **{condition: np.zeros((1, 2), dtype=bool)})
    assert ranked_stars(none, np.zeros(2), np.zeros(2, dtype=bool), 2) == [[]]
    assert no_star_code(none, 0) == code
    assert code in NO_STAR


@pytest.mark.parametrize("condition", CONDITIONS)
def test_a_star_that_fails_one_condition_is_passed_over(condition: str) -> None:
    """Even with the best chance."""
    some = replace(candidates([0.9, 0.8]), **{condition: np.array([[False, True]])})
    assert ranked_stars(some, np.zeros(2), np.zeros(2, dtype=bool), 2) == [[1]]
    with pytest.raises(ValueError, match="usable star"):
        no_star_code(some, 0)


def test_stars_that_fail_different_conditions_name_the_last_to_empty_the_sky() -> None:
    """One star is too low, the other behind a roof: the roof took the last one."""
    mixed = Candidates(
        in_reach=np.array([[False, True]]),
        above_ground=np.array([[True, False]]),
        clear_of_moon=np.array([[True, True]]),
        chance=np.array([[0.9, 0.9]]),
    )
    assert no_star_code(mixed, 0) == "none_above_horizon"


def moments(
    window: tuple[float, float],
    *dark: tuple[float, float],
    lead_min: float = 15,
    shortest_min: float = 20,
) -> float:
    """The moment of one window in minutes; all times in minutes, NaN for none."""
    spans = np.array(dark, dtype=float).reshape(-1, 2) * MINUTE
    windows = np.array([window]) * MINUTE
    found = calibration_moments(windows, spans, lead_min * MINUTE, shortest_min * MINUTE)
    return float(found[0] / MINUTE)


def test_the_star_comes_a_lead_before_the_window() -> None:
    """In the dark the moment is the start less the lead."""
    assert moments((100, 200), (0, 300)) == 85


def test_in_evening_twilight_the_star_waits_for_the_dark() -> None:
    """The first moment dark enough, before the window or inside it."""
    assert moments((100, 200), (95, 300)) == 95
    assert moments((100, 200), (150, 300)) == 150


def test_darkness_that_comes_too_late_is_of_no_use() -> None:
    """Less than the shortest window is left: too bright to solve."""
    assert moments((100, 200), (179, 300)) == 179
    assert np.isnan(moments((100, 200), (181, 300)))


def test_in_morning_twilight_the_star_comes_while_it_shows() -> None:
    """Dark at the start less the lead, whenever the dawn comes."""
    assert moments((100, 200), (0, 120)) == 85
    assert moments((100, 200), (0, 90)) == 85


def test_a_morning_window_after_the_dark_has_no_star() -> None:
    """The dark ended before the moment came, and the next dusk is after the window."""
    assert np.isnan(moments((100, 200), (0, 84), (300, 400)))


def test_a_white_night_has_no_star() -> None:
    """Without any darkness."""
    assert np.isnan(moments((100, 200)))


def test_a_window_of_the_shortest_length_has_its_moment_without_a_lead() -> None:
    """A lead of nothing is allowed; the start itself is dark and the whole window is left."""
    assert moments((100, 120), (0, 300), lead_min=0) == 100


def test_each_window_finds_its_own_moment() -> None:
    """Windows that share a dark span, or lie between two, do not disturb each other."""
    windows = np.array([[1.0, 3.0], [3.05, 4.0], [5.0, 6.0], [9.0, 9.5]]) * HOUR
    dark = np.array([[0.0, 2.0], [3.5, 5.5]]) * HOUR
    found = calibration_moments(windows, dark, HOUR / 4, HOUR / 3)
    assert found[:3] / HOUR == pytest.approx([0.75, 3.5, 4.75])
    assert np.isnan(found[3])


def test_a_year_without_windows_has_no_moments() -> None:
    """An empty array."""
    assert calibration_moments(np.empty((0, 2)), np.array([[0.0, 1.0]]), 1.0, 1.0).shape == (0,)


@given(
    st.integers(0, 100),
    st.integers(20, 200),
    st.integers(1, 60),
    st.lists(st.integers(-100, 400), min_size=2, max_size=6, unique=True),
)
def test_a_moment_is_dark_and_in_time(start: int, length: int, lead: int, edges: list[int]) -> None:
    """It is the earliest minute that is; where there is none, no dark minute lies in reach."""
    edges = sorted(edges)[: len(edges) // 2 * 2]
    dark = list(zip(edges[::2], edges[1::2], strict=True))
    found = moments((start, start + length), *dark, lead_min=lead)
    inside = [
        minute
        for minute in range(start - lead, start + length - 20 + 1)
        if any(begin <= minute < end for begin, end in dark)
    ]
    assert found == inside[0] if inside else np.isnan(found)
