"""The page of calendars and files: each explained, each there, each with its size."""

import json
import re
from collections.abc import Callable
from html import unescape
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from msgspec.structs import replace

from almanac.publish.calendar_names import FEEDS
from almanac.publish.pages.book import Book
from almanac.publish.pages.downloads import SHEETS, DownloadsView, downloads_page, downloads_view
from almanac.publish.wording import Wording
from almanac.records.catalogue import Catalogue
from almanac.records.config import ClubConfig
from almanac.records.year import YearAlmanac

SIZES = {
    **{feed.file: 86_400 for feed in FEEDS},
    "nights.csv": 93_061, "year.json": 1_410_200, "year.schema.json": 412,
    "wall-a4.pdf": 83_352, "wall-letter.pdf": 83_489,
}  # fmt: skip

Make = Callable[[str | None], DownloadsView]


@pytest.fixture
def book_at(
    north: YearAlmanac, catalogue: Catalogue, make_config: Callable[..., ClubConfig]
) -> Callable[[str | None], Book]:
    """A maker of the northern book by the address of the club's site."""

    def make(url: str | None) -> Book:
        config = make_config((north.site,))
        config = replace(config, club=replace(config.club, url=url))
        return Book(north, config, catalogue, Wording("en", north.site.timezone))

    return make


@pytest.mark.parametrize(
    ("url", "subscribe"),
    [
        ("https://club.example/moon/", "webcal://club.example/moon/"),
        ("http://club.example", "webcal://club.example/"),
    ],
)
def test_a_calendar_opens_by_its_lasting_address(
    url: str, subscribe: str, book_at: Callable[[str | None], Book]
) -> None:
    """One tap subscribes, the same address can be copied, and the file itself is linked."""
    view = downloads_view(book_at(url), SIZES)
    first = view.calendars[0]
    assert first.subscribe == f"{subscribe}quarry-field/calendars/windows.ics"
    assert first.address == f"{url.rstrip('/')}/quarry-field/calendars/windows.ics"
    assert first.lasting == "../calendars/windows.ics"
    assert first.year == ("windows.ics", "2027 alone, 86\u00a0kB", False)
    assert len(view.calendars) == len(FEEDS)


def test_without_an_address_the_page_says_how(book_at: Callable[[str | None], Book]) -> None:
    """Nothing is made up for a club that has told no address, and no link leads out."""
    page = downloads_page(book_at(None), SIZES)
    assert "webcal" not in page
    assert "has not yet told" in page
    assert page.count('href="../calendars/') == len(FEEDS)
    assert "has not yet told" not in downloads_page(book_at("https://a.example"), SIZES)


def test_sizes_are_in_words(book_at: Callable[[str | None], Book]) -> None:
    """Sizes are in kilobytes; a file that is not there is not shown."""
    view = downloads_view(book_at(None), SIZES)
    assert [line.files[0].text for line in view.tables] == [
        "nights.csv, 93\u00a0kB", "year.json, 1,410\u00a0kB", "year.schema.json, 1\u00a0kB",
    ]  # fmt: skip
    (wall,) = view.sheets
    assert wall.about == SHEETS["wall"]
    assert [link.text for link in wall.files] == ["A4, 83\u00a0kB", "Letter, 83\u00a0kB"]


def test_all_files_to_take_are_led_to(demo_site: Path) -> None:
    """Every calendar, table, sheet and data file of a site-year stands on its page."""
    for site in ("orchard-rise", "mill-pond"):
        folder = demo_site / site / "2027"
        page = (folder / "downloads.html").read_text("utf-8")
        links = {unescape(link) for link in re.findall(r'href="([^"]+)"', page)}
        ours = {path.name for path in folder.iterdir() if path.suffix in (".ics", ".csv", ".pdf")}
        ours |= {path.name for path in folder.glob("year*.json")}
        assert len(ours) > 14
        assert ours <= links
        for address in (link for link in links if link.startswith("webcal")):
            path = urlsplit(address).path.removeprefix("/moon/")
            assert (demo_site / path).is_file()
            assert address.replace("webcal", "https") in page


def test_a_browser_that_keeps_the_year_keeps_the_page(demo_site: Path) -> None:
    """The page works without a network; calendars and tables are not kept."""
    kept = json.loads((demo_site / "mill-pond/2027/kept.json").read_bytes())["files"]
    assert "downloads.html" in kept
    assert not any(name.endswith((".ics", ".csv")) for name in kept)


def test_year_and_frame_lead_to_it(demo_site: Path) -> None:
    """The year's page names it twice, the year's lists in their foot."""
    folder = demo_site / "mill-pond/2027"
    assert (folder / "index.html").read_text("utf-8").count('href="downloads.html"') == 2
    assert 'href="downloads.html"' in (folder / "2027-03.html").read_text("utf-8")
