"""The drawing of a night: geometry, scale, words, and skies at their edges."""

import re
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, timedelta
from itertools import combinations, pairwise
from xml.etree import ElementTree

import numpy as np
import pytest
from msgspec.structs import replace

from almanac.publish.charts.drawing import EM_WIDTH, LIGHT, TEXT, WIDTH, ink
from almanac.publish.charts.labels import Box
from almanac.publish.charts.night import night_chart
from almanac.publish.charts.night_scale import (
    DEGREE,
    FLOOR,
    HEIGHT,
    LEFT,
    RIGHT,
    TOP,
    NightScale,
    night_scale,
)
from almanac.publish.wording import Wording
from almanac.records.track import Track
from almanac.records.year import Night, Transit, Window, YearAlmanac

SVG = "{http://www.w3.org/2000/svg}"
PIXEL_ERROR = 0.3
"""Units between the drawn path and the true one, demanded at every latitude."""
Text = tuple[str, Box]
SHARES = {"start": 0.0, "middle": 0.5, "end": 1.0}


def words_of(almanac: YearAlmanac) -> Wording:
    """English at the site."""
    return Wording("en", almanac.site.timezone)


def drawn(almanac: YearAlmanac, day: date) -> ElementTree.Element:
    """The parsed drawing of the evening of a date."""
    night = next(n for n in almanac.nights if n.date == day)
    return ElementTree.fromstring(night_chart(almanac, night, words_of(almanac)))


def texts(root: ElementTree.Element) -> Iterator[Text]:
    """Each text with the room it may take (the widest system sans)."""
    for parent in root.iter():
        for node in parent.findall(f"{SVG}text"):
            content, x, y = node.text or "", float(node.get("x", "")), float(node.get("y", ""))
            if not node.get("dy"):  # y is that of its feet
                y -= 0.35 * TEXT
            anchor = node.get("text-anchor") or parent.get("text-anchor") or "start"
            width = EM_WIDTH * TEXT * len(content)
            left = x - width * SHARES[anchor]
            yield content, Box(left, y - TEXT / 2, left + width, y + TEXT / 2)


def within(box: Box, frame: Box) -> bool:
    """Whether a box lies in a frame."""
    wide = frame.left <= box.left and box.right <= frame.right
    return wide and frame.top <= box.top and box.bottom <= frame.bottom


def points(path: str) -> np.ndarray:
    """The points of the first part of a relative path of tenths, in units."""
    first = re.split(r"[MmVHz]", path[1:])[0]
    start, steps = first.split("l")
    numbers = [int(n) for n in re.findall(r"-?\d+", start) + re.findall(r"-?\d+", steps)]
    return np.cumsum(np.array(numbers).reshape(-1, 2), axis=0) / 10


def moon_paths(root: ElementTree.Element) -> list[ElementTree.Element]:
    """The Moon's line: thin first, then one thick line a window."""
    return [p for p in root.iter(f"{SVG}path") if p.get("stroke") == ink("moon")]


@pytest.fixture(scope="module", params=["north", "south", "polar"])
def charts(request: pytest.FixtureRequest) -> tuple[Wording, list[tuple[Night, list[Text]]]]:
    """Every second night of a year with the texts on its drawing."""
    almanac: YearAlmanac = request.getfixturevalue(request.param)
    words, scale = words_of(almanac), night_scale(almanac)
    roots = (
        (night, ElementTree.fromstring(night_chart(almanac, night, words, scale)))
        for night in almanac.nights[::2]
    )
    return words, [(night, list(texts(root))) for night, root in roots]


@pytest.fixture(scope="module")
def two_windows(north: YearAlmanac) -> YearAlmanac:
    """A year whose first night with a long window has it cut in two."""
    night = next(n for n in north.nights if n.windows and length_h(n.windows[0]) > 5)
    (window, *_) = night.windows
    third = (window.end_utc - window.start_utc) / 3
    first = replace(window, end_utc=window.start_utc + third, best_utc=window.start_utc + third)
    start = window.end_utc - third
    second = replace(window, start_utc=start, best_utc=start, calibration=None)
    return replace(north, nights=(replace(night, windows=(first, second)),))


def length_h(window: Window) -> float:
    """Length of a window in hours."""
    return (window.end_utc - window.start_utc) / timedelta(hours=1)


