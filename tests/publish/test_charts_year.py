"""The drawing of a year: its tones, its lines, its clock."""

import base64
import re
import struct
import zlib
from datetime import datetime, timedelta
from itertools import combinations, pairwise
from xml.etree import ElementTree

import numpy as np
import pytest
from msgspec.structs import replace

from almanac.publish.charts.drawing import EM_WIDTH, TEXT, WIDTH, ink
from almanac.publish.charts.labels import Box
from almanac.publish.charts.night_scale import axis_hours
from almanac.publish.charts.tone import png
from almanac.publish.charts.year import HEIGHT, UP, year_chart
from almanac.publish.charts.year_grid import FLOOR, LEFT, RIGHT, TALL
from almanac.publish.wording import Wording
from almanac.records.year import YearAlmanac

SVG = "{http://www.w3.org/2000/svg}"
SHARES = {"start": 0.0, "middle": 0.5, "end": 1.0}


def drawn(almanac: YearAlmanac) -> ElementTree.Element:
    """The parsed drawing."""
    return ElementTree.fromstring(year_chart(almanac, Wording("en", almanac.site.timezone)))


def pixels(data: bytes) -> np.ndarray:
    """The tones 0 to 1 of a four-bit grey PNG, read without the code that wrote it."""
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    place, body, size = 8, b"", (0, 0)
    while place < len(data):
        (length,) = struct.unpack(">I", data[place : place + 4])
        kind, chunk = data[place + 4 : place + 8], data[place + 8 : place + 8 + length]
        (checksum,) = struct.unpack(">I", data[place + 8 + length : place + 12 + length])
        assert checksum == zlib.crc32(kind + chunk)
        if kind == b"IHDR":
            width, height, depth, colour, *rest = struct.unpack(">IIBBBBB", chunk)
            assert (depth, colour, rest) == (4, 0, [0, 0, 0])
            size = height, width
        body += chunk if kind == b"IDAT" else b""
        place += 12 + length
    rows = np.frombuffer(zlib.decompress(body), np.uint8).reshape(size[0], -1)
    assert not rows[:, 0].any()
    nibbles = np.stack((rows[:, 1:] >> 4, rows[:, 1:] & 15), axis=2).reshape(size[0], -1)
    return nibbles[:, : size[1]] / 15


def tones(root: ElementTree.Element) -> list[np.ndarray]:
    """Darkness and moonlight."""
    uris = [image.get("href", "") for image in root.iter(f"{SVG}image")]
    return [pixels(base64.b64decode(uri.removeprefix("data:image/png;base64,"))) for uri in uris]


def row_of(hours: tuple[int, int], rows: int, local: datetime) -> int:
    """The row of a tone picture for a wall-clock time, given as local without zone."""
    first_h, last_h = hours
    noon = local.replace(hour=12, minute=0) - timedelta(days=local.hour < 12)
    wall_h = (local - noon) / timedelta(hours=1)
    return int((last_h - wall_h) / (last_h - first_h) * rows)


@pytest.mark.parametrize("site", ["north", "south", "polar"])
def test_tones(site: str, request: pytest.FixtureRequest) -> None:
    """Each column is one night: dark when the Sun is low, lightest where the Moon can be used."""
    almanac: YearAlmanac = request.getfixturevalue(site)
    words = Wording("en", almanac.site.timezone)
    darkness, moonlight = tones(drawn(almanac))
    assert darkness.shape[1] == moonlight.shape[1] == len(almanac.nights)
    track, (first_h, last_h) = almanac.track, axis_hours(almanac.nights)
    for column, night in list(enumerate(almanac.nights))[::5]:
        for window in night.windows:
            middle = window.start_utc + (window.end_utc - window.start_utc) / 2
            local = words.local(middle).replace(tzinfo=None)
            assert moonlight[row_of((first_h, last_h), len(moonlight), local), column] > 2 * UP
        for hour in range(first_h + 1, last_h - 1, 2):
            instant = night.start_utc + timedelta(hours=hour)
            sun = np.interp(instant.timestamp(), track.utc_s, track.sun_altitude_deg)
            local = words.local(instant).replace(tzinfo=None)
            tone = darkness[row_of((first_h, last_h), len(darkness), local), column]
            # A row is six minutes, a sample five: the Sun moves by up to 1.5 degrees.
            assert tone == pytest.approx(np.clip((-0.833 - sun) / 17.167, 0, 1), abs=0.13)


def lines(root: ElementTree.Element, ink_name: str) -> list[np.ndarray]:
    """The parts of the path of an ink, in units."""
    path = next(p for p in root.iter(f"{SVG}path") if p.get("stroke") == ink(ink_name))
    parts = [p for p in path.get("d", "").split("M") if p]
    numbers = [np.array(re.findall(r"-?\d+", part.replace("h0", "")), int) for part in parts]
    return [np.cumsum(n.reshape(-1, 2), axis=0) / 10 for n in numbers]


