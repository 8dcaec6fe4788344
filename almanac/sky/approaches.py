"""The Moon close to a planet, a bright star or a cluster, as a site sees it in the dark."""

import numpy as np
from msgspec import Struct
from msgspec.structs import asdict
from numpy.typing import NDArray

from almanac.sky.conjunctions import Conjunctions, target_places
from almanac.sky.moonlight import pole_from_zenith_deg
from almanac.sky.site_events import STEP_S, SiteEvents
from almanac.sky.site_sky import MOON_RADIUS_KM, angle_deg, from_angles

Floats = NDArray[np.float64]
Rows = NDArray[np.int64]
Flags = NDArray[np.bool_]

DARK_SUN_DEG = -6.0
"""Civil twilight is over: both can be seen together; common practice, no source."""
REACH_S = 20 * 3600.0
"""Whoever misses the passage itself sees the pair in the night before or after."""
EVERY = 3
"""Of the grid's steps."""
FINER_S = ((EVERY * STEP_S, 60.0), (60.0, 6.0))
"""Reach and step of the two looks that follow."""
MARGIN_DEG = 0.2
"""The Moon moves by less in a step of the first look."""


class Pairs(Struct, frozen=True):
    """Moon and target seen together: arrays of one length or shape."""

    utc_s: Floats
    separation_deg: Floats
    """As seen: refracted."""
    moon_altitude_deg: Floats
    """Refracted, as the target's."""
    moon_azimuth_deg: Floats
    target_altitude_deg: Floats
    target_azimuth_deg: Floats
    sun_altitude_deg: Floats
    pole_from_zenith_deg: Floats
    """Angle at the Moon from the zenith to the celestial pole, counter-clockwise."""
    together: NDArray[np.bool_]
    """Both above the horizon profile, the Sun below DARK_SUN_DEG, neither behind the other."""

    def only(self, rows: Rows) -> "Pairs":
        """Some of them."""
        return Pairs(**{name: values[rows] for name, values in asdict(self).items()})


def pairs(events: SiteEvents, target: Rows, utc_s: Floats, wide: Flags) -> Pairs:
    """Moon and one target for each instant, shape (n,); a wide target shows round the Moon."""
    sky = events.sky
    bodies = sky.bodies(("moon", "sun"), utc_s)
    moon, sun_deg = bodies["moon"], bodies["sun"].altitude_deg
    seen = target_places(sky, target, utc_s)
    moon_deg, seen_deg = sky.refracted_deg(moon.altitude_deg), sky.refracted_deg(seen.altitude_deg)
    outside = angle_deg(moon.direction, seen.direction) > np.degrees(
        np.arcsin(MOON_RADIUS_KM / moon.distance_km)
    )
    clear_moon = moon_deg > np.maximum(sky.ground_deg(moon.azimuth_deg), 0.0)
    clear = seen_deg > np.maximum(sky.ground_deg(seen.azimuth_deg), 0.0)
    return Pairs(
        utc_s=utc_s,
        separation_deg=angle_deg(
            from_angles(moon_deg, moon.azimuth_deg), from_angles(seen_deg, seen.azimuth_deg)
        ),
        moon_altitude_deg=moon_deg,
        moon_azimuth_deg=moon.azimuth_deg,
        target_altitude_deg=seen_deg,
        target_azimuth_deg=seen.azimuth_deg,
        sun_altitude_deg=sun_deg,
        pole_from_zenith_deg=pole_from_zenith_deg(moon, sky.site.latitude_deg),
        together=clear_moon & clear & (sun_deg < DARK_SUN_DEG) & (outside | wide[target]),
    )


def closest(
    events: SiteEvents, near: Conjunctions, within_deg: float, wide: Flags
) -> tuple[Rows, Pairs]:
    """Targets, and the pair at its closest while seen together, to 6 s; one a conjunction.

    wide tells for every target whether it is a cluster, which the Moon cannot hide.
    """
    row, middle = _coarse(events, near, within_deg, wide)
    for reach_s, step_s in FINER_S:
        offsets = np.arange(-reach_s, reach_s + 1, step_s)
        times = middle[:, None] + offsets
        seen = pairs(events, np.repeat(near.target[row], len(offsets)), times.ravel(), wide)
        apart = np.where(seen.together, seen.separation_deg, np.inf).reshape(times.shape)
        middle = times[np.arange(len(row)), apart.argmin(axis=1)]
    found = pairs(events, near.target[row], middle, wide)
    close = np.flatnonzero(found.together & (found.separation_deg <= within_deg))
    return near.target[row][close], found.only(close)


def _coarse(
    events: SiteEvents, near: Conjunctions, within_deg: float, wide: Flags
) -> tuple[Rows, Floats]:
    """Conjunctions seen together near enough, and when, to a step of the search."""
    grid = events.grid
    up = grid.moon_altitude_deg > np.maximum(events.sky.ground_deg(grid.moon.azimuth_deg), 0.0)
    usable = np.flatnonzero(up & (grid.sun.altitude_deg < DARK_SUN_DEG))
    first, last = (
        np.searchsorted(usable, np.searchsorted(grid.utc_s, near.utc_s + side * REACH_S))
        for side in (-1, 1)
    )
    count = last - first
    row = np.repeat(np.arange(len(count)), count)
    index = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count) + first[row]
    kept = usable[index] % EVERY == 0
    row, at_s = row[kept], grid.utc_s[usable[index[kept]]]
    seen = pairs(events, near.target[row], at_s, wide)
    order = np.lexsort((np.where(seen.together, seen.separation_deg, np.inf), row))
    rows, best = np.unique(row[order], return_index=True)
    pick = order[best]
    good = seen.together[pick] & (seen.separation_deg[pick] <= within_deg + MARGIN_DEG)
    return rows[good], at_s[pick[good]]
