"""The pages of the Moon's close approaches: a month's on one page, in order of time."""

from collections.abc import Iterator
from typing import NamedTuple

from markupsafe import Markup

from almanac.publish import steps
from almanac.publish.charts.meeting import approach_chart
from almanac.publish.eclipse_words import clock_seconds
from almanac.publish.meeting_words import approach_here, approach_name, body_name, capital
from almanac.publish.night_lines import zone_at
from almanac.publish.pages.book import (
    EVENTS_HREF,
    Book,
    approach_anchor,
    approaches_href,
    night_href,
)
from almanac.publish.pages.engine import Link, render
from almanac.publish.pages.figure import Figure
from almanac.publish.wording import Wording
from almanac.records.meetings import Approach


class ApproachPart(NamedTuple):
    """One close approach."""

    anchor: str
    name: str
    night: Link
    sentences: tuple[str, ...]
    chart: Markup
    figures: tuple[Figure, ...]
    zone: str


class ApproachesView(NamedTuple):
    """All that the page shows."""

    month: str
    caption: str
    parts: tuple[ApproachPart, ...]


def approaches_page(book: Book, month: int) -> str:
    """The page of the close approaches in the nights of a month that has some."""
    words, year = book.words, book.almanac.year
    upright = book.config.telescope.mount == "altaz"
    caption = words.gettext("To scale, the zenith up. Dashed rectangle: the telescope's frame.")
    if not upright:
        caption = words.gettext("To scale, the zenith up.")
    found = book.almanac.meetings.approaches
    parts = (_part(one, upright, words) for one in found if one.date.month == month)
    name = words.month(month)
    view = ApproachesView(month=f"{capital(name)} {year}", caption=caption, parts=tuple(parts))
    up = Link(EVENTS_HREF, words.gettext("Events"))
    here = Link(approaches_href(year, month), capital(name), True)
    title = words.gettext("The Moon close to others")
    frame = book.frame("meeting", f"{title}, {name}", up, here, month=month)
    return render("approaches.html", frame, view, words)


def _part(one: Approach, upright: bool, words: Wording) -> ApproachPart:
    return ApproachPart(
        anchor=approach_anchor(one),
        name=approach_name(one, words),
        night=Link(night_href(one.date), words.date(one.date, "full")),
        sentences=tuple(_sentences(one, words)),
        chart=approach_chart(one, upright, words, approach_anchor(one)),
        figures=tuple(_figures(one, words)),
        zone=zone_at(one.at_utc, words),
    )


def _sentences(one: Approach, words: Wording) -> Iterator[str]:
    _ = words.gettext
    yield _("%(what)s.") % {"what": capital(approach_here(one, words))}
    yield (
        _("Both fit into the telescope's frame at once.")
        if one.fits_frame
        else _("They do not fit into the telescope's frame at once.")
    )
    if one.hop == "glare":
        yield _("The star is too near the Moon's glare to solve on: start on another.")
    if one.hop == "easier":
        yield _("The star can be solved on, and the hop to the Moon is short.")


def _figures(one: Approach, words: Wording) -> Iterator[Figure]:
    _ = words.gettext
    yield Figure(_("Nearest"), clock_seconds(one.at_utc, words), _("to a few seconds"))
    yield Figure(
        _("Distance"), words.degrees(one.separation_deg, 2), _("from the middle of the Moon's disc")
    )
    name = capital(body_name(one, words))
    yield Figure(name, steps.place(one.altitude_deg, one.azimuth_deg, words))
    moon = steps.place(one.moon_altitude_deg, one.moon_azimuth_deg, words)
    lit = _("%(part)s lit") % {"part": words.percent(one.illuminated_fraction)}
    yield Figure(_("The Moon"), moon, lit)
    yield Figure(_("The Sun's height"), words.degrees(one.sun_altitude_deg))
    if one.diameter_arcmin:
        width = words.degrees(one.diameter_arcmin / 60, 1)
        yield Figure(_("The cluster's width"), width)
    across, up = (words.degrees(side, 1) for side in one.frame_deg)
    yield Figure(_("The frame"), f"{across} × {up}", _("across × up"))
