"""The Moon's disc: which part is lit, which way is up, how large."""

import math
import re
from collections.abc import Iterator
from datetime import datetime
from xml.etree import ElementTree

import ephem
import numpy as np
import pytest
from msgspec.structs import replace

from almanac.publish.charts.moon_disc import (
    LARGEST_DIAMETER_ARCMIN,
    MEAN_DIAMETER_ARCMIN,
    bright_limb_from_zenith_deg,
    feature_map,
    lit_path,
    map_place,
    moon_disc,
    moon_text,
    tiny_moon_disc,
)
from almanac.publish.charts.moon_disc import (
    RADIUS as MEAN_RADIUS,
)
from almanac.publish.charts.moon_names import TEXT_SIZE, broken, crossings, named, spread
from almanac.publish.wording import Wording
from almanac.records.globe import LitFeature
from almanac.records.year import MoonNight, YearAlmanac

RADIUS = 100.0
WORDS = Wording("en", "UTC")
ARC = re.compile(r"A([\d.]+) ([\d.]+) ([-\d.]+) 0 ([01]) ([-\d.]+) ([-\d.]+)")


def half_ellipse(start: np.ndarray, end: np.ndarray, short: float, clockwise: bool) -> np.ndarray:
    """Points of the half of an ellipse whose one axis is the chord (y downward)."""
    middle, along = (start + end) / 2, (end - start) / 2
    across = np.array([along[1], -along[0]]) / np.hypot(*along)
    bulge = across * short * (1 if clockwise else -1)
    angle = np.linspace(0, math.pi, 181)[:, None]
    return middle - np.cos(angle) * along + np.sin(angle) * bulge


def outline(path: str) -> np.ndarray:
    """The corner points of a lit part, its arcs cut into small steps."""
    start = np.array(re.match(r"M([-\d.]+) ([-\d.]+)", path).groups(), float)  # type: ignore[union-attr]
    parts = []
    for _, short, _, sweep, x, y in ARC.findall(path):
        end = np.array([x, y], float)
        parts.append(half_ellipse(start, end, float(short), sweep == "1"))
        start = end
    return np.concatenate(parts)


def inside(polygon: np.ndarray, x: float, y: float) -> bool:
    """Whether a point lies in a polygon, by counting crossings."""
    (x0, y0), (x1, y1) = polygon.T, np.roll(polygon, -1, axis=0).T
    spans = (y0 > y) != (y1 > y)
    with np.errstate(divide="ignore", invalid="ignore"):
        left = x < x0 + (y - y0) * (x1 - x0) / (y1 - y0)
    return bool(np.count_nonzero(spans & left) % 2)


def sphere_is_lit(x: float, y: float, phase_deg: float, limb_deg: float) -> bool:
    """Whether sunlight falls on the point of a sphere seen at (right, down) of a unit disc."""
    toward = math.sqrt(1 - x * x - y * y)
    phase, limb = math.radians(phase_deg), math.radians(limb_deg)
    sun_left, sun_up = math.sin(phase) * math.sin(limb), math.sin(phase) * math.cos(limb)
    return -x * sun_left - y * sun_up + toward * math.cos(phase) > 0


def disc_points() -> Iterator[tuple[float, float]]:
    """Points spread over a unit disc, none quite at its edge."""
    for i in range(400):
        r, angle = 0.985 * math.sqrt((i + 0.5) / 400), i * 2.399963
        yield r * math.cos(angle), r * math.sin(angle)


@pytest.mark.parametrize("limb_deg", [0, 37, 90, 180, 222, 270, 315])
@pytest.mark.parametrize("phase_deg", [5, 45, 89, 91, 135, 170])
def test_lit_part(phase_deg: float, limb_deg: float) -> None:
    """A point of the disc is inside the lit outline exactly where a lit sphere has sunlight."""
    polygon = outline(lit_path(phase_deg, limb_deg, RADIUS))
    wrong = 0
    for x, y in disc_points():
        lit = sphere_is_lit(x, y, phase_deg, limb_deg)
        near_terminator = any(
            sphere_is_lit(x + dx, y + dy, phase_deg, limb_deg) != lit
            for dx, dy in ((0.012, 0), (-0.012, 0), (0, 0.012), (0, -0.012))
            if math.hypot(x + dx, y + dy) < 1
        )
        if not near_terminator:
            wrong += inside(polygon, RADIUS * x, RADIUS * y) != lit
    assert wrong == 0


