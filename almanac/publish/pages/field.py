"""The almanac in the field without a network: what the service worker and the browser need."""

import json

from almanac.publish.charts.drawing import LIGHT
from almanac.publish.pages.engine import Frame, Link, assets, render, templates_folder
from almanac.publish.wording import Wording
from almanac.records.config import ClubConfig

WORKER, MANIFEST, NOT_KEPT = "service-worker.js", "almanac.webmanifest", "not-kept.html"
SITES_SCRIPT = "assets/sites.js"
"""Finds a site by its name; published only where the front page lists many."""


def field_pages(config: ClubConfig, words: Wording) -> dict[str, str | bytes]:
    """The service worker, the web app manifest and the page shown for what is not kept."""
    club = config.club
    title = words.gettext("This page is not kept here")
    frame = Frame(
        "not-kept", f"{title} · {club.name}", "", club.name, club.language, (Link("", title, True),)
    )
    return {
        WORKER: (templates_folder() / WORKER).read_bytes(),
        MANIFEST: _manifest(config),
        NOT_KEPT: render(NOT_KEPT, frame, None, words),
    }


def shared_files() -> tuple[str, ...]:
    """What every kept year needs from the top folder."""
    pages = ("index.html", "sun-safety.html", "methods.html", MANIFEST, NOT_KEPT)
    always = [path for path in assets() if path != SITES_SCRIPT]
    return (*pages, *always)


def _manifest(config: ClubConfig) -> str:
    """The web app manifest (W3C, Web Application Manifest): name, colours, where to start."""
    club = config.club
    found = {
        "name": club.name,
        "lang": club.language,
        "start_url": "index.html",
        "scope": "./",
        "display": "minimal-ui",
        "background_color": LIGHT["paper"],
        "theme_color": LIGHT["paper"],
        "icons": [{"src": "assets/icon.svg", "sizes": "any", "type": "image/svg+xml"}],
    }
    return json.dumps(found, ensure_ascii=False, indent=1) + "\n"
