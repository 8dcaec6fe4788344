"""How a club meeting falls: its own hours against the sky, and the nearest day that is better."""

from collections.abc import Sequence
from datetime import date

import numpy as np
from numpy.typing import NDArray

from almanac.plan.intervals import overlaps

Floats = NDArray[np.float64]
Rows = NDArray[np.int64]

JUDGEMENTS = ("poor", "fair", "good")
"""Worst first."""
REASONS = (
    "moon_most",
    "moon_part",
    "moon_other_hours",
    "dark_most",
    "dark_part",
    "moonlight",
    "twilight",
    "under_roof",
)
"""Beside them the codes of plan.windows.NO_WINDOW, for a night on which the Moon is of no use."""
GOOD_SHARE = 0.5
"""Of the hours; common practice, no source."""
BETTER_WITHIN_DAYS = 21
"""A better day farther off is another occasion; common practice, no source."""


def seconds_in(hours: Floats, spans: Floats) -> Floats:
    """Seconds of each row of hours (n, 2) that lie in spans, (n,)."""
    rows, parts = overlaps(hours, spans)
    total: Floats = np.zeros(len(hours))
    np.add.at(total, rows, parts[:, 1] - parts[:, 0])
    return total


def longest_in(hours: Floats, spans: Floats) -> dict[int, tuple[float, float]]:
    """The longest part of each row of hours in spans, by row."""
    rows, parts = overlaps(hours, spans)
    order = np.argsort(parts[:, 1] - parts[:, 0], kind="stable")
    return {int(rows[row]): (float(parts[row, 0]), float(parts[row, 1])) for row in order}


def judged(usable_s: Floats, hours: Floats, least_s: float) -> Rows:
    """Index into JUDGEMENTS by how much of the hours serves: half is good, least_s is fair."""
    length_s = hours[:, 1] - hours[:, 0]
    some = usable_s >= np.minimum(least_s, length_s)
    return np.where(some, 1 + (usable_s >= GOOD_SHARE * length_s), 0)


def moon_reason(judgement: int, no_window: str | None) -> str:
    """The code for hours that need the Moon, on a night with that code."""
    poor = no_window or "moon_other_hours"
    return (poor, "moon_part", "moon_most")[judgement]


def dark_reason(judgement: int, sun_is_low: bool) -> str:
    """The code for hours that need the dark; sun_is_low at some time of them."""
    poor = "moonlight" if sun_is_low else "twilight"
    return (poor, "dark_part", "dark_most")[judgement]


def better_day(
    days: Sequence[date], judgements: Rows, at: int, weekdays: Sequence[int]
) -> int | None:
    """The nearest day of some weekdays with a better judgement than the one at an index.

    A good one goes before a fair one; of two as near, the later.
    """

    def away(row: int) -> int:
        return abs((days[row] - days[at]).days)

    near = [
        row
        for row in np.flatnonzero(judgements > judgements[at]).tolist()
        if away(row) <= BETTER_WITHIN_DAYS and days[row].weekday() in weekdays
    ]
    return min(near, key=lambda row: (-judgements[row], away(row), -row), default=None)
