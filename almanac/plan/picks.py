"""The year's picks: the nights that stand out, each with the figure that made it stand out."""

from collections.abc import Iterator

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Rows = NDArray[np.int64]
Flags = NDArray[np.bool_]

PICKS = {
    "finest_detail": "finest_detail_km",
    "best_of_stage": "finest_detail_km",
    "highest_moon": "altitude_deg",
    "lowest_moon": "altitude_deg",
    "largest_full_moon": "distance_km",
    "smallest_full_moon": "distance_km",
    "thinnest_waxing": "illuminated_fraction",
    "thinnest_waning": "illuminated_fraction",
}
"""Each pick's code and the figure that decides it."""
FINEST_NIGHTS = 10
STAGE_EDGES = (0.10, 0.45, 0.55, 0.99)
"""Lit fractions between the stages; common practice, no source. From the second on they are those
by which pages name the Moon's shape: a finest quarter is not headed a gibbous Moon."""
STAGES = (
    *("thin_crescent_waxing", "crescent_waxing", "first_quarter", "gibbous_waxing", "full"),
    *("gibbous_waning", "last_quarter", "crescent_waning", "thin_crescent_waning"),
)
"""In order of the month."""


class Choice(Struct, frozen=True):
    """A pick before it is described."""

    code: str
    utc_s: float
    value: float
    """The deciding figure: see PICKS."""
    rank: int = 1
    stage: str | None = None


class Looks(Struct, frozen=True):
    """The Moon at instants: best moments of windows, samples inside windows, and the like."""

    utc_s: Floats
    illuminated_fraction: Floats
    waxing: Flags


def stages(looks: Looks) -> Rows:
    """Index into STAGES of every instant."""
    grown = np.searchsorted(STAGE_EDGES, looks.illuminated_fraction, side="right")
    return np.where(looks.waxing, grown, len(STAGES) - 1 - grown)


def finest_nights(best: Looks, night: Rows, finest_detail_km: Floats) -> Iterator[Choice]:
    """The best window of each of the ten finest nights; arrays over windows."""
    order = np.argsort(finest_detail_km, kind="stable")
    _, first = np.unique(night[order], return_index=True)
    for rank, row in enumerate(order[np.sort(first)][:FINEST_NIGHTS], start=1):
        at, value = float(best.utc_s[row]), float(finest_detail_km[row])
        yield Choice("finest_detail", at, value, rank=rank)


def best_of_stages(best: Looks, finest_detail_km: Floats) -> Iterator[Choice]:
    """The window of finest detail for each stage of the month that has one."""
    stage = stages(best)
    for index, name in enumerate(STAGES):
        mine = np.flatnonzero(stage == index)
        if len(mine):
            row = mine[finest_detail_km[mine].argmin()]
            at, value = float(best.utc_s[row]), float(finest_detail_km[row])
            yield Choice("best_of_stage", at, value, stage=name)


def _extremes(least: str, most: str, utc_s: Floats, values: Floats) -> Iterator[Choice]:
    if len(values):
        for code, row in ((most, values.argmax()), (least, values.argmin())):
            yield Choice(code, float(utc_s[row]), float(values[row]))


def highest_and_lowest(transits_s: Floats, altitude_deg: Floats) -> Iterator[Choice]:
    """The Moon's highest and lowest transit of those inside a window."""
    return _extremes("lowest_moon", "highest_moon", transits_s, altitude_deg)


def full_moons(fulls_s: Floats, distance_km: Floats) -> Iterator[Choice]:
    """The nearest and the farthest Moon at the instant it is full."""
    return _extremes("largest_full_moon", "smallest_full_moon", fulls_s, distance_km)


CRESCENT = 0.5
"""A crescent is less than half lit."""


def thinnest(safe: Looks) -> Iterator[Choice]:
    """The least lit fraction, waxing and waning, at instants at which it is safe to observe."""
    crescent = safe.illuminated_fraction < CRESCENT
    for code, side in (("thinnest_waxing", safe.waxing), ("thinnest_waning", ~safe.waxing)):
        rows = np.flatnonzero(side & crescent)
        if len(rows):
            row = rows[safe.illuminated_fraction[rows].argmin()]
            yield Choice(code, float(safe.utc_s[row]), float(safe.illuminated_fraction[row]))
