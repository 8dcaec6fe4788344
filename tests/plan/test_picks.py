"""The year's picks among made-up windows, transits and full Moons."""

import numpy as np
import pytest

from almanac.plan import picks
from almanac.plan.picks import PICKS, STAGES, Looks

DAY_S = 86400.0


def looks(fractions, waxing, utc_s=None):
    """Instants a day apart with lit fractions."""
    count = len(fractions)
    times = np.arange(count) * DAY_S if utc_s is None else np.array(utc_s, dtype=float)
    return Looks(times, np.array(fractions, dtype=float), np.array(waxing, dtype=bool))


@pytest.mark.parametrize(
    ("fraction", "waxing", "stage"),
    [
        (0.03, True, "thin_crescent_waxing"),
        (0.0999, True, "thin_crescent_waxing"),
        (0.10, True, "crescent_waxing"),
        (0.45, True, "first_quarter"),
        (0.55, True, "gibbous_waxing"),
        (0.99, True, "full"),
        (1.0, False, "full"),
        (0.9899, False, "gibbous_waning"),
        (0.5, False, "last_quarter"),
        (0.2, False, "crescent_waning"),
        (0.0, False, "thin_crescent_waning"),
    ],
)
def test_a_stage_follows_from_lit_fraction_and_side(fraction, waxing, stage):
    """Edges belong to the fuller stage; both sides of full are one stage."""
    assert STAGES[picks.stages(looks([fraction], [waxing]))[0]] == stage


def test_the_finest_nights_are_ten_and_each_counts_once():
    """Two windows of a night take one place, with the finer of the two; ranks run from 1."""
    detail_km = np.array([5.0, 3.0, 3.5, 9.0, *np.linspace(6.0, 7.0, 12)])
    night = np.array([0, 1, 1, 2, *range(3, 15)])
    best = looks([0.5] * 16, [True] * 16)
    found = list(picks.finest_nights(best, night, detail_km))
    assert [choice.rank for choice in found] == list(range(1, 11))
    assert [choice.value for choice in found[:3]] == [3.0, 5.0, 6.0]
    assert [choice.utc_s / DAY_S for choice in found[:3]] == [1.0, 0.0, 4.0]
    rows = [int(choice.utc_s / DAY_S) for choice in found]
    assert len({int(night[row]) for row in rows}) == 10
    assert [choice.value for choice in found] == sorted(choice.value for choice in found)


def test_a_year_with_few_windows_has_few_finest_nights():
    """Three nights give three picks; none gives none."""
    best = looks([0.5] * 3, [True] * 3)
    assert len(list(picks.finest_nights(best, np.arange(3), np.array([2.0, 1.0, 3.0])))) == 3
    none = looks([], [])
    assert list(picks.finest_nights(none, np.empty(0, dtype=np.int64), np.empty(0))) == []


def test_each_stage_that_occurs_has_its_finest_window():
    """In the order of the month; a stage without a window is left out."""
    best = looks([0.5, 0.5, 0.5, 0.99, 0.2], [True, True, False, True, True])
    found = list(picks.best_of_stages(best, np.array([6.0, 5.0, 4.0, 7.0, 8.0])))
    assert [(choice.stage, choice.value) for choice in found] == [
        ("crescent_waxing", 8.0),
        ("first_quarter", 5.0),
        ("full", 7.0),
        ("last_quarter", 4.0),
    ]


def test_extremes_are_named_the_right_way_round():
    """The highest transit is the greatest altitude; the largest full Moon is the nearest one."""
    times = np.arange(3) * DAY_S
    heights = list(picks.highest_and_lowest(times, np.array([40.0, 65.0, 16.0])))
    assert {choice.code: choice.utc_s / DAY_S for choice in heights} == {
        "highest_moon": 1.0,
        "lowest_moon": 2.0,
    }
    moons = list(picks.full_moons(times, np.array([390e3, 357e3, 405e3])))
    assert {choice.code: choice.value for choice in moons} == {
        "largest_full_moon": 357e3,
        "smallest_full_moon": 405e3,
    }
    assert list(picks.highest_and_lowest(np.empty(0), np.empty(0))) == []


def test_the_thinnest_crescents_are_one_on_each_side():
    """The least fraction among waxing and among waning instants; an empty side has none."""
    safe = looks([0.30, 0.08, 0.05, 0.04, 0.20], [True, True, True, False, False])
    assert [(choice.code, choice.value) for choice in picks.thinnest(safe)] == [
        ("thinnest_waxing", 0.05),
        ("thinnest_waning", 0.04),
    ]
    assert [c.code for c in picks.thinnest(looks([0.1], [False]))] == ["thinnest_waning"]


def test_every_code_says_which_figure_decides():
    """What is given out is what the table lists, and no more."""
    best = looks([0.05, 0.4], [True, False])
    two = np.array([1.0, 2.0])
    given = [
        *picks.finest_nights(best, np.arange(2), two),
        *picks.best_of_stages(best, two),
        *picks.highest_and_lowest(two, two),
        *picks.full_moons(two, two),
        *picks.thinnest(best),
    ]
    assert {choice.code for choice in given} == set(PICKS)
