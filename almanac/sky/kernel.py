"""The ephemeris and the time scale: the one module that talks to Skyfield.

Everything leaves here as plain arrays. Times inside the sky room are ``tt_days``: days of
Terrestrial Time since J2000.0 (JD 2451545.0 TT).
"""

import atexit
import hashlib
from functools import cache, cached_property
from importlib.resources import files
from pathlib import Path

import numpy as np
import skyfield
from msgspec import Struct
from numpy.typing import NDArray
from skyfield.api import load, load_file
from skyfield.framelib import ecliptic_frame
from skyfield.timelib import Time

from almanac.errors import EphemerisError

Floats = NDArray[np.float64]

J2000_JD = 2451545.0
TT_MINUS_TAI_S = 32.184
"""IAU 1991 Recommendation IV: TT = TAI + 32.184 s."""
FIRST_YEAR, LAST_YEAR = 1900, 2052
"""Whole years inside DE421 as distributed (1899-07-29 to 2053-10-08), with room at both ends."""

DE421_PATH = Path(str(files("skyfield_data"))) / "data" / "de421.bsp"
"""By path: the package's own functions warn of a Delta-T file that is not used here."""

TARGETS = {
    "moon": "moon",
    "sun": "sun",
    "mercury": "mercury",
    "venus": "venus",
    "mars": "mars",
    "jupiter": "jupiter barycenter",
    "saturn": "saturn barycenter",
    "uranus": "uranus barycenter",
    "neptune": "neptune barycenter",
}
"""Skyfield's names of the bodies."""
Leg = tuple[int, int]
CENTRES: dict[str, tuple[Leg, ...]] = {
    "earth": ((0, 3), (3, 399)),
    "sun": ((0, 10),),
    "mercury": ((0, 1), (1, 199)),
    "venus": ((0, 2), (2, 299)),
    "mars": ((0, 4), (4, 499)),
    "jupiter": ((0, 5),),
    "saturn": ((0, 6),),
    "uranus": ((0, 7),),
    "neptune": ((0, 8),),
}
"""The ephemeris' segments from the Solar System's barycentre to a body, by their NAIF numbers."""


class Orientation(Struct, frozen=True):
    """The Earth's equator and turn at n times."""

    delta_t_s: Floats
    """TT - UT1 (Skyfield's built-in table)."""
    gast_deg: Floats
    """Greenwich apparent sidereal time, 0 to 360."""
    equator: Floats
    """Rotation from ICRS to the true equator and equinox of date, (3, 3, n)."""
    obliquity_deg: Floats
    """True obliquity of the ecliptic."""


class Kernel:
    """An open ephemeris with its time scale."""

    def __init__(self) -> None:
        """Open DE421 from the skyfield-data package; no network is touched."""
        self._ephemeris = load_file(str(DE421_PATH))
        self._timescale = load.timescale(builtin=True)

    def close(self) -> None:
        """Close the ephemeris file."""
        self._ephemeris.close()

    def _times(self, tt_days: Floats) -> Time:
        return self._timescale.tt_jd(J2000_JD, tt_days)

    def require_year(self, year: int) -> None:
        """Raise EphemerisError unless the whole year is covered."""
        if not FIRST_YEAR <= year <= LAST_YEAR:
            raise EphemerisError(
                f"year {year} is outside the ephemeris DE421: {FIRST_YEAR} to {LAST_YEAR}"
            )

    def leap_seconds(self) -> tuple[Floats, Floats]:
        """POSIX seconds at which TAI - UTC changes, and the offset in seconds from then on."""
        starts = np.concatenate(([2441317.5], self._timescale.leap_dates))  # 1972-01-01
        offsets = np.concatenate(([10.0], self._timescale.leap_offsets))
        return (starts - 2440587.5) * 86400.0, offsets

    def orientation(self, tt_days: Floats) -> Orientation:
        """How the Earth stands at each time; IAU2000A nutation is evaluated once for all of it."""
        times = self._times(tt_days)
        ecliptic = np.asarray(ecliptic_frame.rotation_at(times))
        tilt = np.einsum("ijn,kjn->ikn", ecliptic, times.M)
        return Orientation(
            delta_t_s=np.asarray(times.delta_t),
            gast_deg=np.asarray(times.gast) * 15.0,
            equator=np.asarray(times.M),
            obliquity_deg=np.degrees(np.arctan2(tilt[1, 2], tilt[1, 1])),
        )

    def barycentric_km(self, body: str, tt_days: Floats) -> Floats:
        """Geometric places of the Earth, the Sun or a planet on ICRS axes, shape (3, n)."""
        return self._legs_km(CENTRES[body], tt_days)

    def moon_from_earth_km(self, tt_days: Floats) -> Floats:
        """Geometric vectors from the Earth's centre to the Moon's on ICRS axes, shape (3, n)."""
        return self._legs_km(((3, 301),), tt_days) - self._legs_km(((3, 399),), tt_days)

    def _legs_km(self, legs: tuple[Leg, ...], tt_days: Floats) -> Floats:
        times, spk = self._times(tt_days), self._ephemeris.spk
        return np.asarray(sum(spk[leg].compute(times.whole, times.tdb_fraction) for leg in legs))

    @cached_property
    def sha256(self) -> str:
        """Digest of the ephemeris file."""
        return hashlib.sha256(DE421_PATH.read_bytes()).hexdigest()

    @property
    def delta_t_name(self) -> str:
        """Which Delta-T table is in use: the one built into that version."""
        return f"Skyfield {skyfield.__version__}"


@cache
def open_kernel() -> Kernel:
    """The kernel, opened once a process and closed with it."""
    kernel = Kernel()
    atexit.register(kernel.close)
    return kernel
