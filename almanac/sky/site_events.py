"""A site's year of events: when Sun and Moon rise, set, transit and pass the site's limits."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from almanac.sky.crossings import Crossings, crossings, spans
from almanac.sky.moonlight import moonlight
from almanac.sky.site_sky import MOON_RADIUS_KM, Horizontal, SiteSky

Floats = NDArray[np.float64]
Margin = Callable[[Horizontal, Horizontal], Floats]
"""Of the places of Moon and Sun."""

STEP_S = 300.0
"""Grid of the search: grazing pairs inside a step are found by a parabola."""
HORIZON_REFRACTION_DEG = 34 / 60
SUN_RISES_DEG = -50 / 60
"""Sun's centre at rise and set: 34' of refraction and 16' of semidiameter (Explanatory
Supplement to the Astronomical Almanac, 3rd ed., ch. 12)."""
TWILIGHTS_DEG = {"civil": -6.0, "nautical": -12.0, "astronomical": -18.0}


@dataclass(frozen=True)
class SiteEvents:
    """Events between two POSIX instants; the grid is shared by all of them."""

    sky: SiteSky
    start_s: float
    end_s: float

    @cached_property
    def utc_s(self) -> Floats:
        """The search grid, which is also the charts' track."""
        return np.arange(self.start_s, self.end_s + STEP_S, STEP_S)

    @cached_property
    def moon(self) -> Horizontal:
        """The Moon on the grid."""
        return self.sky.body("moon", self.utc_s)

    @cached_property
    def sun(self) -> Horizontal:
        """The Sun on the grid."""
        return self.sky.body("sun", self.utc_s)

    def _spans_where(self, margin: Margin) -> Floats:
        """Spans in which a margin over the places of Moon and Sun is positive."""

        def at(utc_s: Floats) -> Floats:
            return margin(self.sky.body("moon", utc_s), self.sky.body("sun", utc_s))

        found = crossings(at, self.utc_s, margin(self.moon, self.sun))
        return spans(found, float(self.utc_s[0]), float(self.utc_s[-1]))

    def sun_crossings(self, altitude_deg: float) -> Crossings:
        """The Sun's centre passing an airless altitude."""

        def height(utc_s: Floats) -> Floats:
            return self.sky.body("sun", utc_s).altitude_deg - altitude_deg

        return crossings(height, self.utc_s, self.sun.altitude_deg - altitude_deg)

    def sun_below(self, altitude_deg: float) -> Floats:
        """Spans with the Sun's centre below an airless altitude."""
        return self._spans_where(lambda moon, sun: altitude_deg - sun.altitude_deg)

    @cached_property
    def moon_rise_set(self) -> Crossings:
        """Moonrise (upward) and moonset: upper limb, 34' of refraction, own semidiameter."""

        def height(moon: Horizontal) -> Floats:
            semidiameter = np.degrees(np.arcsin(MOON_RADIUS_KM / moon.distance_km))
            return moon.altitude_deg + HORIZON_REFRACTION_DEG + semidiameter

        return crossings(
            lambda utc_s: height(self.sky.body("moon", utc_s)), self.utc_s, height(self.moon)
        )

    def moon_down(self) -> Floats:
        """Spans from moonset to moonrise."""
        found = self.moon_rise_set
        sunk = Crossings(found.utc_s, ~found.upward, not found.starts_above)
        return spans(sunk, float(self.utc_s[0]), float(self.utc_s[-1]))

    def moon_transits(self) -> Floats:
        """Instants at which the Moon crosses the upper meridian: moving west through it."""

        def east(utc_s: Floats) -> Floats:
            return self.sky.body("moon", utc_s).direction[0]

        return crossings(east, self.utc_s, self.moon.direction[0]).down()

    def moon_above(self, lowest_deg: float) -> Floats:
        """Spans with the Moon's refracted centre above an altitude and the horizon profile."""

        def margin(moon: Horizontal) -> Floats:
            limit = np.maximum(lowest_deg, self.sky.ground_deg(moon.azimuth_deg))
            return self.sky.refracted_deg(moon.altitude_deg) - limit

        times = np.union1d(self.utc_s, self._corner_times())
        found = crossings(lambda utc_s: margin(self.sky.body("moon", utc_s)), times)
        return spans(found, float(times[0]), float(times[-1]))

    def _corner_times(self) -> Floats:
        """When the Moon, up, passes the azimuth of a corner of the profile, to a few seconds.

        With them on the grid the margin is smooth between neighbours, so that a spike narrower
        than a step is not lost.
        """
        corners = np.unique(self.sky.site.horizon.azimuth_deg)
        azimuth, step = self.moon.azimuth_deg[:-1], np.diff(self.moon.azimuth_deg)
        step = (step + 180) % 360 - 180
        up = np.flatnonzero(self.moon.altitude_deg[:-1] > -2)
        low = np.minimum(azimuth, azimuth + step)[up]
        base = np.floor(low / 360) * 360
        around = np.concatenate((corners, corners + 360))
        first = np.searchsorted(around, low - base)
        count = np.searchsorted(around, low - base + np.abs(step[up])) - first
        row = np.repeat(up, count)
        index = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
        corner = around[np.repeat(first, count) + index] + np.repeat(base, count)
        with np.errstate(divide="ignore", invalid="ignore"):
            part = (corner - azimuth[row]) / step[row]
        return self.utc_s[row] + np.clip(np.nan_to_num(part), 0, 1) * STEP_S

    def moon_below(self, highest_deg: float) -> Floats:
        """Spans with the Moon's refracted centre below the mount's highest altitude."""
        return self._spans_where(
            lambda moon, sun: highest_deg - self.sky.refracted_deg(moon.altitude_deg)
        )

    def moon_lit(self, thinnest: float) -> Floats:
        """Spans with the topocentric lit fraction above thinnest."""
        return self._spans_where(
            lambda moon, sun: moonlight(moon, sun).illuminated_fraction - thinnest
        )

    def moon_off_sun(self, stop_deg: float) -> Floats:
        """Spans with Sun and Moon farther apart than stop_deg."""
        return self._spans_where(
            lambda moon, sun: moonlight(moon, sun).sun_separation_deg - stop_deg
        )
