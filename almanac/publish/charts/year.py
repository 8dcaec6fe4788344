"""A year as one drawing: nights along, local hours up, darkness and the Moon's light as tones.

Where the Sun is down the drawing is dark; where the Moon is up it is lighter, and lightest in the
Moon windows, the more so the higher the Moon.
"""

from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime, timedelta
from itertools import pairwise

import numpy as np
from markupsafe import Markup
from numpy.typing import NDArray

from almanac.publish.charts.drawing import (
    Ints,
    absolute_polyline,
    group,
    ink,
    svg,
    text,
    text_width,
)
from almanac.publish.charts.night_scale import axis_hours
from almanac.publish.charts.tone import data_uri, png
from almanac.publish.charts.year_grid import DAY, FLOOR, LEFT, RIGHT, TALL, TOP, Grid
from almanac.publish.wording import Wording
from almanac.records.year import Floats, Night, Phase, YearAlmanac

HEIGHT = FLOOR + 30
DISC = 6

SUN_EDGE_DEG, NIGHT_DEG = -0.833, -18.0
UP, USABLE = 0.22, 0.5
"""Tone of the Moon merely up, and of a low Moon in a window; a window at the zenith is 1."""
JOIN_S = 30 * 3600.0
"""Events of one kind farther apart than this are not joined by a line."""
LEAP_H = 6.0
"""Nor are those that jump so far on the clock: the line has left the drawing and come back."""
NOTE_GAP = 15
"""Units between a line and the middle of its name."""


