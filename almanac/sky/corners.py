"""When a body passes the corners of a horizon profile: there its margin over the ground jumps."""

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from almanac.sky.site_sky import SiteSky

Floats = NDArray[np.float64]
Rows = NDArray[np.int64]

ASIDE_S = 0.25
"""Both sides of a corner are looked at from so far: a passage is found to less."""
ASIDE_DEG = 1e-7
SLACK_DEG, HIGH_DEG = 0.1, 80.0
"""More than a straight line over ten minutes errs in altitude, while a body is not so high: an
eighth of the square of 2.5 degrees' turn, by the tangent of the altitude."""


class _Passages(Struct, frozen=True):
    """Pairs of a step of the grid and a corner whose azimuth is passed in it."""

    step: Rows
    corner_deg: Floats
    part: Floats
    """Of the step, 0 to 1, taken straight."""


def corner_times(
    sky: SiteSky, body: str, utc_s: Floats, azimuth_deg: Floats, altitude_deg: Floats, floor: float
) -> Floats:
    """POSIX seconds just before and just after a body passes a corner that may matter, rising.

    On the even grid utc_s stand its azimuths and the altitudes that are held against the profile,
    or against the floor where that is higher. With these times on the grid no step of the
    profile and no spike is lost, however narrow. Steps in which the body is well above or well
    below all that it passes are left out.
    """
    found = _passages(_corners(sky, floor), azimuth_deg)
    if not len(found.step):
        return np.empty(0)
    found = _of_interest(sky, found, azimuth_deg, altitude_deg, floor)
    exact = _refined(sky, body, found, utc_s, azimuth_deg)
    both = np.concatenate((exact - ASIDE_S, exact + ASIDE_S))
    both = both[(both > utc_s[0]) & (both < utc_s[-1])]
    return np.setdiff1d(both, utc_s)


def _turn(azimuth_deg: Floats) -> Floats:
    """From each azimuth to the next, the shorter way."""
    return (np.diff(azimuth_deg) + 180) % 360 - 180


def _corners(sky: SiteSky, floor: float) -> Floats:
    """Azimuths of the profile's points, and of where it rises above the floor."""
    profile = sky.site.horizon
    azimuth, height = np.array(profile.azimuth_deg), np.array(profile.altitude_deg)
    run = np.diff(azimuth, append=azimuth[0] + 360)
    climb = np.diff(height, append=height[0])
    with np.errstate(divide="ignore", invalid="ignore"):
        part = (floor - height) / climb
    through = (part > 0) & (part < 1)
    return np.unique(np.concatenate((azimuth, (azimuth + part * run)[through] % 360)))


def _passages(corners: Floats, azimuth_deg: Floats) -> _Passages:
    turn = _turn(azimuth_deg)
    low = np.minimum(azimuth_deg[:-1], azimuth_deg[:-1] + turn)
    base = np.floor(low / 360) * 360
    around = np.concatenate((corners, corners + 360))
    first = np.searchsorted(around, low - base)
    count = np.searchsorted(around, low - base + np.abs(turn)) - first
    step = np.repeat(np.arange(len(turn)), count)
    index = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
    corner = around[np.repeat(first, count) + index] + base[step]
    return _Passages(step, corner, (corner - azimuth_deg[step]) / turn[step])


def _of_interest(
    sky: SiteSky, found: _Passages, azimuth_deg: Floats, altitude_deg: Floats, floor: float
) -> _Passages:
    """The passages in steps during which the margin may change its sign."""
    step = found.step
    height = altitude_deg[step] + found.part * (altitude_deg[step + 1] - altitude_deg[step])
    sides = [sky.ground_deg(found.corner_deg + aside) for aside in (-ASIDE_DEG, ASIDE_DEG)]
    margins = height - np.maximum(sides, floor)
    ends = altitude_deg - np.maximum(sky.ground_deg(azimuth_deg), floor)
    begins = np.flatnonzero(np.diff(step, prepend=-1))
    around = np.stack([ends[step[begins]], ends[step[begins] + 1]])
    least = np.minimum(np.minimum.reduceat(margins.min(axis=0), begins), around.min(axis=0))
    most = np.maximum(np.maximum.reduceat(margins.max(axis=0), begins), around.max(axis=0))
    slack = np.where(altitude_deg[step[begins]] < HIGH_DEG, SLACK_DEG, 90.0)
    open_steps = step[begins][(least < slack) & (most > -slack)]
    kept = np.isin(step, open_steps)
    return _Passages(step[kept], found.corner_deg[kept], found.part[kept])


def _refined(
    sky: SiteSky, body: str, found: _Passages, utc_s: Floats, azimuth_deg: Floats
) -> Floats:
    """The passages by two of Newton's steps, never outside their step of the grid."""
    start, end = utc_s[found.step], utc_s[found.step + 1]
    rate = _turn(azimuth_deg)[found.step] / (end - start)
    times = start + found.part * (end - start)
    for _ in range(2):
        if not len(times):
            break
        off = (found.corner_deg - sky.body(body, times).azimuth_deg + 180) % 360 - 180
        times = np.clip(times + off / rate, start, end)
    return times