def test_clock_change(north: YearAlmanac) -> None:
    """Sunset and sunrise step by an hour where the clock changes, and nowhere else.

    Night 86 begins on 28 March, night 303 on 31 October; the clock changes on both mornings.
    """
    sunset, sunrise = lines(drawn(north), "ink")
    first_h, last_h = axis_hours(north.nights)
    hour = TALL / (last_h - first_h)
    for line, spring, autumn in ((sunset, 85, 302), (sunrise, 84, 301)):
        assert len(line) == len(north.nights)
        jumps = np.flatnonzero(abs(np.diff(line[:, 1])) > hour / 2)
        assert jumps.tolist() == [spring, autumn]
        assert np.diff(line[:, 1])[jumps] == pytest.approx([-hour, hour], abs=hour / 6)


def test_sunset_place(north: YearAlmanac) -> None:
    """The sunset of a night stands over its date at its wall-clock hour."""
    words, (sunset, _) = Wording("en", "Europe/Paris"), lines(drawn(north), "ink")
    first_h, last_h = axis_hours(north.nights)
    for index in (0, 100, 200, 364):
        instant = north.nights[index].sun.set_utc
        assert instant
        local = words.local(instant)
        wall_h = local.hour + local.minute / 60 + local.second / 3600 - 12
        x = LEFT + (index + 0.5) * (RIGHT - LEFT) / len(north.nights)
        y = FLOOR - (wall_h - first_h) * TALL / (last_h - first_h)
        assert sunset[index] == pytest.approx((x, y), abs=0.06)


def test_moon_lines(north: YearAlmanac) -> None:
    """Moonrises climb from night to night: no line runs back or across the drawing."""
    for line in lines(drawn(north), "moonlight"):
        for (x0, y0), (x1, y1) in pairwise(line):
            assert x1 - x0 < 3 * (RIGHT - LEFT) / 365
            assert y1 < y0 + 25


def test_polar(polar: YearAlmanac) -> None:
    """Midsummer columns are day throughout, and the Sun's line has a gap there."""
    darkness, _ = tones(drawn(polar))
    assert not darkness[:, 172].any()
    assert darkness[:, 355].min() > 0
    assert len(lines(drawn(polar), "ink")) >= 4


def test_discs(north: YearAlmanac) -> None:
    """Every full and new Moon of the year has a disc over its night."""
    root = drawn(north)
    for kind, fill in (("full", "disc-lit"), ("new", "disc-dark")):
        expected = [
            LEFT
            + (p.at_utc - north.nights[0].start_utc).total_seconds()
            / 86400
            * (RIGHT - LEFT)
            / len(north.nights)
            for p in north.phases
            if p.kind == kind
        ]
        found = [
            float(c.get("cx", "")) for c in root.iter(f"{SVG}circle") if c.get("fill") == ink(fill)
        ]
        assert found == pytest.approx(expected, abs=0.06)


@pytest.mark.parametrize("site", ["north", "south", "polar"])
def test_texts(site: str, request: pytest.FixtureRequest) -> None:
    """No text overlaps another or leaves the drawing."""
    root = drawn(request.getfixturevalue(site))
    boxes = []
    for parent in root.iter():
        for node in parent.findall(f"{SVG}text"):
            anchor = node.get("text-anchor") or parent.get("text-anchor") or "start"
            width = EM_WIDTH * TEXT * len(node.text or "")
            left = float(node.get("x", "")) - width * SHARES[anchor]
            y = float(node.get("y", ""))
            boxes.append((node.text, Box(left, y - TEXT / 2, left + width, y + TEXT / 2)))
    for (one, box), (other, other_box) in combinations(boxes, 2):
        assert not box.meets(other_box), (one, other)
    for content, box in boxes:
        assert box.left >= 0, content
        assert box.right <= WIDTH, content
        assert box.top >= 0, content
        assert box.bottom <= HEIGHT, content


def test_no_window_at_all(north: YearAlmanac) -> None:
    """A year without a window is drawn, and its description counts none."""
    nights = tuple(replace(night, windows=()) for night in north.nights)
    root = drawn(replace(north, nights=nights))
    assert "0 nights" in (root.findtext(f"{SVG}desc") or "")
    assert tones(root)[1].max() <= UP + 0.04


def test_small_and_same(north: YearAlmanac) -> None:
    """The drawing is under 30 kB, and drawing twice gives the same bytes."""
    words = Wording("en", "Europe/Paris")
    chart = year_chart(north, words)
    assert len(chart) < 30_000
    assert chart == year_chart(north, words)


def test_png_shapes() -> None:
    """Odd and even widths come back as they went in, to a sixteenth."""
    for columns in (1, 2, 7, 8):
        tone = np.linspace(0, 1, 3 * columns).reshape(3, columns)
        assert pixels(png(tone)) == pytest.approx(tone, abs=1 / 30 + 1e-9)
