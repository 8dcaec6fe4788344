"""A site-year is kept when asked for, opens with the server gone, and is renewed when published."""

import json
import shutil
import threading
from collections.abc import Iterator
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

pytestmark = pytest.mark.browser

YEAR = "orchard-rise/2027/"
NIGHT = f"{YEAR}2027-01-15.html"


class _Silent(SimpleHTTPRequestHandler):
    def log_message(self, format: str, *args: object) -> None:
        """Say nothing."""


class Host:
    """A web server that can be stopped and started again on its port."""

    def __init__(self, folder: Path) -> None:
        """Start at a free port."""
        self.folder, self.port = folder, 0
        self.start()

    def start(self) -> None:
        """Serve the folder."""
        handler = partial(_Silent, directory=str(self.folder))
        self.server = ThreadingHTTPServer(("127.0.0.1", self.port), handler)
        self.port = self.server.server_address[1]
        threading.Thread(target=self.server.serve_forever, daemon=True).start()

    def stop(self) -> None:
        """Serve nothing any more."""
        self.server.shutdown()
        self.server.server_close()

    def url(self, path: str) -> str:
        """The address of a page."""
        return f"http://127.0.0.1:{self.port}/{path}"


@pytest.fixture
def host(demo_site: Path, tmp_path: Path) -> Iterator[Host]:
    """A server of the front page and four pages of a year, all the list of kept files names."""
    site = tmp_path / "site"
    shutil.copytree(demo_site, site, ignore=shutil.ignore_patterns("mill-pond", "*.pdf"))
    kept = site / YEAR / "kept.json"
    found = json.loads(kept.read_bytes())
    few = ("index.html", "2027-01-15.html", "2027-01.html", "tonight.js")
    found["files"] = {path: found["files"][path] for path in few}
    kept.write_text(json.dumps(found))
    serving = Host(site)
    yield serving
    serving.stop()


@pytest.fixture
def page(chromium: Browser) -> Iterator[Page]:
    """A phone's page in a browser that has kept nothing."""
    context = chromium.new_context(viewport={"width": 390, "height": 800})
    yield context.new_page()
    context.close()


def _keep(page: Page, host: Host) -> None:
    page.goto(host.url(f"{YEAR}index.html"))
    page.locator(".keep").click()
    expect(page.locator(".forget")).to_be_visible(timeout=20_000)


def test_nothing_is_kept_before_a_reader_asks(page: Page, host: Host) -> None:
    """Reading pages leaves nothing behind in the browser."""
    page.goto(host.url(f"{YEAR}index.html"))
    expect(page.locator(".field-use [role=status]")).to_contain_text("Nothing")
    assert page.evaluate("caches.keys()") == []
    assert (
        page.evaluate("navigator.serviceWorker.getRegistrations().then((all) => all.length)") == 0
    )


def test_a_kept_year_opens_with_the_server_stopped(page: Page, host: Host) -> None:
    """Kept pages open whole; another says that it is not kept, and what is."""
    _keep(page, host)
    expect(page.locator(".field-use [role=status]")).to_contain_text("4 pages")
    host.stop()
    page.goto(host.url(NIGHT))
    expect(page.locator("h1")).to_have_text("Friday 15 January")
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") != "rgba(0, 0, 0, 0)"
    page.goto(host.url(""))
    expect(page.locator(".kept-years a")).to_have_text("Orchard Rise 2027")
    page.goto(host.url(f"{YEAR}2027-01-16.html"))
    expect(page.locator("h1")).to_have_text("This page is not kept here")
    page.locator(".kept-years a").click()
    expect(page.locator("h1")).to_have_text("Orchard Rise 2027")
    host.start()


def test_a_kept_year_is_renewed_when_published_anew(page: Page, host: Host) -> None:
    """The next visit with a network fetches what has changed and says so."""
    _keep(page, host)
    night, kept = host.folder / NIGHT, host.folder / YEAR / "kept.json"
    night.write_text(night.read_text("utf-8").replace("Friday 15 January", "Renewed"), "utf-8")
    found = json.loads(kept.read_bytes())
    found["files"]["2027-01-15.html"], found["version"] = "0123456789ab", "renewed"
    kept.write_text(json.dumps(found))
    page.goto(host.url(f"{YEAR}index.html"))
    expect(page.locator(".field-use [role=status]")).to_contain_text("newer edition", timeout=9000)
    host.stop()
    page.goto(host.url(NIGHT))
    expect(page.locator("h1")).to_have_text("Renewed")
    host.start()


def test_a_reader_can_let_go_of_what_is_kept(page: Page, host: Host) -> None:
    """One button empties the cache again."""
    _keep(page, host)
    page.locator(".forget").click()
    expect(page.locator(".field-use [role=status]")).to_contain_text("Nothing")
    assert page.evaluate("caches.keys()") == []


def test_a_failed_fetch_is_told_and_leaves_the_kept_edition(page: Page, host: Host) -> None:
    """With the network gone halfway the old edition stays whole."""
    _keep(page, host)
    host.stop()
    page.locator(".keep").click()
    expect(page.locator(".field-use [role=status]")).to_contain_text("Not everything")
    page.goto(host.url(NIGHT))
    expect(page.locator("h1")).to_have_text("Friday 15 January")
    host.start()
