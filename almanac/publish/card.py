"""One night's card for the telescope as data: what to do when, for text and for paper alike."""

from collections.abc import Iterator

from msgspec import Struct

from almanac.publish.eclipse_words import mark
from almanac.publish.meeting_words import approach_mark, occultation_mark
from almanac.publish.night_lines import CAP, caution_lines, zone_line
from almanac.publish.star_reasons import against
from almanac.publish.steps import (
    clip,
    covered,
    later_hops,
    place,
    sentence,
    set_up_utc,
    span,
    star_place,
)
from almanac.publish.wording import Wording
from almanac.records.config import ClubConfig
from almanac.records.globe import Framing
from almanac.records.year import Night, Window, YearAlmanac

NAMED = 5
"""Features in low light that the card has room for."""


class CardRow(Struct, frozen=True):
    """A line of the card: what, when, and in words."""

    label: str
    """Empty where the line goes on from the one above."""
    at: str
    """Local time or times, or empty."""
    text: str


class Card(Struct, frozen=True):
    """All that a night's card holds, top to bottom; every field but the first is text to show."""

    language: str
    title: str
    zone: str
    moon: str
    events: tuple[str, ...]
    cautions: tuple[str, ...]
    sentence: str
    """Of a night without a window, else empty."""
    windows: tuple[tuple[CardRow, ...], ...]
    end: tuple[CardRow, ...]
    """When to cap, and sunrise."""
    standing_out: tuple[str, ...]
    """The night's light effects with their hours."""


def card_of(almanac: YearAlmanac, night: Night, config: ClubConfig, words: Wording) -> Card:
    """The card of one of the almanac's nights."""
    shape = words.moon_shape(night.moon.illuminated_fraction, night.moon.waxing)
    lit = words.percent(night.moon.illuminated_fraction)
    # A window's card has the time to cap in a row of its own.
    codes = [code for code in night.cautions if code != CAP or not night.windows]
    return Card(
        language=words.language,
        title=f"{almanac.site.name}, {words.date(night.date, 'full')}",
        zone=zone_line(night, words),
        moon=words.gettext("%(shape)s, %(lit)s lit", shape=shape, lit=lit),
        events=tuple(_events(almanac, night, words)),
        cautions=caution_lines(night, codes, words),
        sentence="" if night.windows else sentence(night, words),
        windows=tuple(tuple(_window(night, window, words)) for window in night.windows),
        end=tuple(_end(night, words)) if night.windows else (),
        standing_out=tuple(_standing_out(almanac, night, words)),
    )


def _events(almanac: YearAlmanac, night: Night, words: Wording) -> Iterator[str]:
    """Eclipses of the night: those of the Sun are no business of a Moon card."""
    for eclipse in almanac.eclipses:
        if eclipse.visible and eclipse.body == "moon" and eclipse.date == night.date:
            yield mark(eclipse, words)
    for hidden in almanac.meetings.occultations:
        if hidden.date == night.date and hidden.seen:
            yield occultation_mark(hidden, words)
    for near in almanac.meetings.approaches:
        if near.date == night.date:
            yield approach_mark(near, words)


def _window(night: Night, window: Window, words: Wording) -> Iterator[CardRow]:
    _ = words.gettext
    clock = words.clock(set_up_utc(window))
    yield CardRow(_("Set up by"), clock, covered(night, window, words))
    yield from _star(window, words)
    yield CardRow(_("Window"), span(window.start_utc, window.end_utc, words), "")
    where = place(window.altitude_deg, window.azimuth_deg, words)
    yield CardRow(_("Best"), words.clock(window.best_utc), where)
    detail = words.number(window.finest_detail_km, 1)
    yield CardRow("", "", _("finest detail %(detail)s km", detail=detail))
    yield CardRow(_("Clip"), "", clip(window, words))
    yield from _moon(window, words)


def _star(window: Window, words: Wording) -> Iterator[CardRow]:
    """The star, the one in reserve and the hop; or why there is none."""
    _ = words.gettext
    if window.no_star:
        yield CardRow(_("No star"), "", words.no_star_reason(window.no_star))
    if window.calibration is None:
        return
    hop, spare = window.calibration.chosen, window.calibration.spare
    yield CardRow(_("Star at"), words.clock(hop.at_utc), star_place(hop, words))
    if spare:
        move = words.hop(spare.turn_deg, spare.climb_deg)
        yield CardRow(_("In reserve"), "", f"{star_place(spare, words)}{words.gap}; {move}")
    move = words.hop(hop.turn_deg, hop.climb_deg)
    yield CardRow(_("Hop at"), words.clock(hop.hop_utc), move)
    where = place(hop.moon_altitude_deg, hop.moon_azimuth_deg, words)
    yield CardRow("", "", _("to the Moon, %(place)s", place=where))
    chance = words.chance(hop.landing_chance)
    yield CardRow("", "", _("in the frame: %(chance)s", chance=chance))
    if window.calibration.reasons and window.calibration.reasons.passed_over:
        yield CardRow("", "", against(window.calibration.reasons.passed_over, words))
    if hop.later:
        yield CardRow(_("Or at"), "", later_hops(hop, words))


def _moon(window: Window, words: Wording) -> Iterator[CardRow]:
    """How large the Moon is in the frame, how bright, and what to look for on it."""
    _ = words.gettext
    framings = f"{words.gap}; ".join(_framing(framing, words) for framing in window.framings)
    yield CardRow(_("Framing"), "", framings)
    stops = words.number(window.exposure_stops, 1)
    signed = stops if stops.startswith("−") else f"+{stops}"
    exposure = _("%(stops)s stops from a full Moon overhead", stops=signed)
    yield CardRow(_("Exposure"), "", exposure)
    if window.features:
        named = ", ".join(feature.name for feature in window.features[:NAMED])
        yield CardRow(_("Low light"), "", named)


def _framing(framing: Framing, words: Wording) -> str:
    """The Moon's share of a frame's short side, with the frames that cover it if it is larger."""
    share = words.percent(framing.share)
    if framing.share <= 1.0:
        return words.gettext("%(crop)d× %(share)s", crop=framing.crop, share=share)
    return words.gettext(
        "%(crop)d× %(share)s, %(across)d\u00a0×\u00a0%(up)d\u00a0frames",
        crop=framing.crop,
        share=share,
        across=framing.panels_across,
        up=framing.panels_up,
    )


def _end(night: Night, words: Wording) -> Iterator[CardRow]:
    if night.sun.cap_by_utc:
        yield CardRow(words.gettext("Cap by"), words.clock(night.sun.cap_by_utc), "")
    if night.sun.rise_utc:
        yield CardRow(words.gettext("Sunrise"), words.clock(night.sun.rise_utc), "")


def _standing_out(almanac: YearAlmanac, night: Night, words: Wording) -> Iterator[str]:
    for effect in almanac.light_effects:
        if effect.date == night.date:
            hours = span(effect.start_utc, effect.end_utc, words)
            yield words.gettext(
                "%(effect)s, %(hours)s", effect=words.gettext(effect.name), hours=hours
            )
