"""A site's calendars: one of each kind for a year, and one that lasts from year to year."""

from collections.abc import Callable, Iterable

from almanac.publish.calendar import Entry, Heading, calendar, entries_of, entry_text
from almanac.publish.calendar_events import event_entries
from almanac.publish.calendar_names import (
    DARK,
    DOWNLOADS_HREF,
    EVENTS,
    WINDOWS,
    Feed,
    feeds,
    lasting_path,
    web_address,
    year_path,
)
from almanac.publish.calendar_nights import dark_entries, window_entries
from almanac.publish.pages.book import Book
from almanac.publish.wording import Wording
from almanac.records.config import ClubConfig, Site

MAKERS: dict[str, Callable[[Book], Iterable[Entry]]] = {
    WINDOWS.code: window_entries,
    EVENTS.code: event_entries,
    DARK.code: dark_entries,
}


def year_calendars(book: Book) -> dict[str, str]:
    """A site's calendars of one year, by path from the site's top folder."""
    site, year = book.almanac.site, book.almanac.year
    return {
        path: calendar(
            _heading(book.config, site, feed, f"{site.name} {year}", path, year),
            entry_text(MAKERS[feed.code](book)),
        )
        for feed in feeds(book.config)
        if feed.code in MAKERS
        for path in (year_path(site, year, feed),)
    }


def lasting_calendars(
    config: ClubConfig, site: Site, published: Callable[[str], str]
) -> dict[str, str]:
    """A site's calendars of all years built, joined from those of each year.

    Their addresses name no year: who subscribes once gets each new year. ``published`` gives the
    text of a file by its path.
    """
    years = sorted(config.club.years)
    return {
        path: calendar(
            _heading(config, site, feed, site.name, path, years[-1]),
            "".join(entries_of(published(year_path(site, year, feed))) for year in years),
        )
        for feed in feeds(config)
        if feed.code in MAKERS
        for path in (lasting_path(site, feed),)
    }


def _heading(
    config: ClubConfig, site: Site, feed: Feed, where: str, path: str, year: int
) -> Heading:
    words = Wording.of(config.club.language, site.timezone)
    return Heading(
        name=f"{words.gettext(feed.name)} · {where}",
        description=f"{words.gettext(feed.about)} {config.club.name}.",
        url=web_address(config, f"{site.slug}/{year}/{DOWNLOADS_HREF}"),
        source=web_address(config, path),
    )
