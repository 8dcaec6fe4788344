"""What stands in low light on the Moon at a window's best moment."""

from typing import NamedTuple

from almanac.publish.pages.book import feature_href
from almanac.publish.wording import Wording
from almanac.records.globe import LitFeature
from almanac.records.year import Window

SHOWN = 8


class LowLight(NamedTuple):
    """A feature near the terminator."""

    name: str
    href: str
    kind: str
    place: str
    """On the disc, as the frame shows it."""
    sun: str
    """Its height there, and whether it climbs or sinks."""


def low_light(window: Window, words: Wording) -> tuple[LowLight, ...]:
    """The window's features worth pointing at, best first."""
    return tuple(_feature(feature, words) for feature in window.features[:SHOWN])


def _feature(feature: LitFeature, words: Wording) -> LowLight:
    return LowLight(
        name=feature.name,
        href=feature_href(feature.name),
        kind=words.feature_kind(feature.kind),
        place=words.disc_place(feature.right, feature.up),
        sun=words.gettext(
            "%(height)s, %(side)s",
            height=words.degrees(feature.sun_altitude_deg),
            side=words.terminator(feature.terminator),
        ),
    )
