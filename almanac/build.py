"""From a club's config to a published site: read, compute, draw, write. Start reading here."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import lru_cache, partial
from pathlib import Path
from zoneinfo import reset_tzpath

from almanac.almanac import compute, without_samples, year_sky
from almanac.errors import AlmanacError
from almanac.inputs.catalogue import load_catalogue
from almanac.inputs.config import load_config
from almanac.publish.card_text import night_card
from almanac.publish.feeds import year_json, year_schema
from almanac.publish.output import Part, Publication, Published, publishing
from almanac.publish.pages import club_pages, site_pages
from almanac.publish.wording import Wording
from almanac.records.catalogue import Catalogue
from almanac.records.config import ClubConfig, Site
from almanac.records.year import YearAlmanac
from almanac.sky.year_sky import YearSky
from almanac.workers import each

Files = dict[str, str | bytes]
Task = tuple[ClubConfig, int]
"""A config of one site, and a year."""
SiteYear = tuple[Part, YearAlmanac]
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


def narrowed(config: ClubConfig, choice: Choice) -> ClubConfig:
    """The config with only the years and sites chosen, so that no page links to one not built."""
    years = choice.years or config.club.years
    return replace(
        config,
        club=replace(config.club, years=tuple(dict.fromkeys(years))),
        sites=chosen_sites(config, choice.sites),
    )


def plan_size(config_path: Path, choice: Choice) -> int:
    """How many site-years a build will compute."""
    config = narrowed(load_config(config_path), choice)
    return len(config.sites) * len(config.club.years)


def build(
    config_path: Path, folder: Path, choice: Choice, jobs: int, progress: Progress
) -> Published:
    """Build the whole site beside its folder, then swap it in; progress counts site-years.

    Each site-year is computed, drawn and written by one of up to jobs processes; only a summary
    comes back, for the club's own pages.
    """
    config = narrowed(load_config(config_path), choice)
    tasks = [
        (replace(config, sites=(site,)), year)
        for year in config.club.years
        for site in config.sites
    ]
    parts: list[Part] = []
    almanacs: list[YearAlmanac] = []
    with publishing(folder) as publication:
        for part, almanac in each(partial(site_year, publication), tasks, jobs):
            parts.append(part)
            almanacs.append(almanac)
            progress(1)
        parts.append(publication.put(club_pages(almanacs, config)))
        return publication.finish(parts)


def site_year(publication: Publication, task: Task) -> SiteYear:
    """Publish a site's year, and summarise it for the club's own pages."""
    config, year = task
    catalogue = load_catalogue()
    almanac = compute(config, config.sites[0], shared_sky(year), catalogue)
    return publication.put(site_files(almanac, config, catalogue)), without_samples(almanac)


@lru_cache(maxsize=1)
def shared_sky(year: int) -> YearSky:
    """The sky of the year at hand, made once in each process."""
    return year_sky(year, load_catalogue())


def site_files(almanac: YearAlmanac, config: ClubConfig, catalogue: Catalogue) -> Files:
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