def year_chart(almanac: YearAlmanac, words: Wording, name: str = "year") -> Markup:
    """The drawing of a site-year as inline SVG; ``name`` makes its ids unique on the page."""
    grid = Grid(almanac, words, *axis_hours(almanac.nights))
    darkness = _darkness(grid)
    body = [
        f'<path fill="{ink("sky-day")}" d="M{LEFT} {TOP}H{RIGHT}V{FLOOR}H{LEFT}z"/>',
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


def _darkness(grid: Grid) -> Floats:
    """0 with the Sun up, 1 in full night."""
    sun_deg = grid.almanac.track.sun_altitude_deg[grid.samples]
    return np.clip((SUN_EDGE_DEG - sun_deg) / (SUN_EDGE_DEG - NIGHT_DEG), 0, 1)


def _moonlight(grid: Grid, darkness: Floats) -> Floats:
    """0 with the Moon down or behind the horizon, up to 1 in a window with the Moon overhead."""
    track = grid.almanac.track
    above = track.moon_altitude_deg > np.maximum(track.ground_deg, 0)
    height = np.sin(np.radians(np.maximum(track.moon_altitude_deg, 0)))
    faint = np.where(above[grid.samples], UP * darkness, 0)
    return np.where(_usable(grid), USABLE + (1 - USABLE) * height[grid.samples], faint)


def _usable(grid: Grid) -> NDArray[np.bool_]:
    usable = np.zeros(grid.utc_s.shape, bool)
    for index, night in enumerate(grid.almanac.nights):
        for window in night.windows:
            after = grid.utc_s[:, index] >= window.start_utc.timestamp()
            usable[:, index] |= after & (grid.utc_s[:, index] <= window.end_utc.timestamp())
    return usable


# Lines


def _sun_lines(grid: Grid) -> str:
    """Sunset and sunrise, each with its name on the day's side where there is room."""
    nights, gettext = grid.almanac.nights, grid.words.gettext
    sets = _points(grid, [(night, (night.sun.set_utc,)) for night in nights])
    rises = _points(grid, [(night, (night.sun.rise_utc,)) for night in nights])
    names = (
        _line_name(grid, sets, gettext("sunset"), 1),
        _line_name(grid, rises, gettext("sunrise"), -1),
    )
    return _path(grid, (sets, rises), "ink", 1.2) + group("quiet", names, "middle")


def _moon_lines(grid: Grid) -> str:
    """Moonrises and moonsets while the Sun is down: by day the drawing is blank."""
    nights = grid.almanac.nights
    kinds = ([(n, n.moon.rises_utc) for n in nights], [(n, n.moon.sets_utc) for n in nights])
    dark = grid.almanac.track.sun_altitude_deg < SUN_EDGE_DEG
    events = (_points(grid, kind) for kind in kinds)
    return _path(grid, (e[dark[grid.sample(e[:, 0])]] for e in events), "moonlight", 0.8)


def _path(grid: Grid, events: Iterable[Floats], ink_name: str, width: float) -> str:
    lines = "".join(
        absolute_polyline(x, y) for points in events for x, y in _stretches(grid, points)
    )
    return (
        f'<path transform="scale(.1)" fill="none" stroke="{ink(ink_name)}" '
        f'stroke-width="{10 * width:g}" stroke-linejoin="round" d="{lines}"/>'
    )


def _points(grid: Grid, events: Iterable[tuple[Night, Sequence[datetime | None]]]) -> Floats:
    """Rows of instant (POSIX seconds), night's index and wall-clock hour, on the drawing only."""
    first = grid.almanac.nights[0].date
    rows = [
        (instant.timestamp(), (night.date - first).days, grid.wall_h(night, instant))
        for night, instants in events
        for instant in instants
        if instant
    ]
    points = np.array(rows, dtype=np.float64).reshape(-1, 3)
    return points[(points[:, 2] >= grid.first_h) & (points[:, 2] <= grid.last_h)]


def _stretches(grid: Grid, points: Floats) -> Iterator[tuple[Ints, Ints]]:
    """Parts of a line in tenths of a unit, broken where events fail or leave the drawing."""
    if not len(points):
        return
    utc_s, index, wall_h = points.T
    cuts = (np.diff(utc_s) > JOIN_S) | (abs(np.diff(wall_h)) > LEAP_H)
    x, y = (np.rint(10 * place).astype(np.int64) for place in grid.places(index, wall_h))
    for part in np.split(np.arange(len(points)), np.flatnonzero(cuts) + 1):
        yield x[part], y[part]


def _line_name(grid: Grid, points: Floats, name: str, side: int) -> str:
    """A line's name below it (side 1) or above it (-1), where the day leaves most room."""
    half = text_width(name) / 2 + 4
    x, y = grid.places(points[:, 1], points[:, 2])
    y *= side
    edge = FLOOR if side > 0 else -TOP
    best = max(
        (
            (edge - y[near].max(), middle, y[near].max())
            for middle in np.arange(LEFT + half, RIGHT - half, 6)
            if len(near := np.flatnonzero(abs(x - middle) < half)) > half / grid.column
        ),
        default=None,
    )
    if best is None or best[0] < 2 * NOTE_GAP - 2:
        return ""
    return text(round(float(best[1]), 1), side * (best[2] + NOTE_GAP), name)


# Scales


def _months(grid: Grid) -> str:
    """Hairlines at the months, and their names as often as they have room."""
    firsts = [i for i, night in enumerate(grid.almanac.nights) if night.date.day == 1]
    names = [grid.words.month(month, short=True) for month in range(1, 13)]
    step = 1 if max(map(text_width, names)) < (RIGHT - LEFT) / 12 - 4 else 2
    lines = "".join(f"M{grid.x(i):.1f} {TOP}V{FLOOR + 6}" for i in firsts[1:])
    middles = [(a + b) / 2 for a, b in pairwise([*firsts, len(grid.almanac.nights)])]
    shown = list(zip(middles, names, strict=True))[::step]
    figures = (text(grid.x(middle), FLOOR + 17, name) for middle, name in shown)
    style = f'stroke="{ink("quiet")}" stroke-opacity=".45" stroke-width=".6"'
    return f'<path {style} d="{lines}"/>{group("quiet", figures, "middle")}'


def _hours_up(grid: Grid) -> str:
    noon = grid.almanac.nights[0].start_utc
    hours = [h for h in range(grid.first_h, grid.last_h + 1) if h % 3 == 0]
    places = [(min(max(grid.y(h), TOP + 8), FLOOR - 6), noon + timedelta(hours=h)) for h in hours]
    figures = (text(LEFT - 6, y, grid.words.hour(instant)) for y, instant in places)
    return group("quiet", figures, "end")


def _disc(grid: Grid, phase: Phase) -> str:
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
