"""The ephemeris and the time scale: the one module that talks to Skyfield.

Everything leaves here as plain arrays. Times inside the sky room are ``tt_days``: days of
Terrestrial Time since J2000.0 (JD 2451545.0 TT).
"""

import atexit
import hashlib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from pathlib import Path

import numpy as np
import skyfield
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

TARGETS = {
    "moon": "moon",
    "sun": "sun",
    "mercury": "mercury",
    "venus": "venus",
    "mars": "mars",
    "jupiter": "jupiter barycenter",
    "saturn": "saturn barycenter",
}


@dataclass(frozen=True)
class EarthState:
    """The Earth's centre and the Sun, barycentric (ICRS axes); arrays of shape (3, n)."""

    position_au: Floats
    velocity_au_per_day: Floats
    sun_au: Floats


class Kernel:
    """An open ephemeris with its time scale."""

    def __init__(self) -> None:
        """Open DE421 from the skyfield-data package; no network is touched.

        By path: the package's own functions warn of a Delta-T file that is not used here.
        """
        self.path = Path(str(files("skyfield_data"))) / "data" / "de421.bsp"
        self._ephemeris = load_file(str(self.path))
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

    def delta_t_s(self, tt_days: Floats) -> Floats:
        """TT - UT1 in seconds (Skyfield's built-in table)."""
        return np.asarray(self._times(tt_days).delta_t)

    def gast_deg(self, tt_days: Floats) -> Floats:
        """Greenwich apparent sidereal time, 0 to 360."""
        return np.asarray(self._times(tt_days).gast) * 15.0

    def equator_of_date(self, tt_days: Floats) -> Floats:
        """Rotation from ICRS to the true equator and equinox of date, IAU2000A: (3, 3, n)."""
        return np.asarray(self._times(tt_days).M)

    def ecliptic_of_date(self, tt_days: Floats) -> Floats:
        """Rotation from ICRS to the true ecliptic and equinox of date: (3, 3, n)."""
        return np.asarray(ecliptic_frame.rotation_at(self._times(tt_days)))

    def earth(self, tt_days: Floats) -> EarthState:
        """Barycentric state of the Earth's centre, and place of the Sun."""
        times = self._times(tt_days)
        earth = self._ephemeris["earth"].at(times)
        sun = self._ephemeris["sun"].at(times)
        return EarthState(earth.position.au, earth.velocity.au_per_d, sun.position.au)

    def apparent_km(self, body: str, tt_days: Floats) -> Floats:
        """Geocentric apparent place on ICRS axes, (3, n): light time, deflection, aberration.

        Its length is the light-time distance.
        """
        earth = self._ephemeris["earth"].at(self._times(tt_days))
        apparent = earth.observe(self._ephemeris[TARGETS[body]]).apparent()
        return np.asarray(apparent.position.km)

    def sha256(self) -> str:
        """Digest of the ephemeris file."""
        return hashlib.sha256(self.path.read_bytes()).hexdigest()

    @property
    def delta_t_name(self) -> str:
        """Which Delta-T table is in use."""
        return f"Skyfield {skyfield.__version__} built-in table"


@cache
def open_kernel() -> Kernel:
    """The kernel, opened once a process and closed with it."""
    kernel = Kernel()
    atexit.register(kernel.close)
    return kernel
