"""Pages made for paper: the year on one landscape sheet, cards four to a sheet, none clipped."""

import io
import json
import math
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page
from pypdf import PdfReader

pytestmark = pytest.mark.browser

YEAR = "orchard-rise/2027"
MONTH = 11
SIZES = {"A4": (595.3, 841.9), "Letter": (612.0, 792.0)}
"""Width and height in points (ISO 216, ANSI/ASME Y14.1)."""
CLIPPED = """() => [...document.querySelectorAll(".card")]
  .filter((card) => card.checkVisibility())
  .filter((card) => card.scrollHeight > card.clientHeight + 1
    || card.scrollWidth > card.clientWidth + 1)
  .map((card) => card.id)"""

Open = Callable[..., Page]


def printed(page: Page, paper: str) -> PdfReader:
    """The page as a reader's browser prints it: the page's own idea of which way round."""
    page.emulate_media(media="print")
    return PdfReader(io.BytesIO(page.pdf(format=paper, prefer_css_page_size=True)))


def with_windows(site: Path, month: int) -> list[str]:
    """The evenings of a month that have a window."""
    nights = json.loads((site / YEAR / "year.json").read_bytes())["nights"]
    days = [night["date"] for night in nights if night["windows"]]
    return [day for day in days if day.startswith(f"2027-{month:02d}")]


@pytest.mark.parametrize("paper", SIZES)
def test_the_year_hangs_on_one_sheet(paper: str, open_page: Open) -> None:
    """It prints on one landscape page that holds its last note."""
    reader = printed(open_page(f"{YEAR}/wall.html"), paper)
    (sheet,) = reader.pages
    short, long = SIZES[paper]
    box = sheet.mediabox
    assert (float(box.width), float(box.height)) == pytest.approx((long, short), abs=1.5)
    text = re.sub(r"\s+", "", sheet.extract_text())
    assert "Neverletatelescope" in text
    assert "Dec" in text


def test_a_narrow_screen_moves_the_drawing_not_the_page(open_page: Open) -> None:
    """At 320 px the drawing scrolls in its frame, which the keyboard reaches; the page does not."""
    page = open_page(f"{YEAR}/wall.html", 320)
    assert page.evaluate("document.documentElement.scrollWidth") <= 320
    frame = page.locator("div.wall")
    assert frame.evaluate("it => it.scrollWidth > it.clientWidth")
    frame.focus()
    assert frame.evaluate("it => document.activeElement === it")


@pytest.mark.parametrize("paper", SIZES)
def test_a_months_cards_stand_four_to_a_sheet(paper: str, open_page: Open, demo_site: Path) -> None:
    """As many sheets as its cards need, each card once and whole."""
    days = with_windows(demo_site, MONTH)
    page = open_page(f"{YEAR}/cards-2027-{MONTH:02d}.html")
    reader = printed(page, paper)
    assert len(reader.pages) == math.ceil(len(days) / 4)
    assert [page.mediabox.width for page in reader.pages] == pytest.approx(
        [SIZES[paper][0]] * len(reader.pages), abs=1.5
    )
    counts = [sheet.extract_text().count("Times:") for sheet in reader.pages]
    assert counts[:-1] == [4] * (len(counts) - 1)
    assert sum(counts) == len(days)


def test_a_phone_shows_the_cards_too(open_page: Open, demo_site: Path) -> None:
    """All of a month's cards are read on the narrowest screen."""
    page = open_page(f"{YEAR}/cards-2027-{MONTH:02d}.html", 320)
    cards = page.locator(".card").all()
    assert len(cards) == len(with_windows(demo_site, MONTH))
    assert [card.get_attribute("id") for card in cards if not card.is_visible()] == []


def test_no_card_is_clipped(open_page: Open) -> None:
    """On A4 and on Letter, which is shorter, every card of the year keeps inside its quarter."""
    for month in range(1, 13):
        page = open_page(f"{YEAR}/cards-2027-{month:02d}.html")
        page.emulate_media(media="print")
        for width, height in ((794, 1123), (816, 1056)):
            page.set_viewport_size({"width": width, "height": height})
            assert page.evaluate(CLIPPED) == []
            heights = page.evaluate(
                "() => [...document.querySelectorAll('.card')].map((card) => card.offsetHeight)"
            )
            assert max(heights, default=0) <= height / 2


@pytest.mark.parametrize("paper", SIZES)
def test_one_nights_card_fills_a_sheet(paper: str, open_page: Open, demo_site: Path) -> None:
    """From a night's page one comes to its card alone, which prints four times on one sheet."""
    day = with_windows(demo_site, MONTH)[1]
    page = open_page(f"{YEAR}/{day}.html")
    page.get_by_role("link", name="The card for the telescope, to print").click()
    page.wait_for_url(f"**/cards-2027-{MONTH:02d}.html#{day}")
    assert page.locator(".card:visible").count() == 1
    (sheet,) = printed(page, paper).pages
    assert sheet.extract_text().count("Times:") == 4


def test_without_script_the_card_is_printed_once(open_page: Open, demo_site: Path) -> None:
    """The night's card alone, on one sheet."""
    day = with_windows(demo_site, MONTH)[1]
    page = open_page(f"{YEAR}/cards-2027-{MONTH:02d}.html", java_script_enabled=False)
    page.goto(f"{page.url}#{day}")
    (sheet,) = PdfReader(io.BytesIO(page.pdf(format="A4", prefer_css_page_size=True))).pages
    assert sheet.extract_text().count("Times:") == 1


def test_the_finest_four_fill_a_sheet(open_page: Open) -> None:
    """The link to the finest leaves four cards, one sheet."""
    page = open_page(f"{YEAR}/cards-2027-{MONTH:02d}.html")
    page.get_by_role("link", name="Only the finest four").click()
    assert page.locator(".card:visible").count() == 4
    (sheet,) = printed(page, "A4").pages
    assert sheet.extract_text().count("Times:") == 4
    page.emulate_media(media="screen")
    page.get_by_role("link", name="All cards of the month").click()
    assert page.locator(".card:visible").count() > 4
