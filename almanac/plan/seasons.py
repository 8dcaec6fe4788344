"""Which stars serve the evenings of each month, and one evening to show each season's sky."""

from datetime import date, time

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

SEASON_MONTHS = {"winter": 1, "spring": 4, "summer": 7, "autumn": 10}
"""Middle month of each northern season; six months on in the south."""
MIDDLE_DAY = 15
CHART_HOURS = tuple(time(hour, minute) for hour in range(20, 24) for minute in (0, 30))
"""Local hours that a season's chart may show, earliest first."""


def season_dates(year: int, latitude_deg: float) -> dict[str, date]:
    """The middle of each season as the hemisphere has it."""
    shift = 0 if latitude_deg >= 0 else 6
    return {
        season: date(year, (month - 1 + shift) % 12 + 1, MIDDLE_DAY)
        for season, month in SEASON_MONTHS.items()
    }


def evening_hours(usable: Bools, night: NDArray[np.int64], nights: int, step_s: float) -> Floats:
    """Hours a star is usable in each evening, (nights, stars).

    usable has the shape (samples, stars), night the rising index of each sample's night; samples
    stand step_s apart.
    """
    total = np.zeros((nights, usable.shape[1]))
    begins = np.flatnonzero(np.diff(night, prepend=-1))
    if len(begins):
        total[night[begins]] = np.add.reduceat(usable, begins, axis=0, dtype=np.int64)
    return total * step_s / 3600.0


def month_means(
    hours: Floats, dates: tuple[date, ...], month: int
) -> tuple[Floats, list[date | None]]:
    """Mean hours an evening of each star in a month, and its best evening (None if never)."""
    rows = np.array([row for row, day in enumerate(dates) if day.month == month])
    in_month = hours[rows]
    best = rows[np.argmax(in_month, axis=0)]
    means = in_month.mean(axis=0)
    return means, [dates[row] if mean > 0 else None for row, mean in zip(best, means, strict=True)]
