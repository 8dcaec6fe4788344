"""The year's booklet: every night, outline, tags, words that can be read, the same bytes."""

import io
import json
import re
from collections.abc import Callable, Iterator
from typing import Any

import pypdf
import pytest
import typst
from msgspec.structs import replace

from almanac.publish.charts.paper import TYPST_PAPER, Paper
from almanac.publish.pages.book import Book
from almanac.publish.pages.booklet import BookletView, booklet_pdf, booklet_view
from almanac.publish.pages.booklet_parts import Figure, Month, NightRow
from almanac.publish.pages.engine import templates_folder
from almanac.publish.pages.prints import prints
from almanac.publish.pages.typeset import as_data
from almanac.publish.pages.year import draw_year, year_page
from almanac.publish.steps import best_window
from almanac.publish.wording import Wording
from almanac.records.catalogue import Catalogue
from almanac.records.config import ClubConfig
from almanac.records.year import YearAlmanac

SIZES_PT = {"a4": (595.3, 841.9), "letter": (612.0, 792.0)}
"""ISO 216, ANSI/ASME Y14.1."""
LEAST_MARGIN_PT = 14.0
"""5 mm: many printers reach no nearer to the edge (common practice, no source)."""
MOST_BYTES = 450_000
"""Of one booklet: two for each year of a site must leave room for its pages."""


@pytest.fixture(scope="module")
def make_book(
    catalogue: Catalogue, make_config: Callable[..., ClubConfig]
) -> Callable[[YearAlmanac], Book]:
    """A maker of books."""

    def make(almanac: YearAlmanac) -> Book:
        config = make_config((almanac.site,))
        return Book(almanac, config, catalogue, Wording("en", almanac.site.timezone))

    return make


@pytest.fixture(scope="module")
def book(north: YearAlmanac, make_book: Callable[[YearAlmanac], Book]) -> Book:
    """The made-up year at 44.6 N."""
    return make_book(north)


@pytest.fixture(scope="module")
def view(book: Book) -> BookletView:
    """Its booklet."""
    return booklet_view(book)


@pytest.fixture(scope="module", params=SIZES_PT)
def paper(request: pytest.FixtureRequest) -> Paper:
    """Each size of paper."""
    return request.param


@pytest.fixture(scope="module")
def pdf(view: BookletView, paper: Paper) -> bytes:
    """The booklet on that paper."""
    return booklet_pdf(view, paper)


@pytest.fixture(scope="module")
def reader(pdf: bytes) -> pypdf.PdfReader:
    """The booklet opened."""
    return pypdf.PdfReader(io.BytesIO(pdf))


def squeezed(text: str) -> str:
    """Without blanks, joiners and the joined letters of a fount."""
    plain = text.replace("ﬁ", "fi").replace("ﬂ", "fl").replace("ﬀ", "ff")
    return re.sub(r"[\s\u2060\u00ad]+", "", plain)


def months(view: BookletView) -> list[Month]:
    """The tables of nights."""
    return [part for chapter in view.chapters for part in chapter.parts if isinstance(part, Month)]


def figures(view: BookletView) -> list[Figure]:
    """All drawings that tell something."""
    parts = [part for chapter in view.chapters for part in chapter.parts]
    return [view.moon, *(part for part in parts if isinstance(part, Figure))]


def titles(outline: list[Any]) -> Iterator[str]:
    """All entries of an outline."""
    for entry in outline:
        if isinstance(entry, list):
            yield from titles(entry)
        else:
            yield entry.title


def alternatives(node: Any) -> Iterator[str]:
    """All text alternatives of a structure tree."""
    node = node.get_object() if hasattr(node, "get_object") else node
    if isinstance(node, dict):
        if "/Alt" in node:
            yield str(node["/Alt"])
        yield from alternatives(node.get("/K"))
    elif isinstance(node, list):
        for child in node:
            yield from alternatives(child)


# The data


def test_every_night_is_in_its_month(book: Book, view: BookletView) -> None:
    """Twelve tables whose rows are the year's nights in order."""
    rows = [row for month in months(view) for row in month.rows]
    assert len(months(view)) == 12
    assert len(rows) == len(book.almanac.nights)
    for row, night in zip(rows, book.almanac.nights, strict=True):
        assert row.day.endswith(f" {night.date.day}")
        assert bool(row.reason) == (not night.windows)
        assert bool(row.dark) == (night.dark is not None)


