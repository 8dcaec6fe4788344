"""The shipped tables agree with independent copies and hang together."""

import csv
import math
from importlib.resources import files

import ephem
import numpy as np
import pytest
from msgspec.structs import replace

from almanac.errors import AlmanacError
from almanac.inputs.catalogue import check_catalogue, load_catalogue, pattern_names
from almanac.records.catalogue import Catalogue, Star

STAR_COUNT = 65
"""The 58 navigational stars and seven more of V <= 2.0."""
EPHEM_SPELLING = {"Al Na'ir": "Alnair"}
"""Every star of ours stands in ephem's list, one of them spelled otherwise."""

BRIGHT_STAR_CATALOGUE_V = {
    # Hoffleit & Warren, Bright Star Catalogue, 5th revised ed. (1991), V/50: a sample over the sky.
    "Achernar": 0.46,
    "Aldebaran": 0.85,
    "Altair": 0.77,
    "Arcturus": -0.04,
    "Canopus": -0.72,
    "Capella": 0.08,
    "Deneb": 1.25,
    "Fomalhaut": 1.16,
    "Hadar": 0.61,
    "Polaris": 2.02,
    "Pollux": 1.14,
    "Procyon": 0.38,
    "Regulus": 1.35,
    "Rigel": 0.12,
    "Sirius": -1.46,
    "Spica": 0.98,
    "Vega": 0.03,
    "Zubenelgenubi": 2.75,
}


@pytest.fixture(scope="module")
def catalogue() -> Catalogue:
    """The shipped tables."""
    return load_catalogue()


def separation_arcsec(ra1: float, dec1: float, ra2: float, dec2: float) -> float:
    """Angle between two places in degrees, by the haversine."""
    a1, d1, a2, d2 = map(math.radians, (ra1, dec1, ra2, dec2))
    h = math.sin((d2 - d1) / 2) ** 2 + math.cos(d1) * math.cos(d2) * math.sin((a2 - a1) / 2) ** 2
    return math.degrees(2 * math.asin(math.sqrt(h))) * 3600


def ephem_entry(star: Star) -> list[str]:
    """ephem's line for the star: name, type, ra|pm, dec|pm, magnitude."""
    return ephem.star(EPHEM_SPELLING.get(star.name, star.name)).writedb().split(",")


def ephem_place(star: Star) -> tuple[float, float]:
    """ephem's own J2000 place of the star."""
    body = ephem.star(EPHEM_SPELLING.get(star.name, star.name))
    return math.degrees(body._ra), math.degrees(body._dec)


def place_j2000(star: Star) -> tuple[float, float]:
    """The star's place after 8.75 years of proper motion, plainly added."""
    years = 2000.0 - 1991.25
    dec = star.dec_deg + star.pm_dec_mas / 3.6e6 * years
    ra = star.ra_deg + star.pm_ra_mas / 3.6e6 * years / math.cos(math.radians(star.dec_deg))
    return ra, dec


def source_of(hip: int) -> str:
    """The catalogue a star's place is from."""
    text = files("almanac.inputs").joinpath("data", "stars.csv").read_text(encoding="utf-8")
    rows = csv.DictReader(line for line in text.splitlines() if not line.startswith("#"))
    return next(row["source"] for row in rows if row["hip"] == str(hip))


def test_every_name_points_at_the_star_ephem_means(catalogue: Catalogue) -> None:
    """ephem's own list (from Hipparcos 1997) has each star by its name within 0.2"."""
    assert len(catalogue.stars) == STAR_COUNT
    for star in catalogue.stars:
        # I/239 is what ephem holds; I/311 moves the orbiting pairs Castor and Alhena by 0.17".
        tolerance_arcsec = 0.2 if source_of(star.hip) == "I/311" else 0.03
        assert separation_arcsec(*place_j2000(star), *ephem_place(star)) < tolerance_arcsec, star


def test_magnitudes_are_those_of_hipparcos_1997(catalogue: Catalogue) -> None:
    """V equals the copy in ephem to its last digit."""
    for star in catalogue.stars:
        assert star.magnitude == pytest.approx(float(ephem_entry(star)[4]), abs=0.005), star


def test_magnitudes_agree_with_the_bright_star_catalogue(catalogue: Catalogue) -> None:
    """A second photometric catalogue is within 0.1 mag of V where no double misleads."""
    magnitude = {star.name: star.magnitude for star in catalogue.stars}
    for name, published in BRIGHT_STAR_CATALOGUE_V.items():
        assert magnitude[name] == pytest.approx(published, abs=0.1001), name


def test_doubles_and_variables_that_mislead_carry_a_note(catalogue: Catalogue) -> None:
    """The note says which star or stars a double's one magnitude means."""
    noted = {star.name: star.note for star in catalogue.stars if star.note}
    assert noted == {
        "Acamar": "double: magnitude of both together",
        "Acrux": "double: magnitude of both together",
        "Antares": "variable",
        "Betelgeuse": "variable",
        "Castor": "double: magnitude of both together",
        "Rigil Kentaurus": "double: magnitude of the brighter alone",
    }


def test_background_holds_the_named_stars_where_their_own_rows_say(catalogue: Catalogue) -> None:
    """Two catalogues (I/239 moved here, I/311 moved by the script) meet within 0.2"."""
    sky = catalogue.background
    for star in catalogue.stars:
        (index,) = np.flatnonzero(sky.hip == star.hip)
        place = (float(sky.ra_deg[index]), float(sky.dec_deg[index]))
        assert separation_arcsec(*place_j2000(star), *place) < 0.2, star


