"""What the suites share: timing, medians, rows."""

from collections.abc import Callable, Sequence
from statistics import median
from time import perf_counter
from typing import Any


def timed(action: Callable[[], object]) -> float:
    """Seconds on the wall."""
    begin = perf_counter()
    action()
    return perf_counter() - begin


def row(measure: str, result: str, **figures: Any) -> dict[str, Any]:
    """One line of the report."""
    return {"measure": measure, "result": result, **figures}


def ratio_row(measure: str, pairs: Sequence[tuple[float, float]], note: str = "") -> dict[str, Any]:
    """Median and range of the other's time over ours, from interleaved rounds."""
    ratios = sorted(other / own for other, own in pairs)
    own_s, middle = median(own for _, own in pairs), median(ratios)
    text = f"{middle:.1f}x ({ratios[0]:.1f} to {ratios[-1]:.1f}), ours {own_s:.3f} s"
    return row(
        measure,
        f"{text}; {note}" if note else text,
        ratio=middle,
        lowest=ratios[0],
        highest=ratios[-1],
        ours_s=own_s,
    )
