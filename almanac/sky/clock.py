"""Civil instants to Terrestrial Time, without the ephemeris."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from almanac.sky.kernel import TT_MINUS_TAI_S, Kernel
from almanac.sky.nodes import Nodes

Floats = NDArray[np.float64]

J2000_POSIX_S = 946728000.0
"""2000-01-01 12:00 on the clock."""
UTC_BEGINS_S = 63072000.0
"""1972-01-01: from then on UTC keeps whole seconds from TAI; before it, clock time is UT1 here."""


@dataclass(frozen=True)
class Clock:
    """Turns ``utc_s`` (POSIX seconds) into ``tt_days``."""

    leap_starts_s: Floats
    leap_offsets_s: Floats
    delta_t: Nodes
    """TT - UT1 in seconds on tt_days."""

    @classmethod
    def of(cls, kernel: Kernel, delta_t: Nodes) -> "Clock":
        """The kernel's leap seconds with a table of Delta-T."""
        return cls(*kernel.leap_seconds(), delta_t)

    def tt_days(self, utc_s: Floats) -> Floats:
        """Days of TT since J2000.0; any shape in, same shape out."""
        seconds = np.asarray(utc_s, dtype=float)
        rough = (seconds - J2000_POSIX_S) / 86400.0
        step = np.searchsorted(self.leap_starts_s, seconds, side="right") - 1
        offset = TT_MINUS_TAI_S + self.leap_offsets_s[np.maximum(step, 0)]
        early = seconds < UTC_BEGINS_S
        if np.any(early):
            offset[early] = self.delta_t.at(rough[early])
        return rough + offset / 86400.0

    def utc_s(self, tt_days: Floats) -> Floats:
        """The inverse of tt_days, to a microsecond away from a leap second."""
        guess = np.asarray(tt_days, dtype=float) * 86400.0 + J2000_POSIX_S
        for _ in range(2):
            guess = guess + (tt_days - self.tt_days(guess)) * 86400.0
        return guess
