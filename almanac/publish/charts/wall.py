"""The year at a glance: every night in a cell, months down, weekdays under each other.

A unit is a tenth of a millimetre on A4, the sheet that hangs on the wall. Each cell holds the day,
the Moon, the hours of the best window, a bar of the whole night, and marks.
"""

from collections.abc import Iterable, Iterator, Mapping
from datetime import date, datetime
from functools import cached_property

from markupsafe import Markup, escape
from msgspec import Struct

from almanac.publish.charts.drawing import ink, svg
from almanac.publish.charts.moon_dots import moon_dots
from almanac.publish.charts.night_scale import axis_hours
from almanac.publish.steps import best_window
from almanac.publish.wording import Wording
from almanac.records.year import Night, YearAlmanac

WEEKS_SPAN = 37
"""Columns: a month of 31 days that begins on a Sunday ends in the 37th."""
NAME, CELL, ROW, HEAD = 72, 74, 126, 34
"""Width of the months' names and of a cell, height of a month and of the weekdays' line."""
WALL_WIDTH = NAME + WEEKS_SPAN * CELL
WALL_HEIGHT = HEAD + 12 * ROW
RING = 19
"""Radius of the ring round the Moon of a night with a principal phase."""
DISC_X, DISC_Y = 54, 21
DAY_Y, START_Y, END_Y = 30, 64, 90
"""Baselines below a row's top."""
BAR_LEFT, BAR_WIDE, BAR_Y, BAR_HIGH = 4, 66, 97, 12
MARK_Y, SHAPE_WIDE, FIGURE_WIDE = 116, 19, 11
"""Middle of the marks below a row's top, and what a shape and a figure take."""
GRADES = {
    "good": 'font-weight="700"',
    "fair": "",
    "poor": f'fill="{ink("quiet")}"',
    "none": f'fill="{ink("quiet")}"',
}
"""How figures of nights of each grade are set."""

Marks = Mapping[date, tuple[str, ...]]
"""By evening: codes of SHAPES, or figures that a list beside the drawing explains."""

SHAPES = {
    "outdoors": "m-6.5 5.5h13l-6.5-11z",
    "outdoors-poor": "m-6.5 5.5h13l-6.5-11z",
    "indoors": "m-5.5-5.5h11v11h-11z",
    "outing": "m0-7.5l7 7.5-7 7.5-7-7.5z",
}
"""Marks about the origin: a tent (hollow where the sky spoils it), a room, a lozenge."""
FILLED = ("outdoors", "outing")


class Wall(Struct, frozen=True, dict=True):
    """What the cells share."""

    almanac: YearAlmanac
    grades: Mapping[date, str]
    """good, fair, poor or none, by evening."""
    words: Wording
    first_h: int
    last_h: int
    """Hours after local noon at the bar's ends."""

    @cached_property
    def nights(self) -> tuple[tuple[int, int, Night], ...]:
        """Every night with the left and top of its cell."""
        return tuple((*corner(night.date), night) for night in self.almanac.nights)

    def along(self, night: Night, instant: datetime) -> float:
        """Units along the bar, by the hours since the night's noon, kept inside."""
        hours = (instant - night.start_utc).total_seconds() / 3600
        share = (hours - self.first_h) / (self.last_h - self.first_h)
        return BAR_LEFT + BAR_WIDE * min(max(share, 0), 1)


def corner(day: date) -> tuple[int, int]:
    """Left and top of an evening's cell."""
    column = date(day.year, day.month, 1).weekday() + day.day - 1
    return NAME + CELL * column, HEAD + ROW * (day.month - 1)


def wall_chart(
    almanac: YearAlmanac, grades: Mapping[date, str], marks: Marks, words: Wording
) -> Markup:
    """The year's cells as inline SVG; the sheet around it explains them."""
    wall = Wall(almanac, grades, words, *axis_hours(almanac.nights))
    body = [
        _lines(wall),
        _heads(words),
        _days(wall),
        _discs(wall),
        _phases(wall),
        _hours(wall),
        _bars(wall),
        _marks(marks),
    ]
    title = words.gettext("%(year)s, night by night", year=almanac.year)
    return svg("wall", title, _description(wall), WALL_HEIGHT, body, WALL_WIDTH)


