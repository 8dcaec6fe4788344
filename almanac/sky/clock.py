"""Civil instants to Terrestrial Time, without the ephemeris."""

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from almanac.sky.kernel import TT_MINUS_TAI_S, Kernel
from almanac.sky.nodes import Grid, Nodes, Times

Floats = NDArray[np.float64]

J2000_POSIX_S = 946728000.0
"""2000-01-01 12:00 on the clock."""
UTC_BEGINS_S = 63072000.0
"""1972-01-01: from then on UTC keeps whole seconds from TAI; before it, clock time is UT1 here."""


def _plain_days(utc_s: Floats) -> Floats:
    """Days since noon of 1 January 2000 on the clock."""
    return (utc_s - J2000_POSIX_S) / 86400.0


class Clock(Struct, frozen=True):
    """Turns ``utc_s`` (POSIX seconds) into ``tt_days``."""

    leap_starts_s: Floats
    leap_offsets_s: Floats
    delta_t: Nodes
    """TT - UT1 in seconds on tt_days."""

    @classmethod
    def of(cls, kernel: Kernel, delta_t: Nodes) -> "Clock":
        """The kernel's leap seconds with a table of Delta-T."""
        return cls(*kernel.leap_seconds(), delta_t)

    def _offset_s(self, utc_s: Floats) -> Floats:
        """TT less the clock, in seconds."""
        step = np.searchsorted(self.leap_starts_s, utc_s, side="right") - 1
        offset = TT_MINUS_TAI_S + self.leap_offsets_s[np.maximum(step, 0)]
        early = utc_s < UTC_BEGINS_S
        if np.any(early):
            offset[early] = self.delta_t.at(_plain_days(utc_s[early]))
        return offset

    def tt_days(self, utc_s: Floats) -> Floats:
        """Days of TT since J2000.0 of POSIX seconds, shape (n,)."""
        return _plain_days(utc_s) + self._offset_s(utc_s) / 86400.0

    def tt_times(self, utc_s: Times) -> Times:
        """The same, and a grid stays one where no leap second falls into it."""
        if not isinstance(utc_s, Grid):
            return self.tt_days(utc_s)
        offset = self._offset_s(utc_s.times[[0, -1]])
        if utc_s.start < UTC_BEGINS_S or offset[0] != offset[1]:
            return self.tt_days(utc_s.times)
        start = float(_plain_days(utc_s.times[:1])[0] + offset[0] / 86400.0)
        return Grid(start, utc_s.step / 86400.0, utc_s.count)

    def utc_s(self, tt_days: Floats) -> Floats:
        """The inverse of tt_days, to a microsecond away from a leap second."""
        guess = np.asarray(tt_days, dtype=float) * 86400.0 + J2000_POSIX_S
        for _ in range(2):
            guess = guess + (tt_days - self.tt_days(guess)) * 86400.0
        return guess