def circling(
    almanac: YearAlmanac, latitude_deg: float, declination_deg: float
) -> tuple[YearAlmanac, Callable[[np.ndarray], np.ndarray]]:
    """A night with the Moon on a parallel of declination, and its height in closed form."""
    night = almanac.nights[10]
    middle_s = night.start_utc.timestamp() + 12 * 3600 + 137.0
    lat, dec = np.radians(latitude_deg), np.radians(declination_deg)

    def height_deg(utc_s: np.ndarray) -> np.ndarray:
        angle = np.radians(14.5 / 3600 * (utc_s - middle_s))
        sine = np.sin(lat) * np.sin(dec) + np.cos(lat) * np.cos(dec) * np.cos(angle)
        return np.degrees(np.arcsin(sine))

    utc_s = night.start_utc.timestamp() + 300.0 * np.arange(289)
    angle = np.radians(14.5 / 3600 * (utc_s - middle_s))
    north = np.sin(dec) * np.cos(lat) - np.cos(dec) * np.sin(lat) * np.cos(angle)
    azimuth = np.degrees(np.arctan2(-np.cos(dec) * np.sin(angle), north)) % 360
    flat = np.zeros_like(utc_s)
    track = Track(utc_s, height_deg(utc_s), azimuth, flat, flat - 30)
    transit = Transit(
        datetime.fromtimestamp(middle_s, UTC), 90 - abs(latitude_deg - declination_deg)
    )
    moon = replace(night.moon, rises_utc=(), sets_utc=(), transits=(transit,))
    nights = (replace(night, moon=moon, windows=()),)
    return replace(almanac, nights=nights, track=track), height_deg


class TestGeometry:
    """What is drawn where."""

    @pytest.mark.parametrize(
        ("latitude_deg", "declination_deg"),
        [(5, 5 - miss) for miss in (0.01, 0.1, 0.3, 0.6, 1.0, 2.0, 5.0)]
        + [(-20, -23), (40, 28), (40, 0), (40, -28), (69, 28), (69, 0), (89, 20)],
    )
    def test_path_error(
        self, north: YearAlmanac, latitude_deg: float, declination_deg: float
    ) -> None:
        """The Moon's line stays within a third of a unit of the sky, near the zenith too."""
        almanac, height_deg = circling(north, latitude_deg, declination_deg)
        (night,), scale = almanac.nights, night_scale(almanac)
        line = points(moon_paths(drawn(almanac, night.date))[0].get("d", ""))
        x = np.linspace(line[0, 0], line[-1, 0], 6001)
        start_s = night.start_utc.timestamp() + scale.first_s
        utc_s = start_s + (x - LEFT) / (RIGHT - LEFT) * scale.span_s
        true = np.stack((x, FLOOR - DEGREE * height_deg(utc_s)), axis=1)
        assert max_distance(true, line) <= PIXEL_ERROR

    def test_window_ends(self, north: YearAlmanac) -> None:
        """The thick line begins and ends at the window's instants, at the Moon's height then."""
        for night in [n for n in north.nights if n.windows][::40]:
            scale = night_scale(north)
            line = points(moon_paths(drawn(north, night.date))[1].get("d", ""))
            for (x, y), instant in zip(
                line[[0, -1]], (night.windows[0].start_utc, night.windows[0].end_utc), strict=True
            ):
                assert x == pytest.approx(axis_x(scale, night, instant), abs=0.06)
                height = np.interp(
                    instant.timestamp(), north.track.utc_s, north.track.moon_altitude_deg
                )
                assert y == pytest.approx(FLOOR - DEGREE * height, abs=PIXEL_ERROR)

    def test_hop(self, north: YearAlmanac) -> None:
        """The arrow starts at the star's height and its head is just short of the Moon's line."""
        night = next(
            n
            for n in north.nights
            if n.windows
            and n.windows[0].calibration
            and abs(n.windows[0].calibration.chosen.hop_altitude_deg) > 15
        )
        root = drawn(north, night.date)
        star = next(g for g in root.iter(f"{SVG}g") if g.get("stroke") == ink("star"))
        dashes, arrow = star.findall(f"{SVG}path")
        assert dashes.get("stroke-dasharray")
        x, y, tip = map(float, re.findall(r"[-\d.]+", arrow.get("d", ""))[:3])
        end = [float(n) for n in re.findall(r"[\d.]+", dashes.get("d", ""))[-2:]]
        assert [x, y] == pytest.approx(end)
        thick = points(moon_paths(root)[1].get("d", ""))
        moon_y = np.interp(x, thick[:, 0], thick[:, 1])
        assert abs(tip - moon_y) == pytest.approx(6, abs=0.6)
        assert np.sign(tip - y) == np.sign(moon_y - y)

    def test_ground(self, north: YearAlmanac) -> None:
        """The ground is as high as the horizon under the Moon, and never below level."""
        night = north.nights[40]
        root = drawn(north, night.date)
        ground = next(p for p in root.iter(f"{SVG}path") if p.get("fill") == ink("ground"))
        line, scale = points(ground.get("d", "")), night_scale(north)
        start_s = night.start_utc.timestamp() + scale.first_s
        for x in np.linspace(LEFT + 5, RIGHT - 5, 50):
            utc_s = start_s + (x - LEFT) / (RIGHT - LEFT) * scale.span_s
            true = np.interp(utc_s, north.track.utc_s, north.track.ground_deg)
            drawn_y = np.interp(x, line[:, 0], line[:, 1])
            assert drawn_y == pytest.approx(FLOOR - DEGREE * max(true, 0), abs=PIXEL_ERROR)


