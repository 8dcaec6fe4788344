"""A year as one drawing: nights along, local hours up, darkness and the Moon's light as tones.

Where the Sun is down the drawing is dark; where the Moon is up it is lighter, and lightest in the
Moon windows, the more so the higher the Moon.
"""

from bisect import bisect_left
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property
from itertools import pairwise

import numpy as np
from markupsafe import Markup
from numpy.typing import NDArray

from almanac.publish.charts.drawing import (
    WIDTH,
    Ints,
    absolute_polyline,
    ink,
    svg,
    text,
    text_width,
)
from almanac.publish.charts.night_scale import axis_hours
from almanac.publish.charts.tone import data_uri, png
from almanac.publish.wording import Wording
from almanac.records.year import Floats, MoonNight, Night, Phase, YearAlmanac

LEFT, RIGHT, TOP, TALL = 36, WIDTH - 2, 28, 330
FLOOR = TOP + TALL
HEIGHT = FLOOR + 30
DISC = 6
ROWS_AN_HOUR = 10

DAY = timedelta(days=1)
SUN_EDGE_DEG, NIGHT_DEG = -0.833, -18.0
UP, USABLE = 0.22, 0.5
"""Tone of the Moon merely up, and of a low Moon in a window; a window at the zenith is 1."""
JOIN_S = 30 * 3600.0
"""Events of one kind farther apart than this are not joined by a line."""
LEAP_H = 6.0
"""Nor are those that jump so far on the clock: the line has left the drawing and come back."""


@dataclass(frozen=True)
class _Grid:
    """Nights and wall-clock hours of a site-year."""

    almanac: YearAlmanac
    words: Wording
    first_h: int
    last_h: int

    @cached_property
    def column(self) -> float:
        """Units a night."""
        return (RIGHT - LEFT) / len(self.almanac.nights)

    def x(self, index: float) -> float:
        """Units across, of the left edge of a night's column."""
        return LEFT + index * self.column

    def y(self, wall_h: float) -> float:
        """Units down, of an hour after noon on the wall clock."""
        return FLOOR - (wall_h - self.first_h) * TALL / (self.last_h - self.first_h)

    def wall_h(self, night: Night, instant: datetime) -> float:
        """Hours on the wall clock since the night's noon."""
        local = self.words.local(instant).replace(tzinfo=None)
        noon = datetime(night.date.year, night.date.month, night.date.day, 12)
        return (local - noon) / timedelta(hours=1)

    @cached_property
    def wall_hours(self) -> Floats:
        """Middle of each row of the tone pictures, latest first."""
        rows = (self.last_h - self.first_h) * ROWS_AN_HOUR
        return self.last_h - (np.arange(rows) + 0.5) / ROWS_AN_HOUR

    @cached_property
    def utc_s(self) -> Floats:
        """Instants (rows, nights) of the tone pictures."""
        starts = np.array([night.start_utc.timestamp() for night in self.almanac.nights])
        utc_s = starts + 3600 * self.wall_hours[:, None]
        for index, night in enumerate(self.almanac.nights):
            if night.end_utc - night.start_utc != DAY:
                utc_s[:, index] = self._over_change(night)
        return utc_s

    def _over_change(self, night: Night) -> Floats:
        """Instants of one night in which the clock changes: rows after it follow the new time."""
        start_s = night.start_utc.timestamp()
        before_s = start_s + 3600 * self.wall_hours
        after_s = before_s + (night.end_utc - night.start_utc - DAY).total_seconds()
        return np.where(after_s >= self._change_s(night), after_s, before_s)

    def _change_s(self, night: Night) -> float:
        """The first minute of the night (POSIX seconds) with the offset of its end."""
        new = self.words.local(night.end_utc).utcoffset()
        minutes = [night.start_utc + timedelta(minutes=m) for m in range(25 * 60)]
        first = bisect_left(minutes, True, key=lambda m: self.words.local(m).utcoffset() == new)
        return minutes[first].timestamp()

    @cached_property
    def samples(self) -> NDArray[np.int64]:
        """Index of the track's sample next to each instant of the tone pictures."""
        utc_s = self.almanac.track.utc_s
        index = np.rint((self.utc_s - utc_s[0]) / (utc_s[1] - utc_s[0])).astype(np.int64)
        return index.clip(0, len(utc_s) - 1)


