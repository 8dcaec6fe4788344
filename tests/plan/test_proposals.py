"""Proposals: as good as trying every choice, on made-up years and at the edges."""

from datetime import date, timedelta
from itertools import combinations, pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from almanac.plan.odds import Weather
from almanac.plan.proposals import gap_odds, proposed, reserves
from almanac.records.config import OutingRule

SEASONS = ("winter", "spring", "summer", "autumn")
START = date(2027, 1, 1)


def rule_of(**changes: int) -> OutingRule:
    """A rule that only says how many dates to propose."""
    numbers = {"dates": 4, "per_season": 1, "spacing_days": 28, "backups": 2, "backup_days": 10}
    return OutingRule(
        kind="moon_evening",
        title="",
        weekdays=(0, 1, 2, 3, 4, 5, 6),
        lit=(0.0, 1.0),
        moon="either",
        lowest_altitude_deg=0.0,
        hours_after_dark=0.0,
        shortest_min=0.0,
        least_landing_chance=0.0,
        **{**numbers, **changes},
    )


def seasons_of(days: list[date]) -> list[str]:
    """By quarters."""
    return [SEASONS[(day.month - 1) // 3] for day in days]


def merit(
    rows: tuple[int, ...], days: list[date], worth: np.ndarray, rule: OutingRule
) -> tuple[int, int, float] | None:
    """Dates, reserves that follow and sum of worth of a choice; None if it breaks the rule."""
    chosen = [days[row] for row in rows]
    if any((later - one).days < rule.spacing_days for one, later in pairwise(chosen)):
        return None
    seasons = seasons_of(chosen)
    if any(seasons.count(season) > rule.per_season for season in seasons):
        return None
    spare = [
        min(rule.backups, sum(0 < (day - one).days <= rule.backup_days for day in days))
        for one in chosen
    ]
    return len(rows), sum(spare), float(worth[list(rows)].sum())


years = st.lists(st.integers(0, 364), min_size=1, max_size=11, unique=True).map(sorted)


@settings(max_examples=300)
@given(
    years,
    st.data(),
    st.integers(1, 5),
    st.integers(1, 3),
    st.integers(1, 60),
    st.integers(0, 3),
    st.integers(1, 40),
)
def test_no_other_choice_is_better(
    offsets: list[int],
    data: st.DataObject,
    dates: int,
    per_season: int,
    spacing_days: int,
    backups: int,
    backup_days: int,
) -> None:
    """Every choice of up to so many dates is tried; whole numbers of worth, so that sums tie."""
    days = [START + timedelta(days=offset) for offset in offsets]
    marks = data.draw(st.lists(st.integers(-3, 3), min_size=len(days), max_size=len(days)))
    worth = np.array(marks, float)
    rule = rule_of(
        dates=dates,
        per_season=per_season,
        spacing_days=spacing_days,
        backups=backups,
        backup_days=backup_days,
    )
    chosen = proposed(days, seasons_of(days), worth, rule)
    tried = {
        rows: found
        for count in range(dates + 1)
        for rows in combinations(range(len(days)), count)
        if (found := merit(rows, days, worth, rule)) is not None
    }
    best = max(tried.values())
    assert tried[chosen] == best
    assert chosen == min(rows for rows, found in tried.items() if found == best)


def test_nothing_to_choose_from_gives_nothing() -> None:
    """A year without a fitting evening has no proposal."""
    assert proposed([], [], np.empty(0), rule_of()) == ()
    assert reserves([], np.empty(0), (), rule_of(), None) == []


def test_the_spacing_is_kept_to_the_day() -> None:
    """Twenty-eight days apart is far enough, twenty-seven is not."""
    days = [START, START + timedelta(days=27), START + timedelta(days=28)]
    rule = rule_of(per_season=3, dates=3, backups=0)
    assert proposed(days, seasons_of(days), np.array([1.0, 9.0, 1.0]), rule) == (0, 2)


def test_an_evening_with_reserves_goes_before_a_better_one_without() -> None:
    """A date that cannot be put off is a worse proposal."""
    days = [START, START + timedelta(days=1), START + timedelta(days=40)]
    worth = np.array([1.0, 2.0, 9.0])
    chosen = proposed(days, seasons_of(days), worth, rule_of(dates=1, backups=1))
    assert chosen == (0,)
    assert proposed(days, seasons_of(days), worth, rule_of(dates=1, backups=0)) == (2,)


def test_a_large_year_is_chosen_quickly_and_keeps_its_promise() -> None:
    """Every evening of a year, sixty dates wished for."""
    days = [START + timedelta(days=k) for k in range(365)]
    worth = np.sin(np.arange(365.0))
    rule = rule_of(dates=60, per_season=20, spacing_days=4, backups=5, backup_days=60)
    chosen = proposed(days, seasons_of(days), worth, rule)
    assert len(chosen) == 60
    assert merit(chosen, days, worth, rule) is not None


def test_reserves_without_figures_are_the_best_that_follow() -> None:
    """The two best within the days, in order of time, and none twice."""
    days = [START + timedelta(days=k) for k in (0, 1, 2, 3, 12)]
    worth = np.array([5.0, 1.0, 3.0, 2.0, 9.0])
    assert reserves(days, worth, (0,), rule_of(), None) == [(2, 3)]
    assert reserves(days, worth, (0, 1), rule_of(), None) == [(2, 3), ()]


def test_reserves_with_figures_are_those_that_raise_the_chance() -> None:
    """In weather that lasts they stand apart, whatever their worth."""
    days = [START + timedelta(days=k) for k in (0, 1, 2, 5, 9, 10, 11)]
    worth = np.array([5.0, 9.0, 9.0, 1.0, 1.0, 9.0, 9.0])
    rows = reserves(days, worth, (0,), rule_of(), Weather((0.4,) * 12, 0.5))
    assert rows == [(3, 5)]


def test_what_a_reserve_is_worth_by_its_days() -> None:
    """Gaps that occur, how often, and the chance for all evenings alike."""
    days = [START + timedelta(days=k) for k in (0, 1, 3)]
    found = gap_odds(days, 2, Weather((0.4,) * 12, 0.35))
    assert [(gap, pairs) for gap, pairs, _ in found] == [(1, 1), (2, 1)]
    assert found[0][2] == pytest.approx(0.556)  # by hand: 1 - 0.6 (1 - 0.4 x 0.65)
    assert found[1][2] == pytest.approx(1 - 0.6 * (1 - 0.4 * (1 - 0.35**2)))
