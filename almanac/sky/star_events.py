"""Rise, transit and set of every catalogue star, by hour angle over sidereal days."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from almanac.sky.site_events import HORIZON_REFRACTION_DEG
from almanac.sky.site_sky import SiteSky
from almanac.sky.year_sky import SIDEREAL_DEG_PER_DAY

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]

DEG_PER_S = SIDEREAL_DEG_PER_DAY / 86400.0
STEPS = 2
"""Newton steps after the hour angle's closed form; the second moves by less than 0.01 s."""
STEEPEST_STEP_S = 600.0


@dataclass(frozen=True)
class StarEvents:
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
    star, transit_s = _transits(sky, start_s - 86400.0, end_s + 86400.0)
    declination, up = _half_day_deg(sky, star, transit_s)
    rises = np.isfinite(up)
    half_s = up[rises] / DEG_PER_S
    rise_s = _refined(sky, star[rises], transit_s[rises] - half_s, declination[rises])
    set_s = _refined(sky, star[rises], transit_s[rises] + half_s, declination[rises])
    return StarEvents(
        *_inside(star, transit_s, start_s, end_s),
        *_inside(star[rises], rise_s, start_s, end_s),
        *_inside(star[rises], set_s, start_s, end_s),
    )


def _inside(star: Integers, utc_s: Floats, start_s: float, end_s: float) -> tuple[Integers, Floats]:
    kept = (utc_s >= start_s) & (utc_s < end_s)
    return star[kept], utc_s[kept]


def _transits(sky: SiteSky, start_s: float, end_s: float) -> tuple[Integers, Floats]:
    """Star and instant of every upper transit, star by star."""
    count = sky.sky.stars.values.shape[1]
    days = int((end_s - start_s) * DEG_PER_S / 360.0) + 1
    star = np.repeat(np.arange(count), days)
    turn = np.tile(np.arange(days) * 360.0, count)
    first = _hour_angle_deg(sky, np.arange(count), np.full(count, start_s)) % 360.0
    utc_s = start_s + (turn + 360.0 - first[star]) / DEG_PER_S
    for _ in range(STEPS):
        angle = _hour_angle_deg(sky, star, utc_s)
        utc_s = utc_s - ((angle + 180.0) % 360.0 - 180.0) / DEG_PER_S
    return star, utc_s


def _hour_angle_deg(sky: SiteSky, star: Integers, utc_s: Floats) -> Floats:
    """West of the upper meridian, from east-north-up directions."""
    east, north, up = sky.star_pairs(star, utc_s).direction
    latitude = np.radians(sky.site.latitude_deg)
    return np.degrees(np.arctan2(-east, up * np.cos(latitude) - north * np.sin(latitude)))


def _half_day_deg(sky: SiteSky, star: Integers, utc_s: Floats) -> tuple[Floats, Floats]:
    """Declination, and hour angle of rise and set: NaN where the star does neither."""
    _, north, up = sky.star_pairs(star, utc_s).direction
    latitude = np.radians(sky.site.latitude_deg)
    sine = north * np.cos(latitude) + up * np.sin(latitude)
    cosine = np.sqrt(1 - sine**2)
    height = np.sin(np.radians(-HORIZON_REFRACTION_DEG))
    with np.errstate(divide="ignore", invalid="ignore"):
        ratio = (height - np.sin(latitude) * sine) / (np.cos(latitude) * cosine)
        half = np.degrees(np.arccos(np.where(np.abs(ratio) <= 1, ratio, np.nan)))
    return np.degrees(np.arcsin(sine)), half


def _refined(sky: SiteSky, star: Integers, utc_s: Floats, declination_deg: Floats) -> Floats:
    """Newton steps on the altitude from a good guess."""
    latitude = np.radians(sky.site.latitude_deg)
    cosines = np.cos(latitude) * np.cos(np.radians(declination_deg))
    for _ in range(STEPS):
        seen = sky.star_pairs(star, utc_s)
        east = seen.direction[0]
        excess = seen.altitude_deg + HORIZON_REFRACTION_DEG
        hour_sine = -east / np.cos(np.radians(declination_deg))
        slope = -DEG_PER_S * cosines * hour_sine / np.cos(np.radians(seen.altitude_deg))
        with np.errstate(divide="ignore", invalid="ignore"):
            step = np.nan_to_num(excess / slope)
        utc_s = utc_s - np.clip(step, -STEEPEST_STEP_S, STEEPEST_STEP_S)
    return utc_s
