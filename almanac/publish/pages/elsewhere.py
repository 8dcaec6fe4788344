"""The way from a page to the same page at a neighbouring site, and in the year before and after."""

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from datetime import UTC, date, datetime, time
from typing import NamedTuple
from zoneinfo import ZoneInfo

from almanac.publish.pages.engine import Link
from almanac.records.neighbours import Neighbourhood

EVERYWHERE = frozenset(
    {
        *("year", "month", "wall", "cards", "night", "find", "stars", "star", "season"),
        *("month-sky", "features", "feature", "light", "events", "danger", "downloads"),
    }
)
"""Kinds of page that every site has in every year."""
EVENTS = frozenset({"eclipse", "meeting"})
"""Kinds of page that a site has for what can be seen from there: elsewhere the list is shown, at
the same eclipse or at the month of the same meeting."""
YEAR_HREF, EVENTS_HREF = "index.html", "events.html"
COMPARE_FOLDER = "compare/"


def years_beside(years: Sequence[int], year: int) -> tuple[int, ...]:
    """The nearest earlier and the nearest later of some years, as far as there are such."""
    ordered = sorted(years)
    before, after = bisect_left(ordered, year), bisect_right(ordered, year)
    return (*ordered[max(before - 1, 0) : before], *ordered[after : after + 1])


def compare_href(key: str, year: int, month: int | None = None) -> str:
    """The page that compares a group in a year or a month, from the front page's folder."""
    stem = f"{COMPARE_FOLDER}{key}-" if key else COMPARE_FOLDER
    return f"{stem}{year}-{month:02d}.html" if month else f"{stem}{year}.html"


def event_anchor(href: str) -> str:
    """The id of an event in the list of events, by the file of its page."""
    return href.removesuffix(".html")


class Elsewhere(NamedTuple):
    """What there is beside a site's year."""

    slug: str
    """Of the site itself."""
    year: int
    years: tuple[int, ...]
    """All that are published."""
    around: Neighbourhood | None
    """The sites that it is compared with; None if it stands alone."""

    def compared(self, month: int | None = None) -> str:
        """The page that compares the year or a month, from a page of the site; empty for none."""
        return f"../../{compare_href(self.around.key, self.year, month)}" if self.around else ""

    def comparison(self, text: str) -> tuple[Link, ...]:
        """The way to the page that compares the year, if one does."""
        return (Link(self.compared(), text),) if self.around else ()

    def links(self, kind: str, href: str) -> Iterator[Link]:
        """The page of this kind and name at the other sites, then in the years beside.

        Of a night it is the month of another year: the Moon is elsewhere by then.
        """
        for site in self.around.sites if self.around else ():
            if site.slug != self.slug:
                same = _same(kind, href) + _anchor(kind, href)
                if kind == "night" and not _exists(date.fromisoformat(href[:10]), site.timezone):
                    same = f"{href[:7]}.html"
                yield Link(f"../../{site.slug}/{self.year}/{same}", site.name)
        for year in years_beside(self.years, self.year):
            same = f"{href[:7]}.html" if kind == "night" else _same(kind, href)
            yield Link(f"../{year}/{same.replace(f'{self.year}-', f'{year}-')}", str(year))


NOWHERE = Elsewhere("", 0, (), None)
"""Beside a year that stands alone."""


def _same(kind: str, href: str) -> str:
    if kind in EVERYWHERE:
        return href
    return EVENTS_HREF if kind in EVENTS else YEAR_HREF


def _anchor(kind: str, href: str) -> str:
    """Where in the list of events of the same year the event stands, if it is one."""
    if kind == "eclipse":
        return f"#{event_anchor(href)}"
    if kind == "meeting":
        return f"#{'-'.join(event_anchor(href).split('-')[1:3])}"
    return ""


def _exists(day: date, timezone: str) -> bool:
    """Whether a zone has the date: one that moved over the date line has left one out."""
    noon = datetime.combine(day, time(12), ZoneInfo(timezone))
    return noon.astimezone(UTC).astimezone(noon.tzinfo).date() == day
