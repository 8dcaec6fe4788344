"""A season's sky: which way round, what is hidden, which names, none over another."""

import re
from collections.abc import Iterator
from datetime import UTC, date, datetime
from itertools import combinations
from xml.etree import ElementTree

import numpy as np
import pytest
from msgspec.structs import replace

from almanac.inputs.catalogue import load_catalogue
from almanac.publish.charts.drawing import EM_WIDTH, TEXT, WIDTH, ink
from almanac.publish.charts.labels import Box
from almanac.publish.charts.sky_disc import (
    CENTRE,
    HEIGHT,
    RADIUS,
    disc_point,
    dot_radius,
    season_chart,
)
from almanac.publish.wording import Wording
from almanac.records.catalogue import Catalogue
from almanac.records.config import Horizon
from almanac.records.year import SeasonSky, YearAlmanac

SVG = "{http://www.w3.org/2000/svg}"
WORDS = Wording("en", "Europe/Paris")
SHARES = {"start": 0.0, "middle": 0.5, "end": 1.0}
CAPELLA, VEGA = 24608, 91262


def names(root: ElementTree.Element) -> Iterator[tuple[str, Box, str]]:
    """Each text, its room and its weight."""
    for node in root.iter(f"{SVG}text"):
        content, x, y = node.text or "", float(node.get("x", "")), float(node.get("y", ""))
        size = float((node.get("font-size") or f"{TEXT}px")[:-2])
        width = EM_WIDTH * size * len(content)
        left = x - width * SHARES[node.get("text-anchor", "start")]
        box = Box(left, y - size / 2, left + width, y + size / 2)
        yield content, box, node.get("font-weight", "400")


@pytest.fixture(scope="module")
def full() -> Catalogue:
    """The shipped stars."""
    return load_catalogue()


def sky_of(full: Catalogue, turn_deg: float) -> SeasonSky:
    """A made-up sky at 45 N with every star of the catalogue, turned by an angle."""
    hour = np.radians(turn_deg - np.array([star.ra_deg for star in full.stars]))
    dec = np.radians([star.dec_deg for star in full.stars])
    altitude, azimuth = _horizontal(hour, dec)
    back_hour = np.radians(turn_deg - full.background.ra_deg)
    back = _horizontal(back_hour, np.radians(full.background.dec_deg))
    usable = (altitude > 15) & (altitude < 80)
    return SeasonSky(
        "winter",
        date(2027, 1, 15),
        datetime(2027, 1, 15, 20, tzinfo=UTC),
        altitude,
        azimuth,
        usable,
        *back,
    )


