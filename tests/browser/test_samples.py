"""The page of samples for those who carry on: it can be made, and is held to what pages are."""

from collections.abc import Callable
from pathlib import Path

import pytest
import samples
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

RULES = {"resultTypes": ["violations"], "preload": False}


@pytest.fixture
def page(chromium: Browser, demo_site: Path, tmp_path: Path) -> Callable[[int, str], Page]:
    """Open the page in a window of a width, in a theme."""
    file = tmp_path / "samples.html"
    file.write_text(samples.page(demo_site, f"{demo_site.as_uri()}/"), encoding="utf-8")

    def opening(width: int, theme: str) -> Page:
        scheme = "dark" if theme == "dark" else "light"
        page = chromium.new_page(
            viewport={"width": width, "height": 800}, color_scheme=scheme, bypass_csp=True
        )
        page.goto(file.as_uri())
        if theme == "red":
            page.locator(".red-light").click()
        return page

    return opening


def test_the_samples_hold_to_the_rules(theme: str, page: Callable[[int, str], Page]) -> None:
    """No violation of what axe checks, in any theme; nothing wider than a phone."""
    opened = page(390, theme)
    found = Axe().run(opened, options=RULES).response["violations"]
    assert [(it["id"], it["nodes"][0]["html"][:200]) for it in found] == []
    assert opened.evaluate("document.documentElement.scrollWidth") <= 390
    assert opened.locator("main section").count() > len(samples.QUOTED)
    opened.close()


def test_an_element_that_is_gone_is_told(demo_site: Path) -> None:
    """A sample of what no page has any more fails and is named."""
    with pytest.raises(LookupError, match="no <ol class=gone>"):
        samples.quoted(demo_site, "index", "ol", "gone")
