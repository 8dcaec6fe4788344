"""Rise, transit and set of every catalogue star, by hour angle over sidereal days."""

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from almanac.sky.site_events import HORIZON_REFRACTION_DEG
from almanac.sky.site_sky import Horizontal, SiteSky
from almanac.sky.year_sky import SIDEREAL_DEG_PER_DAY

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

DEG_PER_S = SIDEREAL_DEG_PER_DAY / 86400.0
CLOSE_S = 0.2
"""A Newton step so short is the last: what it leaves is below 0.001 arcsecond of altitude."""
MOST_STEPS = 4
LONGEST_STEP_S = 600.0


class StarEvents(Struct, frozen=True):
    """Events of all stars; each pair of arrays has one length, ordered by star, then time."""

    transit_star: Integers
    """Row of the catalogue."""
    transit_s: Floats
    rise_star: Integers
    rise_s: Floats
    set_star: Integers
    set_s: Floats


def star_events(sky: SiteSky, start_s: float, end_s: float) -> StarEvents:
    """All events between two POSIX instants: centre at 34' below the airless horizon."""
    star, near_s = _near_transits(sky, start_s - 86400.0, end_s + 86400.0)
    seen = sky.star_pairs(star, near_s)
    transit_s = near_s - _half_turn(_hour_angle_deg(sky, seen)) / DEG_PER_S
    half_s = _half_day_deg(sky, seen) / DEG_PER_S
    rising = np.flatnonzero(np.isfinite(half_s))
    both = np.tile(star[rising], 2)
    half_s, middle_s = half_s[rising], transit_s[rising]
    rise_s, set_s = np.split(
        _refined(sky, both, np.concatenate((middle_s - half_s, middle_s + half_s))), 2
    )
    return StarEvents(
        *_inside(star, transit_s, start_s, end_s),
        *_inside(star[rising], rise_s, start_s, end_s),
        *_inside(star[rising], set_s, start_s, end_s),
    )


def _inside(star: Integers, utc_s: Floats, start_s: float, end_s: float) -> tuple[Integers, Floats]:
    kept = (utc_s >= start_s) & (utc_s < end_s)
    return star[kept], utc_s[kept]


def _near_transits(sky: SiteSky, start_s: float, end_s: float) -> tuple[Integers, Floats]:
    """Star and instant of every upper transit, star by star, as if no star moved: to seconds."""
    count = sky.sky.stars.values.shape[1]
    days = int((end_s - start_s) * DEG_PER_S / 360.0) + 1
    star, turn = np.repeat(np.arange(count), days), np.tile(np.arange(days) * 360.0, count)
    first = sky.star_pairs(np.arange(count), np.full(count, start_s))
    ahead = 360.0 - _hour_angle_deg(sky, first) % 360.0
    return star, start_s + (turn + ahead[star]) / DEG_PER_S


def _half_turn(angle_deg: Floats) -> Floats:
    """The same angle within half a turn of zero."""
    return (angle_deg + 180.0) % 360.0 - 180.0


def _hour_angle_deg(sky: SiteSky, seen: Horizontal) -> Floats:
    """West of the upper meridian."""
    east, north, up = seen.east_north_up
    latitude = np.radians(sky.site.latitude_deg)
    return np.degrees(np.arctan2(-east, up * np.cos(latitude) - north * np.sin(latitude)))


def _half_day_deg(sky: SiteSky, seen: Horizontal) -> Floats:
    """Hour angle of rise and set: NaN where the star does neither."""
    _, north, up = seen.direction
    latitude = np.radians(sky.site.latitude_deg)
    sine = north * np.cos(latitude) + up * np.sin(latitude)
    height = np.sin(np.radians(-HORIZON_REFRACTION_DEG))
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = (height - np.sin(latitude) * sine) / (np.cos(latitude) * np.sqrt(1 - sine**2))
        return np.degrees(np.arccos(np.where(np.abs(ratio) <= 1, ratio, np.nan)))


def _refined(sky: SiteSky, star: Integers, utc_s: Floats) -> Floats:
    """Newton steps on the altitude from a good guess; converged instants are left alone."""
    rate = DEG_PER_S * np.cos(np.radians(sky.site.latitude_deg))
    found, left = utc_s.copy(), np.arange(len(utc_s))
    for _ in range(MOST_STEPS):
        seen = sky.star_pairs(star[left], found[left])
        east, north, _ = seen.east_north_up
        with np.errstate(divide="ignore", invalid="ignore"):
            slope = rate * east / np.hypot(east, north)
            step = np.nan_to_num((seen.altitude_deg + HORIZON_REFRACTION_DEG) / slope)
        found[left] -= np.clip(step, -LONGEST_STEP_S, LONGEST_STEP_S)
        left = left[np.abs(step) > CLOSE_S]
        if not left.size:
            break
    return found
