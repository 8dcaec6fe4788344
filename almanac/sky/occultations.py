"""Stars and planets that the Moon hides from a site, and how near the site is to the limit."""

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from almanac.records.config import Site
from almanac.sky.conjunctions import Conjunctions, target_places, vertex
from almanac.sky.crossings import paired_roots
from almanac.sky.moonlight import from_zenith_deg, moonlight, pole_from_zenith_deg
from almanac.sky.site_sky import EQUATOR_KM, FLATTENING, MOON_RADIUS_KM, SiteSky, angle_deg

Floats = NDArray[np.float64]
Rows = NDArray[np.int64]

FARTHEST_DEG = 1.4
"""Geocentric separation beyond which no site sees the Moon over the target: its parallax 1.03 and
its radius 0.28, with room."""
REACH_S, STEP_S = 3.6 * 3600.0, 1080.0
"""Parallax, a degree at most, shifts a passage by less than 2 hours; it lasts 1.5 at most."""
NEAR_DEG = 0.1
"""Beyond this from the limb no site within GRAZE_KM sees the target touch it."""
FINE_S = 60.0
LOWEST_DEG = -1.0
"""Refraction lifts a target from no deeper."""
GRAZE_KM = 10.0
"""Hills on the Moon's limb reach a few kilometres: this near to the limit a star may blink."""
PROBE_KM = 1.0


class Passages(Struct, frozen=True):
    """Topocentric passages that hide a target or nearly do: arrays of one length."""

    target: Rows
    least_s: Floats
    """Of the target's centre deepest behind the limb, or nearest to it."""
    least_deg: Floats
    """Separation of the centres then."""
    enter_s: Floats
    """Disappearance of the target's centre behind the mean limb; NaN if it stays outside."""
    leave_s: Floats
    limit_km: Floats
    """Way on the ground to where the target just touches the limb; NaN beyond GRAZE_KM."""
    limit_bearing_deg: Floats
    """Direction of that way, from north through east."""


class Limb(Struct, frozen=True):
    """Where and in which light a target stands at instants: arrays of one length."""

    position_angle_deg: Floats
    """From the Moon's centre, from celestial north through east, 0 to 360."""
    from_zenith_deg: Floats
    """The same from the zenith, counter-clockwise as seen."""
    bright_limb_deg: Floats
    """Position angle of the middle of the lit limb."""
    target_altitude_deg: Floats
    """Refracted."""
    target_azimuth_deg: Floats
    moon_altitude_deg: Floats
    """Refracted."""
    sun_altitude_deg: Floats
    """Airless."""
    illuminated_fraction: Floats


class _Look(Struct, frozen=True):
    """Moon and targets at instants."""

    separation_deg: Floats
    radius_deg: Floats
    """Of the Moon."""
    altitude_deg: Floats
    """Of the target, airless."""

    @property
    def excess_deg(self) -> Floats:
        """How far the target stands outside the limb."""
        return self.separation_deg - self.radius_deg


def _look(sky: SiteSky, target: Rows, utc_s: Floats) -> _Look:
    moon, seen = sky.body("moon", utc_s), target_places(sky, target, utc_s)
    return _Look(
        angle_deg(moon.direction, seen.direction),
        np.degrees(np.arcsin(MOON_RADIUS_KM / moon.distance_km)),
        seen.altitude_deg,
    )


def passages(sky: SiteSky, near: Conjunctions) -> Passages:
    """Occultations above the horizon, and near misses within GRAZE_KM of the limit.

    near are passages within FARTHEST_DEG. Times hold for the mean limb about the centre of mass:
    radius 1737.4 km, k = 0.27240 of the Earth's equatorial radius (Archinal et al. 2011), without
    the limb's hills.
    """
    offsets = np.arange(-REACH_S, REACH_S + 1, STEP_S)
    times = near.utc_s[:, None] + offsets
    seen = _look(sky, np.repeat(near.target, len(offsets)), times.ravel())
    excess = seen.excess_deg.reshape(times.shape)
    up = seen.altitude_deg.reshape(times.shape) > LOWEST_DEG
    row = np.flatnonzero(np.any(up & (excess < 2 * NEAR_DEG), axis=1))
    times, excess, target = times[row], excess[row], near.target[row]
    least_s = _deepest(sky, target, times, seen.separation_deg.reshape(-1, len(offsets))[row])
    least = _look(sky, target, least_s)
    limit_km, bearing = _way_to_limit(sky, target, least_s, least.excess_deg)
    kept = (least.excess_deg < 0) | (limit_km <= GRAZE_KM)
    enter_s, leave_s = _contacts(
        sky, target[kept], times[kept], excess[kept], least_s[kept], least.excess_deg[kept]
    )
    return Passages(
        target=target[kept],
        least_s=least_s[kept],
        least_deg=least.separation_deg[kept],
        enter_s=enter_s,
        leave_s=leave_s,
        limit_km=np.where(limit_km <= GRAZE_KM, limit_km, np.nan)[kept],
        limit_bearing_deg=bearing[kept],
    )