def year_chart(almanac: YearAlmanac, words: Wording, name: str = "year") -> Markup:
    """The drawing of a site-year as inline SVG; ``name`` makes its ids unique on the page."""
    grid = _Grid(almanac, words, *axis_hours(almanac.nights))
    darkness = _darkness(grid)
    body = [
        _tone(f"{name}-n", "dark", darkness),
        _tone(f"{name}-m", "moonlight", _moonlight(grid, darkness)),
        _months(grid),
        _sun_lines(grid),
        _moon_lines(grid),
        _hours_up(grid),
        *(_disc(grid, phase) for phase in almanac.phases if phase.kind in ("new", "full")),
    ]
    title = words.gettext("The Moon windows of %(year)s", year=almanac.year)
    return svg(name, title, _description(almanac, words), HEIGHT, body)


# Tones


def _tone(name: str, ink_name: str, tone: Floats) -> str:
    area = f'x="{LEFT}" y="{TOP}" width="{RIGHT - LEFT}" height="{TALL}"'
    return (
        f'<mask id="{name}" maskUnits="userSpaceOnUse" {area}>'
        f'<image {area} preserveAspectRatio="none" href="{data_uri(png(tone))}"/></mask>'
        f'<rect {area} fill="{ink(ink_name)}" mask="url(#{name})"/>'
    )


def _darkness(grid: _Grid) -> Floats:
    """0 with the Sun up, 1 in full night."""
    sun_deg = grid.almanac.track.sun_altitude_deg[grid.samples]
    return np.clip((SUN_EDGE_DEG - sun_deg) / (SUN_EDGE_DEG - NIGHT_DEG), 0, 1)


def _moonlight(grid: _Grid, darkness: Floats) -> Floats:
    """0 with the Moon down or behind the horizon, up to 1 in a window with the Moon overhead."""
    track = grid.almanac.track
    above = track.moon_altitude_deg > np.maximum(track.ground_deg, 0)
    height = np.sin(np.radians(np.maximum(track.moon_altitude_deg, 0)))
    faint = np.where(above[grid.samples], UP * darkness, 0)
    return np.where(_usable(grid), USABLE + (1 - USABLE) * height[grid.samples], faint)


def _usable(grid: _Grid) -> NDArray[np.bool_]:
    usable = np.zeros(grid.utc_s.shape, bool)
    for index, night in enumerate(grid.almanac.nights):
        for window in night.windows:
            after = grid.utc_s[:, index] >= window.start_utc.timestamp()
            usable[:, index] |= after & (grid.utc_s[:, index] <= window.end_utc.timestamp())
    return usable


# Lines


def _sun_lines(grid: _Grid) -> str:
    nights = grid.almanac.nights
    kinds = ([(n, n.sun.set_utc) for n in nights], [(n, n.sun.rise_utc) for n in nights])
    path = "".join(_event_lines(grid, [(n, (t,)) for n, t in kind if t]) for kind in kinds)
    return _stroke(path, "ink", 1.2)


def _moon_lines(grid: _Grid) -> str:
    """Moonrises and moonsets while the Sun is down: by day the drawing is blank."""
    kinds = (lambda moon: moon.rises_utc), (lambda moon: moon.sets_utc)
    path = "".join(_event_lines(grid, _by_night(grid, kind)) for kind in kinds)
    return _stroke(path, "moonlight", 0.8)


def _by_night(
    grid: _Grid, kind: Callable[[MoonNight], tuple[datetime, ...]]
) -> list[tuple[Night, list[datetime]]]:
    track = grid.almanac.track
    dark = track.sun_altitude_deg < SUN_EDGE_DEG
    start_s, step_s = track.utc_s[0], track.utc_s[1] - track.utc_s[0]
    return [
        (n, [t for t in kind(n.moon) if dark[round((t.timestamp() - start_s) / step_s)]])
        for n in grid.almanac.nights
    ]


