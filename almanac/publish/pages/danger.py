"""The Sun's danger in a site's year: days, moves, windows withdrawn, when it clears the skyline."""

from datetime import date, datetime
from typing import NamedTuple

from almanac.publish.pages.book import SUN_HREF, Book, night_href
from almanac.publish.pages.engine import Link, render
from almanac.publish.steps import span
from almanac.records.safety import NewMoonDay, Slew, SolarNoon, SunReturn, SunYear, WithdrawnWindow

MOVES_UNKNOWN = SunYear((), (), (), (), ())


class Row(NamedTuple):
    """A line of a table: a night's link, or plain text where it has no page, and cells."""

    link: Link | None
    cells: tuple[str, ...]


class DangerView(NamedTuple):
    """All that the page shows."""

    stop: str
    caution: str
    daylight: bool
    new_moon: tuple[Row, ...]
    withdrawn: tuple[Row, ...]
    slews: tuple[Row, ...]
    returns: tuple[Row, ...]
    noons: tuple[Row, ...]
    reach: str
    zone: str


def danger_page(book: Book) -> str:
    """The page of the year's dangers from the Sun."""
    title = book.words.gettext("The Sun's danger")
    frame = book.frame("danger", title, Link(SUN_HREF, title, True))
    return render("sun.html", frame, danger_view(book), book.words)


def danger_view(book: Book) -> DangerView:
    """The view of the year's dangers from the Sun."""
    danger, words, config = book.almanac.danger or MOVES_UNKNOWN, book.words, book.config
    return DangerView(
        stop=words.degrees(config.safety.sun_stop_deg),
        caution=words.degrees(config.safety.sun_caution_deg),
        daylight=config.moon.daylight,
        new_moon=tuple(_new_moon(book, day) for day in danger.new_moon_days),
        withdrawn=tuple(_withdrawn(book, window) for window in danger.withdrawn),
        slews=tuple(
            Row(_night(book, day, slew.at_utc), _slew(book, slew)) for day, slew in danger.slews
        ),
        returns=tuple(_return(book, one) for one in danger.returns),
        noons=tuple(_noon(book, noon) for noon in danger.noons),
        reach=words.degrees(config.telescope.highest_altitude_deg),
        zone=words.zone_name,
    )


def _night(book: Book, day: date, at_utc: datetime) -> Link:
    """The page of a night under the date of an instant in it: past midnight it is the next."""
    words = book.words
    return Link(night_href(day), words.date(words.day(at_utc), "short_weekday_day"))


def _new_moon(book: Book, day: NewMoonDay) -> Row:
    words = book.words
    return Row(
        _night(book, day.date, day.nearest_utc),
        (words.clock(day.nearest_utc), words.degrees(day.separation_deg, 1)),
    )


def _withdrawn(book: Book, window: WithdrawnWindow) -> Row:
    return Row(
        _night(book, window.date, window.start_utc),
        (span(window.start_utc, window.end_utc, book.words), *_slew(book, window.slew)),
    )


def _slew(book: Book, slew: Slew) -> tuple[str, str, str]:
    words = book.words
    move = (
        words.gettext("parked position to the Moon")
        if slew.move == "to_moon"
        else words.gettext("Moon to the parked position")
    )
    return words.clock(slew.at_utc), move, words.degrees(slew.clearance_deg, 1)


def _return(book: Book, one: SunReturn) -> Row:
    words = book.words
    rise = words.clock(one.rise_utc) if one.rise_utc else ""
    over = words.clock(one.over_profile_utc)
    return Row(
        _night(book, one.date, one.window_end_utc), (words.clock(one.window_end_utc), rise, over)
    )


def _noon(book: Book, noon: SolarNoon) -> Row:
    words = book.words
    clear = noon.altitude_deg > noon.ground_deg
    _ = words.gettext
    if noon.altitude_deg < 0:
        where = _("below the horizon")
    elif not clear:
        where = _("behind this skyline")
    elif noon.in_reach:
        where = _("in the mount's reach")
    else:
        where = _("above the mount's reach")
    height = words.degrees(noon.altitude_deg, 1)
    cells = (words.clock(noon.at_utc), height, words.degrees(noon.ground_deg, 1), where)
    return Row(_night(book, noon.date, noon.at_utc), cells)
