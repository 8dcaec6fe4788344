"""A club whose texts are attacks, opened in Chromium: nothing runs, loads or breaks."""

import re
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import ClassVar

import pytest
from playwright.sync_api import Browser, BrowserContext, Page

pytestmark = pytest.mark.browser

BREAK_IN = """async () => {
    const broken = [];
    addEventListener("securitypolicyviolation", (event) => broken.push(event.effectiveDirective));
    const add = (tag, change) => document.body.append(
        Object.assign(document.createElement(tag), change));
    add("script", { textContent: "window.hit = 'inline'" });
    add("script", { src: "https://x.example/x.js" });
    add("img", { src: "https://x.example/x.png" });
    add("p", {}); document.body.lastChild.setAttribute("style", "color: red");
    add("iframe", { src: "https://x.example/" });
    document.body.insertAdjacentHTML("beforeend", "<img src=x onerror='window.hit = 1'>");
    fetch("https://x.example/").catch(() => 0);
    await new Promise((done) => setTimeout(done, 500));
    return broken;
}"""
TABS = 8
"""Open at a time: they wait together."""
SOON_MS = 500
FORBIDDEN = {
    "script-src-elem", "img-src", "style-src-attr", "frame-src", "connect-src", "script-src-attr",
}  # fmt: skip


class Quiet(SimpleHTTPRequestHandler):
    """Serves files without a word, and with the headers asked for."""

    headers_to_send: ClassVar[dict[str, str]] = {}

    def end_headers(self) -> None:
        """Add them."""
        for name, value in self.headers_to_send.items():
            self.send_header(name, value)
        super().end_headers()

    def log_message(self, *_: object) -> None:
        """Say nothing."""


class Guarded(Quiet):
    """A server set as the README asks."""


@contextmanager
def serving(site: Path, handler: type[Quiet]) -> Iterator[str]:
    """A site on this machine's loopback."""
    with ThreadingHTTPServer(("127.0.0.1", 0), partial(handler, directory=str(site))) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://127.0.0.1:{server.server_port}"
        server.shutdown()


@pytest.fixture(scope="module")
def served(hostile_site: Path) -> Iterator[str]:
    """The hostile site as any server gives it."""
    with serving(hostile_site, Quiet) as address:
        yield address


@pytest.fixture(scope="module")
def guarded(hostile_site: Path, root: Path) -> Iterator[str]:
    """The hostile site with the headers that the README asks for."""
    readme = (root / "README.md").read_text(encoding="utf-8")
    lines = re.findall(r"^([A-Z][A-Za-z-]+): (.+)$", readme.partition("```text")[2], re.MULTILINE)
    Guarded.headers_to_send = dict(lines)
    assert {"Content-Security-Policy", "X-Content-Type-Options"} < set(Guarded.headers_to_send)
    with serving(hostile_site, Guarded) as address:
        yield address


@pytest.fixture(scope="module")
def kinds(hostile_site: Path) -> list[str]:
    """One page of each kind, by its path in the site."""
    found: dict[str, str] = {}
    for path in sorted(hostile_site.rglob("*.html")):
        kind = re.search(r'<body class="([^"]*)"', path.read_text(encoding="utf-8"))
        assert kind, path
        found.setdefault(kind[1], path.relative_to(hostile_site).as_posix())
    assert len(found) > 20
    return list(found.values())


@pytest.fixture
def watched(chromium: Browser) -> Iterator[tuple[Page, list[str]]]:
    """A page, and everything that went wrong on it."""
    context, trouble = chromium.new_context(), list[str]()
    context.on("console", lambda message: trouble.append(message.text))
    context.on("weberror", lambda error: trouble.append(str(error.error)))
    context.on("dialog", lambda dialog: trouble.append(dialog.message))
    context.on("requestfailed", lambda request: trouble.append(f"failed: {request.url}"))
    yield context.new_page(), trouble
    context.close()


