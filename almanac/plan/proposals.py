"""Which dates to propose: as many as wished, far enough apart, the best in sum; and reserves."""

from bisect import bisect_right
from collections import Counter
from collections.abc import Sequence
from datetime import date, timedelta
from statistics import fmean

import numpy as np
from numpy.typing import NDArray

from almanac.plan.odds import Weather
from almanac.records.config import OutingRule

Floats = NDArray[np.float64]
Counts = NDArray[np.int64]

A_DATE = 1000
"""A further date counts more than all the reserves that there can be."""


def proposed(
    days: Sequence[date], seasons: Sequence[str], worth: Floats, rule: OutingRule
) -> tuple[int, ...]:
    """Rows of the dates to propose, in order of time.

    Of all choices that keep the spacing and the most of each season: those with the most dates up
    to the number wished, of these those with the most reserves to follow, of these the one with the
    greatest sum of worth, and of equal ones that with the earlier dates. Days rise, and a season's
    stand together. Exact: by dynamic programming from the last date to the first, over the numbers
    still free in all and in the season.
    """
    numbers = [day.toordinal() for day in days]
    after = np.searchsorted(numbers, np.array(numbers) + rule.spacing_days).tolist()
    gain = [A_DATE + len(near[: rule.backups]) for near in _followers(days, rule.backup_days)]
    shape = (rule.dates + 1, rule.per_season + 1)
    best: dict[int, tuple[Counts, Floats]] = {len(days): (np.zeros(shape, int), np.zeros(shape))}
    takes: dict[int, NDArray[np.bool_]] = {}

    def onward(row: int, to: int) -> tuple[Counts, Floats]:
        """The best from a later row on; a new season has all its dates free."""
        count, total = best[to]
        free = slice(None) if _same(seasons, row, to) else slice(-1, None)
        return np.broadcast_to(count[:, free], shape), np.broadcast_to(total[:, free], shape)

    for row in reversed(range(len(days))):
        skip, then = onward(row, row + 1), onward(row, after[row])
        count, total = np.full(shape, -1), np.zeros(shape)  # -1: cannot be taken
        count[1:, 1:] = then[0][:-1, :-1] + gain[row]
        total[1:, 1:] = then[1][:-1, :-1] + worth[row]
        take = (count > skip[0]) | ((count == skip[0]) & (total >= skip[1]))
        takes[row] = take
        best[row] = np.where(take, count, skip[0]), np.where(take, total, skip[1])
    return _walked(takes, after, seasons, rule)


def _same(seasons: Sequence[str], row: int, to: int) -> bool:
    """Whether a later row is of the same season; the end of the year is of every one."""
    return to == len(seasons) or seasons[to] == seasons[row]


def _walked(
    takes: dict[int, NDArray[np.bool_]],
    after: Sequence[int],
    seasons: Sequence[str],
    rule: OutingRule,
) -> tuple[int, ...]:
    """The rows taken on the way from the first date to the last."""
    chosen = []
    row, free, season_free = 0, rule.dates, rule.per_season
    while row < len(after):
        take = bool(takes[row][free, season_free])
        if take:
            chosen.append(row)
        free, season_free = free - take, season_free - take
        to = after[row] if take else row + 1
        row, season_free = to, season_free if _same(seasons, row, to) else rule.per_season
    return tuple(chosen)


def reserves(
    days: Sequence[date],
    worth: Floats,
    mains: Sequence[int],
    rule: OutingRule,
    weather: Weather | None,
) -> list[tuple[int, ...]]:
    """Rows in reserve for each main row, in order of time; no row serves twice.

    They follow within rule.backup_days. With the site's figures they are those that raise most the
    chance that one of all is clear, exactly; without, the best ones.
    """
    taken, followers = set(mains), _followers(days, rule.backup_days)
    found = []
    for main in mains:
        near = [row for row in followers[main] if row not in taken]
        if weather:
            picked = weather.best_reserves(days[main], [days[row] for row in near], rule.backups)
            rows = tuple(near[place] for place in picked)
        else:
            rows = tuple(sorted(sorted(near, key=lambda row: -worth[row])[: rule.backups]))
        taken |= set(rows)
        found.append(rows)
    return found


def _followers(days: Sequence[date], within_days: int) -> list[range]:
    """For each row the rows of the days that follow within so many days."""
    numbers = [day.toordinal() for day in days]
    return [
        range(row + 1, bisect_right(numbers, number + within_days))
        for row, number in enumerate(numbers)
    ]


def gap_odds(
    days: Sequence[date], within_days: int, weather: Weather
) -> list[tuple[int, int, float]]:
    """For each gap that two of the days have: the gap, how often, and what it is worth.

    The worth is the chance that an evening or one so many days later is clear, the mean over all
    the days, so that the seasons do not mix into the comparison.
    """
    pairs = Counter(
        (days[later] - days[row]).days
        for row, near in enumerate(_followers(days, within_days))
        for later in near
    )
    return [
        (gap, pairs[gap], fmean(weather.any_clear((day, day + timedelta(gap))) for day in days))
        for gap in sorted(pairs)
    ]
