"""A site's year of events: when Sun and Moon rise, set, transit and pass the site's limits."""

from collections.abc import Callable
from functools import cached_property

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from almanac.sky.corners import corner_times
from almanac.sky.crossings import Crossings, crossings, spans
from almanac.sky.moonlight import Moonlight, moonlight
from almanac.sky.nodes import Grid, Times, times_of
from almanac.sky.site_sky import MOON_RADIUS_KM, SUN_RADIUS_KM, Horizontal, SiteSky

Floats = NDArray[np.float64]

STEP_S = 300.0
"""Usual grid of the search: grazing pairs inside a step are found by a parabola."""
HORIZON_REFRACTION_DEG = 34 / 60
SUN_RISES_DEG = -50 / 60
"""Sun's centre at rise and set: 34' of refraction and 16' of semidiameter (Explanatory
Supplement to the Astronomical Almanac, 3rd ed., ch. 12)."""
NO_FLOOR_DEG = -90.0
TWILIGHTS_DEG = {"civil": -6.0, "nautical": -12.0, "astronomical": -18.0}


class Places(Struct, frozen=True, dict=True):
    """Moon and Sun at POSIX seconds, computed when first asked for."""

    sky: SiteSky
    when: Times

    @property
    def utc_s(self) -> Floats:
        """The times as an array."""
        return times_of(self.when)

    @cached_property
    def _bodies(self) -> dict[str, Horizontal]:
        return {}

    def body(self, name: str) -> Horizontal:
        """A body of the Solar System at all times."""
        if name not in self._bodies:
            self._bodies[name] = self.sky.body(name, self.when)
        return self._bodies[name]

    @property
    def moon(self) -> Horizontal:
        """The Moon."""
        return self.body("moon")

    @property
    def sun(self) -> Horizontal:
        """The Sun."""
        return self.body("sun")

    @cached_property
    def light(self) -> Moonlight:
        """How the Moon is lit."""
        return moonlight(self.moon, self.sun)

    @cached_property
    def moon_altitude_deg(self) -> Floats:
        """Refracted altitude of the Moon's centre."""
        return self.sky.refracted_deg(self.moon.altitude_deg)


Margin = Callable[[Places], Floats]


def _dip_deg(body: str, at: Places) -> Floats | float:
    """How far below the airless horizon the centre of a body stands when it rises."""
    if body == "sun":
        return -SUN_RISES_DEG
    if body == "moon":
        semidiameter = np.degrees(np.arcsin(MOON_RADIUS_KM / at.moon.distance_km))
        return HORIZON_REFRACTION_DEG + semidiameter
    return HORIZON_REFRACTION_DEG


class SiteEvents(Struct, frozen=True, dict=True):
    """Events between two POSIX instants; the grid is shared by all of them."""

    sky: SiteSky
    start_s: float
    end_s: float
    step_s: float = STEP_S

    @cached_property
    def grid(self) -> Places:
        """Places on the search grid, which is also the charts' track."""
        count = int(np.ceil((self.end_s - self.start_s) / self.step_s)) + 1
        return Places(self.sky, Grid(self.start_s, self.step_s, count))

    @cached_property
    def _sun_below(self) -> dict[float, Floats]:
        return {}

    def _crossings(self, margin: Margin, also_s: Floats | None = None) -> Crossings:
        """Sign changes of a margin over the grid, and over further times if given."""

        def at(utc_s: Floats) -> Floats:
            return margin(Places(self.sky, utc_s))

        times, values = self.grid.utc_s, margin(self.grid)
        if also_s is not None:
            place = np.searchsorted(times, also_s)
            times, values = np.insert(times, place, also_s), np.insert(values, place, at(also_s))
        return crossings(at, times, values)

    def _spans(self, found: Crossings) -> Floats:
        return spans(found, float(self.grid.utc_s[0]), float(self.grid.utc_s[-1]))

    def sun_below(self, altitude_deg: float) -> Floats:
        """Spans with the Sun's centre below an airless altitude; kept for the next caller."""
        known = self._sun_below
        if altitude_deg not in known:
            depth = self._crossings(lambda at: altitude_deg - at.sun.altitude_deg)
            known[altitude_deg] = self._spans(depth)
        return known[altitude_deg]

    def rise_set(self, body: str) -> Crossings:
        """Rise (upward) and set: 34' of refraction; upper limb of Sun and Moon, else the centre."""
        return self._crossings(lambda at: at.body(body).altitude_deg + _dip_deg(body, at))

    def transits(self, body: str) -> Floats:
        """Instants at which a body crosses the upper meridian: moving west through it."""
        return self._crossings(lambda at: at.body(body).east_north_up[0]).down()

    def sun_meridian_s(self) -> Floats:
        """Instants at which the Sun crosses the meridian, above the pole and below it."""
        return self._crossings(lambda at: at.sun.east_north_up[0]).utc_s

    @cached_property
    def moon_rise_set(self) -> Crossings:
        """Moonrise (upward) and moonset."""
        return self.rise_set("moon")

    @cached_property
    def moon_transits(self) -> Floats:
        """Instants at which the Moon crosses the upper meridian."""
        return self.transits("moon")

    def moon_down(self) -> Floats:
        """Spans from moonset to moonrise."""
        found = self.moon_rise_set
        return self._spans(Crossings(found.utc_s, ~found.upward, not found.starts_above))

    def moon_above(self, lowest_deg: float) -> Floats:
        """Spans with the Moon's refracted centre above an altitude and the horizon profile."""

        def margin(at: Places) -> Floats:
            limit = np.maximum(lowest_deg, self.sky.ground_deg(at.moon.azimuth_deg))
            return at.moon_altitude_deg - limit

        corners_s = self._corners("moon", self.grid.moon_altitude_deg, lowest_deg)
        return self._spans(self._crossings(margin, corners_s))

    def _corners(self, body: str, altitude_deg: Floats, floor_deg: float) -> Floats:
        """When a body passes the profile's corners, by its altitudes on the grid."""
        azimuth_deg = self.grid.body(body).azimuth_deg
        return corner_times(self.sky, body, self.grid.utc_s, azimuth_deg, altitude_deg, floor_deg)

    def sun_over_profile(self) -> Floats:
        """Instants at which the Sun's refracted upper limb comes over the horizon profile."""

        def top_deg(at: Places) -> Floats:
            radius = np.degrees(np.arcsin(SUN_RADIUS_KM / at.sun.distance_km))
            return self.sky.refracted_deg(at.sun.altitude_deg) + radius

        def margin(at: Places) -> Floats:
            return top_deg(at) - self.sky.ground_deg(at.sun.azimuth_deg)

        corners_s = self._corners("sun", top_deg(self.grid), NO_FLOOR_DEG)
        return self._crossings(margin, corners_s).up()

    def moon_below(self, highest_deg: float) -> Floats:
        """Spans with the Moon's refracted centre below the mount's highest altitude."""
        return self._spans(self._crossings(lambda at: highest_deg - at.moon_altitude_deg))

    def moon_lit(self, thinnest: float) -> Floats:
        """Spans with the topocentric lit fraction above thinnest."""
        return self._spans(self._crossings(lambda at: at.light.illuminated_fraction - thinnest))

    def moon_off_sun(self, stop_deg: float) -> Floats:
        """Spans with Sun and Moon farther apart than stop_deg."""
        return self._spans(self._crossings(lambda at: at.light.sun_separation_deg - stop_deg))
