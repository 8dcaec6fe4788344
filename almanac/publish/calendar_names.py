"""Which calendars a site has: their files, names, and what each is for."""

from typing import NamedTuple

from almanac.publish.terms import N_
from almanac.records.config import ClubConfig, Site

CALENDARS = "calendars"
"""The folder of a site's lasting calendars, beside those of its years."""
DOWNLOADS_HREF = "downloads.html"


class Feed(NamedTuple):
    """A calendar to subscribe to."""

    code: str
    name: str
    about: str

    @property
    def file(self) -> str:
        """Its file, in a year's folder and among the lasting calendars."""
        return f"{self.code}.ics"


WINDOWS = Feed(
    "windows",
    N_("Moon windows"),
    N_(
        "Every span of hours in which the Moon can be used, with the star to start on, the hop "
        "and the time to cap."
    ),
)
EVENTS = Feed(
    "events",
    N_("Events of the Moon"),
    N_(
        "Phases, the Moon nearest and farthest, and what can be seen from here: eclipses, "
        "occultations and close approaches."
    ),
)
DARK = Feed(
    "dark",
    N_("Dark hours"),
    N_("When the sky is dark and moonless for an hour or more: for star clusters and nebulae."),
)
MEETINGS = Feed(
    "meetings",
    N_("Meetings and outings"),
    N_("The club's meetings with the sky they get, and the outings proposed with their reserves."),
)


FEEDS = (WINDOWS, EVENTS, DARK, MEETINGS)


def lasting_path(site: Site, feed: Feed) -> str:
    """Of a site's calendar of all years, from the site's top folder: it never changes."""
    return f"{site.slug}/{CALENDARS}/{feed.file}"


def year_path(site: Site, year: int, feed: Feed) -> str:
    """Of a site's calendar of one year, from the site's top folder."""
    return f"{site.slug}/{year}/{feed.file}"


def web_address(config: ClubConfig, path: str) -> str:
    """Where a file of the published site will be found; empty if the club gave no address."""
    return f"{config.club.url.rstrip('/')}/{path}" if config.club.url else ""