@pytest.mark.parametrize("way", ["file", "headers"])
def test_no_page_is_broken_into(
    way: str,
    kinds: list[str],
    guarded: str,
    hostile_site: Path,
    watched: tuple[Page, list[str]],
) -> None:
    """Every kind of page, from disk and from a server: no script of the texts runs, nothing is
    asked of another place, the policy has nothing to forbid, and the page works, on a phone too."""
    page, trouble = watched
    home = hostile_site.as_uri() if way == "file" else guarded
    page.context.on("request", lambda r: trouble.extend([r.url] if not _own(r.url, home) else []))
    for first in range(0, len(kinds), TABS):
        paths = kinds[first : first + TABS]
        tabs = [_opened(page.context, f"{home}/{path}") for path in paths]
        tabs[-1].wait_for_timeout(SOON_MS)  # what a script would do a little later
        for path, tab in zip(paths, tabs, strict=True):
            assert tab.evaluate("window.hit") is None, path
            assert tab.locator("iframe, object, embed, style, base").count() == 0, path
            assert tab.locator("h1").first.is_visible(), path
            assert tab.evaluate("document.documentElement.scrollWidth") == 320, path
            assert tab.url == f"{home}/{path}"
            tab.close()
    assert trouble == []


def _opened(context: BrowserContext, address: str) -> Page:
    """A page in a tab as wide as a small phone."""
    tab = context.new_page()
    tab.set_viewport_size({"width": 320, "height": 700})
    tab.goto(address)
    return tab


@pytest.mark.parametrize("way", ["file", "headers"])
def test_data_opened_as_a_page_stay_data(
    way: str, guarded: str, hostile_site: Path, watched: tuple[Page, list[str]]
) -> None:
    """The files for programs, if a reader opens them: nothing runs or is taken for a page."""
    page, trouble = watched
    home = hostile_site.as_uri() if way == "file" else guarded
    for name in ("year.json", "year.schema.json", "kept.json", "tonight.js"):
        page.goto(f"{home}/hostile/2027/{name}")
        assert page.evaluate("window.hit") is None, name
        assert page.locator("script, img, svg, iframe, form").count() == 0, name
    page.goto(f"{home}/assets/icon.svg")
    assert page.evaluate("window.hit") is None
    assert all("404" in message for message in trouble)  # the browser asks for an icon of its own


def test_a_year_is_kept_under_the_headers(guarded: str, watched: tuple[Page, list[str]]) -> None:
    """The service worker, its list and the manifest work as strictly as they are served."""
    page, trouble = watched
    page.goto(f"{guarded}/hostile/2027/index.html")
    page.locator(".field-use .keep").click()
    page.locator(".field-use .forget").wait_for(state="visible", timeout=60_000)
    page.goto(f"{guarded}/index.html")
    page.locator(".kept-years a").first.wait_for()
    assert page.locator(".kept-years a").first.inner_text().startswith('"><svg onload=')
    assert page.evaluate("window.hit") is None
    assert trouble == []


def test_no_other_place_frames_the_pages(
    guarded: str, served: str, watched: tuple[Page, list[str]]
) -> None:
    """Under the headers a page shows nothing in a frame of another's, where clicks could be led."""
    page, _ = watched
    page.set_content(f'<iframe src="{served}/index.html"></iframe>')
    page.frames[1].locator("main#content").wait_for()
    page.set_content(f'<iframe src="{guarded}/index.html"></iframe>')
    page.wait_for_timeout(500)
    assert page.frames[1].locator("main#content").count() == 0


def _own(url: str, home: str) -> bool:
    return url.startswith((home, "data:image/"))


@pytest.mark.parametrize("way", ["file", "http"])
def test_the_policy_would_stop_what_came_in(
    way: str, served: str, hostile_site: Path, chromium: Browser
) -> None:
    """Even markup that got into a page could run no script and ask nothing of another place."""
    home = hostile_site.as_uri() if way == "file" else served
    context = chromium.new_context()
    page = context.new_page()
    page.goto(f"{home}/index.html")
    broken = page.evaluate(BREAK_IN)
    assert set(broken) >= FORBIDDEN
    assert page.evaluate("window.hit") is None
    context.close()


def test_script_of_our_own_still_works(served: str, watched: tuple[Page, list[str]]) -> None:
    """Under the policy the red light can be switched on, and the search narrows the nights."""
    page, trouble = watched
    page.goto(f"{served}/index.html")
    page.locator("button.red-light").click()
    assert page.locator("button.red-light").get_attribute("aria-pressed") == "true"
    assert trouble == []
