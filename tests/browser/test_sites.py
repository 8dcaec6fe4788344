"""A large club's front page: its sites narrowed by name, all of them there without script."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from almanac.publish.pages.club import FrontView
from almanac.publish.pages.engine import Frame, Link, assets, render
from almanac.publish.wording import Wording

pytestmark = pytest.mark.browser

NAMES = ("Dänemark Hill", "Mill Pond", "Mill Race", "Quarry Field")


@pytest.fixture
def front(chromium: Browser, tmp_path: Path) -> Iterator[Callable[..., Page]]:
    """The front page of a club with too many sites to tell the nights of."""
    places = tuple((name, (Link("index.html", "2027"),)) for name in NAMES)
    view = FrontView("A federation", "", "2027", (), places, ())
    frame = Frame("front", "A federation", "", "A federation", "en")
    page = render("front.html", frame, view, Wording("en", "Europe/Paris")).encode()
    files = {**assets(), "index.html": page}
    (tmp_path / "assets").mkdir()
    for path, content in files.items():
        (tmp_path / path).write_bytes(content)
    contexts = []

    def opening(script: bool) -> Page:
        contexts.append(chromium.new_context(java_script_enabled=script))
        page = contexts[-1].new_page()
        page.goto((tmp_path / "index.html").as_uri())
        return page

    yield opening
    for context in contexts:
        context.close()


def shown(page: Page) -> list[str]:
    """Names in the list, as far as they are visible."""
    return [item.inner_text() for item in page.locator(".site-list li").all() if item.is_visible()]


@pytest.mark.parametrize(
    ("typed", "names"),
    [
        ("mill", ["Mill Pond", "Mill Race"]),
        ("MILL race", ["Mill Race"]),
        ("danemark", ["Dänemark Hill"]),
        ("moor", []),
        ("", list(NAMES)),
    ],
)
def test_typing_narrows_the_list(typed: str, names: list[str], front: Callable[..., Page]) -> None:
    """By any of the words, whatever their case and accents."""
    page = front(script=True)
    page.get_by_label("Find a site by its name").fill(typed)
    assert shown(page) == names


def test_without_script_every_site_stands_there(front: Callable[..., Page]) -> None:
    """And no field that would do nothing."""
    page = front(script=False)
    assert shown(page) == list(NAMES)
    assert not page.get_by_label("Find a site by its name").is_visible()
