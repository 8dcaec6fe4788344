"""Evenings that suit an occasion: when to be out on them, and which is better."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from datetime import date

import numpy as np
from numpy.typing import NDArray

from almanac.plan.intervals import intersect, overlaps
from almanac.records.config import OutingRule
from almanac.records.diary import OutingDate

Floats = NDArray[np.float64]

LESS_IS_BETTER = ("fine_detail", "thin_crescent")
SEASONS = ("winter", "spring", "summer", "autumn")


def season_of(day: date, latitude_deg: float) -> str:
    """The season as the hemisphere has it, by quarters: the northern winter is January to March.

    So each season stands whole in its year; it begins some ten days after the Sun's own.
    """
    return SEASONS[((day.month - 1) // 3 + (0 if latitude_deg >= 0 else 2)) % 4]


def hours_for(nights: Floats, hours: Floats, dark: Floats, rule: OutingRule) -> Floats:
    """Spans (n, 2) of the nights (m, 2) in which the outing may be: on its weekdays' nights alone.

    hours are the club's, dark those in which stars show. With a limit of hours after dark it is
    counted from the first moment of the night that is in both.
    """
    mine = intersect(hours, nights)
    if not rule.hours_after_dark:
        return mine
    rows, parts = overlaps(nights, intersect(mine, dark))
    _, first = np.unique(rows, return_index=True)
    start_s = parts[first, 0]
    early = np.stack([start_s, start_s + rule.hours_after_dark * 3600], axis=1)
    return intersect(early, mine)


def suits(rule: OutingRule, evening: OutingDate) -> bool:
    """Whether the Moon of an evening and its star are as the rule asks."""
    lit = evening.illuminated_fraction
    if lit is None:
        return True
    side = rule.moon == "either" or evening.waxing == (rule.moon == "waxing")
    star = (evening.landing_chance or 0.0) >= rule.least_landing_chance
    return rule.lit[0] <= lit <= rule.lit[1] and side and star


def worth(kind: str, evening: OutingDate) -> float:
    """The figure that ranks, with a sign such that more is better."""
    return -evening.value if kind in LESS_IS_BETTER else evening.value


def ranked(rule: OutingRule, evenings: Iterable[OutingDate]) -> tuple[OutingDate, ...]:
    """The evenings that suit, one for each night, in order of time, with their places.

    Of two parts of a night the better stays, of two as good the earlier; of two evenings as good
    the earlier has the better place.
    """
    best: dict[date, OutingDate] = {}
    for one in sorted(evenings, key=lambda one: (-worth(rule.kind, one), one.start_utc)):
        if suits(rule, one):
            best.setdefault(one.date, one)
    places: dict[date, int] = {}
    counts: Counter[str] = Counter()
    for one in best.values():
        counts[one.season] += 1
        places[one.date] = counts[one.season]
    return tuple(replace(best[day], rank=places[day]) for day in sorted(best))
