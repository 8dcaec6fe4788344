"""Samples of the sky that only a site's own charts need."""

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

Floats = NDArray[np.float64]


class Track(Struct, frozen=True):
    """The sky sampled every five minutes from the year's first noon to its last, for charts."""

    utc_s: Floats
    """POSIX seconds."""
    moon_altitude_deg: Floats
    """Refracted, centre."""
    moon_azimuth_deg: Floats
    ground_deg: Floats
    """The horizon profile's altitude at the Moon's azimuth."""
    sun_altitude_deg: Floats
    """Airless, centre."""


class StarTrack(Struct, frozen=True):
    """A chosen star's path from before the solve to after the hop, for the night chart."""

    hip: int
    utc_s: Floats
    altitude_deg: Floats
