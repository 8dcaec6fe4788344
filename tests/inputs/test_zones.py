"""Coordinates against time zones: honest places pass, swapped signs and far zones are told."""

from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

import pytest

from almanac.inputs.config import load_config
from almanac.inputs.zones import (
    distance_km,
    doubt,
    doubts,
    in_words,
    nearest_zones,
    place_of,
    standard_offset_h,
)

Place = tuple[float, float]

ZONES = [
    line.split("\t")[2]
    for line in files("tzdata").joinpath("zoneinfo", "zone.tab").read_text("utf-8").splitlines()
    if not line.startswith("#")
]
"""Every zone with a place of its own."""

EDGES: dict[str, tuple[Place, str]] = {
    "the west of Tibet, Shanghai's time": ((32.2, 78.8), "Asia/Shanghai"),
    "Kashgar, Shanghai's time": ((39.47, 75.99), "Asia/Shanghai"),
    "north of the Mackenzie, Inuvik's time": ((69.2, -136.2), "America/Inuvik"),
    "Brest, west of Greenwich": ((48.39, -4.49), "Europe/Paris"),
    "Barcelona, east of Greenwich": ((41.39, 2.17), "Europe/Madrid"),
    "south of the equator in a northern zone": ((-4.2, -69.9), "America/Bogota"),
    "Papua on Jayapura's time": ((-8.5, 140.4), "Asia/Jayapura"),
    "Tristan da Cunha on Saint Helena's time": ((-37.07, -12.31), "Atlantic/St_Helena"),
    "the South Pole on the clock of its ships": ((-90.0, 0.0), "Antarctica/McMurdo"),
    "a ship that keeps UTC": ((10.0, 150.0), "Etc/UTC"),
    "a clock of whole hours with its odd sign": ((40.0, -75.0), "Etc/GMT+5"),
    "a second name of a zone": ((28.6, 77.2), "Asia/Calcutta"),
}
"""Honest places at the edge of their zones; from measured grid points and common maps."""


@pytest.mark.parametrize("year", [1900, 1944, 1982, 2027, 2052])
def test_no_zone_doubts_its_own_place(year: int) -> None:
    """Each zone's city with its own zone passes in any year of the ephemeris."""
    assert len(ZONES) > 400
    told = {zone: doubt(place_of(zone) or (0, 0), zone, year) for zone in ZONES}
    assert {zone: text for zone, text in told.items() if text} == {}


@pytest.mark.parametrize(("place", "zone"), EDGES.values(), ids=list(EDGES))
def test_honest_places_at_the_edge_pass(place: Place, zone: str) -> None:
    """Land far from its zone's city, or across Greenwich or the equator from it, is not doubted."""
    assert doubt(place, zone, 2027) == ""


def turned(axis: int, place: Place) -> Place:
    """The place with the sign of its latitude (0) or longitude (1) turned."""
    latitude, longitude = place
    return (latitude, -longitude) if axis else (-latitude, longitude)


@pytest.mark.parametrize(("axis", "key"), [(0, "latitude_deg"), (1, "longitude_deg")])
def test_a_turned_sign_is_told_with_its_mend(axis: int, key: str) -> None:
    """Every zone's city with a sign turned is told, with the key to mend, where it moves far."""
    checked = 0
    for zone in ZONES:
        place = place_of(zone)
        assert place is not None
        wrong = turned(axis, place)
        if place[0] < -60 or distance_km(place, wrong) < 1600:
            continue
        checked += 1
        assert f"with {key} = {place[axis]:g} it would be 0 km" in doubt(wrong, zone, 2027), zone
    assert checked > 250


@pytest.mark.parametrize(
    ("place", "zone", "words"),
    [
        ((17.62, 51.43), "Europe/Warsaw", "with latitude and longitude exchanged"),
        ((51.43, -17.62), "Europe/Warsaw", "with longitude_deg = 17.62 it would be 249 km"),
        ((-39.0, -105.0), "Asia/Shanghai", "with both signs turned"),
        ((44.6, 2.9), "America/New_York", "New York is 6064 km away"),
        ((40.0, -75.0), "Etc/GMT-5", "standard time is UTC+5 h, the Sun there keeps UTC-5.0 h"),
        ((-64.1, -21.9), "Atlantic/Reykjavik", "with latitude_deg = 64.1"),
        ((28.6, -77.2), "Asia/Calcutta", "with longitude_deg = 77.2"),
    ],
)
def test_a_gross_error_is_told(place: Place, zone: str, words: str) -> None:
    """Signs, exchanged numbers, zones of another continent, the odd sign of Etc/GMT zones."""
    text = doubt(place, zone, 2027)
    assert text.startswith(f"{in_words(place)} and {zone} do not fit: ")
    assert words in text


def test_each_doubted_site_is_named(
    edited: Callable[..., str], club_file: Callable[[str], Path]
) -> None:
    """The sentence names the site by index and name; a config without doubt has none."""
    text = edited("[[site]] longitude_deg = 142.9", '[[site]] timezone = "Europe/Paris"')
    (told,) = doubts(load_config(club_file(text)))
    assert told.startswith('site[0] "Quarry Field": 44.6° N, 142.9° E and Europe/Paris')
    assert doubts(load_config(club_file(edited()))) == ()


def test_places_come_from_the_zone_table() -> None:
    """Paris stands at +4852+00220; a zone that is only a clock has no place."""
    assert place_of("Europe/Paris") == pytest.approx((48 + 52 / 60, 2 + 20 / 60))
    assert place_of("Asia/Calcutta") == place_of("Asia/Kolkata")
    assert place_of("Etc/UTC") is None
    assert nearest_zones((51.43, 17.62)) == ["Europe/Warsaw", "Europe/Prague", "Europe/Berlin"]


def test_standard_time_is_without_summer_time() -> None:
    """The winter's offset in either hemisphere; none where nobody kept a clock."""
    assert standard_offset_h("Europe/Paris", 2027) == 1
    assert standard_offset_h("Australia/Adelaide", 2027) == 9.5
    assert standard_offset_h("Antarctica/Rothera", 1970) is None


def test_distances_go_round_the_globe() -> None:
    """A quarter of a great circle, and the short way over the date line."""
    assert distance_km((0, 0), (90, 0)) == pytest.approx(10007.5, abs=0.1)
    assert distance_km((0, 179), (0, -179)) == pytest.approx(222.4, abs=0.1)
    assert distance_km((10, 20), (-10, -160)) == pytest.approx(20015.1, abs=0.1)