def _stroke(path: str, ink_name: str, width: float) -> str:
    return (
        f'<path transform="scale(.1)" fill="none" stroke="{ink(ink_name)}" '
        f'stroke-width="{10 * width:g}" stroke-linejoin="round" d="{path}"/>'
    )


def _event_lines(grid: _Grid, events: Iterable[tuple[Night, Sequence[datetime]]]) -> str:
    """One path through all events of a kind, broken where they leave the drawing or fail."""
    return "".join(
        absolute_polyline(x, y) for x, y in _stretches(grid, list(_points(grid, events)))
    )


def _points(
    grid: _Grid, events: Iterable[tuple[Night, Sequence[datetime]]]
) -> Iterator[tuple[float, int, float]]:
    """(instant, night's index, wall-clock hour) of each event on the drawing."""
    first = grid.almanac.nights[0].date
    for night, instants in events:
        for instant in instants:
            wall_h = grid.wall_h(night, instant)
            if grid.first_h <= wall_h <= grid.last_h:
                yield instant.timestamp(), (night.date - first).days, wall_h


def _stretches(grid: _Grid, points: list[tuple[float, int, float]]) -> Iterator[tuple[Ints, Ints]]:
    if not points:
        return
    utc_s, index, wall_h = np.array(points).T
    cuts = (np.diff(utc_s) > JOIN_S) | (abs(np.diff(wall_h)) > LEAP_H)
    for part in np.split(np.arange(len(points)), np.flatnonzero(cuts) + 1):
        x = np.rint(10 * (LEFT + (index[part] + 0.5) * grid.column)).astype(np.int64)
        hour = TALL / (grid.last_h - grid.first_h)
        y = np.rint(10 * (FLOOR - (wall_h[part] - grid.first_h) * hour)).astype(np.int64)
        yield x, y


# Scales


def _months(grid: _Grid) -> str:
    """Hairlines at the months, and their names as often as they have room."""
    firsts = [i for i, night in enumerate(grid.almanac.nights) if night.date.day == 1]
    names = [grid.words.month(month, short=True) for month in range(1, 13)]
    room = (RIGHT - LEFT) / 12
    step = 1 if max(map(text_width, names)) < room - 4 else 2
    lines = "".join(f"M{grid.x(i):.1f} {TOP}V{FLOOR + 6}" for i in firsts[1:])
    middles = [(a + b) / 2 for a, b in pairwise([*firsts, len(grid.almanac.nights)])]
    figures = "".join(
        text(grid.x(middle), FLOOR + 17, name, "middle", "quiet")
        for middle, name in list(zip(middles, names, strict=True))[::step]
    )
    style = f'stroke="{ink("quiet")}" stroke-opacity=".45" stroke-width=".6"'
    return f'<path {style} d="{lines}"/>' + figures


def _hours_up(grid: _Grid) -> str:
    noon = grid.almanac.nights[0].start_utc
    hours = [h for h in range(grid.first_h, grid.last_h + 1) if h % 3 == 0]
    return "".join(
        text(
            LEFT - 6,
            min(max(grid.y(h), TOP + 8), FLOOR - 6),
            grid.words.hour(noon + timedelta(hours=h)),
            "end",
            "quiet",
        )
        for h in hours
    )


def _disc(grid: _Grid, phase: Phase) -> str:
    """A full or new Moon over its night."""
    nights = grid.almanac.nights
    days = (phase.at_utc - nights[0].start_utc) / DAY
    if not 0 <= days < len(nights):
        return ""
    fill = "disc-lit" if phase.kind == "full" else "disc-dark"
    return (
        f'<circle cx="{grid.x(days):.1f}" cy="{TOP - 14}" r="{DISC}" fill="{ink(fill)}" '
        f'stroke="{ink("quiet")}"/>'
    )


def _description(almanac: YearAlmanac, words: Wording) -> str:
    with_window = sum(1 for night in almanac.nights if night.windows)
    return words.gettext(
        "Nights run from left to right, local hours upward. %(count)s nights have a Moon window.",
        count=words.number(with_window),
    )