def _deepest(sky: SiteSky, target: Rows, times: Floats, separation_deg: Floats) -> Floats:
    """Instants of least separation: its square is nearly a parabola."""
    column = np.clip(separation_deg.argmin(axis=1), 1, times.shape[1] - 2)[:, None]
    around = np.arange(-1, 2)
    middle = np.take_along_axis(times, column, 1)[:, 0]
    square = np.take_along_axis(separation_deg, column + around, 1) ** 2
    shift, _ = vertex(*square.T)
    middle = middle + np.clip(shift, -1, 1) * STEP_S
    close = middle[:, None] + around * FINE_S
    square = _look(sky, np.repeat(target, 3), close.ravel()).separation_deg.reshape(-1, 3) ** 2
    shift, _ = vertex(*square.T)
    return middle + np.clip(shift, -2, 2) * FINE_S


def _contacts(
    sky: SiteSky, target: Rows, times: Floats, excess: Floats, least_s: Floats, least: Floats
) -> tuple[Floats, Floats]:
    """Disappearance and reappearance around the deepest instant, NaN where the target stays out."""
    outside = excess > 0
    before = np.where(outside & (times < least_s[:, None]), times, -np.inf).max(axis=1)
    after = np.where(outside & (times > least_s[:, None]), times, np.inf).min(axis=1)
    hidden = np.flatnonzero((least < 0) & np.isfinite(before) & np.isfinite(after))
    contacts = np.full((2, len(target)), np.nan)

    def at(utc_s: Floats, rows: Rows) -> Floats:
        return _look(sky, target[hidden[rows]], utc_s).excess_deg

    contacts[0, hidden] = paired_roots(at, before[hidden], least_s[hidden])
    contacts[1, hidden] = paired_roots(at, least_s[hidden], after[hidden])
    return contacts[0], contacts[1]


def moved(site: Site, north_km: float, east_km: float) -> Site:
    """A site moved along the ground by a few kilometres."""
    latitude = np.radians(site.latitude_deg)
    square = FLATTENING * (2 - FLATTENING)
    bend = 1 - square * np.sin(latitude) ** 2
    meridian = EQUATOR_KM * (1 - square) / bend**1.5
    parallel = EQUATOR_KM / bend**0.5 * max(float(np.cos(latitude)), 1e-6)
    return replace(
        site,
        latitude_deg=site.latitude_deg + float(np.degrees(north_km / meridian)),
        longitude_deg=site.longitude_deg + float(np.degrees(east_km / parallel)),
    )


def _way_to_limit(
    sky: SiteSky, target: Rows, least_s: Floats, least: Floats
) -> tuple[Floats, Floats]:
    """Kilometres and bearing to the limit, by moving the site a little each way.

    At the least separation its change with time vanishes, so that the instant may be kept.
    """

    near = np.flatnonzero(np.abs(least) < NEAR_DEG)

    def change(north_km: float, east_km: float) -> Floats:
        there = SiteSky(sky.sky, moved(sky.site, north_km, east_km))
        shifted = _look(there, target[near], least_s[near]).excess_deg
        return (shifted - least[near]) / PROBE_KM

    north, east = change(PROBE_KM, 0.0), change(0.0, PROBE_KM)
    outward = np.where(least[near] < 0, 1.0, -1.0)
    limit_km, bearing = np.full((2, len(least)), np.nan)
    limit_km[near] = np.abs(least[near]) / np.hypot(north, east)
    bearing[near] = np.degrees(np.arctan2(outward * east, outward * north)) % 360.0
    return limit_km, bearing


def limb_places(sky: SiteSky, target: Rows, utc_s: Floats) -> Limb:
    """Angles on the Moon's disc and altitudes at instants."""
    moon, sun = sky.body("moon", utc_s), sky.body("sun", utc_s)
    seen = target_places(sky, target, utc_s)
    light = moonlight(moon, sun)
    pole = pole_from_zenith_deg(moon, sky.site.latitude_deg)
    zenith = from_zenith_deg(moon.direction, seen.direction)
    return Limb(
        position_angle_deg=(zenith - pole) % 360.0,
        from_zenith_deg=zenith,
        bright_limb_deg=(light.bright_limb_from_zenith_deg - pole) % 360.0,
        target_altitude_deg=sky.refracted_deg(seen.altitude_deg),
        target_azimuth_deg=seen.azimuth_deg,
        moon_altitude_deg=sky.refracted_deg(moon.altitude_deg),
        sun_altitude_deg=sun.altitude_deg,
        illuminated_fraction=light.illuminated_fraction,
    )
