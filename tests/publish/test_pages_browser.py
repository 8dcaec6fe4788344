"""The pages in a real browser, opened from a folder on disk: nothing cut, nothing fetched."""

import os
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

from almanac.publish import steps
from almanac.publish.pages import club_pages, site_pages
from almanac.publish.wording import Wording
from almanac.records.catalogue import Catalogue
from almanac.records.config import ClubConfig
from almanac.records.year import YearAlmanac

pytestmark = pytest.mark.browser

WORDS = Wording("en", "Europe/Paris")
FOLDER = "quarry-field/2027/"
PAGES = (
    "index.html",
    "sun-safety.html",
    "methods.html",
    *(
        f"{FOLDER}{name}.html"
        for name in (
            "index",
            "2027-03",
            "2027-03-21",
            "2027-07-10",
            "stars",
            "star-vega",
            "season-winter",
        )
    ),
)
QUIET = ("--no-sandbox", "--disable-gpu", "--disable-quic", "--disable-background-networking",
         "--disable-component-update", "--disable-sync")  # fmt: skip


@pytest.fixture(scope="module")
def folder(
    north: YearAlmanac,
    catalogue: Catalogue,
    make_config: Callable[..., ClubConfig],
    tmp_path_factory: pytest.TempPathFactory,
) -> Path:
    """The made-up club's site on disk."""
    config = make_config((north.site,))
    top = tmp_path_factory.mktemp("site")
    for path, content in (
        club_pages([north], config) | site_pages(north, config, catalogue)
    ).items():
        file = top / path
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_bytes(content if isinstance(content, bytes) else content.encode())
    return top


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    """Debian's Chromium; without it the tests are skipped, but never in CI."""
    program = shutil.which("chromium")
    if program is None:
        assert os.environ.get("CI") != "true", "CI needs chromium for the browser tests"
        pytest.skip("no chromium on this machine")
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=program, args=list(QUIET))
        yield chromium
        chromium.close()


@dataclass
class Tab:
    """A tab that remembers what the page said and asked for."""

    page: Page
    said: list[str] = field(default_factory=list)
    asked: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.page.on("console", lambda message: self.said.append(message.text))
        self.page.on("pageerror", lambda error: self.said.append(str(error)))
        self.page.on("request", lambda request: self.asked.append(request.url))


@pytest.fixture(scope="module")
def tab(browser: Browser) -> Iterator[Tab]:
    """One tab for all pages."""
    page = browser.new_page()
    yield Tab(page)
    page.close()


@pytest.mark.parametrize("path", PAGES)
def test_a_page_fits_every_window(tab: Tab, folder: Path, path: str) -> None:
    """No page scrolls sideways, complains, or asks for anything outside its folder."""
    tab.said.clear()
    tab.asked.clear()
    tab.page.goto((folder / path).as_uri())
    for width in (320, 390, 768, 1280):
        tab.page.set_viewport_size({"width": width, "height": 800})
        assert tab.page.evaluate("document.documentElement.scrollWidth") <= width, width
    assert not tab.said
    assert all(url.startswith((folder.as_uri(), "data:")) for url in tab.asked)


@pytest.mark.parametrize("path", PAGES)
def test_targets_are_large_enough_on_a_phone(tab: Tab, folder: Path, path: str) -> None:
    """Links that stand alone in lists and navigation are at least 44 px high at 390 px."""
    tab.page.set_viewport_size({"width": 390, "height": 800})
    tab.page.goto((folder / path).as_uri())
    heights = tab.page.evaluate(
        "[...document.querySelectorAll('nav a, .calendar a, .nights a, .monthlist a, .more a')]"
        ".filter(a => a.offsetParent).map(a => a.getBoundingClientRect().height)"
    )
    assert heights
    assert min(heights) >= 44


def front_at(browser: Browser, folder: Path, instant: str) -> tuple[str, str]:
    """The front page's sentence and next nights at an instant; empty while they are hidden."""
    page = browser.new_page()
    page.clock.set_fixed_time(instant)
    page.goto((folder / "index.html").as_uri())
    page.wait_for_function("window.almanacNights !== undefined")
    page.wait_for_load_state("networkidle")
    section = page.locator("[data-site]")
    shown = section.is_visible()
    texts = section.locator(".lead").inner_text(), section.locator("ol").inner_text()
    page.close()
    return texts if shown else ("", "")


@pytest.mark.parametrize(
    ("instant", "evening"),
    [
        ("2027-03-21T16:00:00Z", date(2027, 3, 21)),
        ("2027-03-21T23:30:00Z", date(2027, 3, 21)),  # half past midnight in Paris
        ("2027-03-22T04:00:00Z", date(2027, 3, 21)),  # before sunrise
        ("2027-03-22T08:00:00Z", date(2027, 3, 22)),  # the morning after
    ],
)
def test_tonight_is_the_night_in_course(
    browser: Browser, folder: Path, north: YearAlmanac, instant: str, evening: date
) -> None:
    """By the site's clock, the night lasts until its sunrise; then comes the next."""
    night = north.nights[(evening - date(2027, 1, 1)).days]
    sentence, following = front_at(browser, folder, instant)
    assert sentence == steps.sentence(night, WORDS)
    assert WORDS.date(evening, "weekday_day") not in following


def test_the_next_nights_are_three_with_a_window(
    browser: Browser, folder: Path, north: YearAlmanac
) -> None:
    """Nights of the year's better two thirds, in order, after tonight."""
    count = sum(night.rank is not None for night in north.nights)
    worth = [
        night.date
        for night in north.nights
        if night.date > date(2027, 3, 21) and night.rank and 3 * (night.rank - 1) // count < 2
    ]
    _, following = front_at(browser, folder, "2027-03-21T16:00:00Z")
    found = [line for line in following.splitlines() if " March" in line or " April" in line]
    assert found == [WORDS.date(day, "weekday_day") for day in worth[:3]]


@pytest.mark.parametrize("instant", ["2026-11-25T12:00:00Z", "2028-02-01T12:00:00Z"])
def test_outside_its_years_the_front_page_says_nothing_of_tonight(
    browser: Browser, folder: Path, instant: str
) -> None:
    """The year's best nights by month still stand there."""
    assert front_at(browser, folder, instant) == ("", "")


def test_the_last_night_reaches_into_the_next_year(
    browser: Browser, folder: Path, north: YearAlmanac
) -> None:
    """Before sunrise on New Year's Day it is still the evening of 31 December."""
    sentence, _ = front_at(browser, folder, "2028-01-01T02:00:00Z")
    assert sentence == steps.sentence(north.nights[-1], WORDS)
    assert north.nights[-1].date + timedelta(days=1) == date(2028, 1, 1)
