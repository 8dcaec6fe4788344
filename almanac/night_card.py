"""One night's card for the telescope, as text or as a sheet to print, without a site built."""

from datetime import date
from pathlib import Path

from almanac.almanac import compute, year_sky
from almanac.errors import AlmanacError
from almanac.inputs.catalogue import load_catalogue
from almanac.inputs.choice import chosen_sites
from almanac.publish.card import Card, card_of
from almanac.publish.card_text import card_text
from almanac.publish.charts.paper import Paper
from almanac.publish.pages.cards import card_sheet
from almanac.publish.wording import Wording
from almanac.records.config import ClubConfig
from almanac.whole_file import check_place, write_whole

PDF = b"%PDF-"
"""How every PDF begins (ISO 32000-1:2008, section 7.5.2)."""


def card(config: ClubConfig, evening: date, slug: str | None) -> str:
    """One night's card of one site as plain text; the first site if none is named."""
    return card_text(_card(config, evening, slug))


def write_card(
    config: ClubConfig, evening: date, slug: str | None, path: Path, paper: Paper
) -> None:
    """The same card four times on a sheet, as a PDF; AlmanacError if it cannot be written."""
    check_place(path, replace=True)
    _check_kind(path)
    write_whole(path, card_sheet(_card(config, evening, slug), paper), replace=True)


def _check_kind(path: Path) -> None:
    """AlmanacError if a file lies there that is no PDF: a config named by mistake is not lost."""
    if path.exists():
        with path.open("rb") as file:
            if file.read(len(PDF)) not in (PDF, b""):
                raise AlmanacError(f"{path} is no PDF and is left as it is")


def _card(config: ClubConfig, evening: date, slug: str | None) -> Card:
    catalogue = load_catalogue()
    site = chosen_sites(config, [slug] if slug else [])[0]
    almanac = compute(config, site, year_sky(evening.year, catalogue), catalogue)
    night = next((night for night in almanac.nights if night.date == evening), None)
    if night is None:
        raise AlmanacError(f"the evening of {evening} does not exist in {site.timezone}")
    return card_of(almanac, night, config, Wording.of(config.club.language, site.timezone))
