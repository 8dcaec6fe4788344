"""Moon windows: the spans of each night in which the Moon can be used, or why there is none."""

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from almanac.plan.intervals import intersect, longer, rows_of

Floats = NDArray[np.float64]

NO_WINDOW = (
    "moon_below_limit",
    "moon_too_high",
    "sun_up",
    "outside_hours",
    "too_thin",
    "too_short",
)
"""Codes in the order in which the conditions are laid on a night; ``sun_too_close`` takes the
place of ``sun_up`` where the club allows daylight."""


class Conditions(Struct, frozen=True):
    """Spans (n, 2) in which each condition holds, over the whole year."""

    above_ground: Floats
    below_mount_limit: Floats
    sun_allows: Floats
    in_hours: Floats
    lit_enough: Floats

    def in_order(self) -> tuple[Floats, ...]:
        """In the order of the design: what removes a window first gives the reason."""
        return (
            self.above_ground,
            self.below_mount_limit,
            self.sun_allows,
            self.in_hours,
            self.lit_enough,
        )


class YearWindows(Struct, frozen=True):
    """All windows of a year in order of time."""

    spans: Floats
    """(n, 2), none crossing a night's noon."""
    night: NDArray[np.int64]
    """Index of each window's night."""
    no_window: tuple[str | None, ...]
    """A code for each night without one, else None."""


def find_windows(
    nights: Floats, conditions: Conditions, shortest_s: float, daylight: bool
) -> YearWindows:
    """Lay the conditions on the nights one after the other.

    A night's code names the first condition that left it without a window.
    """
    codes: list[str | None] = [None] * len(nights)
    left = nights
    for code, spans in zip(NO_WINDOW, conditions.in_order(), strict=False):
        left = intersect(left, spans)
        _name_empty(codes, left, nights, "sun_too_close" if daylight and code == "sun_up" else code)
    left = longer(left, shortest_s)
    _name_empty(codes, left, nights, "too_short")
    return YearWindows(left, rows_of(left, nights), tuple(codes))


def _name_empty(codes: list[str | None], left: Floats, nights: Floats, code: str) -> None:
    """Give the code to every night that has just lost its last span."""
    kept = set(rows_of(left, nights).tolist())
    for row in range(len(nights)):
        if codes[row] is None and row not in kept:
            codes[row] = code
