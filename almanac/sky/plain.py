"""The sky by plain Skyfield calls, one instant at a time: what the self-check compares with.

It shares with the rest of the room the ephemeris file and nothing else: no nodes, no
interpolation, no formula. Instants are POSIX seconds, angles degrees.
"""

from collections.abc import Callable
from datetime import UTC, datetime
from math import isfinite, nan

import numpy as np
from skyfield.api import Star as SkyfieldStar
from skyfield.api import load, load_file, wgs84
from skyfield.eclipselib import lunar_eclipses
from skyfield.framelib import ecliptic_frame
from skyfield.timelib import Time

from almanac.records.catalogue import Star
from almanac.records.config import Site
from almanac.sky.kernel import DE421_PATH

RISING_DEG = {"sun": -50 / 60, "moon": -34 / 60}
"""Height at which the Sun's centre and the Moon's upper edge rise and set: US Naval Observatory,
Rise, Set, and Twilight Definitions."""
MOON_RADIUS_KM = 1737.4
"""Archinal et al., Celestial Mechanics and Dynamical Astronomy 109 (2011) 101, table 5."""
J1991_25_TT = 2448349.0625
"""Epoch of the Hipparcos catalogue (ESA SP-1200, vol. 1, 1.2.2)."""
POSIX_JD = 2440587.5
"""1970-01-01."""
UTC_YEAR = 1972
"""From then on UTC is a fixed count from atomic time; before it, clocks showed UT1."""
STEP_S, ROUNDS = 30.0, 12


class PlainSky:
    """What Skyfield says of one site's sky."""

    def __init__(self, site: Site) -> None:
        """Open the ephemeris anew."""
        self.site = site
        self.timescale = load.timescale(builtin=True)
        self.ephemeris = load_file(str(DE421_PATH))
        place = wgs84.latlon(site.latitude_deg, site.longitude_deg, site.elevation_m)
        self.observer = self.ephemeris["earth"] + place

    def close(self) -> None:
        """Close the ephemeris file."""
        self.ephemeris.close()

    def time(self, utc_s: float) -> Time:
        """Skyfield's own time for an instant."""
        instant = datetime.fromtimestamp(utc_s, UTC)
        if instant.year < UTC_YEAR:
            return self.timescale.ut1_jd(POSIX_JD + utc_s / 86400)
        return self.timescale.from_datetime(instant)

    def _utc_s(self, time: Time) -> float:
        if time.utc.year < UTC_YEAR:
            return float(time.ut1 - POSIX_JD) * 86400
        return float(time.utc_datetime().timestamp())

    def place(self, target: str | Star, utc_s: float) -> tuple[float, float]:
        """Refracted altitude and azimuth of the Moon, the Sun or a star."""
        body = self.ephemeris[target] if isinstance(target, str) else _star(target)
        seen = self.observer.at(self.time(utc_s)).observe(body).apparent()
        altitude, azimuth, _ = seen.altaz(self.site.temperature_c, self.site.pressure_hpa)
        return float(altitude.degrees), float(azimuth.degrees)

    def crossing(self, body: str, near_s: float) -> float:
        """The Moon's or the Sun's rise or set near an instant; NaN if it is not found."""

        def height(utc_s: float) -> float:
            seen = self.observer.at(self.time(utc_s)).observe(self.ephemeris[body]).apparent()
            altitude, _, distance = seen.altaz()
            edge = np.degrees(np.arcsin(MOON_RADIUS_KM / distance.km)) if body == "moon" else 0.0
            return float(altitude.degrees + edge - RISING_DEG[body])

        return _root(height, near_s)

    def elongation_reached(self, degrees: float, near_s: float) -> float:
        """When the Moon's ecliptic longitude exceeds the Sun's by so much; NaN if not found."""

        def excess(utc_s: float) -> float:
            earth = self.ephemeris["earth"].at(self.time(utc_s))
            seen = (earth.observe(self.ephemeris[body]).apparent() for body in ("moon", "sun"))
            moon, sun = (one.frame_latlon(ecliptic_frame)[1].degrees for one in seen)
            return float((moon - sun - degrees + 180) % 360 - 180)

        return _root(excess, near_s)

    def lunar_eclipse(self, near_s: float) -> float:
        """When the Moon is deepest in the Earth's shadow within a day; NaN if never."""
        day = 86400.0
        span = (self.time(near_s - day), self.time(near_s + day))
        found, _, _ = lunar_eclipses(*span, self.ephemeris)
        return self._utc_s(found[0]) if len(found) else nan

    def lit_part(self, utc_s: float) -> float:
        """Lit part of the Moon's disc."""
        seen = self.observer.at(self.time(utc_s)).observe(self.ephemeris["moon"]).apparent()
        return float(seen.fraction_illuminated(self.ephemeris["sun"]))


def _star(star: Star) -> SkyfieldStar:
    return SkyfieldStar(
        ra_hours=star.ra_deg / 15,
        dec_degrees=star.dec_deg,
        ra_mas_per_year=star.pm_ra_mas,
        dec_mas_per_year=star.pm_dec_mas,
        parallax_mas=star.parallax_mas,
        epoch=J1991_25_TT,
    )


def _root(function: Callable[[float], float], near_s: float) -> float:
    """Where a smooth function passes zero, from an instant nearby; NaN if it does not."""
    at = near_s
    for _ in range(ROUNDS):
        before, after = function(at - STEP_S), function(at + STEP_S)
        if after == before:
            return nan
        step = STEP_S * (before + after) / (before - after)
        at += step
        if not isfinite(at) or abs(at - near_s) > 86400:
            return nan
        if abs(step) < 1e-3:
            return at
    return nan
