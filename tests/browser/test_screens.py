"""Pictures of each page type, kept in .build/screens to be looked at; by red light all is red."""

import base64
from collections.abc import Callable
from pathlib import Path

import pytest
from playwright.sync_api import Page

pytestmark = pytest.mark.browser

PHONE, OTHER_WIDTHS = 390, (320, 768, 1280)
MAIN = ("front", "year", "month", "night", "month-sky")
"""Types shown at more widths."""
SHOWN = (*MAIN, "star", "find", "wall", "cards")
"""Types that are shown."""
TALLEST = 2000
"""Pixels kept of a long page."""
NOW = "2027-03-16T16:00:00Z"
"""An evening with a window: the front page shows it."""
REDDEST = """async (picture) => {
  const image = new Image();
  image.src = `data:image/png;base64,${picture}`;
  await image.decode();
  const canvas = new OffscreenCanvas(image.width, image.height);
  const pen = canvas.getContext("2d");
  pen.drawImage(image, 0, 0);
  const pixels = pen.getImageData(0, 0, image.width, image.height).data;
  let most = 0;
  for (let i = 0; i < pixels.length; i += 4) most = Math.max(most, pixels[i + 1], pixels[i + 2]);
  return most;
}"""
"""The brightest green or blue of a picture, 0 to 255."""
MOST_GREEN = 0x6A
"""Of the red palette's ink, which is its brightest colour."""

Open = Callable[..., Page]


@pytest.fixture(scope="session")
def folder(root: Path) -> Path:
    """Where the pictures lie; git passes over it."""
    screens = root / ".build" / "screens"
    screens.mkdir(parents=True, exist_ok=True)
    return screens


def shoot(page: Page, file: Path) -> bytes:
    """Keep the page's picture from its top."""
    width = page.viewport_size["width"] if page.viewport_size else PHONE
    height = min(TALLEST, page.evaluate("document.documentElement.scrollHeight"))
    clip = {"x": 0, "y": 0, "width": width, "height": height}
    return page.screenshot(path=file, full_page=True, clip=clip)


@pytest.mark.parametrize("shown", SHOWN)
def test_pictures_are_kept(
    shown: str, page_types: dict[str, str], open_page: Open, folder: Path
) -> None:
    """By red light nothing shines white, green or blue: eyes stay used to the dark."""
    page, name = open_page(page_types[shown], PHONE, NOW, bypass_csp=True), shown.replace(" ", "-")
    for width in (PHONE, *(OTHER_WIDTHS if shown in MAIN else ())):
        page.set_viewport_size({"width": width, "height": 800})
        shoot(page, folder / f"{name}-{width}-light.png")
    page.set_viewport_size({"width": PHONE, "height": 800})
    page.emulate_media(color_scheme="dark")
    shoot(page, folder / f"{name}-{PHONE}-dark.png")
    page.locator(".red-light").click()
    picture = shoot(page, folder / f"{name}-{PHONE}-red.png")
    assert page.evaluate(REDDEST, base64.b64encode(picture).decode()) <= MOST_GREEN
