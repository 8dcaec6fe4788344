"""Find a night: the year's windows and dark hours in one table, which a script narrows.

The rows carry their own figures, rounded as they are shown: a page opened from a folder on disk
cannot fetch ``year.json``, and what a condition is held against is what the reader sees. Without
script the table stands there whole, and the windows once more in each ready-made order.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date, datetime, timedelta

from markupsafe import Markup, escape
from msgspec import Struct

from almanac.publish.pages.book import FIND_HREF, Book
from almanac.publish.pages.engine import Link, render
from almanac.publish.pages.night_line import NightLine
from almanac.publish.window_hours import window_hours
from almanac.publish.window_limits import short_clips
from almanac.publish.wording import Wording
from almanac.records.year import Dark, Night, Window

NOON_MIN, DAY_MIN = 12 * 60, 24 * 60
MEETING, OUTING = 1, 2
"""Bits of a row's figure for the club's own dates."""
NOTHING = "–"


class Head(Struct, frozen=True):
    """A column's head."""

    key: str
    """By which the script sorts."""
    text: str
    order: str
    """The order that sorting by it makes, in words."""


class Choice(Struct, frozen=True):
    """What the reader can ask for."""

    weekdays: tuple[tuple[int, str], ...]
    """1 is Monday."""
    first: str
    """The year's first and last date, ISO 8601."""
    last: str
    meetings: bool
    """Whether the club meets in the year."""
    outings: bool
    """Whether outings are proposed in it."""
    stars: tuple[str, ...]
    """Those on which a window starts."""
    heights: str
    """The year's least and greatest, as the next ones."""
    details: str
    chances: str
    shortest_min: float
    """Unless more is asked for, a window is open for so long within the reader's hours."""


class FindView(Struct, frozen=True):
    """All that a page shows."""

    site: str
    year: str
    zone: str
    order: Head
    """By which the rows stand."""
    heads: tuple[Head, ...]
    rows: Markup
    count: int
    """Nights in the rows."""
    choice: Choice | None
    """None on a page that is but another order."""
    orders: tuple[Link, ...]


class Row(Struct, frozen=True):
    """A window of a night, or a night without one."""

    night: Night
    window: Window | None
    club: int
    """Bits of MEETING and OUTING."""
    cells: str
    """HTML."""


ORDERS: dict[str, Callable[[Window], float]] = {
    "detail": lambda window: window.finest_detail_km,
    "height": lambda window: -window.altitude_deg,
    "length": lambda window: -(window.end_utc - window.start_utc).total_seconds(),
}
"""The ready-made orders of windows, least first, by the key of their head."""


def find_pages(book: Book) -> Iterator[tuple[str, str]]:
    """The page of all nights by date, and of the windows in each ready-made order, by address."""
    found = tuple(_rows(book))
    trs = [f'<tr data-n="{_figures(row, book.words)}">{row.cells}</tr>' for row in found]
    yield FIND_HREF, _page(book, "date", found, trs)
    for key, rank in ORDERS.items():
        ranked = sorted((rank(row.window), i) for i, row in enumerate(found) if row.window)
        rows = [found[i] for _, i in ranked]
        yield order_href(key), _page(book, key, rows, [f"<tr>{row.cells}</tr>" for row in rows])


def order_href(key: str) -> str:
    """The file of the page in the order of a head."""
    return FIND_HREF if key == "date" else FIND_HREF.replace(".", f"-{key}.")


def _page(book: Book, key: str, rows: Sequence[Row], trs: Sequence[str]) -> str:
    words, heads = book.words, _heads(book.words)
    by_key = {head.key: head for head in heads}
    here = Link(order_href(key), words.gettext("Find a night"), True)
    view = FindView(
        site=book.almanac.site.name,
        year=str(book.almanac.year),
        zone=words.zone_name,
        order=by_key[key],
        heads=heads,
        rows=Markup("\n".join(trs)),
        count=len({row.night.date for row in rows}),
        choice=_choice(book, rows) if key == "date" else None,
        orders=tuple(Link(order_href(k), by_key[k].order, k == key) for k in ("date", *ORDERS)),
    )
    title = here.text if key == "date" else f"{here.text}{words.gap}: {view.order.order}"
    return render("find.html", book.frame("find", title, here), view, words)


def _heads(words: Wording) -> tuple[Head, ...]:
    _ = words.gettext
    return (
        Head("date", _("Night"), _("by date")),
        Head("lit", _("Moon"), _("most of the Moon lit first")),
        Head("dark", _("Dark"), _("longest moonless darkness first")),
        Head("length", _("Window"), _("longest window first")),
        Head("height", _("Height"), _("highest Moon first")),
        Head("detail", _("Detail"), _("finest detail first")),
        Head("star", _("Start on"), _("stars by name")),
        Head("chance", _("Lands"), _("surest hop first")),
    )