def _horizontal(hour: np.ndarray, dec: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    lat = np.radians(45.0)
    sine = np.sin(lat) * np.sin(dec) + np.cos(lat) * np.cos(dec) * np.cos(hour)
    azimuth = np.arctan2(
        -np.cos(dec) * np.sin(hour),
        np.sin(dec) * np.cos(lat) - np.cos(dec) * np.sin(lat) * np.cos(hour),
    )
    return np.degrees(np.arcsin(sine)), np.degrees(azimuth) % 360


@pytest.mark.parametrize(
    ("altitude_deg", "azimuth_deg", "place"),
    [
        (90, 123, (CENTRE, CENTRE)),
        (0, 0, (CENTRE, CENTRE - RADIUS)),
        (0, 90, (CENTRE - RADIUS, CENTRE)),
        (45, 180, (CENTRE, CENTRE + RADIUS / 2)),
        (0, 270, (CENTRE + RADIUS, CENTRE)),
    ],
)
def test_way_round(altitude_deg: float, azimuth_deg: float, place: tuple[float, float]) -> None:
    """Zenith at the centre, north up, east on the left: the sky as one looks up."""
    assert disc_point(altitude_deg, azimuth_deg) == pytest.approx(place)


@pytest.mark.parametrize("turn_deg", range(0, 360, 30))
def test_names(north: YearAlmanac, full: Catalogue, turn_deg: int) -> None:
    """No name meets another or leaves the drawing; only usable stars above the trees have one."""
    season = sky_of(full, turn_deg)
    chart = season_chart(season, full, north.site, {CAPELLA, VEGA}, WORDS)
    found = list(names(ElementTree.fromstring(chart)))
    for (one, box, _), (other, other_box, _) in combinations(found, 2):
        assert not box.meets(other_box), (one, other)
    assert all(box.left >= 0 and box.right <= WIDTH for _, box, _ in found)
    assert all(box.top >= 0 and box.bottom <= HEIGHT for _, box, _ in found)
    horizon = north.site.horizon
    ground = np.interp(
        season.star_azimuth_deg, horizon.azimuth_deg, horizon.altitude_deg, period=360
    )
    allowed = season.usable & (season.star_altitude_deg > ground)
    usable = {star.name for star, ok in zip(full.stars, allowed, strict=True) if ok}
    shown = {name for name, _, _ in found} & {star.name for star in full.stars}
    assert shown <= usable
    strong = {name for name, _, weight in found if weight == "700"}
    assert strong == usable & {"Capella", "Vega"}


def test_directions(north: YearAlmanac, full: Catalogue) -> None:
    """Eight directions in words stand outside the rim, east on the left."""
    root = ElementTree.fromstring(season_chart(sky_of(full, 90), full, north.site, (), WORDS))
    boxes = {name: box for name, box, _ in names(root)}
    assert boxes["east"].right < CENTRE - RADIUS < CENTRE + RADIUS < boxes["west"].left
    assert boxes["north"].bottom < CENTRE - RADIUS < CENTRE + RADIUS < boxes["south"].top
    assert "east is on the left" in "".join(root.itertext())


def test_silhouette(north: YearAlmanac, full: Catalogue) -> None:
    """The rim follows the site's profile, steps included; a flat horizon has none."""
    root = ElementTree.fromstring(season_chart(sky_of(full, 0), full, north.site, (), WORDS))
    trees = next(p for p in root.iter(f"{SVG}path") if p.get("fill") == ink("ground"))
    inner = trees.get("d", "").split("z")[1]
    numbers = np.array(re.findall(r"[\d.]+", inner), float).reshape(-1, 2)
    offset = numbers - CENTRE
    azimuth = np.degrees(np.arctan2(-offset[:, 0], -offset[:, 1])) % 360
    altitude = 90 - 90 * np.hypot(*offset.T) / RADIUS
    for at_deg in (0, 60, 160, 250, 270, 350):
        nearest = int(np.argmin(abs(azimuth - at_deg)))
        horizon = north.site.horizon
        true = np.interp(azimuth[nearest], horizon.azimuth_deg, horizon.altitude_deg, period=360)
        assert altitude[nearest] == pytest.approx(true, abs=0.1)
    steps = altitude[abs(azimuth - 255) < 0.1]
    assert {round(float(h)) for h in steps} == {9, 20}
    flat = replace(north.site, horizon=Horizon((), ()))
    plain = ElementTree.fromstring(season_chart(sky_of(full, 0), full, flat, (), WORDS))
    assert not [p for p in plain.iter(f"{SVG}path") if p.get("fill") == ink("ground")]


def test_dots() -> None:
    """Brighter stars have larger dots."""
    sizes = [dot_radius(magnitude) for magnitude in (-1.4, -0.5, 0.0, 1.0, 2.0, 3.0, 4.5)]
    assert sizes == sorted(sizes, reverse=True)
    assert sizes[0] > 4 * sizes[-1]


DOTS = (
    rf'<path stroke="{re.escape(ink("ink"))}" stroke-linecap="round" '
    r'stroke-width="([\d.]+)" d="([^"]*h\.1)"'
)


def test_faint_stars_are_round_ends_in_their_places(north: YearAlmanac, full: Catalogue) -> None:
    """Every star of a pattern that is up has its dot, as wide as its magnitude asks."""
    sky = sky_of(full, 80)
    chart = str(season_chart(sky, full, north.site, (), WORDS))
    dots = {
        (float(x), float(y)): float(width)
        for width, path in re.findall(DOTS, chart)
        for x, y in re.findall(r"M([\d.]+) ([\d.]+)h", path)
    }
    named = {star.hip for star in full.stars}
    members = {hip for line in full.patterns for hip in line} - named
    places = zip(
        full.background.hip,
        sky.background_altitude_deg,
        sky.background_azimuth_deg,
        full.background.magnitude,
        strict=True,
    )
    shown = [(alt, az, m) for hip, alt, az, m in places if int(hip) in members and alt > 0]
    assert len(shown) > 50
    for altitude_deg, azimuth_deg, magnitude in shown:
        x, y = disc_point(float(altitude_deg), float(azimuth_deg))
        width = dots[float(f"{x:.1f}"), float(f"{y:.1f}")]
        assert width == pytest.approx(2 * dot_radius(float(magnitude)), abs=0.25)


def test_bright_night(north: YearAlmanac, full: Catalogue) -> None:
    """Where the sky never grows dark the chart is empty and says why."""
    none = np.empty(0)
    season = replace(
        sky_of(full, 0),
        at_utc=None,
        star_altitude_deg=none,
        star_azimuth_deg=none,
        usable=none.astype(bool),
        background_altitude_deg=none,
        background_azimuth_deg=none,
    )
    root = ElementTree.fromstring(season_chart(season, full, north.site, {VEGA}, WORDS))
    assert "not grow dark" in (root.findtext(f"{SVG}desc") or "")


def test_same_bytes(north: YearAlmanac, full: Catalogue) -> None:
    """Drawing twice gives the same bytes, whatever the order of the stars to learn."""
    season = sky_of(full, 200)
    one = season_chart(season, full, north.site, [VEGA, CAPELLA], WORDS)
    assert one == season_chart(season, full, north.site, {CAPELLA, VEGA}, WORDS)


def test_no_name_turns_on_a_last_bit(north: YearAlmanac, full: Catalogue) -> None:
    """A sky whose last digits differ, as another processor computes it, is the same chart."""
    rng = np.random.default_rng(3)
    for turn_deg in range(0, 360, 24):
        sky = sky_of(full, turn_deg)
        other = replace(
            sky,
            star_altitude_deg=sky.star_altitude_deg
            * (1 + 3e-15 * rng.standard_normal(len(full.stars))),
            star_azimuth_deg=sky.star_azimuth_deg
            * (1 + 3e-15 * rng.standard_normal(len(full.stars))),
        )
        charts = [
            season_chart(one, full, north.site, {CAPELLA, VEGA}, WORDS) for one in (sky, other)
        ]
        assert charts[0] == charts[1]
