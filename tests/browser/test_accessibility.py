"""Each page type in each theme holds to the rules of accessibility that axe can check."""

from collections.abc import Callable

import pytest
from axe_playwright_python.base import AXE_SCRIPT
from playwright.sync_api import Page

pytestmark = pytest.mark.browser

PHONE, DESK = 390, 1280
WIDER = ("month", "night", "year", "wall")
"""Types that are laid out otherwise on a desk."""
VARIANTS = ("find-order", "night without", "night with two")
"""Of types that are looked at in each theme: no colour is theirs alone."""
RULES: dict[str, object] = {"resultTypes": ["violations"], "preload": False, "selectors": False}
"""Nothing is fetched a second time; a place is told by its markup, not by a selector too."""
COLOURS = RULES | {"runOnly": ["color-contrast", "link-in-text-block"]}
"""All that differs between themes; these rules are also the slowest."""
WITHOUT_COLOURS = RULES | {"rules": {"color-contrast": {"enabled": False}}}

Open = Callable[..., Page]


def violations(page: Page, rules: dict[str, object] = RULES) -> list[str]:
    """Each fault with the rule it breaks and the first of the places."""
    if not page.evaluate("'axe' in window"):
        page.evaluate(AXE_SCRIPT)
    found = page.evaluate("rules => axe.run(rules).then(({ violations }) => violations)", rules)
    return [f"{it['id']}: {len(it['nodes'])}, {it['nodes'][0]['html'][:200]}" for it in found]


def test_no_violation(kind: str, page_types: dict[str, str], open_page: Open) -> None:
    """On a phone by day, in the dark and by red light, and what only a wide page shows."""
    page = open_page(page_types[kind], PHONE)
    assert violations(page) == []
    if kind in WIDER:
        page.set_viewport_size({"width": DESK, "height": 800})
        assert violations(page, WITHOUT_COLOURS) == []
        page.set_viewport_size({"width": PHONE, "height": 800})
    if kind in VARIANTS:
        return
    page.emulate_media(color_scheme="dark")
    assert violations(page, COLOURS) == []
    page.locator(".red-light").click()
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(0, 0, 0)"
    assert violations(page, COLOURS) == []


def test_violations_are_seen(open_page: Open) -> None:
    """A faint text, a picture without words and a heading out of order are found: it can fail."""
    page = open_page("index.html", bypass_csp=True)
    page.set_content(
        '<html lang="en"><title>T</title><main><h1>One</h1><h4>Four</h4>'
        '<p style="color:#bbb;background:#fff">Faint</p><img src="data:,"></main></html>'
    )
    found = {line.partition(":")[0] for line in violations(page)}
    assert found >= {"color-contrast", "heading-order", "image-alt"}
