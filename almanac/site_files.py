"""One site's year as files: its pages, sheets, data and calendars, each put in its place."""

from collections.abc import Callable, Iterator, Sequence
from contextlib import closing
from functools import partial

from almanac.inputs.catalogue import load_catalogue
from almanac.publish.calendar_names import DOWNLOADS_HREF
from almanac.publish.calendars import lasting_calendars, year_calendars
from almanac.publish.feeds import year_json, year_schema
from almanac.publish.kept import KEPT, kept_list
from almanac.publish.output import Part, Publication
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
from almanac.publish.pages.downloads import downloads_page
from almanac.publish.pages.engine import compile_templates
from almanac.publish.pages.field import shared_files
from almanac.publish.table_csv import NIGHTS_FILE, nights_csv
from almanac.publish.wording import Wording
from almanac.records.config import ClubConfig
from almanac.records.neighbours import Neighbourhood
from almanac.records.year import YearAlmanac
from almanac.workers import each

SiteYear = tuple[Part, Digest]


def make_ready(config: ClubConfig) -> None:
    """Read and compile once, in this process and its copies, what all pages are made from."""
    words = Wording.of(config.club.language, config.sites[0].timezone)
    compile_templates(words.translations)


def put_site_year(
    publication: Publication,
    almanac: YearAlmanac,
    config: ClubConfig,
    around: Neighbourhood | None,
    booklet: bool,
    jobs: int,
) -> SiteYear:
    """Put all files of a site's year, and keep what the pages of several sites need of it."""
    book = site_book(almanac, config, load_catalogue(), around, booklet)
    rooms: tuple[Callable[[], Pages], ...] = (
        partial(site_data, almanac),  # the longest first, lest a process wait for another's last
        partial(site_feeds, book),
        *site_rooms(book),
    )

    def put(room: int) -> Part:
        return publication.put(dict(rooms[room]()))

    with closing(each(put, range(len(rooms)), jobs)) as parts:
        part = Part.of(parts)
    part = Part.of((part, publication.put(dict(site_downloads(book, part)))))
    kept = publication.put(dict(site_kept(almanac, part)))
    return Part.of((part, kept)), digest(almanac, config)


def put_club(
    publication: Publication, config: ClubConfig, digests: Sequence[Digest]
) -> Iterator[Part]:
    """Put the files of the whole club: its front page and what sets the sites side by side."""
    yield publication.put(club_pages(digests, config))
    yield from map(publication.put, compare_pages(digests, config))
    for site in config.sites:
        yield publication.put(lasting_calendars(config, site, publication.text))


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
