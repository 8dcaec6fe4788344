"""Evenings that suit an occasion: when to be out on them, and which is better."""

from collections import Counter
from collections.abc import Iterable
from datetime import date

import numpy as np
from msgspec.structs import replace
from numpy.typing import NDArray

from almanac.plan.intervals import intersect, overlaps
from almanac.records.config import OutingRule
from almanac.records.diary import OutingDate

Floats = NDArray[np.float64]

LESS_IS_BETTER = ("fine_detail", "thin_crescent")
PRINTED_DIGITS = {"moon_evening": 0, "fine_detail": 1, "thin_crescent": 2, "dark_sky": 1}
"""Decimals of the figure that ranks, in its unit, as readers see it."""
SEASONS = ("winter", "spring", "summer", "autumn")


def seasons_of(latitude_deg: float) -> tuple[str, ...]:
    """The seasons of the year's quarters as the hemisphere has them.

    The northern winter is January to March, so that each season stands whole in its year; it
    begins some ten days after the Sun's own.
    """
    half = len(SEASONS) // 2
    return SEASONS if latitude_deg >= 0 else SEASONS[half:] + SEASONS[:half]


def season_of(day: date, latitude_deg: float) -> str:
    """The season of a day."""
    return seasons_of(latitude_deg)[(day.month - 1) // 3]


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
    moon = evening.moon
    if moon is None:
        return True
    lit = rule.lit[0] <= moon.illuminated_fraction <= rule.lit[1]
    side = rule.moon == "either" or moon.waxing == (rule.moon == "waxing")
    return lit and side and (moon.landing_chance or 0.0) >= rule.least_landing_chance


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
    placed: list[OutingDate] = []
    counts: Counter[str] = Counter()
    for place, one in enumerate(best.values(), start=1):
        counts[one.season] += 1
        placed.append(replace(one, rank=counts[one.season], year_rank=place))
    return tuple(sorted(placed, key=lambda one: one.date))