@pytest.mark.parametrize("fraction", [0.03, 0.25, 0.5, 0.75, 0.97])
def test_lit_area(fraction: float) -> None:
    """The lit outline encloses the lit fraction of the disc."""
    phase_deg = math.degrees(math.acos(2 * fraction - 1))
    x, y = outline(lit_path(phase_deg, 70, RADIUS)).T
    area = abs(np.dot(x, np.roll(y, 1)) - np.dot(y, np.roll(x, 1))) / 2
    assert area / (math.pi * RADIUS**2) == pytest.approx(fraction, abs=0.002)


@pytest.mark.parametrize(
    ("latitude", "instant", "side"),
    [
        ("51.4", datetime(2027, 2, 13, 18), "right"),  # waxing, evening, north
        ("51.4", datetime(2027, 2, 28, 6), "left"),  # waning, morning, north
        ("-34.9", datetime(2027, 2, 13, 10), "left"),  # waxing, evening, south
        ("-34.9", datetime(2027, 2, 27, 19), "right"),  # waning, morning, south
    ],
)
def test_way_up(north: YearAlmanac, latitude: str, instant: datetime, side: str) -> None:
    """The lit side faces the Sun as the sky shows it: checked with ephem's own altitudes."""
    observer = ephem.Observer()
    observer.lat, observer.lon, observer.pressure = latitude, "0" if latitude > "0" else "138.6", 0
    observer.date = instant
    moon, sun = ephem.Moon(observer), ephem.Sun(observer)
    bearing = _bearing_deg(moon.az, moon.alt, sun.az, sun.alt)  # to the right of up
    record = replace(
        north.nights[0].moon,
        bright_limb_position_angle_deg=_bearing_deg(moon.ra, moon.dec, sun.ra, sun.dec),
        zenith_position_angle_deg=_parallactic_deg(observer, moon),
    )
    found = bright_limb_from_zenith_deg(record)
    assert (found + bearing + 180) % 360 - 180 == pytest.approx(0, abs=0.5)
    assert side in moon_text(replace(record, illuminated_fraction=0.4), WORDS)


def _bearing_deg(lon0: float, lat0: float, lon1: float, lat1: float) -> float:
    """Direction at the first point to the second, from the pole toward growing longitude."""
    across = math.cos(lat1) * math.sin(lon1 - lon0)
    up = math.sin(lat1) * math.cos(lat0) - math.cos(lat1) * math.sin(lat0) * math.cos(lon1 - lon0)
    return math.degrees(math.atan2(across, up))


def _parallactic_deg(observer: ephem.Observer, moon: ephem.Moon) -> float:
    """Position angle of the zenith at the Moon (Meeus, Astronomical Algorithms, eq. 14.1)."""
    hour_angle = observer.sidereal_time() - moon.ra
    down = math.tan(observer.lat) * math.cos(moon.dec) - math.sin(moon.dec) * math.cos(hour_angle)
    return math.degrees(math.atan2(math.sin(hour_angle), down))


def test_scale(north: YearAlmanac) -> None:
    """Discs grow with the Moon's angular diameter on one scale, and the largest has room."""
    moon = north.nights[0].moon
    for diameter_arcmin in (29.3, MEAN_DIAMETER_ARCMIN, LARGEST_DIAMETER_ARCMIN):
        svg = moon_disc(replace(moon, angular_diameter_arcmin=diameter_arcmin), WORDS)
        root = ElementTree.fromstring(svg)
        circle = root.find("{http://www.w3.org/2000/svg}circle")
        assert circle is not None
        radius = float(circle.get("r", ""))
        assert radius == pytest.approx(
            MEAN_RADIUS * diameter_arcmin / MEAN_DIAMETER_ARCMIN, abs=0.05
        )
        left, top, width, height = map(float, root.get("viewBox", "").split())
        assert (left, top) == (-width / 2, -height / 2)
        assert radius < width / 2


def test_text_alternative(north: YearAlmanac) -> None:
    """The disc in words: shape, lit fraction and side; no side for a full or a new Moon."""
    moon = replace(
        north.nights[0].moon,
        illuminated_fraction=0.63,
        waxing=True,
        bright_limb_position_angle_deg=250.0,
        zenith_position_angle_deg=20.0,
    )
    label = ElementTree.fromstring(moon_disc(moon, WORDS)).get("aria-label")
    assert label == "Waxing gibbous, 63% lit, lit side on the right and below"
    assert "side" not in moon_text(replace(moon, illuminated_fraction=0.999), WORDS)
    assert "side" not in moon_text(replace(moon, illuminated_fraction=0.001), WORDS)


