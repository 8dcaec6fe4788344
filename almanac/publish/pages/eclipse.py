"""The page of an eclipse that can be seen from the site."""

from collections.abc import Iterator
from typing import NamedTuple

from markupsafe import Markup

from almanac.publish import steps
from almanac.publish.charts.eclipse_moon import eclipse_moon_chart
from almanac.publish.charts.eclipse_sun import eclipse_sun_chart
from almanac.publish.eclipse_words import (
    ADVICE,
    BORDERLINE,
    PHASES,
    clock_seconds,
    contact_name,
    deepest,
    eclipse_name,
    here_name,
    sun_cautions,
)
from almanac.publish.night_lines import zone_at
from almanac.publish.pages.book import EVENTS_HREF, Book, eclipse_href, night_href
from almanac.publish.pages.engine import Link, render
from almanac.publish.pages.figure import Figure
from almanac.publish.wording import Wording
from almanac.records.events import Eclipse, EclipseMoment, LunarShadow, SolarView


class ContactLine(NamedTuple):
    """A moment of the eclipse in one line."""

    what: str
    at: str
    place: str
    """Height and direction, or that it is out of sight."""
    visible: bool
    covered: str
    limb: str
    """Where on the limb, or empty."""


class ShotLine(NamedTuple):
    """A phase that falls into a Moon window."""

    phase: str
    hours: str
    length: str


class EclipseView(NamedTuple):
    """All that the page shows."""

    name: str
    subtitle: str
    solar: bool
    cautions: tuple[str, ...]
    """Of an eclipse of the Sun."""
    sentence: str
    notes: tuple[str, ...]
    chart: Markup
    caption: str
    covered: str
    """What the contacts' last column tells."""
    contacts: tuple[ContactLine, ...]
    shots: tuple[ShotLine, ...]
    advice: tuple[str, ...]
    figures: tuple[Figure, ...]
    night: Link | None
    zone: str


def eclipse_page(book: Book, eclipse: Eclipse) -> str:
    """The page of a visible eclipse."""
    name = here_name(eclipse, book.words)
    trail = (
        Link(EVENTS_HREF, book.words.gettext("Events")),
        Link(eclipse_href(eclipse), name, True),
    )
    return render(
        "eclipse.html",
        book.frame("eclipse", name, *trail, month=eclipse.date.month),
        eclipse_view(book, eclipse),
        book.words,
    )


def eclipse_view(book: Book, eclipse: Eclipse) -> EclipseView:
    """The view of a visible eclipse."""
    words, sun = book.words, eclipse.solar
    shots = eclipse.lunar.shots if eclipse.lunar else ()
    return EclipseView(
        name=here_name(eclipse, words),
        subtitle=_subtitle(book, eclipse),
        solar=sun is not None,
        cautions=sun_cautions(sun, words) if sun else (),
        sentence=_sentence(eclipse, words),
        notes=tuple(_notes(eclipse, words)),
        chart=eclipse_sun_chart(eclipse, words) if sun else eclipse_moon_chart(eclipse, words),
        caption=_caption(eclipse, words),
        covered=words.gettext("Area covered") if sun else words.gettext("Area in umbra"),
        contacts=tuple(_contact(eclipse, one, words) for one in eclipse.contacts),
        shots=tuple(
            ShotLine(
                words.gettext(PHASES[one.phase]),
                steps.span(one.start_utc, one.end_utc, words),
                words.duration((one.end_utc - one.start_utc).total_seconds()),
            )
            for one in shots
        ),
        advice=tuple(
            words.gettext(ADVICE[phase]) for phase in ADVICE if phase in {s.phase for s in shots}
        ),
        figures=tuple(_figures(eclipse, words)),
        night=None if sun else Link(night_href(eclipse.date), words.date(eclipse.date)),
        zone=zone_at(eclipse.greatest_utc, words),
    )


def _subtitle(book: Book, eclipse: Eclipse) -> str:
    words = book.words
    local = words.day(deepest(eclipse).at_utc)
    return f"{words.date(local, 'full')} · {book.almanac.site.name}"


def _sentence(eclipse: Eclipse, words: Wording) -> str:
    at = deepest(eclipse)
    facts = {
        "time": words.clock(at.at_utc),
        "place": steps.place(at.altitude_deg, at.azimuth_deg, words),
    }
    if eclipse.solar:
        return words.gettext(
            "At its deepest in sight, at %(time)s, the Moon covers %(part)s of the Sun's area; "
            "the Sun then stands %(place)s.",
            part=words.percent(eclipse.solar.obscuration, 1),
            **facts,
        )
    if at.magnitude >= 1:
        return words.gettext(
            "At %(time)s the Moon stands %(place)s, wholly in the Earth's shadow.", **facts
        )
    if at.magnitude > 0:
        return words.gettext(
            "At its deepest in sight, at %(time)s, the Earth's shadow reaches over %(part)s of "
            "the Moon's diameter; the Moon then stands %(place)s.",
            part=words.percent(at.magnitude),
            **facts,
        )
    return words.gettext(
        "At its deepest in sight, at %(time)s, the Moon stands %(place)s. Only the pale penumbra "
        "falls on it: look for a faint shading on one side.",
        **facts,
    )


