"""The nights of a year: local noon to local noon, named by the evening's date."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from almanac.plan.intervals import NONE, union
from almanac.records.config import HoursSpan

Floats = NDArray[np.float64]
Hours = tuple[tuple[HoursSpan, ...] | None, ...]

NOON = time(12)


class YearNights(Struct, frozen=True):
    """Every night whose evening lies in the year."""

    dates: tuple[date, ...]
    spans: Floats
    """POSIX seconds of noon and the next noon, (n, 2)."""
    midnights: Floats
    """POSIX seconds of the midnight inside each, (n,)."""


def instant_s(day: date, clock: time, zone: ZoneInfo) -> float:
    """POSIX seconds of a wall-clock time; an hour that is skipped or repeated takes the earlier."""
    return datetime.combine(day, clock, zone).astimezone(UTC).timestamp()


def year_nights(year: int, timezone: str) -> YearNights:
    """Nights from 1 January to 31 December; a date that the zone skipped has none."""
    zone = ZoneInfo(timezone)
    first = date(year, 1, 1)
    days = [first + timedelta(days=k) for k in range((date(year + 1, 1, 1) - first).days + 1)]
    noons = np.array([instant_s(day, NOON, zone) for day in days])
    midnights = np.array([instant_s(day + timedelta(days=1), time(0), zone) for day in days[:-1]])
    spans = np.stack([noons[:-1], noons[1:]], axis=1)
    real = spans[:, 1] - spans[:, 0] > 3600.0
    dates = tuple(day for day, kept in zip(days[:-1], real, strict=True) if kept)
    return YearNights(dates, spans[real], np.clip(midnights[real], spans[real, 0], spans[real, 1]))


def _hours_span(evening: date, span: HoursSpan, zone: ZoneInfo) -> tuple[float, float]:
    """Instants of a span of wall-clock hours; before noon means the morning after."""
    morning = evening + timedelta(days=1)
    start_day = morning if span.start < NOON else evening
    end_day = morning if span.end <= NOON else evening
    return instant_s(start_day, span.start, zone), instant_s(end_day, span.end, zone)


def club_hours(nights: YearNights, hours: Hours, timezone: str) -> Floats:
    """Spans (n, 2) in which the club observes; hours that overlap or touch are joined."""
    zone = ZoneInfo(timezone)
    spans: list[tuple[float, float]] = []
    for evening, (noon, next_noon) in zip(nights.dates, nights.spans, strict=True):
        allowed = hours[evening.weekday()]
        if allowed is None:
            spans.append((noon, next_noon))
        else:
            spans.extend(_hours_span(evening, span, zone) for span in allowed)
    kept = [span for span in spans if span[1] > span[0]]
    return union(np.array(kept), NONE) if kept else NONE
