"""Drawings on paper: one sheet, black on white, whole, tagged, the same bytes."""

import io
import re

import pypdf
import pytest

from almanac.publish.charts.drawing import DARK, LIGHT, PRINT, RED, css, ink, on_paper
from almanac.publish.charts.night import night_chart
from almanac.publish.charts.paper import Paper, Sheet, sheets_to_pdf
from almanac.publish.charts.year import year_chart
from almanac.publish.wording import Wording
from almanac.records.year import YearAlmanac

POINT_MM = 25.4 / 72
WORDS = Wording("en", "Europe/Paris")
CAPTION = "The year's windows: <nights> along, hours up."


def sheet_of(chart: str, paper: Paper, title: str, caption: str, landscape: bool = False) -> bytes:
    """A PDF of one sheet."""
    return sheets_to_pdf([Sheet(chart, title, caption)], paper, title, landscape)


@pytest.mark.parametrize(
    ("paper", "landscape", "size_mm"),
    [
        ("a4", False, (210, 297)),
        ("a4", True, (297, 210)),
        ("letter", False, (215.9, 279.4)),
        ("letter", True, (279.4, 215.9)),
    ],
)
def test_sheet(
    north: YearAlmanac, paper: Paper, landscape: bool, size_mm: tuple[float, float]
) -> None:
    """One page of the asked size and way round, tagged, with title and text alternative."""
    pdf = sheet_of(year_chart(north, WORDS), paper, "Quarry Field", CAPTION, landscape)
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    (page,) = reader.pages
    assert (page.mediabox.width * POINT_MM, page.mediabox.height * POINT_MM) == pytest.approx(
        size_mm, abs=0.1
    )
    assert reader.metadata
    assert reader.metadata.title == "Quarry Field"
    catalog = reader.root_object
    assert catalog["/MarkInfo"]["/Marked"]
    assert CAPTION in alternatives(catalog["/StructTreeRoot"])


def alternatives(node: object) -> set[str]:
    """All text alternatives of a structure tree."""
    node = node.get_object() if hasattr(node, "get_object") else node
    found: set[str] = set()
    if isinstance(node, dict):
        found |= {str(node["/Alt"])} if "/Alt" in node else set()
        found |= alternatives(node["/K"]) if "/K" in node else set()
    elif isinstance(node, list):
        for child in node:
            found |= alternatives(child)
    return found


def test_words_are_text(north: YearAlmanac) -> None:
    """Every label of the drawing is text in the PDF, in letters that its fonts have."""
    night = next(n for n in north.nights if n.windows and n.windows[0].calibration)
    chart = str(night_chart(north, night, WORDS))
    page = pypdf.PdfReader(io.BytesIO(sheet_of(chart, "a4", "A night", "Caption"))).pages[0]
    printed = re.sub(r"\s+", "", page.extract_text())
    for label in re.findall(r"<text[^>]*>([^<]*)</text>", chart):
        assert re.sub(r"\s+", "", label) in printed


def test_same_bytes(north: YearAlmanac) -> None:
    """The same drawing makes the same bytes."""
    chart = year_chart(north, WORDS)
    assert sheet_of(chart, "a4", "Year", "") == sheet_of(chart, "a4", "Year", "")


def test_black_on_white(north: YearAlmanac) -> None:
    """On paper every ink is a grey, and no custom property is left."""
    printed = on_paper(year_chart(north, WORDS))
    assert "var(" not in printed
    for colour in re.findall(r"#([0-9A-F]{6})\b", printed):
        assert colour[:2] == colour[2:4] == colour[4:]


def test_markup_in_words(north: YearAlmanac) -> None:
    """Title and caption are text, whatever is in them."""
    pdf = sheet_of(year_chart(north, WORDS), "a4", "#panic() *bold* $x$", "[#include]")
    printed = pypdf.PdfReader(io.BytesIO(pdf)).pages[0].extract_text()
    assert "#panic() *bold* $x$" in printed
    assert "[#include]" in printed


def test_sheets_share_a_file(north: YearAlmanac) -> None:
    """Each sheet is a page of its own in the order given, and fonts are not stored again."""
    words = ("Winter", "Spring", "Summer")
    sheets = [Sheet(year_chart(north, WORDS), word, CAPTION, f"{word}\tcold") for word in words]
    pdf = sheets_to_pdf(sheets, "a4", "The year")
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    assert [word in page.extract_text() for word, page in zip(words, reader.pages, strict=True)]
    assert reader.metadata
    assert reader.metadata.title == "The year"
    assert len(pdf) < 2.7 * len(sheets_to_pdf(sheets[:1], "a4", "The year"))


def test_unknown_paper(north: YearAlmanac) -> None:
    """A paper that is not offered is refused."""
    with pytest.raises(KeyError):
        sheet_of("<svg/>", "a5", "Year", "")  # type: ignore[arg-type]


def test_palettes() -> None:
    """Every theme has every ink; a name that none has is refused."""
    for palette in (DARK, RED, PRINT):
        assert palette.keys() == LIGHT.keys()
    assert ink("moon") == "var(--moon)"
    assert f"--moon:{RED['moon']};" in css(RED)
    with pytest.raises(KeyError):
        ink("purple")


def luminance(colour: str) -> float:
    """Relative luminance (WCAG 2.2)."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


@pytest.mark.parametrize(
    "palette", [LIGHT, DARK, RED, PRINT], ids=["light", "dark", "red", "paper"]
)
def test_contrast(palette: dict[str, str]) -> None:
    """Texts keep 4.5:1 on every tone behind them, lines 3:1 (WCAG 2.2, 1.4.3 and 1.4.11)."""
    skies = ("paper", "sky-day", "sky-civil", "sky-nautical", "sky-astronomical", "sky-night")
    for name, least in (("ink", 4.5), ("quiet", 4.5), ("star", 4.5), ("moon", 3.0)):
        for sky in skies:
            light, dark = sorted((luminance(palette[name]), luminance(palette[sky])))[::-1]
            assert (light + 0.05) / (dark + 0.05) >= least, (name, sky)
