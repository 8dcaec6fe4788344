"""One night as a card of plain text, to print or to read over a shoulder at the telescope."""

import textwrap
from collections.abc import Iterator

from almanac.publish.eclipse_words import mark
from almanac.publish.meeting_words import approach_mark, occultation_mark
from almanac.publish.night_lines import CAP, caution_lines, zone_line
from almanac.publish.star_reasons import against
from almanac.publish.steps import (
    clip,
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

WIDTH = 72
LABEL_WIDTH = 12
NAMED = 5
"""Features in low light that the card has room for."""
PLAIN = str.maketrans(
    {"−": "-", "–": "-", "″": '"', "′": "'", "\u00a0": " ", "\u202f": " ", "\u2060": "", "×": "x"}
)
"""Characters that a bare terminal may lack; the degree sign and letters of names stay."""

Row = tuple[str, str]


def night_card(almanac: YearAlmanac, night: Night, config: ClubConfig, words: Wording) -> str:
    """The night on a card of at most 72 columns, ending in a newline."""
    blocks = [
        _head(almanac, night, words),
        _events(almanac, night, words),
        _cautions(night, words),
    ]
    if night.windows:
        blocks += [_lines(_window_rows(window, config, words)) for window in night.windows]
        blocks.append(_lines(_cap_row(night, words)))
    else:
        blocks.append(textwrap.wrap(sentence(night, words), WIDTH))
    blocks.append(_standing_out(almanac, night, words))
    text = "\n\n".join("\n".join(block) for block in blocks if block)
    return text.translate(PLAIN) + "\n"


def _head(almanac: YearAlmanac, night: Night, words: Wording) -> list[str]:
    title = f"{almanac.site.name}, {words.date(night.date, 'full')}"
    shape = words.moon_shape(night.moon.illuminated_fraction, night.moon.waxing)
    lit = words.percent(night.moon.illuminated_fraction)
    moon = words.gettext("%(shape)s, %(lit)s lit", shape=shape, lit=lit)
    return [*textwrap.wrap(title, WIDTH), *textwrap.wrap(zone_line(night, words), WIDTH), moon]


def _events(almanac: YearAlmanac, night: Night, words: Wording) -> list[str]:
    """Eclipses of the night: those of the Sun are no business of a Moon card."""
    of_moon = (one for one in almanac.eclipses if one.visible and one.body == "moon")
    found = almanac.meetings
    hidden = (one for one in found.occultations if one.seen and one.date == night.date)
    return [
        *(mark(one, words) for one in of_moon if one.date == night.date),
        *(occultation_mark(one, words) for one in hidden),
        *(approach_mark(one, words) for one in found.approaches if one.date == night.date),
    ]


def _cautions(night: Night, words: Wording) -> list[str]:
    lines = []
    codes = [c for c in night.cautions if c != CAP or not night.windows]  # a row of its own below
    for line in caution_lines(night, codes, words):
        lines += textwrap.wrap(line, WIDTH, initial_indent="! ", subsequent_indent="  ")
    return lines


def _window_rows(window: Window, config: ClubConfig, words: Wording) -> Iterator[Row]:
    _ = words.gettext
    yield _("Set up by"), words.clock(set_up_utc(window))
    if window.calibration:
        hop, spare = window.calibration.chosen, window.calibration.spare
        yield _("Star at"), f"{words.clock(hop.at_utc)}  {star_place(hop, words)}"
        if spare:
            yield _("In reserve"), f"       {star_place(spare, words)}"
        move = words.hop(hop.turn_deg, hop.climb_deg)
        yield _("Hop at"), f"{words.clock(hop.hop_utc)}  {move}"
        yield "", "       " + _("in the frame: %(chance)s", chance=words.chance(hop.landing_chance))
        if window.calibration.reasons and window.calibration.reasons.passed_over:
            yield "", "       " + against(window.calibration.reasons.passed_over, words)
    elif window.no_star:
        yield _("No star"), words.no_star_reason(window.no_star)
    yield _("Window"), span(window.start_utc, window.end_utc, words)
    where = place(window.altitude_deg, window.azimuth_deg, words)
    yield _("Best"), f"{words.clock(window.best_utc)}  {where}"
    detail = words.number(window.finest_detail_km, 1)
    yield "", "       " + _("finest detail %(detail)s km", detail=detail)
    yield _("Clip"), clip(window, words)
    yield from _moon_rows(window, words)


def _moon_rows(window: Window, words: Wording) -> Iterator[Row]:
    _ = words.gettext
    yield _("Framing"), "; ".join(_framing(framing, words) for framing in window.framings)
    stops = words.number(window.exposure_stops, 1)
    signed = stops if stops.startswith("−") else f"+{stops}"
    yield _("Exposure"), _("%(stops)s stops from a full Moon overhead", stops=signed)
    if window.features:
        yield _("Low light"), ", ".join(feature.name for feature in window.features[:NAMED])


def _framing(framing: Framing, words: Wording) -> str:
    """The Moon's share of a frame's short side, with the frames that cover it if it is larger."""
    share = words.percent(framing.share)
    if framing.share <= 1.0:
        return words.gettext("%(crop)d× %(share)s", crop=framing.crop, share=share)
    return words.gettext(
        "%(crop)d× %(share)s, %(across)d × %(up)d frames",
        crop=framing.crop,
        share=share,
        across=framing.panels_across,
        up=framing.panels_up,
    )


def _standing_out(almanac: YearAlmanac, night: Night, words: Wording) -> list[str]:
    """The night's light effects with their hours."""
    rows = (
        (effect.name, span(effect.start_utc, effect.end_utc, words))
        for effect in almanac.light_effects
        if effect.date == night.date
    )
    return [
        words.gettext("%(effect)s, %(hours)s", effect=name, hours=hours) for name, hours in rows
    ]


def _cap_row(night: Night, words: Wording) -> Iterator[Row]:
    if night.sun.cap_by_utc:
        yield words.gettext("Cap by"), words.clock(night.sun.cap_by_utc)
    if night.sun.rise_utc:
        yield words.gettext("Sunrise"), words.clock(night.sun.rise_utc)


def _lines(rows: Iterator[Row]) -> list[str]:
    lines = []
    for label, text in rows:
        indent = " " * LABEL_WIDTH
        first = f"{label:<{LABEL_WIDTH}}"
        lines += textwrap.wrap(text, WIDTH, initial_indent=first, subsequent_indent=indent)
    return lines
