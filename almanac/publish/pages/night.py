"""The page of a night: sentence, drawing, plan, figures, and why."""

from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import NamedTuple

import numpy as np
from markupsafe import Markup

from almanac.publish import night_lines, steps
from almanac.publish.charts.moon_disc import moon_disc
from almanac.publish.charts.night import night_chart
from almanac.publish.eclipse_words import mark
from almanac.publish.meeting_words import capital
from almanac.publish.pages.book import Book, card_href, eclipse_href, month_href, night_href
from almanac.publish.pages.engine import Frame, Link, render
from almanac.publish.pages.figures import FigureGroup, night_groups
from almanac.publish.pages.low_light import SHOWN, LowLight, low_light
from almanac.publish.pages.moon_light import standing_out
from almanac.publish.pages.night_line import NightLine
from almanac.publish.star_reasons import star_reasons
from almanac.records.year import Night, Window

EDGE = timedelta(seconds=90)
"""A window's end this near to sunset or sunrise is put down to it."""
EDGE_DEG = 0.7
"""Or this near to an altitude limit: the Moon climbs so much in less than five minutes."""


class Caution(NamedTuple):
    """A short sentence at the top of the page."""

    text: str
    danger: bool


class Plan(NamedTuple):
    """The steps of one window."""

    title: str
    steps: tuple[steps.Step, ...]


class NightView(NamedTuple):
    """All that the page shows."""

    line: NightLine
    lit: str
    zone: str
    cautions: tuple[Caution, ...]
    events: tuple[Link, ...]
    """Eclipses, occultations, approaches and the club's dates of the night, with their pages."""
    sentence: str
    chart: Markup
    disc: Markup
    disc_caption: str
    plans: tuple[Plan, ...]
    card: str
    """The way to the night's card, if it has plans."""
    low_light: tuple[LowLight, ...]
    low_light_caption: str
    standing_out: tuple[str, ...]
    groups: tuple[FigureGroup, ...]
    why: tuple[str, ...]
    turns: tuple[tuple[str, Link], ...]
    """Ways to other nights, each with its relation."""


def night_page(book: Book, index: int) -> str:
    """The page of the night at an index of the year."""
    frame = night_frame(book, book.almanac.nights[index])
    return render("night.html", frame, night_view(book, index), book.words)


def night_view(book: Book, index: int) -> NightView:
    """The view of the night at an index of the year."""
    night, words = book.almanac.nights[index], book.words
    best = steps.best_window(night) if night.windows else None
    return NightView(
        line=book.lines[index],
        lit=words.percent(night.moon.illuminated_fraction),
        zone=night_lines.zone_line(night, words),
        cautions=_cautions(book, night),
        events=(
            *(Link(eclipse_href(e), mark(e, words)) for e in book.eclipses_of(night)),
            *book.meetings_of(night),
            *book.club_links.get(night.date, ()),
        ),
        sentence=steps.sentence(night, words),
        chart=night_chart(book.almanac, night, words, book.scale),
        disc=moon_disc(night.moon, words, best.features[:SHOWN] if best else ()),
        disc_caption=_disc_caption(book, night),
        plans=_plans(book, night),
        card=card_href(night.date),
        low_light=low_light(best, words) if best else (),
        low_light_caption=_low_light_caption(book, night),
        standing_out=tuple(standing_out(book, night)),
        groups=night_groups(night, words),
        why=tuple(_why(book, night, book.lines[index])),
        turns=tuple(_turns(book, index)),
    )


def night_frame(book: Book, night: Night) -> Frame:
    """The frame of a night's page."""
    month = night.date.month
    up = Link(month_href(night.date.year, month), capital(book.words.month(month)))
    title = capital(book.words.date(night.date, "weekday_day"))
    here = Link(night_href(night.date), title, True)
    return book.frame("night", title, up, here, month=month)


def _cautions(book: Book, night: Night) -> tuple[Caution, ...]:
    codes = sorted(night.cautions, key=lambda code: code not in night_lines.DANGERS)
    lines = night_lines.caution_lines(night, codes, book.words)
    dangers = [code in night_lines.DANGERS for code in codes]
    return tuple(Caution(*pair) for pair in zip(lines, dangers, strict=True))


def _disc_caption(book: Book, night: Night) -> str:
    """Nobody is told to look beside the Sun where no window was found to be safe."""
    if not night.windows and night_lines.sun_up(night, night.moon.at_utc):
        return night_lines.moon_by_day(night.moon.at_utc, book.words)
    return book.words.gettext(
        "The Moon at %(time)s, as the frame shows it: zenith up.",
        time=book.words.clock(night.moon.at_utc),
    )


def _low_light_caption(book: Book, night: Night) -> str:
    """What the list shows, or why there is none."""
    if night.windows and not steps.best_window(night).features:
        return book.words.gettext(
            "No named feature stands in low light: the line between day and night on the Moon runs "
            "too near its limb."
        )
    return book.words.gettext(
        "At %(time)s near the line between day and night on the Moon, where shadows are long; "
        "best first. Places as the frame shows them.",
        time=book.words.clock(night.moon.at_utc),
    )


