"""Each page type at each width, light and dark: nothing cut, overlapping, faint or too small."""

import base64
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page

pytestmark = pytest.mark.browser

HERE = Path(__file__).parent
LOOK, TEXTS, CONTRAST = (
    (HERE / f"{name}.js").read_text(encoding="utf-8") for name in ("look", "texts", "contrast")
)
WIDTHS = (320, 390, 640, 768, 1280)
"""Phones, a desk's window at 200 % zoom, a tablet, a desk."""
MOVING = """() => [...document.querySelectorAll("*")].filter((it) => {
  const style = getComputedStyle(it);
  return style.animationName !== "none" || parseFloat(style.transitionDuration) > 0;
}).length"""
PHONE = 390
DRAWN = ("front", "year", "night", "month-sky", "star", "solar-eclipse", "wall")
"""Types with drawings, whose texts the rules of accessibility pass over."""
WITH_CONTROLS = (
    "front", "methods", "year", "month", "night", "stars", "events", "find", "dates", "downloads",
    "wall", "cards",
)  # fmt: skip
"""Types with each sort of thing to reach by the keyboard; the others have links alone."""
LEAST_CONTRAST = 4.5
"""WCAG 2.2, success criterion 1.4.3, AA, for text of any size."""

Open = Callable[..., Page]


def test_a_page_lies_well_at_every_width(
    kind: str, page_types: dict[str, str], open_page: Open
) -> None:
    """No sideways scroll, no text cut or upon another, no target too small for a glove.

    And nothing moves by itself, whether a reader asked for less motion or not.
    """
    page, found = open_page(page_types[kind]), []
    assert page.evaluate(MOVING) == 0
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 800})
        found += [f"{width}: {line}" for line in page.evaluate(LOOK, {"phone": width <= PHONE})]
    assert found == []


def faint(page: Page) -> list[str]:
    """Texts whose contrast is too low, with their ratio; the page's text is invisible after."""
    texts = page.evaluate(TEXTS)
    assert texts
    picture = base64.b64encode(page.screenshot(full_page=True)).decode()
    rated = page.evaluate(CONTRAST, {"picture": picture, "texts": texts})
    assert [one for one in rated if one["ratio"] is not None]
    return sorted(
        {
            f"{one['ratio']:.2f}: {one['text']}"
            for one in rated
            if one["ratio"] is not None and one["ratio"] < LEAST_CONTRAST
        }
    )


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("drawn", DRAWN)
def test_all_text_stands_out(
    drawn: str, scheme: str, page_types: dict[str, str], open_page: Open
) -> None:
    """Every text, in drawings too, has a contrast of 4.5 to what is behind it."""
    page = open_page(page_types[drawn], PHONE, color_scheme=scheme)
    assert faint(page) == []


@pytest.mark.parametrize("name", WITH_CONTROLS)
def test_the_focus_can_be_seen(name: str, page_types: dict[str, str], open_page: Open) -> None:
    """With the Tab key each stop is marked by an outline and lies in the window."""
    page = open_page(page_types[name], PHONE)
    stops = page.locator("a[href], button, input, select, summary").filter(visible=True).count()
    assert stops >= 2  # the skip link and the red light
    for _ in range(min(8, stops)):
        page.keyboard.press("Tab")
        seen = page.evaluate(
            """() => {
              const it = document.activeElement, style = getComputedStyle(it);
              const box = it.getBoundingClientRect();
              return { text: it.textContent.trim().slice(0, 40), tag: it.tagName,
                       width: style.outlineStyle === "none" ? 0 : parseFloat(style.outlineWidth),
                       inside: box.top >= -1 && box.left >= -1 && box.right <= innerWidth + 1 };
            }"""
        )
        assert seen["tag"] != "BODY"
        assert seen["width"] >= 2, seen
        assert seen["inside"], seen


@pytest.mark.parametrize("name", ["front", "month", "night", "find"])
def test_the_keyboard_can_skip_to_the_content(
    name: str, page_types: dict[str, str], open_page: Open
) -> None:
    """The first stop is seen and leads past the head; further stops go down the page."""
    page = open_page(page_types[name], PHONE)
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    page.keyboard.press("Enter")
    assert page.evaluate("location.hash") == "#content"
    tops = []
    for _ in range(4):
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.closest('main') !== null")
        tops.append(page.evaluate("document.activeElement.getBoundingClientRect().top + scrollY"))
    assert tops == sorted(tops)


FAULTY = """<!doctype html><html lang="en"><title>T</title><body style="margin:0;background:#fff">
<p style="width:600px;margin:0">Wide enough to leave a narrow window on its right hand side, surely
<div style="width:60px;overflow:hidden;white-space:nowrap">Cut at its side</div>
<div style="height:20px;line-height:20px">Lower</div><div style="margin-top:-18px">Upper</div>
<p style="color:#999">Faint</p><nav><a href="x">Tiny</a></nav>
<svg width="200" height="60"><text x="10" y="30">One</text><text x="20" y="32">Two</text>
<text x="190" y="30">Leaves</text><rect y="40" width="90" height="20" fill="#345"/>
<text x="5" y="55" fill="#123">On the dark</text></svg>"""


def test_faults_are_seen(open_page: Open) -> None:
    """A page made badly on purpose is found out in each way: these tests can fail."""
    page = open_page("index.html", 390, bypass_csp=True)  # faults are styled in the page
    page.set_content(FAULTY)
    found = page.evaluate(LOOK, {"phone": True})
    for words in (
        "page scrolls sideways",
        "text outside the window: Wide enough",
        "text cut at its side: Cut",
        "texts overlap: Lower / Upper",
        "target of",
        "labels overlap: One / Two",
        "label leaves its drawing: Leaves",
    ):
        assert any(line.startswith(words) for line in found), (words, found)
    assert [line.split(": ")[1] for line in faint(page)] == ["On the dark", "Faint"]
