"""Nights and wall-clock hours of a site-year, laid on the drawing of the year."""

from bisect import bisect_left
from datetime import datetime, timedelta
from functools import cached_property

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from almanac.publish.charts.drawing import WIDTH
from almanac.publish.wording import Wording
from almanac.records.year import Floats, Night, YearAlmanac

LEFT, RIGHT, TOP, TALL = 36, WIDTH - 2, 28, 330
FLOOR = TOP + TALL
ROWS_AN_HOUR = 10
DAY = timedelta(days=1)


class Grid(Struct, frozen=True, dict=True):
    """The scales: a night has a column, an hour after noon on the wall clock a height."""

    almanac: YearAlmanac
    words: Wording
    first_h: int
    last_h: int

    @cached_property
    def column(self) -> float:
        """Units a night."""
        return (RIGHT - LEFT) / len(self.almanac.nights)

    @cached_property
    def hour(self) -> float:
        """Units an hour."""
        return TALL / (self.last_h - self.first_h)

    def x(self, index: float) -> float:
        """Units across, of the left edge of a night's column."""
        return LEFT + index * self.column

    def y(self, wall_h: float) -> float:
        """Units down, of an hour after noon on the wall clock."""
        return FLOOR - (wall_h - self.first_h) * self.hour

    def wall_h(self, night: Night, instant: datetime) -> float:
        """Hours on the wall clock since the night's noon."""
        local = self.words.local(instant).replace(tzinfo=None)
        noon = datetime(night.date.year, night.date.month, night.date.day, 12)
        return (local - noon) / timedelta(hours=1)

    def places(self, index: Floats, wall_h: Floats) -> tuple[Floats, Floats]:
        """Units across of the middles of nights' columns, and units down of hours."""
        across = LEFT + (index + 0.5) * self.column
        return across, FLOOR - (wall_h - self.first_h) * self.hour

    @cached_property
    def wall_hours(self) -> Floats:
        """Middle of each row of the tone pictures, latest first."""
        rows = (self.last_h - self.first_h) * ROWS_AN_HOUR
        return self.last_h - (np.arange(rows) + 0.5) / ROWS_AN_HOUR

    @cached_property
    def utc_s(self) -> Floats:
        """Instants (rows, nights) of the tone pictures."""
        starts = np.array([night.start_utc.timestamp() for night in self.almanac.nights])
        utc_s = starts + 3600 * self.wall_hours[:, None]
        for index, night in enumerate(self.almanac.nights):
            if night.end_utc - night.start_utc != DAY:
                utc_s[:, index] = self._over_change(night)
        return utc_s

    def _over_change(self, night: Night) -> Floats:
        """Instants of one night in which the clock changes: rows after it follow the new time."""
        before_s = night.start_utc.timestamp() + 3600 * self.wall_hours
        after_s = before_s + (night.end_utc - night.start_utc - DAY).total_seconds()
        return np.where(after_s >= self._change_s(night), after_s, before_s)

    def _change_s(self, night: Night) -> float:
        """The first minute of the night (POSIX seconds) with the offset of its end."""
        new = self.words.local(night.end_utc).utcoffset()
        minutes = [night.start_utc + timedelta(minutes=m) for m in range(25 * 60)]
        first = bisect_left(minutes, True, key=lambda m: self.words.local(m).utcoffset() == new)
        return minutes[first].timestamp()

    @cached_property
    def samples(self) -> NDArray[np.int64]:
        """Index of the track's sample next to each instant of the tone pictures."""
        return self.sample(self.utc_s)

    def sample(self, utc_s: Floats) -> NDArray[np.int64]:
        """Index of the track's sample next to each instant."""
        track_s = self.almanac.track.utc_s
        index = np.rint((utc_s - track_s[0]) / (track_s[1] - track_s[0])).astype(np.int64)
        return index.clip(0, len(track_s) - 1)