def _notes(eclipse: Eclipse, words: Wording) -> Iterator[str]:
    if eclipse.lunar and eclipse.lunar.borderline:
        yield words.gettext(BORDERLINE[eclipse.lunar.borderline])
    if eclipse.lunar and not all(one.visible for one in eclipse.contacts):
        yield words.gettext("Part of it happens below this skyline or the horizon.")
    if eclipse.solar:
        yield from _solar_notes(eclipse, eclipse.solar, words)


def _solar_notes(eclipse: Eclipse, view: SolarView, words: Wording) -> Iterator[str]:
    if view.kind != eclipse.kind:
        yield words.gettext(
            "Elsewhere on Earth it is more: %(name)s.", name=eclipse_name(eclipse, words)
        )
    if view.rises_eclipsed:
        yield words.gettext("The Sun comes over this skyline already eclipsed.")
    if view.sets_eclipsed:
        yield words.gettext("The Sun goes behind this skyline still eclipsed.")
    yield words.gettext("The almanac offers no window for the Moon during an eclipse of the Sun.")


def _caption(eclipse: Eclipse, words: Wording) -> str:
    if eclipse.solar:
        return words.gettext(
            "The Sun with the Moon before it, turned as it stands in the sky then: the zenith is "
            "up. The thick ring is the deepest of these moments."
        )
    return words.gettext(
        "Outer disc: the penumbra. Inner, dark: the umbra. The Moon goes along the line, drawn at "
        "each contact; dashed where it is out of sight here. The zenith is up at %(time)s.",
        time=words.clock(deepest(eclipse).at_utc),
    )


def _contact(eclipse: Eclipse, moment: EclipseMoment, words: Wording) -> ContactLine:
    where = steps.place(moment.altitude_deg, moment.azimuth_deg, words)
    _ = words.gettext
    hidden = _("below the horizon") if moment.altitude_deg < 0 else _("behind the skyline")
    return ContactLine(
        what=contact_name(eclipse, moment, words),
        at=clock_seconds(moment.at_utc, words),
        place=where if moment.visible else hidden,
        visible=moment.visible,
        covered=words.percent(max(moment.obscuration, 0.0)),
        limb=words.gettext(
            "%(north)s from north, %(zenith)s from the zenith",
            north=words.bearing(moment.position_angle_deg),
            zenith=words.bearing(moment.zenith_angle_deg),
        )
        if moment.code not in ("rise", "set")
        else "",
    )


def _figures(eclipse: Eclipse, words: Wording) -> Iterator[Figure]:
    if eclipse.lunar:
        yield from _lunar_figures(eclipse.lunar, words)
    if eclipse.solar:
        yield from _solar_figures(eclipse.solar, words)
    yield Figure(
        words.gettext("Gamma"),
        words.number(eclipse.gamma, 4),
        words.gettext("least distance of shadow axis and centre, in the Earth's radii"),
    )
    yield Figure(
        words.gettext("Greatest on Earth"),
        clock_seconds(eclipse.greatest_utc, words),
        words.gettext("seen from the Earth's centre"),
    )


def _lunar_figures(shadow: LunarShadow, words: Wording) -> Iterator[Figure]:
    _ = words.gettext
    yield Figure(
        _("Umbral magnitude"),
        words.number(shadow.umbral_magnitude, 3),
        _("part of the Moon's diameter in the umbra at greatest; below 0 it stays outside"),
    )
    yield Figure(
        _("Penumbral magnitude"),
        words.number(shadow.penumbral_magnitude, 3),
        _("likewise in the penumbra"),
    )
    yield Figure(_("From P1 to P4"), words.duration(shadow.penumbral_duration_s))
    if shadow.partial_duration_s:
        yield Figure(_("From U1 to U4"), words.duration(shadow.partial_duration_s))
    if shadow.total_duration_s:
        yield Figure(_("Totality"), words.duration(shadow.total_duration_s))
    yield Figure(_("Shadow"), _("Danjon's rule"), _("how much the air enlarges the shadow"))


def _solar_figures(view: SolarView, words: Wording) -> Iterator[Figure]:
    _ = words.gettext
    yield Figure(
        _("Magnitude"),
        words.number(view.magnitude, 3),
        _("part of the Sun's diameter covered, (rS + rM − d) / 2 rS, at the deepest in sight"),
    )
    yield Figure(
        _("Ratio of diameters"),
        words.number(view.diameter_ratio, 3),
        _("Moon's over Sun's: what others call the magnitude of a total or annular eclipse"),
    )
    yield Figure(
        _("Obscuration"),
        words.percent(view.obscuration, 1),
        _("part of the Sun's area covered then"),
    )
    if view.central_duration_s:
        name = _("Totality") if view.kind == "total" else _("Annularity")
        minutes, seconds = divmod(round(view.central_duration_s), 60)
        yield Figure(name, _("%(m)d min %(s)02d s", m=minutes, s=seconds), _("from C2 to C3"))