def test_a_row_tells_the_nights_own_figures(book: Book, view: BookletView) -> None:
    """The finest night's row has its best window, star, hop, chance, detail and time to cap."""
    words = book.words
    rows = [row for month in months(view) for row in month.rows]
    index = next(i for i, night in enumerate(book.almanac.nights) if night.rank == 1)
    night, row = book.almanac.nights[index], rows[index]
    window = best_window(night)
    assert window.calibration is not None
    hop = window.calibration.chosen
    assert words.clock(window.start_utc) in row.hours
    assert words.clock(window.end_utc) in row.hours
    assert row.star == f"{words.clock(hop.at_utc)} {hop.star}"
    assert row.hop == words.hop(hop.turn_deg, hop.climb_deg)
    assert row.frame == words.chance(hop.landing_chance)
    assert row.detail.startswith(words.number(window.finest_detail_km, 1))
    assert night.sun.cap_by_utc is not None
    assert row.cap == words.clock(night.sun.cap_by_utc)
    assert row.grade == "good"


def test_the_chapters_come_in_a_readers_order(view: BookletView) -> None:
    """How to use it, the year, its months, the stars, events, the Sun, methods."""
    found = [chapter.title for chapter in view.chapters]
    wanted = ["How to use this booklet", "The year", "January 2027", "December 2027"]
    wanted += ["Stars to start on", "Events", "Sun safety", "Methods and accuracy"]
    places = [found.index(title) for title in wanted]
    assert places == sorted(places)


# The PDF


def test_paper_and_pages(reader: pypdf.PdfReader, paper: Paper) -> None:
    """Every page has the paper's size; a booklet has two dozen pages and no empty one."""
    for page in reader.pages:
        box = page.mediabox
        assert (box.width, box.height) == pytest.approx(SIZES_PT[paper], abs=0.2)
        assert len(page.extract_text()) > 80
    assert 20 <= len(reader.pages) <= 34


def test_each_month_is_one_page(reader: pypdf.PdfReader, view: BookletView) -> None:
    """A month's title, and its first and last night, stand on one page."""
    pages = [squeezed(page.extract_text()) for page in reader.pages]
    for month in months(view):
        first, last = (squeezed(row.day + row.lit) for row in (month.rows[0], month.rows[-1]))
        title = squeezed(month.title)
        assert [page for page in pages if title in page and first in page and last in page]


def test_every_word_is_printed(reader: pypdf.PdfReader, view: BookletView) -> None:
    """Titles, blocks and all cells of the tables can be read and searched in the PDF."""
    printed = squeezed("".join(page.extract_text() for page in reader.pages))
    for chapter in view.chapters:
        for part in chapter.parts:
            for text in texts(json.loads(as_data(part))):
                words = text.split()
                runs = [squeezed("".join(words[i : i + 3])) for i in range(max(len(words) - 2, 1))]
                broken = [run for run in runs if run not in printed]
                assert len(broken) <= 2, text  # a paragraph may go on on the next page


def texts(part: dict[str, Any]) -> Iterator[str]:
    """All words of a part that stand on paper in one piece."""
    for name, value in part.items():
        if name in ("kind", "svg", "alt", "moons", "grade", "tall", "columns"):
            continue
        for item in value if isinstance(value, (list, tuple)) else [value]:
            if isinstance(item, dict):
                yield from texts(item)
            elif isinstance(item, (list, tuple)):
                yield from (cell for cell in item if cell)
            elif item:
                yield str(item)


def test_it_says_what_it_is(reader: pypdf.PdfReader, view: BookletView) -> None:
    """Title, club and language are set, it is tagged, and no date tells when it was made."""
    assert reader.metadata is not None
    assert reader.metadata.title == f"{view.title}: {view.subtitle}"
    assert reader.metadata.author == view.club
    assert reader.metadata.creation_date is None
    assert reader.root_object["/Lang"] == "en"
    assert reader.root_object["/MarkInfo"]["/Marked"]


def test_the_outline_has_every_chapter(reader: pypdf.PdfReader, view: BookletView) -> None:
    """Each chapter is an entry, in order, and the contents' page numbers are those of pages."""
    chapters = [chapter.title for chapter in view.chapters]
    assert [title for title in titles(reader.outline) if title in chapters] == chapters
    contents = reader.pages[1].extract_text()
    for entry in reader.outline:
        if not isinstance(entry, list) and entry.title in chapters:
            number = (reader.get_destination_page_number(entry) or 0) + 1
            assert re.search(rf"{re.escape(entry.title)}\s*{number}\b", contents)
            foot = reader.pages[number - 1].extract_text()
            assert re.search(rf"\b{number}\b", foot)


