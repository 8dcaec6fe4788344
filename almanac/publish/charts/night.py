"""A night as one wide drawing: local hours along, height up, the Moon over this horizon.

All nights of a site-year share one scale. The Moon's line is thick where it can be used, the
star's dashed until the hop, the hop an arrow; times stand on the drawing itself.
"""

from bisect import bisect_left
from collections.abc import Sequence
from datetime import UTC, datetime
from functools import lru_cache

import numpy as np
from markupsafe import Markup

from almanac.publish.charts.drawing import (
    absolute_polyline,
    group,
    ink,
    polyline,
    runs,
    straightened,
    svg,
    text,
    text_width,
)
from almanac.publish.charts.labels import Box
from almanac.publish.charts.night_notes import Hop, Notes, description
from almanac.publish.charts.night_scale import (
    CURVED_DEG,
    EARTH,
    FLOOR,
    HEIGHT,
    LEFT,
    RIGHT,
    TOP,
    NightScale,
    View,
    height_y,
    night_scale,
    view_of,
)
from almanac.publish.wording import Wording
from almanac.records.stars import StarHop
from almanac.records.track import StarTrack
from almanac.records.year import Night, Window, YearAlmanac

FIGURES = FLOOR + EARTH + 25
"""Units down to the feet of the hours' figures."""


def night_chart(
    almanac: YearAlmanac,
    night: Night,
    words: Wording,
    scale: NightScale | None = None,
    name: str = "night",
) -> Markup:
    """The drawing of one night as inline SVG.

    Pass the site-year's ``night_scale`` when drawing many nights, and the club's minutes between
    star and hop. ``name`` makes the ids and must be unique on its page.
    """
    view = view_of(scale or night_scale(almanac), night)
    hops = _hops(view, almanac, night)
    body = [
        _sky(view),
        _heights(words),
        _moon(view, night.windows),
        _ground(view),
        *(_window(view, window) for window in night.windows),
        *(_star(hop) for hop in hops if hop),
        _hours_along(view, words),
        *Notes(view, night, words, hops).texts(),
    ]
    title = words.gettext("The night of %(date)s", date=words.date(night.date))
    return svg(name, title, description(night, words), HEIGHT, body)


def _sky(view: View) -> str:
    """Darkness as tone: each twilight painted over the one before."""
    parts = [f'<path fill="{ink("sky-day")}" d="M{LEFT} {TOP}H{RIGHT}V{FLOOR}H{LEFT}z"/>']
    for tone, starts, ends in view.scale.twilights:
        low, high = bisect_left(ends, view.start_s), bisect_left(starts, view.end_s)
        edges = [(view.x(starts[i]), view.x(ends[i])) for i in range(low, high)]
        path = "".join([f"M{a:.1f} {TOP}H{b:.1f}V{FLOOR}H{a:.1f}z" for a, b in edges])
        if path:
            parts.append(f'<path fill="{ink(tone)}" d="{path}"/>')
    return "".join(parts)


@lru_cache(maxsize=16)
def _heights(words: Wording) -> str:
    lines = "".join(f"M{LEFT} {height_y(h):g}H{RIGHT}" for h in (30, 60))
    figures = (text(LEFT - 6, height_y(h), words.degrees(h)) for h in (0, 30, 60, 90))
    style = f'stroke="{ink("quiet")}" stroke-opacity=".3" stroke-width=".7"'
    return f'<path {style} d="{lines}"/>{group("quiet", figures, "end")}'


def _moon(view: View, windows: Sequence[Window]) -> str:
    """The path above the earth's edge, thin, as far as no window's thick line covers it."""
    seen = view.moon_y < 10 * (FLOOR + EARTH - 2)
    for window in windows:
        start, end = (10 * view.x(t.timestamp()) for t in (window.start_utc, window.end_utc))
        inside = (start < view.moon_x) & (view.moon_x < end)
        seen[1:-1] &= ~(inside[:-2] & inside[2:])
    return _line(
        "".join(absolute_polyline(view.moon_x[a:b], view.moon_y[a:b]) for a, b in runs(seen)), 1.8
    )


def _ground(view: View) -> str:
    path = polyline(*straightened(view.ground_x, view.ground_y))
    closed = f"{path}V{10 * (FLOOR + EARTH)}H{10 * LEFT}z"
    return f'<path transform="scale(.1)" fill="{ink("ground")}" d="{closed}"/>'


def _window(view: View, window: Window) -> str:
    """The usable part of the Moon's line, thick, with a ring at its best moment."""
    start_s, end_s = window.start_utc.timestamp(), window.end_utc.timestamp()
    scale = view.scale
    i, j = np.searchsorted(scale.utc_s, (start_s, end_s))
    utc_s = np.concatenate(([start_s], scale.utc_s[i:j], [end_s]))
    edges_deg = view.moon_deg(start_s), view.moon_deg(end_s)
    altitude_deg = np.concatenate((edges_deg[:1], scale.moon_altitude_deg[i:j], edges_deg[1:]))
    x, y = view.moon_at(window.best_utc)
    ring = (
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="6" fill="{ink("paper")}" '
        f'stroke="{ink("moon")}" stroke-width="3"/>'
    )
    return _line(polyline(*view.deci(utc_s, altitude_deg)), 7) + ring


