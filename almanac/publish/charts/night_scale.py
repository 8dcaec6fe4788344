"""The scale that all night charts of a site-year share, and that scale laid on one night."""

from collections.abc import Sequence
from datetime import datetime
from typing import NamedTuple

import numpy as np
from msgspec import Struct, field
from numpy.typing import NDArray

from almanac.publish.charts.drawing import WIDTH, Ints
from almanac.records.track import Track
from almanac.records.year import Floats, Night, YearAlmanac

LEFT, RIGHT, TOP = 46, WIDTH - 6, 30
DEGREE = 3
"""Units a degree of height."""
FLOOR = TOP + 90 * DEGREE
EARTH = 8
"""Units of ground below the mathematical horizon, under which a set Moon is out of sight."""
HEIGHT = FLOOR + EARTH + 30

TWILIGHTS = (
    ("sky-civil", -0.833),
    ("sky-nautical", -6.0),
    ("sky-astronomical", -12.0),
    ("sky-night", -18.0),
)
"""Tones, and the Sun's airless altitude (deg) below which each begins."""
LOW_DEG, FLAT_DEG, CURVED_DEG, STEEP_DEG = 6.0, 30.0, 55.0, 75.0
"""Twenty minutes bend the Moon's path by less than 0.1 unit below the second height, ten below the
third, five below the last: h'' = (15 deg/h)^2 tan h at most, and a chord misses the arc by
h'' dt^2 / 8. Below the first ten minutes lead the line down to the ground."""


class NightScale(Struct, frozen=True):
    """What the night charts of a site-year share."""

    first_s: float
    """The axis begins so many seconds after the night's local noon."""
    span_s: float
    utc_s: Floats
    """The Moon's path: the track with transits, and with finer points near the zenith."""
    moon_altitude_deg: Floats
    ground_utc_s: Floats
    ground_deg: Floats
    twilights: tuple[tuple[str, list[float], list[float]], ...]
    """Ink, starts and ends (POSIX seconds) of the year's stretches of each tone."""
    axes: dict[tuple[object, ...], str] = field(default_factory=dict)
    """Hour axes already drawn: all nights but those of a clock change share one."""


def night_scale(almanac: YearAlmanac) -> NightScale:
    """The scale of a site-year: an hour before its earliest sunset to one after its last sunrise.

    Whole hours after local noon; noon to noon where the Sun stays down all day.
    """
    first_h, last_h = axis_hours(almanac.nights)
    utc_s, altitude_deg = _moon_path(almanac)
    track = almanac.track
    ground_deg = np.maximum(track.ground_deg, 0.0)
    bends = _bends(ground_deg)
    return NightScale(
        first_s=3600.0 * first_h,
        span_s=3600.0 * (last_h - first_h),
        utc_s=utc_s,
        moon_altitude_deg=altitude_deg,
        ground_utc_s=track.utc_s[bends],
        ground_deg=ground_deg[bends],
        twilights=tuple((name, *_below(track, limit)) for name, limit in TWILIGHTS),
    )


def axis_hours(nights: Sequence[Night]) -> tuple[int, int]:
    """First and last hour after local noon that hold a year's darkness and windows."""
    if any(night.sun.highest_altitude_deg < TWILIGHTS[0][1] for night in nights):
        return 0, 24
    early = [_hours_in(night, night.sun.set_utc) - 1 for night in nights if night.sun.set_utc]
    late = [_hours_in(night, night.sun.rise_utc) + 1 for night in nights if night.sun.rise_utc]
    for night in nights:
        early += [_hours_in(night, window.start_utc) - 0.5 for window in night.windows]
        late += [_hours_in(night, window.end_utc) + 0.5 for window in night.windows]
    if not early or not late:
        return 0, 24
    return max(0, int(np.floor(min(early)))), min(24, int(np.ceil(max(late))))


def _hours_in(night: Night, instant: datetime) -> float:
    return (instant - night.start_utc).total_seconds() / 3600


def _moon_path(almanac: YearAlmanac) -> tuple[Floats, Floats]:
    """The track's samples, a half or a quarter of them where they suffice, every transit, and
    quarters of each step near the zenith, in order.
    """
    track = almanac.track
    number, high = np.arange(len(track.utc_s)), track.moon_altitude_deg
    flat = (high > LOW_DEG) & (high < FLAT_DEG)
    kept = (number % 4 == 0) | ((number % 2 == 0) & ~flat) | (high > CURVED_DEG)
    transits = [t for night in almanac.nights for t in night.moon.transits]
    at_s = np.array([t.at_utc.timestamp() for t in transits])
    fine_s, fine_deg = _near_zenith(track)
    utc_s = np.concatenate((track.utc_s[kept], fine_s, at_s))
    heights = (track.moon_altitude_deg[kept], fine_deg, [t.altitude_deg for t in transits])
    utc_s, first = np.unique(utc_s, return_index=True)
    return utc_s, np.concatenate(heights)[first]