def _choice(book: Book, rows: Iterable[Row]) -> Choice:
    words, nights, diary = book.words, book.almanac.nights, book.almanac.diary
    windows = [row.window for row in rows if row.window]
    hops = [window.calibration.chosen for window in windows if window.calibration]
    return Choice(
        weekdays=tuple((day + 1, words.weekday(day, short=True)) for day in range(7)),
        first=nights[0].date.isoformat(),
        last=nights[-1].date.isoformat(),
        meetings=bool(diary.meetings),
        outings=any(outing.proposals for outing in diary.outings),
        stars=tuple(sorted({hop.star for hop in hops})),
        heights=_range(words.degrees, [window.altitude_deg for window in windows], words),
        details=_range(book.detail, [window.finest_detail_km for window in windows], words),
        chances=_range(words.chance, [hop.landing_chance for hop in hops], words),
        shortest_min=book.config.moon.shortest_window_min,
    )


def _range(said: Callable[[float], str], values: Sequence[float], words: Wording) -> str:
    """Least and greatest in words; empty without values."""
    if not values:
        return ""
    return words.gettext("%(least)s to %(most)s", least=said(min(values)), most=said(max(values)))


def _club_nights(book: Book) -> dict[date, int]:
    """Bits of MEETING and OUTING of the nights that the club has chosen."""
    diary = book.almanac.diary
    meetings = {meeting.night for meeting in diary.meetings if meeting.night}
    outings = {proposal.main.date for outing in diary.outings for proposal in outing.proposals}
    return {
        day: MEETING * (day in meetings) + OUTING * (day in outings) for day in meetings | outings
    }


def _rows(book: Book) -> Iterator[Row]:
    dates = _club_nights(book)
    for line, night in zip(book.lines, book.almanac.nights, strict=True):
        club = dates.get(night.date, 0)
        every = _night_cells(line, night, club, book.words)
        for window in night.windows:
            yield Row(night, window, club, every + _window_cells(night, window, book))
        if not night.windows:
            yield Row(night, None, club, f'{every}<td colspan="5">{escape(line.reason)}</td>')


def _night_cells(line: NightLine, night: Night, club: int, words: Wording) -> str:
    """HTML of the cells that every row has."""
    _, lit = words.gettext, words.percent(night.moon.illuminated_fraction)
    moon = _("%(lit)s waxing", lit=lit) if night.moon.waxing else _("%(lit)s waning", lit=lit)
    held = _small(_("meeting") if club & MEETING else "", _("outing") if club & OUTING else "")
    minutes = _minutes(night.dark)
    dark = f"{minutes // 60}:{minutes % 60:02d}" if minutes else NOTHING
    return (
        f'<th scope="row"><a href="{line.href}">{line.short}</a>{held}</th>'
        f"<td>{moon}</td><td>{dark}</td>"
    )


def _window_cells(night: Night, window: Window, book: Book) -> str:
    """HTML of a window's cells; only the names of stars come from outside."""
    words, star = book.words, window.calibration and window.calibration.chosen
    start = f"{words.clock(star.at_utc)} {escape(star.star)}" if star else words.gettext("by eye")
    chance = words.chance(star.landing_chance) if star else NOTHING
    hours = window_hours(night, window, words) + _small(short_clips(window, words))
    return (
        f"<td>{hours}</td>"
        f"<td>{words.degrees(window.altitude_deg)}</td>"
        f"<td>{book.detail(window.finest_detail_km)}</td><td>{start}</td><td>{chance}</td>"
    )


def _small(*texts: str) -> str:
    """HTML of small remarks after a cell's text; those that are empty are left out."""
    return "".join(f" <small>{text}</small>" for text in texts if text)


def _figures(row: Row, words: Wording) -> str:
    """What the script reads of a row, apart from its date, which is the link's.

    Lit per cent, 1 waxing, minutes of moonless darkness, bits of the club's dates; of a window
    also start and end (minutes from noon by the clock), height (degrees), detail (km), landing
    chance (per cent) and star; both of these empty without a star.
    """
    night, window = row.night, row.window
    lit, waxing = night.moon.illuminated_fraction, night.moon.waxing
    figures = f"{100 * lit:.0f},{waxing:d},{_minutes(night.dark)},{row.club}"
    if window is None:
        return figures
    star = window.calibration and window.calibration.chosen
    start, end = (_from_noon(at, words) for at in (window.start_utc, window.end_utc))
    return (
        f"{figures},{start % DAY_MIN},{end},"
        f"{window.altitude_deg:.0f},{window.finest_detail_km:.1f},"
        + (f"{100 * star.landing_chance:.0f},{escape(star.star)}" if star else ",")
    )


def _minutes(dark: Dark | None) -> int:
    """How long it is dark, in whole minutes."""
    return round((dark.end_utc - dark.start_utc) / timedelta(minutes=1)) if dark else 0


def _from_noon(instant: datetime, words: Wording) -> int:
    """Minutes by the clock since noon, rounded as the clock's text is, 1 to 1440."""
    hours, minutes = words.clock(instant).split(":")
    return (60 * int(hours) + int(minutes) - NOON_MIN - 1) % DAY_MIN + 1