def _line(path: str, width: float) -> str:
    return (
        f'<path transform="scale(.1)" fill="none" stroke="{ink("moon")}" '
        f'stroke-width="{10 * width:g}" stroke-linejoin="round" d="{path}"/>'
    )


def _hops(view: View, almanac: YearAlmanac, night: Night) -> list[Hop | None]:
    """The star's line and the hop of each window, None where it has no star."""
    return [
        _hop(
            view,
            window.calibration.chosen,
            almanac.star_tracks.get((night.date, index)),
        )
        if window.calibration
        else None
        for index, window in enumerate(night.windows)
    ]


def _hop(view: View, star: StarHop, track: StarTrack | None) -> Hop:
    hop_s = star.hop_utc.timestamp()
    at = (view.x(star.at_utc.timestamp()), height_y(star.altitude_deg))
    if track is None:
        line = [at]
    else:
        kept = (np.arange(len(track.utc_s)) % 2 == 0) | (track.altitude_deg > CURVED_DEG)
        kept &= (track.utc_s >= view.start_s) & (track.utc_s < hop_s)
        utc_s = track.utc_s[kept].tolist()
        heights = np.interp([*utc_s, hop_s], track.utc_s, track.altitude_deg).tolist()
        line = [(view.x(t), height_y(h)) for t, h in zip([*utc_s, hop_s], heights, strict=True)]
    (x, y), moon_y = line[-1], height_y(view.moon_deg(hop_s))
    shaft = Box(x - 6, min(y, moon_y), x + 6, max(y, moon_y))
    across, down = zip(at, *line, strict=True)
    around = Box(min(across) - 4, min(down) - 4, max(across) + 4, max(down) + 4)
    return Hop(at, line, moon_y, shaft, around)


def _star(hop: Hop) -> str:
    dashes = "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in hop.line)
    x, y = hop.at
    return (
        f'<g fill="none" stroke="{ink("star")}" stroke-width="2.4" stroke-linejoin="round">'
        f'<path stroke-dasharray="6 4" d="{dashes}"/><path d="{_arrow(hop)}"/>'
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="5" fill="{ink("star")}" '
        f'stroke="{ink("paper")}" stroke-width="1.5"/></g>'
    )


def _arrow(hop: Hop) -> str:
    """A shaft from the star to just short of the Moon, with an open head if there is room."""
    x, y = hop.line[-1]
    way = 1 if hop.moon_y > y else -1
    tip = hop.moon_y - 6 * way
    if (tip - y) * way < 12:
        return f"M{x:.1f} {y:.1f}V{hop.moon_y:.1f}"
    return f"M{x:.1f} {y:.1f}V{tip:.1f}m-5 {-8 * way}l5 {8 * way} 5 {-8 * way}"


def _hours_along(view: View, words: Wording) -> str:
    """The hour axis; nights with the same wall clock share it."""
    ends = [words.local(datetime.fromtimestamp(utc_s, UTC)) for utc_s in (view.start_s, view.end_s)]
    changes = ends[0].utcoffset() != ends[1].utcoffset()
    key = (words.language, ends[0].time(), ends[0].date() if changes else None)
    axes = view.scale.axes
    if key not in axes:
        axes[key] = _axis(view, words)
    return axes[key]


def _axis(view: View, words: Wording) -> str:
    """Marks at whole local hours, figures as often as they have room; clock changes included."""
    hours = round(view.scale.span_s / 3600)
    room = 2.4 * text_width("00")
    step = next(s for s in (1, 2, 3, 4, 6) if s * (RIGHT - LEFT) > room * hours)
    instants = _whole_hours(view, words)
    marks = "".join(
        f"M{view.x(instant.timestamp()):.1f} {FLOOR + EARTH}v{4 if i % step else 7}"
        for i, instant in enumerate(instants)
    )
    most = RIGHT + 4 - text_width("00") / 2
    figures = (
        f'<text x="{min(view.x(instant.timestamp()), most):.4g}" y="{FIGURES}">'
        f"{words.hour(instant)}</text>"
        for instant in instants[::step]
    )
    return f'<path stroke="{ink("quiet")}" d="{marks}"/>{group("quiet", figures, "middle")}'


def _whole_hours(view: View, words: Wording) -> list[datetime]:
    """Every instant of the axis at which the wall clock shows a whole hour."""
    quarters = range(round(view.scale.span_s / 900) + 1)
    instants = [datetime.fromtimestamp(view.start_s + 900 * q, UTC) for q in quarters]
    return [instant for instant in instants if words.local(instant).minute == 0]