def _lines(wall: Wall) -> str:
    """A hairline above each month, and one where each week begins."""
    rows = "".join(f"M0 {HEAD + ROW * month}H{WALL_WIDTH}" for month in range(13))
    weeks = "".join(
        f"M{NAME + 7 * CELL * week - 1} {HEAD}V{WALL_HEIGHT}" for week in range(WEEKS_SPAN // 7 + 1)
    )
    return f'<path stroke="{ink("hairline")}" stroke-width="2" d="{rows}{weeks}"/>'


def _heads(words: Wording) -> str:
    """Weekdays over the columns, months before the rows."""
    weekdays = (
        _text(NAME + CELL * column + CELL // 2, HEAD - 10, words.weekday(column % 7, short=True))
        for column in range(WEEKS_SPAN)
    )
    months = (
        _text(0, HEAD + ROW * month + DAY_Y, words.month(month + 1, short=True))
        for month in range(12)
    )
    small = f'font-size="22px" text-anchor="middle" fill="{ink("quiet")}"'
    return _group(small, weekdays) + _group('font-size="30px" font-weight="700"', months)


def _days(wall: Wall) -> str:
    return "".join(
        _group(
            f'font-size="30px" {style}',
            (
                _text(x + 5, y + DAY_Y, str(night.date.day))
                for x, y, night in wall.nights
                if wall.grades[night.date] == grade
            ),
        )
        for grade, style in GRADES.items()
    )


def _discs(wall: Wall) -> str:
    """The Moon of each night."""
    return moon_dots([(x + DISC_X, y + DISC_Y, night.moon) for x, y, night in wall.nights])


def _phases(wall: Wall) -> str:
    """A ring round the Moon of a night in which a principal phase falls."""
    spans = [(night.start_utc, night.end_utc, x, y) for x, y, night in wall.nights]
    rings = (
        _circle(x + DISC_X, y + DISC_Y, RING)
        for phase in wall.almanac.phases
        for start, end, x, y in spans
        if start <= phase.at_utc < end
    )
    return f'<path fill="none" stroke="{ink("ink")}" stroke-width="2.5" d="{"".join(rings)}"/>'


def _hours(wall: Wall) -> str:
    """Start and end of the best window of each night."""
    return "".join(
        _group(
            f'font-size="var(--wall-text,28px)" text-anchor="middle" {style}',
            (
                content
                for x, y, night in wall.nights
                if night.windows and wall.grades[night.date] == grade
                for content in _window(x + CELL // 2, y, night, wall.words)
            ),
        )
        for grade, style in GRADES.items()
    )


def _window(x: int, y: int, night: Night, words: Wording) -> Iterator[str]:
    window = best_window(night)
    yield _text(x, y + START_Y, words.clock(window.start_utc))
    yield _text(x, y + END_Y, words.clock(window.end_utc))


# The bar


def _bars(wall: Wall) -> str:
    """Each night from end to end: Sun down (thin), dark without Moon (thick), windows (boxes)."""
    down: list[str] = []
    dark: list[str] = []
    windows: list[str] = []
    for x, y, night in wall.nights:
        top, sun = y + BAR_Y, night.sun
        middle = top + BAR_HIGH // 2
        if sun.lowest_altitude_deg < -0.833:
            left = wall.along(night, sun.set_utc or night.start_utc)
            right = wall.along(night, sun.rise_utc or night.end_utc)
            down.append(f"M{x + left:.0f} {middle}H{x + right:.0f}")
        if night.dark:
            left = wall.along(night, night.dark.start_utc)
            right = wall.along(night, night.dark.end_utc)
            dark.append(f"M{x + left:.0f} {middle}H{x + right:.0f}")
        for window in night.windows:
            left = wall.along(night, window.start_utc)
            right = wall.along(night, window.end_utc)
            windows.append(f"M{x + left:.0f} {top}H{x + right:.0f}v{BAR_HIGH}H{x + left:.0f}z")
    return (
        f'<g stroke="{ink("quiet")}"><path stroke-width="3" d="{"".join(down)}"/>'
        f'<path stroke-opacity=".6" stroke-width="{BAR_HIGH}" d="{"".join(dark)}"/></g>'
        f'<path fill="{ink("moonlight")}" stroke="{ink("ink")}" stroke-width="2" '
        f'd="{"".join(windows)}"/>'
    )


# Marks


def _marks(marks: Marks) -> str:
    shapes, figures = [], []
    for day, codes in marks.items():
        x, y = corner(day)
        right = x + 4
        for code in codes:
            if code in SHAPES:
                fill = "" if code in FILLED else ' fill="none"'
                shapes.append(f'<path{fill} d="M{right + 7} {y + MARK_Y}{SHAPES[code]}"/>')
                right += SHAPE_WIDE
            else:
                figures.append(_text(right, y + MARK_Y + 7, code))
                right += FIGURE_WIDE * len(code) + 5
    style = f'fill="{ink("ink")}" stroke="{ink("ink")}" stroke-width="2"'
    return _group(style, shapes) + _group('font-size="21px" font-weight="700"', figures)


# Pieces


def _circle(x: int, y: int, radius: float) -> str:
    """A circle as a part of a path."""
    r, wide = f"{radius:g}", f"{2 * radius:g}"
    return f"M{x - radius:g} {y}a{r} {r} 0 1 1 {wide} 0a{r} {r} 0 1 1-{wide} 0z"


def _text(x: int, baseline: int, content: str) -> str:
    return f'<text x="{x}" y="{baseline}">{escape(content)}</text>'


def _group(style: str, parts: Iterable[str]) -> str:
    inside = "".join(parts)
    return f"<g {style.rstrip()}>{inside}</g>" if inside else ""


def _description(wall: Wall) -> str:
    """What the drawing shows, for those who do not see it; the months' pages have it as lists."""
    with_window = sum(1 for night in wall.almanac.nights if night.windows)
    return wall.words.gettext(
        "A row for each month, weekdays under each other. Each night has its Moon, the hours of "
        "its window and a bar from dusk to dawn. %(count)s nights have a window.",
        count=wall.words.number(with_window),
    )