def _bends(ground_deg: Floats) -> NDArray[np.bool_]:
    """Every second sample, and those between that stand off the line by a tenth of a unit."""
    kept = np.ones(len(ground_deg), bool)
    middle = ground_deg[1:-1:2]
    line = (ground_deg[:-2:2] + ground_deg[2::2])[: len(middle)] / 2
    kept[1:-1:2] = abs(middle - line) * DEGREE > 0.1
    return kept


def _near_zenith(track: Track) -> tuple[Floats, Floats]:
    """Times and heights at the quarters of steep steps, along the great circle between samples."""
    high = track.moon_altitude_deg > STEEP_DEG
    i = np.flatnonzero(high[:-1] & high[1:])
    altitude, azimuth = np.radians(track.moon_altitude_deg), np.radians(track.moon_azimuth_deg)
    level = np.cos(altitude)
    place = np.stack((level * np.sin(azimuth), level * np.cos(azimuth), np.sin(altitude)))
    part = np.array([0.25, 0.5, 0.75])[:, None]
    utc_s = track.utc_s[i] + part * (track.utc_s[i + 1] - track.utc_s[i])
    east, north, up = (p[i] + part * (p[i + 1] - p[i]) for p in place)
    return utc_s.ravel(), np.degrees(np.arctan2(up, np.hypot(east, north))).ravel()


def _below(track: Track, limit_deg: float) -> tuple[list[float], list[float]]:
    """Starts and ends (POSIX seconds) of the Sun's stretches below an altitude."""
    excess, utc_s = track.sun_altitude_deg - limit_deg, track.utc_s
    falls = np.flatnonzero((excess[:-1] >= 0) & (excess[1:] < 0))
    climbs = np.flatnonzero((excess[:-1] < 0) & (excess[1:] >= 0))
    starts, ends = _root(utc_s, excess, falls), _root(utc_s, excess, climbs)
    if excess[0] < 0:
        starts = np.concatenate((utc_s[:1], starts))
    if excess[-1] < 0:
        ends = np.concatenate((ends, utc_s[-1:]))
    return starts.tolist(), ends.tolist()


def _root(x: Floats, y: Floats, i: NDArray[np.intp]) -> Floats:
    return x[i] + (x[i + 1] - x[i]) * y[i] / (y[i] - y[i + 1])


class View(NamedTuple):
    """The scale laid on one night; paths in tenths of a unit."""

    scale: NightScale
    start_s: float
    end_s: float
    moon_x: Ints
    moon_y: Ints
    ground_x: Ints
    ground_y: Ints

    def x(self, utc_s: float) -> float:
        """Units across, kept inside the plot."""
        share = (utc_s - self.start_s) / self.scale.span_s
        return min(max(LEFT + share * (RIGHT - LEFT), LEFT), RIGHT)

    def shows(self, instant: datetime) -> bool:
        """Whether the axis reaches the instant."""
        return self.start_s < instant.timestamp() < self.end_s

    def moon_deg(self, utc_s: float) -> float:
        """The Moon's height, interpolated."""
        return float(np.interp(utc_s, self.scale.utc_s, self.scale.moon_altitude_deg))

    def moon_at(self, instant: datetime) -> tuple[float, float]:
        """Where the Moon stands on the drawing, in units."""
        utc_s = instant.timestamp()
        return self.x(utc_s), height_y(self.moon_deg(utc_s))

    def deci(self, utc_s: Floats, altitude_deg: Floats) -> tuple[Ints, Ints]:
        """Points of a path in tenths of a unit."""
        return (
            deci_x(utc_s, self.start_s, self.scale.span_s),
            deci_y(altitude_deg),
        )


def view_of(scale: NightScale, night: Night) -> View:
    """The night's part of the year's paths."""
    start_s = night.start_utc.timestamp() + scale.first_s
    end_s = start_s + scale.span_s
    seen = slice(*np.searchsorted(scale.utc_s, (start_s, end_s + 1)))
    wider = slice(*np.searchsorted(scale.ground_utc_s, (start_s - 600, end_s + 601)))
    ground_x = deci_x(scale.ground_utc_s[wider], start_s, scale.span_s)
    return View(
        scale,
        start_s,
        end_s,
        deci_x(scale.utc_s[seen], start_s, scale.span_s),
        deci_y(scale.moon_altitude_deg[seen]),
        ground_x.clip(10 * LEFT, 10 * RIGHT),
        deci_y(scale.ground_deg[wider]),
    )


def height_y(altitude_deg: float) -> float:
    """Units down the drawing of a height."""
    return FLOOR - DEGREE * altitude_deg


def deci_y(altitude_deg: Floats) -> Ints:
    """Tenths of a unit down the drawing, of heights."""
    return np.rint(10 * (FLOOR - DEGREE * altitude_deg)).astype(np.int64)


def deci_x(utc_s: Floats, start_s: float, span_s: float) -> Ints:
    """Tenths of a unit across, of instants (POSIX seconds)."""
    return np.rint(10 * (LEFT + (utc_s - start_s) * ((RIGHT - LEFT) / span_s))).astype(np.int64)
