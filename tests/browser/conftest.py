"""Debian's chromium, opened on the demo's site as it lies on disk."""

import json
import os
import re
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Request, sync_playwright

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
THEMES = ("light", "dark", "red")
Y = r"[a-z-]+/\d{4}/"
D = r"\d{4}-\d\d-\d\d"
KINDS = {
    "front": "index",
    "sun-safety": "sun-safety",
    "methods": "methods",
    "not-kept": "not-kept",
    "compare-year": r"compare/\d{4}",
    "compare-month": r"compare/\d{4}-\d\d",
    "year": f"{Y}index",
    "month": rf"{Y}\d{{4}}-\d\d",
    "night": f"{Y}{D}",
    "stars": f"{Y}stars",
    "star": f"{Y}star-.*",
    "season": f"{Y}season-.*",
    "month-sky": f"{Y}sky-.*",
    "events": f"{Y}events",
    "solar-eclipse": f"{Y}eclipse-{D}-solar",
    "lunar-eclipse": f"{Y}eclipse-{D}-lunar",
    "occultation": f"{Y}occultation-.*",
    "approaches": f"{Y}approaches-.*",
    "sun": f"{Y}sun",
    "features": f"{Y}moon-features",
    "feature": f"{Y}feature-.*",
    "light": f"{Y}moon-light",
    "find": f"{Y}find",
    "find-order": f"{Y}find-.*",
    "dates": f"{Y}club-dates",
    "downloads": f"{Y}downloads",
    "figures": f"{Y}figures",
    "wall": f"{Y}wall",
    "cards": f"{Y}cards-.*",
}
"""The types of page by the paths of their files."""
NIGHTS = {"night": 1, "night without": 0, "night with two": 2}
"""Nights of one type by the count of their windows."""
ASKED = {"find": "#day=5&day=6&dark=0.5"}
"""What is asked of a page in its address."""
TYPES = (*KINDS, "night without", "night with two")


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """Run a test that asks for a ``kind`` or a ``theme`` on every type of page, in every theme."""
    for name, values in (("kind", TYPES), ("theme", THEMES)):
        if name in metafunc.fixturenames:
            metafunc.parametrize(name, values)


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
        page.on("requestfailed", lambda request: trouble.extend(_failed(request)))
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


def _failed(request: Request) -> list[str]:
    """A request that went wrong; where script is off the browser itself refuses to ask for one.

    What a policy refuses is told as a message too.
    """
    return [] if request.failure == "csp" else [f"failed: {request.url}"]


def _foreign(url: str) -> list[str]:
    """A request that leaves the folder on disk."""
    return [] if url.startswith(("file:", "data:")) else [f"request: {url}"]


@pytest.fixture(scope="session")
def page_types(demo_site: Path) -> dict[str, str]:
    """A page of each type of the demo by its path in the site."""
    return hardest_pages(demo_site)


@pytest.fixture(scope="session")
def types_of() -> Callable[[Path], dict[str, str]]:
    """The pages of each type of another site with the demo's places and year."""
    return hardest_pages


def hardest_pages(site: Path) -> dict[str, str]:
    """A page of each type by its path in a site: the longest one, for that is the hardest.

    A page that belongs to none of the types, or to two, is told at once.
    """
    sizes = {
        path.relative_to(site).with_suffix("").as_posix(): path.stat().st_size
        for path in site.rglob("*.html")
    }
    assert {path: kinds_of(path) for path in sizes if len(kinds_of(path)) != 1} == {}
    year = json.loads((site / SITE_YEAR / "year.json").read_bytes())
    windows = {f"{SITE_YEAR}/{night['date']}": len(night["windows"]) for night in year["nights"]}

    def longest(kind: str) -> str:
        pages = [path for path in sizes if kinds_of(path) == [kind.partition(" ")[0]]]
        if kind in NIGHTS:
            pages = [path for path in pages if windows.get(path) == NIGHTS[kind]]
        assert pages, f"the demo has no page of the type {kind}"
        return max(pages, key=lambda path: (sizes[path], path)) + ".html" + ASKED.get(kind, "")

    return {kind: longest(kind) for kind in TYPES}


def kinds_of(path: str) -> list[str]:
    """The kinds of page that a path without its ending may be."""
    return [kind for kind, pattern in KINDS.items() if re.fullmatch(pattern, path)]
