"""The Moon's calendar: principal phases and apsides, the same for every site."""

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from almanac.sky.apparent import LIGHT_KM_PER_DAY
from almanac.sky.crossings import crossings
from almanac.sky.year_sky import YearSky

Floats = NDArray[np.float64]

PHASES = ("new", "first_quarter", "full", "last_quarter")
STEP_S = 6 * 3600.0


class MoonEvents(Struct, frozen=True):
    """Dated events of one sort, in order."""

    kinds: tuple[str, ...]
    utc_s: Floats
    distance_km: Floats
    """Geocentric, geometric."""


def _grid(start_s: float, end_s: float) -> Floats:
    return np.arange(start_s, end_s + STEP_S, STEP_S)


def elongation_deg(sky: YearSky, tt_days: Floats) -> Floats:
    """Excess of the Moon's apparent geocentric ecliptic longitude over the Sun's, 0 to 360."""
    moon = sky.ecliptic_longitude_deg("moon", tt_days)
    return (moon - sky.ecliptic_longitude_deg("sun", tt_days)) % 360.0


def _geometric_km(sky: YearSky, tt_days: Floats) -> Floats:
    """Distance of the centres at one instant: the nodes hold it one light time late."""
    seen = np.linalg.norm(sky.bodies["moon"].at(tt_days), axis=0)
    return np.linalg.norm(sky.bodies["moon"].at(tt_days + seen / LIGHT_KM_PER_DAY), axis=0)


def find_phases(sky: YearSky, start_s: float, end_s: float) -> MoonEvents:
    """Principal phases between two POSIX instants: elongation 0, 90, 180, 270 degrees."""

    def quarters(utc_s: Floats) -> Floats:
        return np.sin(2 * np.radians(elongation_deg(sky, sky.clock.tt_days(utc_s))))

    utc_s = crossings(quarters, _grid(start_s, end_s)).utc_s
    tt_days = sky.clock.tt_days(utc_s)
    quarter = np.rint(elongation_deg(sky, tt_days) / 90).astype(int) % 4
    return MoonEvents(tuple(PHASES[k] for k in quarter), utc_s, _geometric_km(sky, tt_days))


def find_apsides(sky: YearSky, start_s: float, end_s: float) -> MoonEvents:
    """Perigees and apogees between two POSIX instants: extremes of the geometric distance."""
    moon = sky.bodies["moon"]

    def receding(utc_s: Floats) -> Floats:
        tt_days = sky.clock.tt_days(utc_s)
        return np.sum(moon.at(tt_days) * moon.rate_at(tt_days), axis=0)

    found = crossings(receding, _grid(start_s, end_s))
    seen_km = np.linalg.norm(moon.at(sky.clock.tt_days(found.utc_s)), axis=0)
    utc_s = found.utc_s - seen_km / LIGHT_KM_PER_DAY * 86400.0
    kinds = tuple("perigee" if up else "apogee" for up in found.upward)
    return MoonEvents(kinds, utc_s, _geometric_km(sky, sky.clock.tt_days(utc_s)))
