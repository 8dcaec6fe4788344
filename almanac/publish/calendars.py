"""A site's calendars: one of each kind for a year, and one that lasts from year to year."""

from collections.abc import Callable, Iterable
from datetime import date, timedelta

from almanac.publish.calendar import Entry, Heading, calendar, entries_of, entry_text
from almanac.publish.calendar_club import club_entries
from almanac.publish.calendar_events import event_entries
from almanac.publish.calendar_names import (
    DARK,
    DOWNLOADS_HREF,
    EVENTS,
    FEEDS,
    MEETINGS,
    WINDOWS,
    Feed,
    lasting_path,
    web_address,
    year_path,
)
from almanac.publish.calendar_nights import dark_entries, entry, window_entries
from almanac.publish.pages.book import Book
from almanac.publish.wording import Wording
from almanac.records.config import ClubConfig, Site

MAKERS: dict[Feed, Callable[[Book], Iterable[Entry]]] = {
    WINDOWS: window_entries,
    EVENTS: event_entries,
    DARK: dark_entries,
    MEETINGS: club_entries,
}


def year_calendars(book: Book) -> dict[str, str]:
    """A site's calendars of one year, by path from the site's top folder."""
    site, year = book.almanac.site, book.almanac.year
    found = {}
    for feed in FEEDS:
        path = year_path(site, year, feed)
        heading = _heading(book.config, site, feed, f"{site.name} {year}", path, year)
        entries = list(MAKERS[feed](book)) or [_none(book, feed)]
        found[path] = calendar(heading, entry_text(entries))
    return found


def _none(book: Book, feed: Feed) -> Entry:
    """What stands in a year without entries: a calendar must have one (RFC 5545, section 3.6)."""
    words, day = book.words, date(book.almanac.year, 1, 1)
    summary = words.gettext(
        "%(calendar)s: none in %(year)s", calendar=words.gettext(feed.name), year=str(day.year)
    )
    days = (day, day + timedelta(days=1))
    return entry(book, ("none", feed.code, day.year), days, summary, (), "index.html")


def lasting_calendars(
    config: ClubConfig, site: Site, published: Callable[[str], str]
) -> dict[str, str]:
    """A site's calendars of all years built, joined from those of each year.

    Their addresses name no year: who subscribes once gets each new year. ``published`` gives the
    text of a file by its path.
    """
    years, found = sorted(config.club.years), {}
    for feed in FEEDS:
        path = lasting_path(site, feed)
        heading = _heading(config, site, feed, site.name, path, years[-1])
        found[path] = calendar(
            heading,
            "".join(entries_of(published(year_path(site, year, feed))) for year in years),
        )
    return found


def _heading(
    config: ClubConfig, site: Site, feed: Feed, where: str, path: str, year: int
) -> Heading:
    words = Wording.of(config.club.language, site.timezone)
    return Heading(
        name=f"{words.gettext(feed.name)} · {where}",
        description=f"{words.gettext(feed.about)} {config.club.name}.",
        url=web_address(config, f"{site.slug}/{year}/{DOWNLOADS_HREF}"),
        source=web_address(config, path),
        language=config.club.language,
    )