def max_distance(true: np.ndarray, line: np.ndarray) -> float:
    """The largest distance from a point of the true curve to the drawn polyline."""
    a, step = line[:-1], np.diff(line, axis=0)
    worst = 0.0
    for part in np.array_split(true, max(1, len(true) // 500)):
        offset = part[:, None, :] - a[None]
        along = np.clip((offset * step).sum(-1) / (step**2).sum(-1), 0, 1)
        gap = np.hypot(*np.moveaxis(offset - along[..., None] * step, -1, 0))
        worst = max(worst, float(gap.min(axis=1).max()))
    return worst


def axis_x(scale: NightScale, night: Night, instant: datetime) -> float:
    """Units across of an instant."""
    into_s = instant.timestamp() - night.start_utc.timestamp() - scale.first_s
    return LEFT + into_s / scale.span_s * (RIGHT - LEFT)


class TestWords:
    """Labels and text alternatives."""

    def test_no_overlap(self, charts: tuple[Wording, list[tuple[Night, list[Text]]]]) -> None:
        """On no night do two texts meet or leave the drawing, and each file is well formed."""
        for night, found in charts[1]:
            for (one, box), (other, other_box) in combinations(found, 2):
                assert not box.meets(other_box), (night.date, one, other)
            for content, box in found:
                assert within(box, Box(0, 0, WIDTH, HEIGHT)), (night.date, content)

    def test_times_are_written(
        self, charts: tuple[Wording, list[tuple[Night, list[Text]]]]
    ) -> None:
        """Every window's times and star stand on the drawing: no label is ever dropped."""
        words, nights = charts
        for night, found in nights:
            written = " ".join(content for content, _ in found)
            for window in night.windows:
                assert words.clock(window.start_utc) in written, night.date
                assert words.clock(window.end_utc) in written, night.date
                assert words.degrees(window.altitude_deg) in written, night.date
                if window.calibration:
                    assert window.calibration.chosen.star in written, night.date

    def test_text_alternative(self, north: YearAlmanac) -> None:
        """Title and description name the date, the times, the height and the star."""
        night = next(n for n in north.nights if n.windows and n.windows[0].calibration)
        root, words = drawn(north, night.date), words_of(north)
        title, desc = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
        assert title is not None
        assert desc is not None
        assert root.get("role") == "img"
        assert root.get("aria-labelledby") == f"{title.get('id')} {desc.get('id')}"
        assert words.date(night.date) in (title.text or "")
        window = night.windows[0]
        assert window.calibration
        for part in (
            words.clock(window.start_utc),
            words.clock(window.end_utc),
            words.degrees(window.altitude_deg),
            window.calibration.chosen.star,
        ):
            assert part in (desc.text or "")

    def test_hostile_name(self, north: YearAlmanac) -> None:
        """A name with markup in it comes out as text."""
        night = next(n for n in north.nights if n.windows and n.windows[0].calibration)
        window = night.windows[0]
        assert window.calibration
        star = replace(window.calibration.chosen, star='<b>&"')
        changed = replace(window, calibration=replace(window.calibration, chosen=star))
        chart = night_chart(north, replace(night, windows=(changed,)), words_of(north))
        root = ElementTree.fromstring(chart)
        assert not list(root.iter(f"{SVG}b"))
        assert any('<b>&"' in content for content, _ in texts(root))


class TestScale:
    """One scale for all nights of a site-year."""

    def test_same_scale(self, north: YearAlmanac) -> None:
        """An hour is as wide, and a degree as high, on every night."""
        scale = night_scale(north)
        assert scale.first_s % 3600 == 0
        assert scale.span_s % 3600 == 0
        for night in north.nights:
            for instant in (night.sun.set_utc, night.sun.rise_utc):
                assert instant
                assert LEFT + 20 < axis_x(scale, night, instant) < RIGHT - 20

    @pytest.mark.parametrize(("day", "jump"), [(date(2027, 3, 27), 1), (date(2027, 10, 30), -1)])
    def test_clock_change(self, north: YearAlmanac, day: date, jump: int) -> None:
        """On a night of a clock change the hours along the bottom jump with the clock."""
        labels = bottom_hours(drawn(north, day))
        steps = {(b - a) % 24 for a, b in pairwise(labels)}
        usual = bottom_hours(drawn(north, day - timedelta(days=3)))
        (step,) = {(b - a) % 24 for a, b in pairwise(usual)}
        assert steps == {step, step + jump}

    def test_half_hour_change(self, north: YearAlmanac) -> None:
        """Marks stand at whole local hours where the clock changes by half an hour."""
        words = Wording("en", "Australia/Lord_Howe")
        day = date(2027, 4, 3)
        noon = datetime(2027, 4, 3, 1, tzinfo=UTC)
        assert words.local(noon).hour == 12
        night = replace(north.nights[92], date=day, start_utc=noon, windows=())
        scale = night_scale(north)
        root = ElementTree.fromstring(night_chart(north, night, words, scale))
        ticks = [p for p in root.iter(f"{SVG}path") if p.get("stroke") == ink("quiet")][-1]
        for x in re.findall(r"M([\d.]+) ", ticks.get("d", ""))[1:-1]:
            into_s = scale.first_s + (float(x) - LEFT) / (RIGHT - LEFT) * scale.span_s
            minute = words.local(noon + timedelta(seconds=round(into_s, -1))).minute
            assert minute in (0, 1, 59), x

    def test_polar(self, polar: YearAlmanac) -> None:
        """Noon to noon where the Sun stays down; midsummer has no dark tone, midwinter no day."""
        assert night_scale(polar).span_s == 24 * 3600
        summer, winter = drawn(polar, date(2027, 6, 21)), drawn(polar, date(2027, 12, 21))
        fills = {p.get("fill") for p in summer.iter(f"{SVG}path")}
        assert not fills & {ink("sky-civil"), ink("sky-night")}
        civil = next(p for p in winter.iter(f"{SVG}path") if p.get("fill") == ink("sky-civil"))
        assert civil.get("d") == f"M{LEFT}.0 {TOP}H{RIGHT}.0V{FLOOR}H{LEFT}.0z"


def bottom_hours(root: ElementTree.Element) -> list[int]:
    """The figures along the bottom."""
    return [int(content) for content, box in texts(root) if box.top > FLOOR]


class TestEdges:
    """Nights unlike most."""

    def test_two_windows(self, two_windows: YearAlmanac) -> None:
        """Two windows make two thick lines, and each has its times."""
        (night,), words = two_windows.nights, words_of(two_windows)
        root = drawn(two_windows, night.date)
        assert len(moon_paths(root)) == 3
        written = " ".join(content for content, _ in texts(root))
        for window in night.windows:
            assert words.clock(window.start_utc) in written
            assert words.clock(window.end_utc) in written

    def test_no_window(self, north: YearAlmanac) -> None:
        """A night without a window has no thick line and says so to those who do not see it."""
        night = next(n for n in north.nights if not n.windows)
        root = drawn(north, night.date)
        assert len(moon_paths(root)) <= 1
        assert "cannot be used" in (root.findtext(f"{SVG}desc") or "")

    def test_no_horizon(self, north: YearAlmanac) -> None:
        """A flat horizon is a strip of ground under the whole night."""
        track = replace(north.track, ground_deg=np.full_like(north.track.ground_deg, -2.0))
        root = drawn(replace(north, track=track), north.nights[50].date)
        ground = next(p for p in root.iter(f"{SVG}path") if p.get("fill") == ink("ground"))
        assert set(points(ground.get("d", ""))[:, 1]) == {FLOOR}

    def test_same_bytes(self, north: YearAlmanac) -> None:
        """Drawing twice, with or without a shared scale, gives the same bytes."""
        words, scale = words_of(north), night_scale(north)
        for night in north.nights[::60]:
            once = night_chart(north, night, words)
            assert once == night_chart(north, night, words, scale)
            assert once == night_chart(north, night, words, scale)

    def test_small(self, north: YearAlmanac) -> None:
        """A chart takes about 5 kB, no more than a quarter of a plotting library's 23 kB."""
        words, scale = words_of(north), night_scale(north)
        sizes = [len(night_chart(north, night, words, scale)) for night in north.nights[::7]]
        assert sum(sizes) / len(sizes) < 5700

    def test_own_ids(self, north: YearAlmanac) -> None:
        """Two charts on a page share no id when they are given different names."""
        night, words = north.nights[0], words_of(north)
        ids = [
            node.get("id")
            for name in ("a", "b")
            for node in ElementTree.fromstring(night_chart(north, night, words, name=name)).iter()
            if node.get("id")
        ]
        assert len(ids) == len(set(ids)) == 4

    def test_inks(self, north: YearAlmanac) -> None:
        """Every colour is an ink of the site, none is fixed."""
        chart = str(night_chart(north, north.nights[20], words_of(north)))
        bare = re.sub(r"var\(--[a-z-]+,[^)]*\)", "", chart)
        assert not re.search(r"#[0-9A-Fa-f]{3,6}", bare)
        used = set(re.findall(r"var\(--([a-z-]+),#", chart))
        assert used <= set(LIGHT)
