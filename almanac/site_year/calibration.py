"""The calibration star of each window: candidates from the sky, choice by the plan."""

from collections.abc import Sequence
from functools import cached_property
from typing import Any

import numpy as np
from msgspec.structs import asdict
from numpy.typing import NDArray

from almanac.plan.hop import half_frame_deg, hop_error, landing_chance
from almanac.plan.star_choice import (
    Candidates,
    PassedOverFigures,
    calibration_moments,
    no_star_code,
    passed_over_code,
    ranked_stars,
)
from almanac.plan.star_list import StarList, StarSet, served_by, star_list
from almanac.plan.sun_box import box_clearance_deg, is_allowed
from almanac.records.catalogue import Star
from almanac.records.config import ClubConfig
from almanac.records.stars import Calibration, PassedOver, StarHop, StarReasons
from almanac.records.track import StarTrack
from almanac.site_year.instants import instant
from almanac.sky.site_events import SUN_RISES_DEG, SiteEvents
from almanac.sky.site_sky import SiteSky, angle_deg, from_angles

Floats = NDArray[np.float64]
Choice = tuple[Calibration | None, str | None]

CLEAR_STEP_MIN, CLEAR_MOST_MIN = 5.0, 60.0
TRACK_MIN = np.arange(-30.0, 61.0, 5.0)


def _mount_angles(
    azimuth_deg: Floats, altitude_deg: Floats, latitude_deg: float, mount: str
) -> tuple[Floats, Floats]:
    """Angle round the mount's first axis and height above its plane, degrees.

    Azimuth and altitude, or the like about the celestial pole for an equatorial mount.
    """
    if mount == "altaz":
        return azimuth_deg, altitude_deg
    east, north, up = from_angles(altitude_deg, azimuth_deg)
    latitude = np.radians(latitude_deg)
    pole = north * np.cos(latitude) + up * np.sin(latitude)
    south = up * np.cos(latitude) - north * np.sin(latitude)
    return np.degrees(np.arctan2(east, south)), np.degrees(np.arctan2(pole, np.hypot(east, south)))


def turn_deg(angle_deg: Floats) -> Floats:
    """An angle as the shorter turn, -180 to 180."""
    return (angle_deg + 180.0) % 360.0 - 180.0


def first_looks(windows: Floats, choices: Sequence[Choice]) -> Floats:
    """When the Moon can first be in the frame of each window (n, 2): after the hop, or by eye."""
    hops = [star.chosen.hop_utc.timestamp() if star else np.nan for star, _ in choices]
    return np.fmax(windows[:, 0], hops)


