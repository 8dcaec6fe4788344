"""From a club's config to a published site: read, compute, draw, write. Start reading here."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from zoneinfo import reset_tzpath

from almanac.almanac import compute, year_sky
from almanac.errors import AlmanacError
from almanac.inputs.catalogue import load_catalogue
from almanac.inputs.config import load_config
from almanac.publish.card import night_card
from almanac.publish.feeds import year_json, year_schema
from almanac.publish.output import Published, publish
from almanac.publish.pages import club_pages, site_pages
from almanac.publish.wording import Wording
from almanac.records.catalogue import Catalogue
from almanac.records.config import ClubConfig, Site
from almanac.records.year import YearAlmanac

Progress = Callable[[int], None]

reset_tzpath(to=())
"""Time zones come from the package tzdata on every machine, so that the same input gives the same
bytes."""


class UnknownSiteError(AlmanacError):
    """A site that the config does not have was asked for."""

    exit_code = 2


@dataclass(frozen=True)
class Choice:
    """Which part of a config to build; empty means all of it."""

    years: tuple[int, ...] = ()
    sites: tuple[str, ...] = ()


def chosen_sites(config: ClubConfig, slugs: Sequence[str]) -> tuple[Site, ...]:
    """The config's sites of these slugs in its own order, or all; UnknownSiteError otherwise."""
    known = [site.slug for site in config.sites]
    for slug in slugs:
        if slug not in known:
            raise UnknownSiteError(f"no site {slug!r} in the config; it has: {', '.join(known)}")
    return tuple(site for site in config.sites if not slugs or site.slug in slugs)


def plan_size(config_path: Path, choice: Choice) -> int:
    """How many site-years a build will compute."""
    config = load_config(config_path)
    sites = chosen_sites(config, choice.sites)
    return len(sites) * len(choice.years or config.club.years)


def build(config_path: Path, folder: Path, choice: Choice, progress: Progress) -> Published:
    """Build the whole site in memory, then write it in one go; progress counts site-years."""
    config, catalogue = load_config(config_path), load_catalogue()
    sites = chosen_sites(config, choice.sites)
    files: dict[str, str | bytes] = {}
    almanacs: list[YearAlmanac] = []
    for year in choice.years or config.club.years:
        sky = year_sky(year, catalogue)
        for site in sites:
            almanac = compute(config, site, sky, catalogue)
            files |= site_files(almanac, config, catalogue)
            almanacs.append(almanac)
            progress(1)
    files |= club_pages(almanacs, config)
    return publish(files, folder)


def site_files(
    almanac: YearAlmanac, config: ClubConfig, catalogue: Catalogue
) -> dict[str, str | bytes]:
    """Everything published about one site in one year, by address."""
    folder = f"{almanac.site.slug}/{almanac.year}"
    return {
        **site_pages(almanac, config, catalogue),
        f"{folder}/year.json": year_json(almanac),
        f"{folder}/year.schema.json": year_schema(),
    }


def card(config_path: Path, evening: date, slug: str | None) -> str:
    """One night of one site as plain text; the first site if none is named."""
    config, catalogue = load_config(config_path), load_catalogue()
    site = chosen_sites(config, [slug] if slug else [])[0]
    almanac = compute(config, site, year_sky(evening.year, catalogue), catalogue)
    night = next((night for night in almanac.nights if night.date == evening), None)
    if night is None:
        raise AlmanacError(f"the evening of {evening} does not exist in {site.timezone}")
    return night_card(almanac, night, config, Wording(config.club.language, site.timezone))
