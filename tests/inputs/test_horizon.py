"""Horizon profiles from text files and from points."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from almanac.errors import ConfigError
from almanac.inputs import horizon
from almanac.inputs.horizon import inline_horizon, profile, read_horizon
from almanac.records.config import Horizon

POINT = "two numbers: azimuth_deg from 0 to 360, altitude_deg from -5 to 90"

azimuths = st.floats(0, 360)
altitudes = st.floats(-5, 90)


@pytest.fixture
def trees(tmp_path: Path) -> Path:
    """A file to write a profile into."""
    return tmp_path / "trees.txt"


def faults_of(path: Path) -> list[str]:
    """The faults of a profile file as lines, without its folder."""
    with pytest.raises(ConfigError) as caught:
        read_horizon(path)
    return [str(fault).removeprefix(f"{path.parent}/") for fault in caught.value.faults]


def test_a_file_may_be_written_in_several_ways(trees: Path) -> None:
    """Comments, blank lines, spaces, tabs, commas, semicolons and a byte-order mark are read."""
    trees.write_bytes(
        b"\xef\xbb\xbf# measured in May\r\n\r\n0 5\r\n 90.5,\t-1.25 # lake\r\n180;.5\n270\t+1e1"
    )
    found, source = read_horizon(trees)
    assert found == Horizon((0.0, 90.5, 180.0, 270.0), (5.0, -1.25, 0.5, 10.0))
    assert source == trees.read_bytes()


def test_any_order_is_sorted_by_azimuth() -> None:
    """The record's azimuths rise, in whatever order the points were measured."""
    assert profile([(200, 3), (10, 1), (90, 2)]) == Horizon((10, 90, 200), (1, 2, 3))


def test_a_vertical_step_keeps_its_order() -> None:
    """Two points of one azimuth are a wall: first the side met first."""
    assert profile([(90, 20), (90, 5), (10, 1)]) == Horizon((10, 90, 90), (1, 20, 5))
    assert profile([(90, 5), (90, 20), (10, 1)]) == Horizon((10, 90, 90), (1, 5, 20))


def test_full_circle_is_north_met_from_the_west() -> None:
    """360 becomes 0 and stands before the point given at 0, so that a wall at north is a wall."""
    assert profile([(0, 5), (180, 2), (360, 9)]) == Horizon((0, 0, 180), (9, 5, 2))


def test_a_closing_point_that_repeats_the_first_counts_once() -> None:
    """A round that ends where it began has no step at north."""
    assert profile([(0, 5), (180, 2), (360, 5)]) == Horizon((0, 180), (5, 2))


def test_every_wrong_line_is_a_fault(trees: Path) -> None:
    """Each line in error is named by file and line, with what would be right."""
    trees.write_text(
        "azimuth altitude\n0 5\n90\n90 5 7\n361 5\n10 91\n10 -6\nnan 5\n1_0 5\n12,5 8,5\n",
        encoding="utf-8",
    )
    assert faults_of(trees) == [
        f"trees.txt:1: point = 'azimuth': {POINT}",
        f"trees.txt:3: point = '90': {POINT}",
        f"trees.txt:4: point = '90 5 7': {POINT}",
        f"trees.txt:5: point = '361 5': {POINT}",
        f"trees.txt:6: point = '10 91': {POINT}",
        f"trees.txt:7: point = '10 -6': {POINT}",
        f"trees.txt:8: point = 'nan': {POINT}",
        f"trees.txt:9: point = '1_0': {POINT}",
        f"trees.txt:10: point = '12,5 8,5': {POINT}",
    ]


def test_of_a_file_that_is_no_profile_little_is_shown(trees: Path) -> None:
    """The first word that is no number, and no more of it than tells which."""
    trees.write_text("0 5 # mine\nmachine x login y password hunter2\n" + "k" * 70 + "\n")
    assert faults_of(trees) == [
        f"trees.txt:2: point = 'machine': {POINT}",
        f"trees.txt:3: point = '{'k' * 20}': {POINT}",
    ]


def test_a_file_without_points(trees: Path) -> None:
    """A profile needs a point; only comments are not enough."""
    trees.write_text("# nothing yet\n", encoding="utf-8")
    assert faults_of(trees) == ["trees.txt: file = 0 points: from 1 to 10000 points"]


def test_a_file_with_too_many_points(trees: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The number of points is bounded, in a file as in the config."""
    monkeypatch.setattr(horizon, "MOST_POINTS", 2)
    trees.write_text("0 1\n1 1\n2 1\n", encoding="utf-8")
    assert faults_of(trees) == ["trees.txt: file = 3 points: from 1 to 10000 points"]
    with pytest.raises(ConfigError, match="3 points"):
        inline_horizon([[0, 1], [1, 1], [2, 1]], "club.toml", "site[0].horizon")


def test_the_largest_profile_allowed_is_read(trees: Path) -> None:
    """Ten thousand points load whole; one more is refused, soon, by its count."""
    lines = [f"{index * 0.036:.4f} {index % 90}\n" for index in range(10_000)]
    trees.write_text("".join(lines), encoding="utf-8")
    assert len(read_horizon(trees)[0].azimuth_deg) == 10_000
    trees.write_text("".join([*lines, "359.99 2\n"]), encoding="utf-8")
    assert faults_of(trees) == ["trees.txt: file = 10001 points: from 1 to 10000 points"]
    trees.write_text("".join(lines) * 10, encoding="utf-8")
    assert faults_of(trees) == ["trees.txt: file = too long: a text file of at most 1048576 bytes"]


def test_a_file_that_is_not_utf8(trees: Path) -> None:
    """A binary file is refused by the line of its first wrong byte."""
    trees.write_bytes(b"0 5\n\xff\xfe")
    assert faults_of(trees) == ["trees.txt: file = byte 0xff in line 2: text saved as UTF-8"]


@given(st.lists(st.tuples(azimuths, altitudes), min_size=1, max_size=30))
def test_a_profile_keeps_the_promises_of_its_record(points: list[tuple[float, float]]) -> None:
    """Azimuths rise from 0 to below 360, and no altitude is lost or invented."""
    found = profile(points)
    assert list(found.azimuth_deg) == sorted(found.azimuth_deg)
    assert all(0 <= azimuth < 360 for azimuth in found.azimuth_deg)
    folded = {(azimuth % 360, altitude) for azimuth, altitude in points}
    assert set(zip(found.azimuth_deg, found.altitude_deg, strict=True)) == folded


@given(st.lists(st.tuples(azimuths, altitudes), min_size=1, max_size=30))
def test_file_and_list_give_the_same_profile(points: list[tuple[float, float]]) -> None:
    """The same points make the same profile, written in a file or in the config."""
    listed = inline_horizon([list(point) for point in points], "club.toml", "site[0].horizon")
    assert listed == profile(points)
