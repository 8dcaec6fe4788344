"""From a club's config to a published site: read, compute, draw, write. Start reading here."""

from collections.abc import Callable, Generator, Sequence
from contextlib import closing
from datetime import date
from functools import lru_cache, partial
from pathlib import Path
from zoneinfo import reset_tzpath

from msgspec import Struct
from msgspec.structs import replace

from almanac.almanac import compute, year_sky
from almanac.errors import AlmanacError
from almanac.inputs.catalogue import load_catalogue
from almanac.inputs.config import load_config
from almanac.publish.calendar_names import DOWNLOADS_HREF
from almanac.publish.calendars import lasting_calendars, year_calendars
from almanac.publish.card import Card, card_of
from almanac.publish.card_text import card_text
from almanac.publish.charts.paper import Paper
from almanac.publish.feeds import year_json, year_schema
from almanac.publish.kept import KEPT, kept_list
from almanac.publish.neighbours import neighbourhoods
from almanac.publish.output import Part, Publication, Published, publishing
from almanac.publish.pages import (
    Digest,
    Pages,
    club_pages,
    compare_pages,
    digest,
    site_book,
    site_rooms,
)
from almanac.publish.pages.book import Book
from almanac.publish.pages.cards import card_sheet
from almanac.publish.pages.downloads import downloads_page
from almanac.publish.pages.field import shared_files
from almanac.publish.table_csv import NIGHTS_FILE, nights_csv
from almanac.publish.wording import Wording
from almanac.records.config import ClubConfig, Site
from almanac.records.neighbours import Neighbourhood
from almanac.records.year import YearAlmanac
from almanac.sky.year_sky import YearSky
from almanac.workers import each, forks

Task = tuple[ClubConfig, int, Neighbourhood | None]
"""A config of one site, a year, and the sites that it is compared with."""
SiteYear = tuple[Part, Digest]
Progress = Callable[[int], None]

reset_tzpath(to=())
"""Time zones come from the package tzdata on every machine, so that the same input gives the same
bytes."""


class UnknownSiteError(AlmanacError):
    """A site that the config does not have was asked for."""

    exit_code = 2


class Choice(Struct, frozen=True):
    """Which part of a config to build; empty means all of it."""

    years: tuple[int, ...] = ()
    sites: tuple[str, ...] = ()
    booklet: bool = True
    """Whether each site-year is also made a booklet to print."""


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

    Each site-year is computed, drawn and written by one of up to jobs processes; only a digest
    comes back, for the pages of several sites.
    """
    config = narrowed(load_config(config_path), choice)
    parts: list[Part] = []
    digests: list[Digest] = []
    with (
        publishing(folder) as publication,
        closing(site_years(publication, choice.booklet, tasks(config), jobs)) as made,
    ):
        for part, found in made:
            parts.append(part)
            digests.append(found)
            progress(1)
        parts.append(publication.put(club_pages(digests, config)))
        parts += map(publication.put, compare_pages(digests, config))
        parts += [
            publication.put(lasting_calendars(config, site, publication.text))
            for site in config.sites
        ]
        return publication.finish(parts)


def tasks(config: ClubConfig) -> list[Task]:
    """What is to be computed, year by year."""
    groups = neighbourhoods(config.sites)
    around = {site.slug: group for group in groups for site in group.sites}
    return [
        (replace(config, sites=(site,)), year, around.get(site.slug))
        for year in config.club.years
        for site in config.sites
    ]


def site_years(
    publication: Publication, booklet: bool, todo: Sequence[Task], jobs: int
) -> Generator[SiteYear, None, None]:
    """All of them, shared among processes; or each one's pages, where they are too few to share."""
    if len(todo) < jobs and forks():
        yield from map(partial(site_year, publication, booklet, jobs), todo)
    else:
        yield from each(partial(site_year, publication, booklet, 1), todo, jobs)


def site_year(publication: Publication, booklet: bool, jobs: int, task: Task) -> SiteYear:
    """Publish a site's year, and keep what the pages of several sites need of it."""
    config, year, around = task
    catalogue = load_catalogue()
    almanac = compute(config, config.sites[0], shared_sky(year), catalogue)
    book = site_book(almanac, config, catalogue, around, booklet)
    rooms: tuple[Callable[[], Pages], ...] = (
        *site_rooms(book),
        partial(site_data, almanac),
        partial(site_feeds, book),
    )

    def put(room: int) -> Part:
        return publication.put(dict(rooms[room]()))

    with closing(each(put, range(len(rooms)), jobs)) as parts:
        part = Part.of(parts)
    part = Part.of((part, publication.put(dict(site_downloads(book, part)))))
    kept = publication.put(dict(site_kept(almanac, part)))
    return Part.of((part, kept)), digest(almanac, config)


@lru_cache(maxsize=1)
def shared_sky(year: int) -> YearSky:
    """The sky of the year at hand, made once in each process."""
    return year_sky(year, load_catalogue())


def site_data(almanac: YearAlmanac) -> Pages:
    """The data of a site's year for other programs."""
    folder = f"{almanac.site.slug}/{almanac.year}/"
    yield f"{folder}year.json", year_json(almanac)
    yield f"{folder}year.schema.json", year_schema()


def site_feeds(book: Book) -> Pages:
    """The calendars of a site's year and its table for a spreadsheet."""
    yield from year_calendars(book).items()
    yield book.folder + NIGHTS_FILE, nights_csv(book.almanac, book.words)


def site_downloads(book: Book, part: Part) -> Pages:
    """The page that leads to the files of a site's year, with their sizes."""
    sizes = {path.removeprefix(book.folder): size for path, size in part.sizes.items()}
    yield book.folder + DOWNLOADS_HREF, downloads_page(book, sizes)


def site_kept(almanac: YearAlmanac, part: Part) -> Pages:
    """The list by which a browser keeps the files of a site's year."""
    folder = f"{almanac.site.slug}/{almanac.year}/"
    title = f"{almanac.site.name} {almanac.year}"
    yield folder + KEPT, kept_list(part.hashes, part.sizes, folder, title, shared_files())


def card(config_path: Path, evening: date, slug: str | None) -> str:
    """One night's card of one site as plain text; the first site if none is named."""
    return card_text(_card(config_path, evening, slug))


def write_card(
    config_path: Path, evening: date, slug: str | None, path: Path, paper: Paper
) -> None:
    """The same card four times on a sheet, as a PDF; AlmanacError if it cannot be written."""
    sheet = card_sheet(_card(config_path, evening, slug), paper)
    try:
        path.write_bytes(sheet)
    except OSError as error:
        raise AlmanacError(f"{path}: {error.strerror}") from error


def _card(config_path: Path, evening: date, slug: str | None) -> Card:
    config, catalogue = load_config(config_path), load_catalogue()
    site = chosen_sites(config, [slug] if slug else [])[0]
    almanac = compute(config, site, year_sky(evening.year, catalogue), catalogue)
    night = next((night for night in almanac.nights if night.date == evening), None)
    if night is None:
        raise AlmanacError(f"the evening of {evening} does not exist in {site.timezone}")
    return card_of(almanac, night, config, Wording.of(config.club.language, site.timezone))