def _plans(book: Book, night: Night) -> tuple[Plan, ...]:
    plans = [
        Plan(_plan_title(book, night, window), steps.steps(night, window, book.config, book.words))
        for window in night.windows
    ]
    cap = steps.cap_step(night, book.words)
    if plans and cap:
        plans[-1] = Plan(plans[-1].title, (*plans[-1].steps, cap))
    return tuple(plans)


def _plan_title(book: Book, night: Night, window: Window) -> str:
    if len(night.windows) == 1:
        return ""
    return book.words.gettext("From %(time)s", time=book.words.clock(window.start_utc))


def _why(book: Book, night: Night, line: NightLine) -> Iterator[str]:
    words = book.words
    if not night.windows:
        return
    yield words.gettext(
        "By finest detail it is number %(rank)s of the year's %(count)s nights with a window: "
        "%(quality)s.",
        rank=words.number(night.rank or 0),
        count=words.number(book.ranked_count),
        quality=line.quality_text,
    )
    yield _limits(book, steps.best_window(night), night)
    for window in night.windows:
        yield from star_reasons(window, words)
    for window in night.windows:
        yield words.gettext(
            "The window opens at %(start)s %(opens)s and closes at %(end)s %(closes)s.",
            start=words.clock(window.start_utc),
            opens=_opens(book, night, window),
            end=words.clock(window.end_utc),
            closes=_closes(book, night, window),
        )


def _limits(book: Book, window: Window, night: Night) -> str:
    words = book.words
    return words.gettext(
        "At its best the Moon stands %(altitude)s up and its light crosses %(airmass)s times the "
        "air overhead. The blur adds up from the seeing (%(seeing)s″), the aperture "
        "(%(aperture)s″), the spread of the colours (%(spread)s″) and the pixel (%(pixel)s″): "
        "nothing smaller than %(detail)s stands apart at the Moon's distance of %(distance)s km.",
        altitude=words.degrees(window.altitude_deg),
        airmass=words.number(window.airmass, 1),
        seeing=words.number(window.seeing_arcsec, 1),
        aperture=words.number(window.diffraction_arcsec, 1),
        spread=words.number(window.dispersion_arcsec, 1),
        pixel=words.number(window.sampling_arcsec, 1),
        detail=book.detail(window.finest_detail_km),
        distance=words.number(night.moon.distance_km),
    )


def _near(end_utc: datetime, event_utc: datetime | None) -> bool:
    return event_utc is not None and abs(end_utc - event_utc) < EDGE


def _opens(book: Book, night: Night, window: Window) -> str:
    if _near(window.start_utc, night.sun.set_utc):
        return book.words.gettext("at sunset")
    return _edge(book, window.start_utc.timestamp())


def _closes(book: Book, night: Night, window: Window) -> str:
    if _near(window.end_utc, night.sun.rise_utc):
        return book.words.gettext("at sunrise")
    return _edge(book, window.end_utc.timestamp())


def _edge(book: Book, at_s: float) -> str:
    """What bounds a window at an instant that is neither sunset nor sunrise."""
    words, track, config = book.words, book.almanac.track, book.config
    altitude_deg = float(np.interp(at_s, track.utc_s, track.moon_altitude_deg))
    ground_deg = float(np.interp(at_s, track.utc_s, track.ground_deg))
    lowest_deg = config.moon.lowest_altitude_deg
    if ground_deg > lowest_deg and abs(altitude_deg - ground_deg) < 3 * EDGE_DEG:
        return words.gettext(
            "at the skyline, %(altitude)s high there", altitude=words.degrees(ground_deg)
        )
    if abs(altitude_deg - lowest_deg) < EDGE_DEG:
        return words.gettext("at %(altitude)s of height", altitude=words.degrees(lowest_deg))
    if abs(altitude_deg - config.telescope.highest_altitude_deg) < EDGE_DEG:
        return words.gettext("at the mount's highest reach")
    return words.gettext("by the club's hours")


def _turns(book: Book, index: int) -> Iterator[tuple[str, Link]]:
    _, lines = book.words.gettext, book.lines
    earlier, later = lines[:index], lines[index + 1 :]
    if earlier:
        yield _("Night before"), _link(earlier[-1])
    if later:
        yield _("Night after"), _link(later[0])
    before = next((line for line in reversed(earlier) if line.hours), None)
    after = next((line for line in later if line.hours), None)
    if before and before is not earlier[-1]:
        yield _("Last night with a window"), _link(before)
    if after and after is not later[0]:
        yield _("Next night with a window"), _link(after)
    day = lines[index].date
    if compared := book.elsewhere.compared(day.month):
        yield _("Where to go this night"), Link(f"{compared}#{day}", _("The sites side by side"))


def _link(line: NightLine) -> Link:
    return Link(line.href, line.short)