class StarChooser:
    """Places of all stars at every window's moment, and the choice among them."""

    def __init__(
        self, windows: Floats, events: SiteEvents, config: ClubConfig, stars: tuple[Star, ...]
    ) -> None:
        """Compute what the choice needs for windows (n, 2)."""
        self.events, self.config, self.stars, self.sky = events, config, stars, events.sky
        limits = config.stars
        self.moments = calibration_moments(
            windows,
            events.sun_below(limits.solve_below_sun_deg),
            limits.lead_min * 60,
            config.moon.shortest_window_min * 60,
        )
        self.rows = np.flatnonzero(np.isfinite(self.moments))
        self.offsets_min = np.union1d(
            np.arange(0, CLEAR_MOST_MIN + 1, CLEAR_STEP_MIN), [limits.lead_min]
        )
        self.magnitude = np.array([star.magnitude for star in stars])
        self._place()

    @property
    def _highest_deg(self) -> float:
        telescope, limits = self.config.telescope, self.config.stars
        return min(limits.highest_altitude_deg, telescope.highest_altitude_deg)

    def _place(self) -> None:
        """Stars at each moment and for an hour after it: (windows, offsets, stars)."""
        at_s = self.moments[self.rows]
        times = at_s[:, None] + self.offsets_min * 60
        seen = self.sky.stars(times.ravel())
        shape = (len(self.rows), len(self.offsets_min), len(self.stars))
        altitude = self.sky.refracted_deg(seen.altitude_deg).reshape(shape)
        azimuth = seen.azimuth_deg.reshape(shape)
        limits = self.config.stars
        reach = (altitude >= limits.lowest_altitude_deg) & (altitude <= self._highest_deg)
        ground = altitude > self.sky.ground_deg(azimuth)
        during = self.offsets_min <= limits.lead_min
        self.altitude, self.azimuth = altitude[:, 0], azimuth[:, 0]
        self.above_ground = self.altitude - self.sky.ground_deg(self.azimuth)
        self.sun_altitude = self.sky.body("sun", at_s).altitude_deg
        self.moon = self.sky.body("moon", at_s)
        self.moon_altitude = self.sky.refracted_deg(self.moon.altitude_deg)
        self._place_moves(altitude, azimuth)
        star_direction = from_angles(self.altitude, self.azimuth)
        moon_direction = from_angles(self.moon_altitude, self.moon.azimuth_deg)
        self.separation = angle_deg(star_direction, moon_direction[:, :, None])
        self.clear = reach & ground
        up = np.where(self.altitude > 0, self.magnitude, np.inf)
        self.brightest = np.argmin(up, axis=1)
        bright = self.magnitude <= limits.faintest_magnitude
        in_reach = np.all(reach[:, during], axis=1) & bright
        airless = seen.altitude_deg.reshape(shape)[:, 0]
        self.candidates = Candidates(
            in_reach=in_reach,
            above_ground=np.all(ground[:, during], axis=1),
            clear_of_moon=self.separation >= limits.least_moon_separation_deg,
            chance=self._chances(in_reach, airless),
            clear_of_sun=self._place_sun(altitude, azimuth),
        )

    def _place_moves(self, altitude: Floats, azimuth: Floats) -> None:
        """The move from every star to the Moon at the start and, after the lead, at the hop."""
        lead_min = self.config.stars.lead_min
        self.hop_s = self.moments[self.rows] + lead_min * 60
        after = int(np.searchsorted(self.offsets_min, lead_min))
        moon = self.hop_moon = self.sky.body("moon", self.hop_s)
        self.turn = turn_deg(self.moon.azimuth_deg[:, None] - self.azimuth)
        self.climb = self.moon_altitude[:, None] - self.altitude
        self.hop_turn = turn_deg(moon.azimuth_deg[:, None] - azimuth[:, after])
        self.hop_moon_altitude = self.sky.refracted_deg(moon.altitude_deg)
        self.hop_climb = self.hop_moon_altitude[:, None] - altitude[:, after]

    def _place_sun(self, altitude: Floats, azimuth: Floats) -> NDArray[np.bool_]:
        """Sun clearance of the hop from every star, and whether both of its moves may be made."""
        after = int(np.searchsorted(self.offsets_min, self.config.stars.lead_min))
        moon, height = self.hop_moon, self.hop_moon_altitude
        sun = self.sky.body("sun", self.hop_s)
        self.sun_up = sun.altitude_deg > SUN_RISES_DEG
        if not self.sun_up.any():
            return np.ones(self.altitude.shape, bool)
        sun_azimuth = sun.azimuth_deg[:, None]
        sun_altitude = self.sky.refracted_deg(sun.altitude_deg)[:, None]

        def clearance(start: tuple[Any, Any], end: tuple[Any, Any]) -> Floats:
            return box_clearance_deg(sun_azimuth, sun_altitude, *start, *end)

        star = azimuth[:, after], altitude[:, after]
        self.clearance = clearance(star, (moon.azimuth_deg[:, None], height[:, None]))
        least = np.minimum(self.clearance, clearance(self.config.telescope.park, star))
        return is_allowed(least, self.sun_up[:, None], self.config.safety.sun_stop_deg)

    def _chances(self, in_reach: NDArray[np.bool_], airless_deg: Floats) -> Floats:
        """Landing chance at every moment of the stars in reach and of the brightest one; else 0."""
        wanted = in_reach.copy()
        wanted[np.arange(len(wanted)), self.brightest] = True
        row, star = np.nonzero(wanted)
        site, telescope = self.sky.site, self.config.telescope

        def mounted(azimuth_deg: Floats, altitude_deg: Floats) -> tuple[Floats, Floats]:
            return _mount_angles(azimuth_deg, altitude_deg, site.latitude_deg, telescope.mount)

        error = hop_error(
            *mounted(self.azimuth[row, star], airless_deg[row, star]),
            *mounted(self.moon.azimuth_deg[row], self.moon.altitude_deg[row]),
            telescope.level_error_deg,
        )
        chance = np.zeros(wanted.shape)
        chance[row, star] = landing_chance(error, half_frame_deg(telescope))
        return chance

    @cached_property
    def to_learn(self) -> StarList:
        """The fewest stars that serve every window that can be served, and the curve."""
        hip = np.array([star.hip for star in self.stars])
        known = np.isin(hip, self.config.stars.known)
        return star_list(self.candidates.usable, self.candidates.chance, hip, known)

    def served_by(self, names: Sequence[str]) -> StarSet:
        """How well the stars of these names would serve the windows."""
        columns = [column for column, star in enumerate(self.stars) if star.name in names]
        return served_by(columns, self.candidates.usable, self.candidates.chance)

    def choices(self, to_learn: StarList | None = None) -> list[Choice]:
        """For each window a calibration, or the code of why there is none.

        The stars to learn, which win a tie, are those of these windows unless given.
        """
        learned = np.isin(np.arange(len(self.stars)), (to_learn or self.to_learn).fewest.stars)
        ranked = ranked_stars(self.candidates, self.magnitude, learned, count=2)
        found: list[Choice] = [(None, "too_bright_to_solve")] * len(self.moments)
        for row, order in enumerate(ranked):
            window = int(self.rows[row])
            if not order:
                found[window] = (None, no_star_code(self.candidates, row))
                continue
            spare = self._hop(row, order[1]) if len(order) > 1 else None
            chosen, reasons = self._hop(row, order[0]), self._reasons(row, order[0])
            found[window] = (Calibration(chosen, spare, reasons), None)
        return found

    def choices_for(self, windows: Floats) -> list[Choice]:
        """The same for other windows (n, 2), with the stars to learn of these."""
        return StarChooser(windows, self.events, self.config, self.stars).choices(self.to_learn)

    def _clear_min(self, row: int, star: int) -> float:
        """Minutes for which the star stays usable: whole steps, counted up to an hour."""
        blocked = np.flatnonzero(~self.clear[row, :, star])
        last = max(int(blocked[0]) - 1, 0) if len(blocked) else -1
        return float(self.offsets_min[last])

    def _reasons(self, row: int, star: int) -> StarReasons:
        """What speaks for a chosen star, and against the brightest in the sky."""
        brightest = int(self.brightest[row])
        return StarReasons(
            above_ground_deg=float(self.above_ground[row, star]),
            sun_altitude_deg=float(self.sun_altitude[row]),
            passed_over=None if brightest == star else self._passed_over(row, brightest),
        )

    def _passed_over(self, row: int, star: int) -> PassedOver:
        figures = PassedOverFigures(
            altitude_deg=float(self.altitude[row, star]),
            above_ground_deg=float(self.above_ground[row, star]),
            separation_deg=float(self.separation[row, star]),
            landing_chance=float(self.candidates.chance[row, star]),
            clear_min=self._clear_min(row, star),
        )
        during = self.offsets_min <= self.config.stars.lead_min
        clear = bool(np.all(self.clear[row, during, star]))
        best = float(self.candidates.chance[row, self.candidates.usable[row]].max())
        return PassedOver(
            star=self.stars[star].name,
            hip=self.stars[star].hip,
            **asdict(figures),
            reason=passed_over_code(figures, clear, self.config.stars, self._highest_deg, best),
        )

    def _hop(self, row: int, star: int) -> StarHop:
        return StarHop(
            star=self.stars[star].name,
            hip=self.stars[star].hip,
            at_utc=instant(self.moments[self.rows[row]]),
            altitude_deg=float(self.altitude[row, star]),
            azimuth_deg=float(self.azimuth[row, star]),
            separation_deg=float(self.separation[row, star]),
            hop_azimuth_deg=float(self.turn[row, star]),
            hop_altitude_deg=float(self.climb[row, star]),
            hop_utc=instant(self.hop_s[row]),
            turn_deg=float(self.hop_turn[row, star]),
            climb_deg=float(self.hop_climb[row, star]),
            moon_altitude_deg=float(self.hop_moon_altitude[row]),
            moon_azimuth_deg=float(self.hop_moon.azimuth_deg[row]),
            landing_chance=float(self.candidates.chance[row, star]),
            sun_clearance_deg=float(self.clearance[row, star]) if self.sun_up[row] else None,
            clear_min=self._clear_min(row, star),
        )


def star_tracks(
    sky: SiteSky, stars: tuple[Star, ...], hops: Sequence[StarHop]
) -> tuple[StarTrack, ...]:
    """Each chosen star's path over the hour around its moment, for the night's chart."""
    index = {star.hip: column for column, star in enumerate(stars)}
    at_s = np.array([hop.at_utc.timestamp() for hop in hops])
    utc_s = at_s[:, None] + TRACK_MIN * 60.0
    columns = np.array([index[hop.hip] for hop in hops], dtype=np.int64)
    seen = sky.star_pairs(np.repeat(columns, len(TRACK_MIN)), utc_s.ravel())
    height = sky.refracted_deg(seen.altitude_deg).reshape(utc_s.shape)
    return tuple(StarTrack(hop.hip, utc_s[row], height[row]) for row, hop in enumerate(hops))
