"""The pages of occultations that can be seen: a star or planet hidden by the Moon."""

from collections.abc import Iterator
from typing import NamedTuple

from markupsafe import Markup

from almanac.publish import steps
from almanac.publish.charts.meeting import limb_chart
from almanac.publish.eclipse_words import clock_seconds
from almanac.publish.meeting_words import (
    CLUSTERS,
    CUSPS,
    HIDDEN_BY,
    body_name,
    contact_sentence,
    graze_text,
    limb_text,
    occultation_name,
    seen_contacts,
)
from almanac.publish.night_lines import zone_at
from almanac.publish.pages.book import (
    EVENTS_HREF,
    Book,
    night_href,
    occultation_href,
)
from almanac.publish.pages.engine import Link, render
from almanac.publish.pages.figure import Figure
from almanac.publish.wording import Wording
from almanac.records.meetings import LimbContact, Occultation


class Picture(NamedTuple):
    """A drawing with its caption."""

    chart: Markup
    caption: str


class FigureSet(NamedTuple):
    """Figures under a title."""

    title: str
    figures: tuple[Figure, ...]


class MeetingView(NamedTuple):
    """All that the page shows."""

    name: str
    subtitle: str
    sentences: tuple[str, ...]
    pictures: tuple[Picture, ...]
    groups: tuple[FigureSet, ...]
    note: str
    night: Link
    zone: str


def occultation_page(book: Book, one: Occultation) -> str:
    """The page of an occultation that can be seen."""
    words = book.words
    view = MeetingView(
        name=occultation_name(one, words),
        subtitle=_subtitle(book, one),
        sentences=tuple(_occultation_sentences(book, one)),
        pictures=tuple(
            Picture(limb_chart(one, contact, words), _limb_caption(contact, words))
            for contact in seen_contacts(one)
        ),
        groups=tuple(_occultation_groups(one, words)),
        note=words.gettext(
            "Times hold for the Moon's mean limb; hills and valleys there shift them by seconds. "
            "Which stars show in twilight, at the bright limb and beside a nearly full Moon is "
            "common practice, no source."
        ),
        night=Link(night_href(one.date), words.date(one.date)),
        zone=zone_at(one.middle_utc, words),
    )
    return _page(book, one, Link(occultation_href(one), view.name, True), view)


def _page(book: Book, one: Occultation, here: Link, view: MeetingView) -> str:
    up = Link(EVENTS_HREF, book.words.gettext("Events"))
    title = f"{view.name}, {book.words.date(one.date)}"
    frame = book.frame("meeting", title, up, here, month=one.date.month)
    return render("meeting.html", frame, view, book.words)


def _subtitle(book: Book, one: Occultation) -> str:
    return book.words.gettext(
        "Night of %(date)s · %(site)s",
        date=book.words.date(one.date, "full"),
        site=book.almanac.site.name,
    )


def _occultation_sentences(book: Book, one: Occultation) -> Iterator[str]:
    words = book.words
    for contact in seen_contacts(one):
        yield contact_sentence(one, contact, words)
    if one.group:
        fellows = [
            other
            for other in book.almanac.meetings.occultations
            if other.group == one.group and other.date == one.date and other is not one
        ]
        yield words.gettext("It belongs to %(group)s.", group=words.gettext(CLUSTERS[one.group]))
        if fellows:
            names = ", ".join(body_name(other, words) for other in fellows)
            yield words.gettext("In the same night the Moon also hides %(names)s.", names=names)
    if one.graze:
        yield words.gettext(
            "It is %(graze)s, by the mean limb: the star may blink among the Moon's hills.",
            graze=graze_text(one.graze, words),
        )


def _limb_caption(contact: LimbContact, words: Wording) -> str:
    return words.gettext(
        "The Moon at %(time)s, zenith up; the ring marks the place.",
        time=clock_seconds(contact.at_utc, words),
    )


def _occultation_groups(one: Occultation, words: Wording) -> Iterator[FigureSet]:
    _ = words.gettext
    titles = (_("Disappearance"), _("Reappearance"))
    for title, contact in zip(titles, one.contacts, strict=True):
        if contact is not None:
            yield FigureSet(title, tuple(_contact_figures(contact, words)))
    yield FigureSet(_("Star and Moon"), tuple(_star_figures(one, words)))


def _contact_figures(contact: LimbContact, words: Wording) -> Iterator[Figure]:
    _ = words.gettext
    seen = _("can be seen") if contact.hidden_by is None else _(HIDDEN_BY[contact.hidden_by])
    yield Figure(_("Time"), clock_seconds(contact.at_utc, words), seen)
    yield Figure(_("Limb"), limb_text(contact, words))
    yield Figure(
        _("Cusp angle"),
        words.degrees(contact.cusp_angle_deg),
        _("along the limb from the %(cusp)s end of the terminator; below 0 on the bright side")
        % {"cusp": _(CUSPS[contact.cusp])},
    )
    yield Figure(
        _("Position angle"),
        words.bearing(contact.position_angle_deg),
        _("on the limb from celestial north through east"),
    )
    yield Figure(
        _("From the zenith"),
        words.bearing(contact.zenith_angle_deg),
        _("on the limb, counter-clockwise as you see it"),
    )
    place = steps.place(contact.altitude_deg, contact.azimuth_deg, words)
    below = contact.altitude_deg < 0
    yield Figure(_("In the sky"), _("below the horizon") if below else place)
    yield Figure(_("The Moon's height"), words.degrees(contact.moon_altitude_deg))
    yield Figure(_("The Sun's height"), words.degrees(contact.sun_altitude_deg))


def _star_figures(one: Occultation, words: Wording) -> Iterator[Figure]:
    _ = words.gettext
    if one.magnitude is not None:
        yield Figure(_("Magnitude"), words.number(one.magnitude, 1), one.band)
    if one.hip is not None:
        yield Figure(_("Hipparcos number"), str(one.hip))
    yield Figure(
        _("The Moon"), _("%(part)s lit") % {"part": words.percent(one.illuminated_fraction)}
    )
    yield Figure(
        _("Least distance of the centres"),
        _("%(angle)s′") % {"angle": words.number(one.least_separation_arcmin, 1)},
    )
