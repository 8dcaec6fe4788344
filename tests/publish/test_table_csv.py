"""The table for a spreadsheet: RFC 4180, the pages' figures, and no cell that runs."""

import csv
import re
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from msgspec.structs import replace

from almanac.publish.night_lines import CAP
from almanac.publish.pages.book import Book
from almanac.publish.table_csv import BYTE_ORDER_MARK, COLUMNS, nights_csv, safe
from almanac.publish.wording import Wording
from almanac.records.catalogue import Catalogue
from almanac.records.config import ClubConfig
from almanac.records.year import YearAlmanac

Row = dict[str, str]


def records(text: str) -> list[list[str]]:
    """Fields by the grammar of RFC 4180, section 2; ValueError for what breaks it."""
    if not text.endswith("\r\n"):
        raise ValueError("no CRLF at the end")
    rows, at = [], 0
    while at < len(text):
        row = []
        while True:
            match = re.compile(r'"((?:[^"]|"")*)"|([^",\r\n]*)').match(text, at)
            assert match
            row.append(match[1].replace('""', '"') if match[1] is not None else match[2])
            at = match.end()
            if text.startswith("\r\n", at):
                at += 2
                break
            if not text.startswith(",", at):
                raise ValueError(f"neither comma nor CRLF at {text[at : at + 9]!r}")
            at += 1
        rows.append(row)
    if len({len(row) for row in rows}) != 1:
        raise ValueError("rows of different lengths")
    return rows


@pytest.mark.parametrize("text", ["a,b\n", "a,b\r\nc\r\n", 'a"b,c\r\n', '"a"b,c\r\n', "a,b\r\nc,d"])
def test_the_reader_sees_faults(text: str) -> None:
    """Bare line ends, ragged rows and stray quotes are refused; quoted marks are read."""
    with pytest.raises(ValueError, match=r"CRLF|lengths"):
        records(text)
    assert records('a,"b,""\r\n"\r\n,d\r\n') == [["a", 'b,"\r\n'], ["", "d"]]


def table(text: str) -> list[Row]:
    """The rows by their heads, read by the grammar and alike by Python's own reader."""
    assert text.startswith(BYTE_ORDER_MARK)
    head, *rows = records(text.removeprefix(BYTE_ORDER_MARK))
    own = csv.reader(text.removeprefix(BYTE_ORDER_MARK).splitlines(keepends=True))
    assert list(own) == [head, *rows]
    assert len(set(head)) == len(head)
    return [dict(zip(head, row, strict=True)) for row in rows]


@pytest.fixture(scope="module", params=["north", "south", "polar"])
def book(
    request: pytest.FixtureRequest, catalogue: Catalogue, make_config: Callable[..., ClubConfig]
) -> Book:
    """The made-up years of three latitudes."""
    almanac: YearAlmanac = request.getfixturevalue(request.param)
    config = make_config((almanac.site,))
    return Book(almanac, config, catalogue, Wording("en", almanac.site.timezone))


@pytest.fixture(scope="module")
def rows(book: Book) -> list[Row]:
    """The year's table."""
    return table(nights_csv(book.almanac, book.words))


def test_every_night_has_its_rows(book: Book, rows: list[Row]) -> None:
    """One for each window; a night without has one that says why."""
    wanted = [
        night.date.isoformat()
        for n in book.almanac.nights
        for night in [n] * max(len(n.windows), 1)
    ]
    assert [row["Evening"] for row in rows] == wanted
    for row in rows:
        assert bool(row["Why no window"]) != bool(row["Window opens (local time)"])
        assert row["Site"] == book.almanac.site.name


