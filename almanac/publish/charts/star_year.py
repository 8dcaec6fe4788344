"""When a star can be used: the year's evenings along, the hours of the night up."""

from collections.abc import Iterable, Iterator
from datetime import date, datetime
from itertools import groupby

from markupsafe import Markup

from almanac.publish.charts.drawing import WIDTH, ink, svg, text
from almanac.publish.wording import Wording
from almanac.records.stars import UsableSpan
from almanac.records.year import Night

LEFT, TOP, BOTTOM = 52, 14, 40
HOUR = 13.0
"""Units an hour."""
FIRST, LAST = 15, 33
"""Hours shown, from the noon's day: 15:00 to 9:00 next morning."""
HEIGHT = int(TOP + (LAST - FIRST) * HOUR + BOTTOM)
DAY = (WIDTH - LEFT - 8) / 366
WEEK = 7

Ground = tuple[str, str]


def star_year_ground(nights: tuple[Night, ...], words: Wording) -> Ground:
    """What the charts of all stars of a year share: the nights below, hours and months above."""
    above = (*_hours(words), *_months(nights[0].date.year, words))
    return _bars("sky-night", _dark(nights, words)), "".join(above)


def star_year_chart(
    star: str, weeks: tuple[UsableSpan, ...], ground: Ground, words: Wording
) -> Markup:
    """The chart as inline SVG: evening at the bottom, morning at the top.

    ``ground`` is the year's. Pale is the night from sunset to sunrise, strong where the star can
    be solved on.
    """
    title = words.gettext("When %(star)s can be used", star=star)
    body = (ground[0], _bars("star", _usable(weeks, words)), ground[1])
    return svg("usable", title, _told(weeks, words), HEIGHT, body)


def _x(day: date) -> float:
    return LEFT + DAY * (day.timetuple().tm_yday - 1)


def _y(at: datetime, evening: date, words: Wording) -> float:
    """Height of a local clock time; later is higher, and the axis ends where the chart does."""
    local = words.local(at)
    hour = 24 * (local.date() - evening).days + local.hour + local.minute / 60
    return TOP + HOUR * (LAST - min(max(hour, FIRST), LAST))


def _bars(ink_name: str, bars: Iterable[str]) -> str:
    """Upright strokes, wide enough to leave no seam between them."""
    width = f'stroke-width="{WEEK * DAY + 1:.1f}"'
    return f'<path stroke="{ink(ink_name)}" {width} d="{"".join(bars)}"/>'


def _bar(evening: date, start: datetime, end: datetime, words: Wording) -> str:
    """A week's bar, in whole units; the year's last days end with the year."""
    middle = min(_x(evening) + WEEK * DAY / 2, WIDTH - 8 - WEEK * DAY / 2)
    return f"M{middle:.0f} {_y(end, evening, words):.0f}V{_y(start, evening, words):.0f}"


def _dark(nights: tuple[Night, ...], words: Wording) -> Iterator[str]:
    for night in nights[::WEEK]:
        sun = night.sun
        if sun.lowest_altitude_deg < 0:
            start, end = sun.set_utc or night.start_utc, sun.rise_utc or night.end_utc
            yield _bar(night.date, start, end, words)


def _usable(weeks: tuple[UsableSpan, ...], words: Wording) -> Iterator[str]:
    for span in weeks:
        yield _bar(span.date, span.start_utc, span.end_utc, words)


def _hours(words: Wording) -> Iterator[str]:
    for hour in range(FIRST + 3, LAST, 3):
        y = TOP + HOUR * (LAST - hour)
        yield f'<path stroke="{ink("hairline")}" d="M{LEFT} {y:.1f}H{WIDTH - 8}"/>'
        yield text(LEFT - 8, y, f"{hour % 24:02d}", "end", "quiet")


def _months(year: int, words: Wording) -> Iterator[str]:
    for month in range(1, 13):
        x = _x(date(year, month, 1))
        yield f'<path stroke="{ink("hairline")}" d="M{x:.1f} {TOP}V{HEIGHT - BOTTOM}"/>'
        middle = x + 15 * DAY
        yield text(
            middle, HEIGHT - BOTTOM + 16, words.month(month, short=True)[0], "middle", "quiet"
        )


def _told(weeks: tuple[UsableSpan, ...], words: Wording) -> str:
    """The spans of the first evening of each month in words."""
    if not weeks:
        return words.gettext("At no time of the year.")
    parts = []
    for _, spans in groupby(weeks, key=lambda span: span.date.month):
        span = next(spans)
        start, end = words.clock(span.start_utc), words.clock(span.end_utc)
        parts.append(f"{words.date(span.date, 'short_day')} {start}–{end}")
    return ", ".join(parts)