def test_drawings_have_alternatives(reader: pypdf.PdfReader, view: BookletView, book: Book) -> None:
    """Each drawing's own description is its text alternative."""
    found = set(alternatives(reader.root_object["/StructTreeRoot"]))
    assert {drawing.alt for drawing in figures(view)} <= found
    skies = sum(season.at_utc is not None for season in book.almanac.seasons)
    assert len(figures(view)) == 2 + skies


def test_words_keep_inside_the_margins(reader: pypdf.PdfReader, paper: Paper) -> None:
    """No text begins nearer to the edge than a printer reaches."""
    width, height = SIZES_PT[paper]
    outside = []

    def visit(text: str, cm: list[float], tm: list[float], *_: Any) -> None:
        x = tm[4] * cm[0] + tm[5] * cm[2] + cm[4]
        y = tm[4] * cm[1] + tm[5] * cm[3] + cm[5]
        if text.strip() and not (
            LEAST_MARGIN_PT < x < width - LEAST_MARGIN_PT
            and LEAST_MARGIN_PT < y < height - LEAST_MARGIN_PT
        ):
            outside.append((x, y, text))

    for page in reader.pages:
        page.extract_text(visitor_text=visit)
    assert outside == []


def test_the_same_bytes_and_few(view: BookletView, pdf: bytes, paper: Paper) -> None:
    """Made again it is the same to the byte, and small."""
    assert booklet_pdf(view, paper) == pdf
    assert len(pdf) < MOST_BYTES


def test_it_is_accessible_by_the_standard(view: BookletView) -> None:
    """typst's own checks of PDF/UA-1 (ISO 14289-1) find no fault."""
    folder = templates_folder() / "print"
    inputs = {"paper": TYPST_PAPER["a4"], "view": as_data(view)}
    checked = typst.compile(
        folder / "booklet.typ",
        root=folder,
        format="pdf",
        sys_inputs=inputs,
        ignore_system_fonts=True,
        pdf_standards="ua-1",
    )
    assert checked.startswith(b"%PDF")


# Hard years


@pytest.mark.parametrize("year", ["south", "polar"])
def test_other_latitudes(
    year: str, make_book: Callable[[YearAlmanac], Book], request: pytest.FixtureRequest
) -> None:
    """A southern year and a polar one become booklets of every month too."""
    almanac: YearAlmanac = request.getfixturevalue(year)
    made = booklet_view(make_book(almanac))
    reader = pypdf.PdfReader(io.BytesIO(booklet_pdf(made, "a4")))
    assert len(months(made)) == 12
    assert 20 <= len(reader.pages) <= 34


def test_a_year_without_windows(
    north: YearAlmanac, make_book: Callable[[YearAlmanac], Book]
) -> None:
    """With no window at all it still tells why each night has none."""
    nights = tuple(
        replace(night, windows=(), no_window="moon_below_limit", rank=None)
        for night in north.nights
    )
    made = booklet_view(make_book(replace(north, nights=nights, picks=())))
    rows: list[NightRow] = [row for month in months(made) for row in month.rows]
    assert all(row.reason for row in rows)
    assert booklet_pdf(made, "letter").startswith(b"%PDF")


def test_markup_is_text(book: Book, view: BookletView) -> None:
    """A club named like typst's own markup is printed as it is written."""
    name = '#panic("x") *bold* $x$ @a <b> [c] \\ "quoted"'
    pdf = booklet_pdf(replace(view, club=name), "a4")
    cover = pypdf.PdfReader(io.BytesIO(pdf)).pages[0].extract_text()
    assert squeezed(name) in squeezed(cover)


def test_the_year_leads_to_its_booklets_if_there_are_any(book: Book) -> None:
    """The year's page links both papers; without booklets it has no such link, nor the site."""
    for made in (book, replace(book, booklet=False)):
        page = year_page(made, draw_year(made))
        links = re.findall(r'href="(booklet-[^"]+)"', page)
        files = [name for name, _ in prints(made) if name.startswith("booklet")]
        assert links == files == (["booklet-a4.pdf", "booklet-letter.pdf"] if made.booklet else [])