def test_hours_are_the_pages(book: Book, rows: list[Row]) -> None:
    """Local hours are those of the night's line, and UTC is the same instant."""
    zone = ZoneInfo(book.almanac.site.timezone)
    lines = {line.date.isoformat(): line for line in book.lines}
    offsets = set()
    for row in rows:
        opens, closes = row["Window opens (local time)"], row["Window closes (local time)"]
        if opens:
            assert f"{opens[-5:]}\u2060–\u2060{closes[-5:]}" in lines[row["Evening"]].hours
            for local, utc in ((opens, "Window opens (UTC)"), (closes, "Window closes (UTC)")):
                at = datetime.fromisoformat(row[utc]).replace(tzinfo=UTC)
                assert f"{at.astimezone(zone):%Y-%m-%d %H:%M}" == local
                offsets.add(at.astimezone(zone).utcoffset())
            length = datetime.fromisoformat(row["Window closes (UTC)"]) - datetime.fromisoformat(
                row["Window opens (UTC)"]
            )
            assert float(row["Length (min)"]) * 60 == length.total_seconds()
    assert len(offsets) == 2


def test_figures_are_the_records(book: Book, rows: list[Row]) -> None:
    """Figures are plain numbers near those of the records, in the units of their heads."""
    pairs = [(n, w) for n in book.almanac.nights for w in (n.windows or (None,))]
    starred = 0
    for row, (night, window) in zip(rows, pairs, strict=True):
        assert float(row["Lit (%)"]) == pytest.approx(
            100 * night.moon.illuminated_fraction, abs=0.051
        )
        if window is None:
            assert row["Finest detail (km)"] == ""
            continue
        assert float(row["Finest detail (km)"]) == pytest.approx(
            window.finest_detail_km, abs=0.0051
        )
        assert int(row["Rank of the night by finest detail"]) == night.rank
        if window.calibration:
            hop, starred = window.calibration.chosen, starred + 1
            assert row["Star to start on"] == hop.star
            turn, climb = (
                row["Hop sideways (°, right is positive)"],
                row["Hop in height (°, up is positive)"],
            )
            assert (float(turn), float(climb)) == pytest.approx(
                (hop.turn_deg, hop.climb_deg), abs=0.051
            )
        else:
            assert row["Why no star"]
    assert starred > 50


def test_the_suns_hours_are_there(book: Book, rows: list[Row]) -> None:
    """The time to cap has a column, and the other cautions stand in words."""
    nights = {night.date.isoformat(): night for night in book.almanac.nights}
    for row in rows:
        night = nights[row["Evening"]]
        capped = book.words.clock(night.sun.cap_by_utc) if night.sun.cap_by_utc else ""
        assert row["Cap by (local time)"][-5:] == capped
        for code in set(night.cautions) - {CAP}:
            assert book.words.caution(code) in row["Cautions"]


FORMULAS = ["=1+1", "+1", "-1", "@SUM(1)", "\t=1", '=HYPERLINK("https://a.example","x")']


@given(st.text(st.characters(exclude_categories=["Cs"])))
@example("=cmd|' /C calc'!A0")
def test_no_text_runs(text: str) -> None:
    """Text is never a formula, and is otherwise left alone."""
    cell = safe(text)
    assert isinstance(cell, str)
    assert not cell.startswith(("=", "+", "-", "@", "\t", "\r"))
    assert cell in (text, f"'{text}")
    assert safe(-4.5) == -4.5


@pytest.mark.parametrize("name", [*FORMULAS, 'a "b", c', "é\u202e月🌕"])
def test_a_sites_name_is_only_a_name(name: str, north: YearAlmanac) -> None:
    """A hostile name stands in its cells, made harmless, and moves no other."""
    almanac = replace(north, site=replace(north.site, name=name), nights=north.nights[:9])
    found = table(nights_csv(almanac, Wording("en", north.site.timezone)))
    shown = f"'{name}" if name in FORMULAS else name
    assert {row["Site"] for row in found} == {shown}
    assert {len(row) for row in found} == {len(COLUMNS)}


def test_the_demo_has_its_tables(demo_site: Path) -> None:
    """Each site-year has one, of all its nights."""
    files = sorted(demo_site.rglob("nights.csv"))
    assert [path.parent.parent.name for path in files] == ["mill-pond", "orchard-rise"]
    for path in files:
        assert len({row["Evening"] for row in table(path.read_bytes().decode())}) == 365
