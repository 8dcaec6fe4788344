"""The pages of the Moon's features: all in a table, and each with its year of low light."""

from collections.abc import Sequence
from typing import NamedTuple

from markupsafe import Markup

from almanac.publish import steps
from almanac.publish.charts.moon_disc import feature_map, map_place
from almanac.publish.pages.book import FEATURES_HREF, Book, feature_href, night_href
from almanac.publish.pages.engine import Frame, Link, render
from almanac.publish.pages.moon_light import EffectLine, effect_line
from almanac.publish.wording import Wording
from almanac.records.globe import FeatureYear, LowSun


class FeatureLine(NamedTuple):
    """A feature in one line."""

    link: Link
    kind: str
    place: str
    """Latitude and longitude on the Moon."""
    size: str
    sunrises: str
    sunsets: str


class FeaturesView(NamedTuple):
    """All that the table page shows."""

    lines: tuple[FeatureLine, ...]


class LowSunLine(NamedTuple):
    """A time of low light in one line."""

    night: Link
    hours: str
    sun: str
    """Its height there at the start and at the end."""


class FeatureView(NamedTuple):
    """All that a feature's page shows."""

    line: FeatureLine
    sentence: str
    map: Markup
    sunrises: tuple[LowSunLine, ...]
    sunsets: tuple[LowSunLine, ...]
    effects: tuple[EffectLine, ...]
    zone: str
    previous: Link | None
    next: Link | None


def features_page(book: Book) -> str:
    """The page of the table of features."""
    text = book.words.gettext("Features of the Moon")
    frame = book.frame("features", text, Link(FEATURES_HREF, text, True))
    return render("moon-features.html", frame, features_view(book), book.words)


def features_view(book: Book) -> FeaturesView:
    """The view of the table, by name."""
    years = sorted(book.almanac.feature_years, key=lambda feature: feature.name)
    return FeaturesView(tuple(_line(feature, book.words) for feature in years))


def feature_page(book: Book, index: int) -> str:
    """The page of the feature at an index of the catalogue."""
    frame = feature_frame(book, book.almanac.feature_years[index].name)
    return render("moon-feature.html", frame, feature_view(book, index), book.words)


def feature_frame(book: Book, name: str) -> Frame:
    """The frame of a feature's page."""
    up = Link(FEATURES_HREF, book.words.gettext("Features of the Moon"))
    return book.frame("feature", name, up, Link(feature_href(name), name, True))


def feature_view(book: Book, index: int) -> FeatureView:
    """The view of the feature at an index of the catalogue."""
    words, years = book.words, book.almanac.feature_years
    feature = years[index]
    effects = (e for e in book.almanac.light_effects if e.feature == feature.name)
    return FeatureView(
        line=_line(feature, words),
        sentence=_sentence(book, feature),
        map=feature_map(feature.latitude_deg, feature.longitude_deg, _map_text(feature, words)),
        sunrises=_low_suns(feature.sunrises, words),
        sunsets=_low_suns(feature.sunsets, words),
        effects=tuple(effect_line(effect, words) for effect in effects),
        zone=words.zone_name,
        previous=_link(years[index - 1]) if index else None,
        next=_link(years[index + 1]) if index + 1 < len(years) else None,
    )


def _link(feature: FeatureYear) -> Link:
    return Link(feature_href(feature.name), feature.name)


def _line(feature: FeatureYear, words: Wording) -> FeatureLine:
    return FeatureLine(
        link=_link(feature),
        kind=words.feature_kind(feature.kind),
        place=moon_place(feature.latitude_deg, feature.longitude_deg, words),
        size=words.gettext("%(km)s\u00a0km", km=words.number(feature.diameter_km)),
        sunrises=words.number(_nights(feature.sunrises)),
        sunsets=words.number(_nights(feature.sunsets)),
    )


def moon_place(latitude_deg: float, longitude_deg: float, words: Wording) -> str:
    """A place of the Moon, such as 9.6° N, 20.1° W."""
    return words.gettext(
        "%(latitude)s\u00a0%(north)s, %(longitude)s\u00a0%(east)s",
        latitude=words.degrees(abs(latitude_deg), 1),
        north=words.compass_short(0 if latitude_deg >= 0 else 180),
        longitude=words.degrees(abs(longitude_deg), 1),
        east=words.compass_short(90 if longitude_deg >= 0 else 270),
    )


def _map_text(feature: FeatureYear, words: Wording) -> str:
    return words.gettext(
        "The Moon's disc with its north up; %(name)s marked: %(place)s",
        name=feature.name,
        place=words.disc_place(*map_place(feature.latitude_deg, feature.longitude_deg)),
    )


def _nights(low_suns: Sequence[LowSun]) -> int:
    return len({low_sun.date for low_sun in low_suns})


def _sentence(book: Book, feature: FeatureYear) -> str:
    words = book.words
    rises, sets = _nights(feature.sunrises), _nights(feature.sunsets)
    if not rises + sets:
        return words.gettext(
            "Neither sunrise nor sunset there falls into a window of %(year)s at %(site)s.",
            year=str(book.almanac.year),
            site=book.almanac.site.name,
        )
    return words.gettext(
        "From %(site)s the Sun can be watched rising there on %(rises)s of %(year)s, "
        "setting on %(sets)s.",
        site=book.almanac.site.name,
        year=str(book.almanac.year),
        rises=words.ngettext("%(n)d night", "%(n)d nights", rises),
        sets=words.ngettext("%(n)d night", "%(n)d nights", sets),
    )


def _low_suns(low_suns: Sequence[LowSun], words: Wording) -> tuple[LowSunLine, ...]:
    return tuple(
        LowSunLine(
            night=Link(night_href(low.date), words.date(low.date, "short_weekday_day")),
            hours=steps.span(low.start_utc, low.end_utc, words),
            sun=words.gettext(
                "%(start)s to %(end)s",
                start=words.degrees(low.start_sun_altitude_deg, 1),
                end=words.degrees(low.end_sun_altitude_deg, 1),
            ),
        )
        for low in low_suns
    )