def test_background_is_as_deep_as_it_says(catalogue: Catalogue) -> None:
    """About nine hundred stars over the whole sky, none fainter than Hp 4.5."""
    sky = catalogue.background
    assert 800 < sky.hip.size < 1000
    assert sky.hip.shape == sky.ra_deg.shape == sky.dec_deg.shape == sky.magnitude.shape
    assert sky.magnitude.max() <= 4.5
    octants = {(int(ra // 90), dec > 0) for ra, dec in zip(sky.ra_deg, sky.dec_deg, strict=True)}
    assert len(octants) == 8


def test_pattern_lines_are_short_and_join_stars_on_the_chart(catalogue: Catalogue) -> None:
    """No line is longer than the longest side of the Summer Triangle (38 deg)."""
    sky = catalogue.background
    place = dict(zip(sky.hip.tolist(), zip(sky.ra_deg, sky.dec_deg, strict=True), strict=True))
    for start, end in catalogue.patterns:
        length_deg = separation_arcsec(*place[start], *place[end]) / 3600
        assert 0.5 < length_deg < 38.5, (start, end)


def test_only_the_great_guide_lines_are_long() -> None:
    """Beyond 25 deg stand the lines everyone sweeps from star to star, and no figure's."""
    catalogue = load_catalogue()
    sky = catalogue.background
    place = dict(zip(sky.hip.tolist(), zip(sky.ra_deg, sky.dec_deg, strict=True), strict=True))
    long = {
        name
        for name, pairs in pattern_names().items()
        for a, b in pairs
        if separation_arcsec(*place[a], *place[b]) > 25 * 3600
    }
    assert long == {
        "Pointers to the pole",
        "Arc from the Plough's handle",
        "Summer Triangle",
        "Winter Triangle",
    }


@pytest.mark.parametrize(
    ("pattern", "names"),
    [
        ("Plough", ["Dubhe", "Merak", "Phecda", "Megrez", "Alioth", "Mizar", "Alkaid"]),
        ("Summer Triangle", ["Vega", "Deneb", "Altair"]),
        ("Winter Triangle", ["Sirius", "Procyon", "Betelgeuse"]),
        ("Great Square", ["Markab", "Scheat", "Alpheratz", "Algenib"]),
        ("Hunter's Belt", ["Mintaka", "Alnilam", "Alnitak"]),
        ("Hunter", ["Betelgeuse", "Bellatrix", "Mintaka", "Rigel", "Saiph", "Alnitak"]),
        ("Eagle", ["Tarazed", "Altair", "Alshain"]),
        ("Chain from the Square", ["Alpheratz", "Mirach", "Almach", "Mirfak"]),
    ],
)
def test_patterns_run_through_the_stars_of_their_fame(
    catalogue: Catalogue, pattern: str, names: list[str]
) -> None:
    """Each star of the pattern lies within 0.2" of a place that ephem names, and no other."""
    sky = catalogue.background
    place = dict(zip(sky.hip.tolist(), zip(sky.ra_deg, sky.dec_deg, strict=True), strict=True))
    stars = {hip for pair in pattern_names()[pattern] for hip in pair}
    assert len(stars) == len(names)
    for name in names:
        body = ephem.star(name)
        there = (math.degrees(body._ra), math.degrees(body._dec))
        assert min(separation_arcsec(*place[hip], *there) for hip in stars) < 0.2, name


def test_pattern_names_hold_every_line_once(catalogue: Catalogue) -> None:
    """The named patterns, joined, are the catalogue's pairs, with no line drawn twice in one."""
    named = pattern_names()
    assert tuple(pair for pairs in named.values() for pair in pairs) == catalogue.patterns
    for name, pairs in named.items():
        assert len({frozenset(pair) for pair in pairs}) == len(pairs), name


def test_lunar_features_stand_where_they_are_published(catalogue: Catalogue) -> None:
    """Centres agree to 0.5 deg with Meeus ch. 53 and textbook selenographic places.

    Copernicus: 9.7 N, 20.0 W (Meeus, Astronomical Algorithms, 2nd ed., ch. 53, example on
    sunrise at Copernicus); Tycho 43.3 S, 11.4 W and Plato 51.6 N, 9.3 W (Rukl, Atlas of the
    Moon, from memory).
    """
    at = {f.name: (f.latitude_deg, f.longitude_deg) for f in catalogue.features}
    assert at["Copernicus"] == pytest.approx((9.7, -20.0), abs=0.5)
    assert at["Tycho"] == pytest.approx((-43.3, -11.4), abs=0.5)
    assert at["Plato"] == pytest.approx((51.6, -9.3), abs=0.5)
    assert len(catalogue.features) == 128


def test_lunar_features_have_a_size_and_a_kind(catalogue: Catalogue) -> None:
    """Kinds are a short list of plain words, so that each can be worded in a language."""
    assert {feature.kind for feature in catalogue.features} == {
        "bay",
        "bright patch",
        "cape",
        "crater",
        "landing site",
        "mare",
        "mountain",
        "mountains",
        "rille",
        "scarp",
        "valley",
    }
    assert all(0 < feature.diameter_km < 3000 for feature in catalogue.features)


def test_the_tables_are_read_once() -> None:
    """A second call gives the same object."""
    assert load_catalogue() is load_catalogue()


def test_a_damaged_catalogue_is_refused_with_the_culprit_named(catalogue: Catalogue) -> None:
    """Twice the same star, a pattern to nowhere and an impossible place are each told."""
    vega = next(star for star in catalogue.stars if star.name == "Vega")
    with pytest.raises(AlmanacError, match="star listed twice: 91262"):
        check_catalogue(replace(catalogue, stars=(*catalogue.stars, vega)))
    with pytest.raises(AlmanacError, match="HIP 1"):
        check_catalogue(replace(catalogue, patterns=((91262, 1),)))
    with pytest.raises(AlmanacError, match="out of range"):
        check_catalogue(replace(catalogue, stars=(replace(vega, dec_deg=91.0),)))
