"""The year at a glance: one sheet with every night on it."""

import io
import re
from collections.abc import Callable
from datetime import date

import pypdf
import pytest

from almanac.publish.charts.paper import Paper
from almanac.publish.charts.wall import CELL, HEAD, NAME, ROW, WALL_HEIGHT, WALL_WIDTH, corner
from almanac.publish.pages.book import Book
from almanac.publish.pages.wall import EVENTS, WallView, wall_events, wall_sheet, wall_view
from almanac.publish.wording import Wording
from almanac.records.catalogue import Catalogue
from almanac.records.config import ClubConfig
from almanac.records.year import YearAlmanac

POINT_MM = 25.4 / 72
LEAST_PT = 5.0
"""The smallest type that is still read on paper (common practice, no source)."""
ROOMS = {"north": "Europe/Paris", "south": "Australia/Adelaide", "polar": "Europe/Oslo"}


@pytest.fixture(scope="module", params=ROOMS)
def book(
    request: pytest.FixtureRequest, catalogue: Catalogue, make_config: Callable[..., ClubConfig]
) -> Book:
    """The made-up years of three latitudes."""
    almanac: YearAlmanac = request.getfixturevalue(request.param)
    config = make_config((almanac.site,))
    return Book(almanac, config, catalogue, Wording("en", almanac.site.timezone))


@pytest.fixture(scope="module")
def view(book: Book) -> WallView:
    """The sheet's view."""
    return wall_view(book)


def texts(drawing: str) -> dict[tuple[int, int], str]:
    """The words of a drawing by where they stand."""
    found = re.findall(r'<text x="(\d+)" y="(\d+)">([^<]*)</text>', drawing)
    return {(int(x), int(y)): content for x, y, content in found}


def test_a_month_begins_under_its_weekday() -> None:
    """1 March 2027 is a Monday and 31 August a Tuesday, in the sixth week of its row."""
    assert corner(date(2027, 3, 1)) == (NAME, HEAD + 2 * ROW)
    assert corner(date(2027, 8, 31)) == (NAME + 36 * CELL, HEAD + 7 * ROW)


def test_every_night_has_its_day_and_its_hours(book: Book, view: WallView) -> None:
    """Each cell holds its own day and the hours of its finest window, and no other cell's."""
    cells: dict[tuple[int, int], list[str]] = {}
    for (x, y), content in texts(view.chart).items():
        if x >= NAME and y >= HEAD:
            cells.setdefault(((x - NAME) // CELL, (y - HEAD) // ROW), []).append(content)
    for night in book.almanac.nights:
        x, y = corner(night.date)
        found = cells[(x - NAME) // CELL, (y - HEAD) // ROW]
        assert str(night.date.day) in found
        for window in night.windows[:1] if len(night.windows) == 1 else ():
            assert book.words.clock(window.start_utc) in found
            assert book.words.clock(window.end_utc) in found
    with_window = sum(bool(night.windows) for night in book.almanac.nights)
    clocks = [content for content in texts(view.chart).values() if ":" in content]
    assert len(clocks) == 2 * with_window


def test_nothing_leaves_the_drawing(view: WallView) -> None:
    """Every word stands inside the drawing's frame."""
    for x, y in texts(view.chart):
        assert 0 <= x < WALL_WIDTH
        assert 0 < y <= WALL_HEIGHT


def test_every_phase_is_ringed(book: Book, view: WallView) -> None:
    """Each principal phase of the year's nights has one ring."""
    rings = re.search(r'stroke-width="2.5" d="([^"]*)"', view.chart)
    assert rings is not None
    first, last = book.almanac.nights[0].start_utc, book.almanac.nights[-1].end_utc
    inside = [phase for phase in book.almanac.phases if first <= phase.at_utc < last]
    assert rings[1].count("M") == len(inside)
    assert len(inside) > 45


@pytest.mark.parametrize(("paper", "size_mm"), [("a4", (297, 210)), ("letter", (279.4, 215.9))])
def test_one_landscape_sheet(view: WallView, paper: Paper, size_mm: tuple[float, float]) -> None:
    """The PDF is one page, landscape, titled, in its language, tagged, all words inside."""
    reader = pypdf.PdfReader(io.BytesIO(wall_sheet(view, paper)))
    (page,) = reader.pages
    box = page.mediabox
    assert (box.width * POINT_MM, box.height * POINT_MM) == pytest.approx(size_mm, abs=0.1)
    assert reader.metadata is not None
    assert reader.metadata.title == view.title
    assert reader.root_object["/Lang"] == "en"
    assert reader.root_object["/MarkInfo"]["/Marked"]
    printed = re.sub(r"\s+", "", page.extract_text())
    for entry in (*view.legend, *view.best, *view.events, *view.club):
        assert re.sub(r"\s+", "", entry.text).replace("\u2060", "") in printed.replace("\u2060", "")
    assert re.sub(r"\s+", "", view.caution) in printed


def test_type_is_not_too_small(view: WallView) -> None:
    """On A4 no letter is under five points."""
    unit_pt = (297 - 16) / WALL_WIDTH / POINT_MM
    sizes = [
        float(size) for size in re.findall(r'font-size="(?:var\(--[a-z-]+,)?([\d.]+)px', view.chart)
    ]
    assert min(sizes[1:]) * unit_pt >= LEAST_PT  # the first is the frame's, and no text's


def test_same_bytes(view: WallView) -> None:
    """The same year makes the same bytes."""
    assert wall_sheet(view, "a4") == wall_sheet(view, "a4")


def test_events_are_few_and_in_order(book: Book) -> None:
    """No more than there is room for, by time."""
    found = wall_events(book)
    assert len(found) <= EVENTS
    assert [event.at_utc for event in found] == sorted(event.at_utc for event in found)
