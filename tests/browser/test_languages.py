"""The demo in each other language: words are longer there, and still nothing is cut."""

import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser

pytestmark = pytest.mark.browser

LOOK = Path(__file__).with_name("look.js").read_text(encoding="utf-8")
WIDTHS = (320,)


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """The language with the longest words; others if asked for: ``--languages de,es,fr``."""
    if "language" in metafunc.fixturenames:
        metafunc.parametrize("language", metafunc.config.getoption("--languages").split(","))


def test_longer_words_find_their_room(
    language: str,
    root: Path,
    tmp_path: Path,
    almanac: Callable[..., Any],
    types_of: Callable[[Path], dict[str, str]],
    chromium: Browser,
) -> None:
    """Every type of page lies well on a narrow phone, and says in which language it is."""
    config, site = tmp_path / "club.toml", tmp_path / "site"
    text = (root / "site_config/demo.toml").read_text(encoding="utf-8")
    text = text.replace('language = "en"', f'language = "{language}"', 1)
    config.write_text(text, encoding="utf-8")
    shutil.copytree(root / "site_config/horizons", tmp_path / "horizons")
    result = almanac("build", config, "--out", site, "--no-booklet")
    assert result.returncode == 0, result.stderr
    page, found = chromium.new_page(), []
    for path in types_of(site).values():
        page.goto(f"{site.as_uri()}/{path}")
        assert page.locator("html").get_attribute("lang") == language
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 800})
            faults = page.evaluate(LOOK, {"phone": width < 400})
            found += [f"{path} at {width}: {fault}" for fault in faults]
    page.close()
    assert found == []
