"""Which bright star to solve on before the hop to the Moon, and which to keep in reserve."""

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from almanac.plan.intervals import overlaps
from almanac.records.config import StarLimits

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

NO_STAR = (
    "too_bright_to_solve",
    "none_in_reach",
    "none_above_horizon",
    "none_clear_of_moon",
    "none_clear_of_sun",
)
"""Why a window has no calibration star, in the order in which the conditions are laid on."""
PASSED_OVER = {
    "too_low": "altitude_deg",
    "too_high": "altitude_deg",
    "behind_horizon": "above_ground_deg",
    "not_clear_long": "clear_min",
    "near_moon": "separation_deg",
    "lands_less": "landing_chance",
    "not_to_learn": "landing_chance",
}
"""What was wrong with the brightest star, in the order in which it is asked, and the figure of
records.stars.PassedOver that tells. too_low and too_high are at the hop's instant,
not_clear_long means that it leaves its limits or the profile before the lead is over,
lands_less that another star's landing chance is better by more than EQUAL_CHANCE, not_to_learn
that a star to learn was as good."""
EQUAL_CHANCE = 0.02
"""Landing chances closer than this count as equal; common practice, no source."""


def calibration_moments(windows: Floats, dark: Floats, lead_s: float, shortest_s: float) -> Floats:
    """When to start on the star for each window: whole POSIX seconds, NaN if the sky is too bright.

    The window's start less the lead, or the first moment after it that is dark enough to solve,
    if a window of at least shortest_s is left from there, and the hop after the lead falls into it.
    """
    moments = np.full(len(windows), np.nan)
    # a second more: without a lead the shortest window allowed has one moment, its start
    latest = windows[:, 1] - max(shortest_s, lead_s) + 1.0
    rows, usable = overlaps(np.stack([windows[:, 0] - lead_s, latest], axis=1), dark)
    # the first of each row is written last and stays
    moments[rows[::-1]] = np.ceil(usable[::-1, 0])
    return moments


class Candidates(Struct, frozen=True):
    """Every star at every window's moment: arrays of shape (windows, stars)."""

    in_reach: Bools
    """Bright enough, and between the lowest and the highest altitude, for the whole lead."""
    above_ground: Bools
    """Above the horizon profile for the whole lead."""
    clear_of_moon: Bools
    chance: Floats
    """Landing chance, 0 to 1."""
    clear_of_sun: Bools | None = None
    """Whether the moves to the star and on to the Moon keep off a risen Sun; None if all do."""

    @property
    def usable(self) -> Bools:
        """Stars that fulfil every condition."""
        usable = self.in_reach & self.above_ground & self.clear_of_moon
        return usable if self.clear_of_sun is None else usable & self.clear_of_sun


def ranked_stars(
    candidates: Candidates, magnitude: Floats, known: Bools, count: int
) -> list[list[int]]:
    """For each window its best usable stars, best first, at most count of them.

    The best landing chance wins; among those within EQUAL_CHANCE of it one of the known stars
    (known to the club, or to be learned) wins, then the brighter.
    """
    return [
        _ranked(np.flatnonzero(usable), chance, magnitude, known, count)
        for usable, chance in zip(candidates.usable, candidates.chance, strict=True)
    ]


def _ranked(
    left: NDArray[np.int64], chance: Floats, magnitude: Floats, known: Bools, count: int
) -> list[int]:
    """Take the best of what is left until there are enough."""
    order: list[int] = []
    while len(left) and len(order) < count:
        level = left[chance[left] >= chance[left].max() - EQUAL_CHANCE]
        chosen = level[np.lexsort((magnitude[level], ~known[level]))[0]]
        order.append(int(chosen))
        left = left[left != chosen]
    return order


def no_star_code(candidates: Candidates, row: int) -> str:
    """Which condition left a window without a star."""
    left = candidates.in_reach[row]
    for code, condition in (
        ("none_in_reach", left),
        ("none_above_horizon", candidates.above_ground[row]),
        ("none_clear_of_moon", candidates.clear_of_moon[row]),
    ):
        left = left & condition
        if not left.any():
            return code
    if candidates.clear_of_sun is not None and not (left & candidates.clear_of_sun[row]).any():
        return "none_clear_of_sun"
    raise ValueError("the window has a usable star")


class PassedOverFigures(Struct, frozen=True):
    """A bright star at the hop's instant; fields as in records.stars.PassedOver."""

    altitude_deg: float
    above_ground_deg: float
    separation_deg: float
    landing_chance: float
    clear_min: float


def passed_over_code(
    star: PassedOverFigures,
    clear: bool,
    limits: StarLimits,
    highest_deg: float,
    best_chance: float,
) -> str:
    """Which of PASSED_OVER kept a star from being chosen.

    clear says whether it keeps its limits for the whole lead; best_chance is that of any usable
    star.
    """
    faults = {
        "too_low": star.altitude_deg < limits.lowest_altitude_deg,
        "too_high": star.altitude_deg > highest_deg,
        "behind_horizon": star.above_ground_deg <= 0,
        "not_clear_long": not clear,
        "near_moon": star.separation_deg < limits.least_moon_separation_deg,
        "lands_less": star.landing_chance < best_chance - EQUAL_CHANCE,
    }
    return next((code for code, wrong in faults.items() if wrong), "not_to_learn")