def test_tiny(north: YearAlmanac) -> None:
    """The disc of a table cell is small, carries no id and no text of its own."""
    moons: list[MoonNight] = [night.moon for night in north.nights]
    for moon in moons[:30]:
        disc = tiny_moon_disc(moon)
        root = ElementTree.fromstring(disc)
        assert root.get("aria-hidden") == "true"
        assert not [node for node in root.iter() if node.get("id")]
        assert len(disc) < 200


def lit_feature(name: str, right: float, up: float) -> LitFeature:
    """A feature at a place of the disc."""
    return LitFeature(name, "crater", 0.0, 0.0, 3.0, "morning", 0.0, right, up)


@pytest.mark.parametrize("seed", range(40))
def test_names_stand_apart_and_inside(seed: int) -> None:
    """Eight names near any terminator: none overlaps, leaves the drawing or hides the disc."""
    random = np.random.default_rng(seed)
    long = ("Promontorium Heraclides", "Statio Tranquillitatis", "Longomontanus", "Plato")
    angle, width = random.uniform(0, 2 * math.pi), random.uniform(-0.9, 0.9)
    places = []
    for _ in range(8):
        along = random.uniform(-0.95, 0.95)
        across = width * math.sqrt(1 - along**2) + random.uniform(-0.03, 0.03)
        turn = np.exp(1j * angle) * complex(across, along)
        places.append(turn if abs(turn) < 0.98 else turn * 0.98 / abs(turn))
    features = [lit_feature(long[i % 4], p.real, p.imag) for i, p in enumerate(places)]
    names = named(features, 125.0, 281.0, 139.0)
    assert sorted(" ".join(n.lines) for n in names) == sorted(f.name for f in features)
    for i, one in enumerate(names):
        assert max(-one.box.left, one.box.right) <= 281
        assert max(-one.box.top, one.box.bottom) <= 139.01
        assert not any(
            one.box.left < other.box.right - 0.01
            and other.box.left < one.box.right - 0.01
            and one.box.top < other.box.bottom - 0.01
            and other.box.top < one.box.bottom - 0.01
            for other in names[:i]
        )
        nearest = one.box.nearest(0.0, 0.0)
        assert math.hypot(*nearest) > 125 - 2 * TEXT_SIZE, "hides more than the rim"
    sides = ([n for n in names if n.x < 0], [n for n in names if n.x > 0])
    assert sum(map(crossings, sides)) == 0


def test_spread_moves_only_what_is_too_near() -> None:
    """Names apart stay where they are; names together part; none passes the limit."""
    assert spread([-50.0, 50.0], [20.0, 20.0], 100.0) == [-50.0, 50.0]
    assert spread([0.0, 5.0], [20.0, 20.0], 100.0) == [0.0, 20.0]
    assert spread([95.0, 99.0], [20.0, 20.0], 100.0) == [70.0, 90.0]


def test_long_names_break_between_words() -> None:
    """Short ones and single words stay in one line."""
    assert broken("Mare Fecunditatis") == ("Mare", "Fecunditatis")
    assert broken("Longomontanus") == ("Longomontanus",)
    assert broken("Sinus Iridum") == ("Sinus Iridum",)


def test_a_feature_is_marked_where_it_stands(north: YearAlmanac) -> None:
    """Right and up of the record are right and up of the drawing, in the Moon's radii."""
    moon = replace(north.nights[0].moon, angular_diameter_arcmin=MEAN_DIAMETER_ARCMIN)
    svg = moon_disc(moon, WORDS, [lit_feature("Plato", -0.4, 0.7)])
    dot = [n for n in ElementTree.fromstring(svg).iter() if n.get("cx")]
    assert [(n.get("cx"), n.get("cy")) for n in dot] == [("-50.0", "-87.5")]
    assert "Marked: Plato (upper left)" in svg


@pytest.mark.parametrize(
    ("latitude_deg", "longitude_deg", "place"),
    [(0, 0, (0, 0)), (0, 90, (1, 0)), (90, 0, (0, 1)), (0, -30, (-0.5, 0)), (-20, -95, None)],
)
def test_the_map_has_north_up_and_east_right(
    latitude_deg: float, longitude_deg: float, place: tuple[float, float] | None
) -> None:
    """As the Moon is seen from the north; beyond the mean limb the mark stays on it."""
    right, up = map_place(latitude_deg, longitude_deg)
    if place is None:
        assert math.hypot(right, up) == pytest.approx(1.0)
    else:
        assert (right, up) == pytest.approx(place, abs=1e-9)
    assert ElementTree.fromstring(feature_map(latitude_deg, longitude_deg, "A & B")).get("role")
