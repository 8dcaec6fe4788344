"""The page of the year's light effects and best librations, and what of the year a night holds."""

from collections.abc import Iterator
from typing import NamedTuple

from almanac.publish import steps
from almanac.publish.pages.book import LIGHT_HREF, Book, feature_href, night_href
from almanac.publish.pages.engine import Link, render
from almanac.publish.pages.picks import pick_lines
from almanac.publish.wording import Wording
from almanac.records.globe import LightEffect, LimbLibration
from almanac.records.year import Night


class EffectLine(NamedTuple):
    """The part of a light effect that a window shows, in one line."""

    name: str
    feature: Link
    night: Link
    hours: str
    middle: str
    """When the published colongitude is reached."""
    sun: str


class EffectSource(NamedTuple):
    """A light effect and who published when it comes."""

    name: str
    rule: str
    source: str


class LibrationLine(NamedTuple):
    """The best libration of a limb in one line."""

    limb: str
    night: Link
    at: str
    east: str
    north: str
    features: tuple[Link, ...]


class LightView(NamedTuple):
    """All that the page shows."""

    effects: tuple[EffectLine, ...]
    sources: tuple[EffectSource, ...]
    librations: tuple[LibrationLine, ...]
    zone: str


def light_page(book: Book) -> str:
    """The page of light effects and librations."""
    text = book.words.gettext("Light on the Moon")
    frame = book.frame("light", text, Link(LIGHT_HREF, text, True))
    return render("moon-light.html", frame, light_view(book), book.words)


def light_view(book: Book) -> LightView:
    """The view of the year's light effects and librations."""
    almanac, words = book.almanac, book.words
    return LightView(
        effects=tuple(effect_line(effect, words) for effect in almanac.light_effects),
        sources=tuple(dict.fromkeys(_source(effect, words) for effect in almanac.light_effects)),
        librations=tuple(_libration(one, words) for one in almanac.librations),
        zone=words.zone_name,
    )


def effect_line(effect: LightEffect, words: Wording) -> EffectLine:
    """A light effect in one line."""
    day = words.day(effect.middle_utc)
    return EffectLine(
        name=words.gettext(effect.name),
        feature=Link(feature_href(effect.feature), effect.feature),
        night=Link(night_href(effect.date), words.date(effect.date, "short_weekday_day")),
        hours=steps.span(effect.start_utc, effect.end_utc, words),
        middle=f"{words.date(day, 'short_day')} {words.clock(effect.middle_utc)}",
        sun=words.degrees(effect.sun_altitude_deg, 1),
    )


def _source(effect: LightEffect, words: Wording) -> EffectSource:
    rule = words.gettext(
        "colongitude %(middle)s, give or take %(spread)s",
        middle=words.degrees(effect.colongitude_deg, 1),
        spread=words.degrees(effect.tolerance_deg, 1),
    )
    return EffectSource(words.gettext(effect.name), rule, effect.source)


def _libration(one: LimbLibration, words: Wording) -> LibrationLine:
    return LibrationLine(
        limb=words.compass(LIMB_AZIMUTH_DEG[one.limb]),
        night=Link(night_href(one.date), words.date(one.date, "short_weekday_day")),
        at=words.clock(one.at_utc),
        east=words.degrees(one.libration_longitude_deg, 1),
        north=words.degrees(one.libration_latitude_deg, 1),
        features=tuple(Link(feature_href(name), name) for name in one.features),
    )


LIMB_AZIMUTH_DEG = {"north": 0.0, "east": 90.0, "south": 180.0, "west": 270.0}
"""The word for each limb is that of the compass."""


def standing_out(book: Book, night: Night) -> Iterator[str]:
    """What of the year's light effects, librations and picks falls into a night, in sentences."""
    words = book.words
    for effect in book.almanac.light_effects:
        if effect.date == night.date:
            hours = steps.span(effect.start_utc, effect.end_utc, words)
            name = words.gettext(effect.name)
            yield words.gettext("%(effect)s, %(hours)s.", effect=name, hours=hours)
    for one in book.almanac.librations:
        if one.date == night.date:
            yield _turned(one, words)
    for pick in pick_lines(book, night.date):
        yield words.gettext(
            "%(what)s of the year: %(figure)s, at %(time)s.",
            what=pick.what,
            figure=pick.value,
            time=pick.at,
        )


def _turned(one: LimbLibration, words: Wording) -> str:
    limb = words.compass(LIMB_AZIMUTH_DEG[one.limb])
    text = words.gettext(
        "At %(time)s the Moon's %(limb)s limb is lit and turned to us further than in any other "
        "window of the year.",
        time=words.clock(one.at_utc),
        limb=limb,
    )
    if not one.features:
        return text
    names = words.gettext("It brings into view: %(names)s.", names=", ".join(one.features))
    return f"{text} {names}"
