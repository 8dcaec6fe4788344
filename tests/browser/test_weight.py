"""Each page type as a web server sends it: light, whole, still, and asking nothing of others."""

import gzip
import threading
import time
from collections.abc import Iterator
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, Page

pytestmark = pytest.mark.browser

MOST_BYTES = 100_000
"""Of a page with everything it loads, compressed."""
PIECES, PAUSE_S = 12, 0.04
"""Of a page that comes in slowly: enough for the browser to draw it half come."""
WATCH = """
  window.shifts = [];
  new PerformanceObserver((list) => {
    for (const shift of list.getEntries())
      shifts.push(...shift.sources.map((it) => `${it.node?.nodeName}.${it.node?.className}`));
  }).observe({ type: "layout-shift", buffered: true });
"""
"""Notes what moves without being asked to (Layout Instability, W3C Community Group report)."""
READ = """async () => {
  for (let y = 0; y < document.documentElement.scrollHeight && y < 20000; y += innerHeight) {
    scrollTo(0, y);
    await new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
  }
}"""
"""Move down the page as a reader does."""


class _Host(ThreadingHTTPServer):
    """A server that compresses what it sends and keeps count."""

    sent = 0
    missing = 0


class _Sending(SimpleHTTPRequestHandler):
    server: _Host

    def do_GET(self) -> None:
        """Send a file of the site, compressed; in pieces if asked to be slow."""
        path = Path(self.translate_path(urlsplit(self.path).path))
        if not path.is_file():
            self.server.missing += 1
            self.send_error(404)
            return
        body = gzip.compress(path.read_bytes(), 6)
        self.send_response(200)
        self.send_header("Content-Type", self.guess_type(path))
        self.send_header("Content-Encoding", "gzip")
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        pieces = PIECES if urlsplit(self.path).query == "slowly" else 1
        size = -(-len(body) // pieces)
        for first in range(0, len(body), size):
            self.wfile.write(body[first : first + size])
            time.sleep(PAUSE_S * (pieces > 1))
        self.server.sent += len(body)

    def log_message(self, format: str, *args: object) -> None:
        """Say nothing."""


@pytest.fixture(scope="module")
def host(demo_site: Path) -> Iterator[_Host]:
    """The demo on this machine's loopback."""
    with _Host(("127.0.0.1", 0), partial(_Sending, directory=str(demo_site))) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        yield server
        server.shutdown()


@pytest.fixture
def page(chromium: Browser) -> Iterator[Page]:
    """A phone's page in a browser that has nothing yet; in the end nothing may have gone wrong."""
    context = chromium.new_context(viewport={"width": 390, "height": 844}, locale="en-GB")
    context.add_init_script(WATCH)
    page, trouble = context.new_page(), list[str]()
    page.on("console", lambda message: trouble.append(message.text))
    page.on("pageerror", lambda error: trouble.append(str(error)))
    page.on("request", lambda request: trouble.extend(_foreign(request.url)))
    yield page
    context.close()
    assert trouble == []


def _foreign(url: str) -> list[str]:
    return [] if url.startswith(("http://127.0.0.1:", "data:")) else [url]


def test_a_page_is_light_and_stays_where_it_is(
    kind: str, page_types: dict[str, str], host: _Host, page: Page
) -> None:
    """Under 100 kB with all it loads, all of it there, and nothing moves under the finger."""
    host.sent = host.missing = 0
    page.goto(f"http://127.0.0.1:{host.server_port}/{page_types[kind]}")
    page.wait_for_load_state("networkidle")
    page.evaluate(READ)
    assert 3_000 < host.sent < MOST_BYTES
    assert host.missing == 0
    assert page.evaluate("shifts") == []


def test_a_table_that_is_still_coming_in_does_not_move(
    page_types: dict[str, str], host: _Host, page: Page
) -> None:
    """Its columns find their widths before they are shown."""
    page.goto(f"http://127.0.0.1:{host.server_port}/{page_types['figures']}?slowly")
    assert page.locator("table").first.is_visible()
    assert page.evaluate("shifts") == []


def test_tonight_comes_without_moving_what_is_there(host: _Host, page: Page) -> None:
    """On an evening of the year the front page shows its night at once, or nothing below its head.

    Without the night's data it shows the rest all the same.
    """
    page.clock.set_fixed_time("2027-03-16T16:00:00Z")
    page.goto(f"http://127.0.0.1:{host.server_port}/index.html")
    page.locator(".tonight .lead").first.wait_for()
    page.evaluate(READ)
    assert page.evaluate("shifts") == []
    page.route("**/2027/tonight.js", lambda route: route.fulfill(status=200, body="'lost'"))
    page.reload()
    page.locator(".best").first.wait_for()
    assert not page.locator(".tonight").first.is_visible()


def test_what_moves_is_seen(page_types: dict[str, str], host: _Host, page: Page) -> None:
    """A line put above the others is noted: the test above can fail."""
    page.goto(f"http://127.0.0.1:{host.server_port}/{page_types['methods']}")
    page.evaluate("document.querySelector('main').prepend(document.createElement('hr'), 'Late')")
    page.wait_for_function("shifts.length > 0")
