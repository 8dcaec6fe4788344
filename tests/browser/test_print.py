"""Pages on paper, A4 and Letter: every word, no navigation, nothing beyond the edge, few sheets."""

import io
import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Page
from pypdf import PdfReader

pytestmark = pytest.mark.browser

SHEETS = {
    "front": 2,
    "sun-safety": 2,
    "methods": 5,
    "not-kept": 1,
    "compare-year": 1,
    "compare-month": 2,
    "year": 5,
    "month": 1,
    "night": 2,
    "night without": 1,
    "night with two": 3,
    "stars": 3,
    "star": 2,
    "season": 1,
    "month-sky": 2,
    "events": 4,
    "solar-eclipse": 2,
    "lunar-eclipse": 2,
    "occultation": 1,
    "approaches": 5,
    "sun": 5,
    "features": 4,
    "feature": 1,
    "light": 2,
    "find": 3,
    "find-order": 4,
    "dates": 5,
    "downloads": 2,
    "figures": 2,
    "wall": 1,
    "cards": 6,
}
"""Most sheets of a page of each type."""
PAPERS = {"A4": (595.3, 841.9), "Letter": (612.0, 792.0)}
"""Width and height in points (ISO 216, ANSI/ASME Y14.1)."""
LAID_OUT = ("front", "year", "month", "night", "stars", "season", "month-sky", "wall", "cards")
"""Types that fill their sheets, held to the lower and wider paper too."""
CSS_PX_PER_PT = 96 / 72
LEAST_MARGIN_PT = 14.0
"""5 mm: many printers reach no nearer to the edge (common practice, no source)."""
SHOWN = """() => {
  const shown = (it) => it.checkVisibility({ visibilityProperty: true });
  return [...document.querySelectorAll("main, nav")].filter(shown).map((it) => it.tagName);
}"""
"""Parts of the page that are shown."""
HEADS = """() => [...document.querySelectorAll("thead")]
  .map((head) => getComputedStyle(head).display)"""
"""How heads of tables are laid out."""

Open = Callable[..., Page]


def letters(text: str) -> str:
    """Letters and figures alone: a PDF breaks lines and joins letters in its own way."""
    return re.sub(r"[\W_]+", "", text.replace("ﬁ", "fi").replace("ﬂ", "fl")).casefold()


def read_sheets(reader: PdfReader) -> tuple[str, list[tuple[float, str]]]:
    """All text, and each piece of it with its horizontal place in points."""
    pieces: list[tuple[float, str]] = []

    def visit(text: str, cm: list[float], tm: list[float], *_: Any) -> None:
        if text.strip():
            pieces.append((tm[4] * cm[0] + tm[5] * cm[2] + cm[4], text.strip()))

    text = "".join(sheet.extract_text(visitor_text=visit) for sheet in reader.pages)
    return text, pieces


def test_a_page_prints_whole(kind: str, page_types: dict[str, str], open_page: Open) -> None:
    """A printed page holds all its text inside the margins, without the ways to other pages."""
    page = open_page(page_types[kind], color_scheme="dark")
    page.emulate_media(media="print", color_scheme="dark")
    for paper in PAPERS if kind in LAID_OUT else ("A4",):
        prints_whole(page, kind, paper)
    is_paper(page)


def prints_whole(page: Page, kind: str, paper: str) -> None:
    """Hold the page to its sheets of one size."""
    page.set_viewport_size({"width": round(PAPERS[paper][0] * CSS_PX_PER_PT), "height": 800})
    assert page.evaluate(SHOWN) == ["MAIN"]
    wanted = page.locator("main").inner_text().split()
    reader = PdfReader(io.BytesIO(page.pdf(format=paper, prefer_css_page_size=True)))
    width = float(reader.pages[0].mediabox.width)
    text, pieces = read_sheets(reader)
    printed = letters(text)
    assert len(reader.pages) <= SHEETS[kind]
    assert len(wanted) > 30
    assert [word for word in wanted if letters(word) not in printed] == []
    assert [it for it in pieces if not LEAST_MARGIN_PT <= it[0] < width - LEAST_MARGIN_PT] == []
    for sheet in reader.pages:
        box = sheet.mediabox
        sides = sorted((float(box.width), float(box.height)))
        assert sides == pytest.approx(PAPERS[paper], abs=1.5)


def test_a_long_tables_head_is_printed_again(page_types: dict[str, str], open_page: Open) -> None:
    """Read back from the sheets: a head for each sheet of the events."""
    page = open_page(page_types["events"])
    reader = PdfReader(io.BytesIO(page.pdf(format="A4", prefer_css_page_size=True)))
    texts = [letters(sheet.extract_text()) for sheet in reader.pages]
    assert len(texts) > 1
    assert [number for number, text in enumerate(texts) if "fromhere" not in text] == []


def is_paper(page: Page) -> None:
    """A reader of dark pages prints dark ink on white all the same, and no wider than the sheet."""
    page.set_viewport_size({"width": 700, "height": 800})
    ink, scroll = page.evaluate(
        "() => [getComputedStyle(document.querySelector('h1')).color,"
        " document.documentElement.scrollWidth]"
    )
    assert set(page.evaluate(HEADS)) <= {"table-header-group"}  # printed again on each sheet
    red, green, blue = map(int, re.findall(r"\d+", ink)[:3])
    assert max(red, green, blue) < 80
    assert scroll <= 700
