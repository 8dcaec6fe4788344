"""Debian's chromium, opened on the demo's site as it lies on disk."""

import json
import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--hide-scrollbars",
)
SITE_YEAR = "orchard-rise/2027"


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """A headless browser; without one the tests are skipped, under CI=true they fail."""
    path = shutil.which("chromium") or shutil.which("chromium-browser")
    if path is None:
        told = "no chromium on this machine (Debian: apt-get install chromium)"
        if os.environ.get("CI") == "true":
            pytest.fail(told)
        pytest.skip(f"{told}: how the pages look is NOT tested")
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=path, args=list(FLAGS))
        yield browser
        browser.close()


@pytest.fixture
def open_page(chromium: Browser, demo_site: Path) -> Iterator[Callable[..., Page]]:
    """Open a page of the demo by its path in a browser of its own settings.

    In the end nothing may have gone wrong: no message, no error, no request beyond the folder.
    """
    contexts: list[BrowserContext] = []
    trouble: list[str] = []

    def opening(path: str, width: int = 1280, now: str = "", **options: Any) -> Page:
        viewport = {"width": width, "height": 800}
        context = chromium.new_context(viewport=viewport, locale="en-GB", **options)
        contexts.append(context)
        page = context.new_page()
        page.on("console", lambda message: trouble.append(f"{path}: {message.text}"))
        page.on("pageerror", lambda error: trouble.append(f"{path}: {error}"))
        page.on("requestfailed", lambda request: trouble.append(f"failed: {request.url}"))
        page.on("request", lambda request: trouble.extend(_foreign(request.url)))
        if now:
            page.clock.set_fixed_time(now)
        file, *fragment = path.split("#")
        page.goto("#".join([(demo_site / file).as_uri(), *fragment]))
        return page

    yield opening
    for context in contexts:
        context.close()
    assert trouble == []


def _foreign(url: str) -> list[str]:
    """A request that leaves the folder on disk."""
    return [] if url.startswith(("file:", "data:")) else [f"request: {url}"]


@pytest.fixture(scope="session")
def page_types(demo_site: Path) -> dict[str, str]:
    """One page of each type by its path in the site; nights with one, two and no window."""
    year = json.loads((demo_site / SITE_YEAR / "year.json").read_bytes())
    nights = {len(night["windows"]): night["date"] for night in reversed(year["nights"])}
    names = {
        "year": "index",
        "month": "2027-03",
        "night": nights[1],
        "night-without": nights[0],
        "night-with-two": nights[2],
        "stars": "stars",
        "star": "star-capella",
        "season": "season-winter",
        "find-order": "find-detail",
        "dates": "club-dates",
    }
    top = {
        "front": "index.html",
        "sun": "sun-safety.html",
        "methods": "methods.html",
        "compare-year": "compare/2027.html",
        "compare-month": "compare/2027-03.html",
    }
    pages = {kind: f"{SITE_YEAR}/{name}.html" for kind, name in names.items()}
    asked = {"find": f"{SITE_YEAR}/find.html#day=5&day=6&dark=0.5"}
    return top | pages | asked
