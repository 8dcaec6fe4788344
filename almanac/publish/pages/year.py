"""The page of a site's year: the year drawn, its best nights, its dates, its months."""

from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import NamedTuple

from markupsafe import Markup

from almanac.publish.charts.year import year_chart
from almanac.publish.pages.book import Book, booklet_href, month_href, season_href, star_href
from almanac.publish.pages.club_dates import proposed
from almanac.publish.pages.elsewhere import years_beside
from almanac.publish.pages.engine import Frame, Link, render
from almanac.publish.pages.events import EventRow, event_rows
from almanac.publish.pages.night_line import NightLine
from almanac.publish.pages.picks import PickLine, pick_lines
from almanac.publish.wording import Wording
from almanac.records.year import Apsis, Phase

BEST_COUNT = 10
APSIS_KINDS = ("perigee", "apogee")
PHASE_KINDS = ("new", "first_quarter", "full", "last_quarter")


class MonthLine(NamedTuple):
    """A month in one line."""

    link: Link
    nights: str
    """How many nights have a window."""
    best: NightLine | None


class Moment(NamedTuple):
    """A date of the sky."""

    day: str
    clock: str
    note: str = ""


class YearView(NamedTuple):
    """All that the page shows."""

    site: str
    year: str
    place: str
    sentence: str
    zone: str
    chart: Markup
    chart_caption: str
    best: tuple[NightLine, ...]
    picks: tuple[PickLine, ...]
    events: tuple[EventRow, ...]
    """Those that can be seen from here."""
    months: tuple[MonthLine, ...]
    phase_names: tuple[str, ...]
    lunations: tuple[tuple[Moment | None, ...], ...]
    """Rows of four: new, first quarter, full, last quarter."""
    apsis_names: tuple[str, ...]
    apsides: tuple[tuple[Moment | None, ...], ...]
    """Rows of two: perigee, apogee."""
    proposed: tuple[tuple[str, tuple[Link, ...]], ...]
    """The club's outings with the evenings proposed for each."""
    learn: tuple[Link, ...]
    seasons: tuple[Link, ...]
    booklets: tuple[Link, ...]
    folder: str
    """Of the year's pages, from the front page's folder."""
    previous: Link | None
    next: Link | None


def year_page(book: Book, chart: Markup) -> str:
    """The page of the year, with its chart already drawn."""
    return render("year.html", year_frame(book), year_view(book, chart), book.words)


def year_view(book: Book, chart: Markup) -> YearView:
    """The view of the year, with its chart already drawn."""
    almanac, words = book.almanac, book.words
    beside = years_beside(book.config.club.years, almanac.year)
    return YearView(
        site=almanac.site.name,
        year=str(almanac.year),
        place=place(book),
        sentence=year_sentence(book),
        zone=words.zone_name,
        chart=chart,
        chart_caption=chart_caption(book.words),
        best=book.best[:BEST_COUNT],
        picks=tuple(pick_lines(book)),
        events=tuple(row for row in event_rows(book) if row.visible),
        months=tuple(_month(book, month) for month in range(1, 13)),
        phase_names=tuple(words.phase(kind) for kind in PHASE_KINDS),
        lunations=tuple(rows([(p.kind, _phase(book, p)) for p in almanac.phases], PHASE_KINDS)),
        apsis_names=tuple(words.apsis(kind) for kind in APSIS_KINDS),
        apsides=tuple(rows([(a.kind, _apsis(book, a)) for a in almanac.apsides], APSIS_KINDS)),
        proposed=tuple(proposed(book)),
        learn=tuple(Link(star_href(star.name), star.name) for star in book.learn),
        seasons=tuple(
            Link(season_href(s.season), words.season_sky(s.season)) for s in almanac.seasons
        ),
        booklets=tuple(_booklets(book)),
        folder=book.folder,
        previous=next((_year_link(year) for year in beside if year < almanac.year), None),
        next=next((_year_link(year) for year in beside if year > almanac.year), None),
    )


def _booklets(book: Book) -> Iterator[Link]:
    if book.booklet:
        words = book.words
        yield Link(booklet_href("a4"), words.gettext("The year as a booklet, on A4 (PDF)"))
        yield Link(booklet_href("letter"), words.gettext("The year as a booklet, on Letter (PDF)"))


def year_frame(book: Book) -> Frame:
    """The frame of the year's page."""
    return book.frame("year", f"{book.almanac.site.name} {book.almanac.year}")


def draw_year(book: Book) -> Markup:
    """The year's chart."""
    return year_chart(book.almanac, book.words)


def chart_caption(words: Wording) -> str:
    """How the year's chart is read."""
    return words.gettext(
        "Nights run across, local hours up, from afternoon to morning. Between sunset and sunrise "
        "it is dark; paler where the Moon is up, palest in its windows, the more so the higher it "
        "stands. The slanting lines are moonrise and moonset; new and full Moons stand on top."
    )


def place(book: Book) -> str:
    """Where the site lies."""
    site, words = book.almanac.site, book.words
    return words.gettext(
        "%(latitude)s %(north)s, %(longitude)s %(east)s, %(elevation)s m",
        latitude=words.degrees(abs(site.latitude_deg), 2),
        north=words.compass_short(0 if site.latitude_deg >= 0 else 180),
        longitude=words.degrees(abs(site.longitude_deg), 2),
        east=words.compass_short(90 if site.longitude_deg >= 0 else 270),
        elevation=words.number(site.elevation_m),
    )


def year_sentence(book: Book) -> str:
    """The year in a sentence."""
    words = book.words
    if not book.best:
        return words.gettext("No night of this year has a window for the Moon.")
    best = book.best[0]
    nights = words.ngettext(
        "%(n)d night of the year has a window for the Moon",
        "%(n)d nights of the year have a window for the Moon",
        book.ranked_count,
    )
    return words.gettext(
        "%(nights)s. The finest is %(day)s, when %(detail)s can be told apart.",
        nights=nights,
        day=best.title,
        detail=best.detail,
    )


def _month(book: Book, month: int) -> MonthLine:
    words, lines = book.words, book.month_lines(month)
    count = sum(bool(line.hours) for line in lines)
    return MonthLine(
        link=Link(month_href(book.almanac.year, month), words.month(month)),
        nights=words.ngettext("%(n)d night", "%(n)d nights", count),
        best=next((line for line in book.best if line.date.month == month), None),
    )


def rows(
    moments: Sequence[tuple[str, Moment]], kinds: Sequence[str]
) -> Iterator[tuple[Moment | None, ...]]:
    """Moments in order of time as rows of one each of the kinds; the ends may have gaps."""
    row: list[Moment | None] = []
    for kind, moment in moments:
        column = kinds.index(kind)
        if len(row) > column:
            yield (*row, *[None] * (len(kinds) - len(row)))
            row = []
        row += [*[None] * (column - len(row)), moment]
    if row:
        yield (*row, *[None] * (len(kinds) - len(row)))


def _phase(book: Book, phase: Phase) -> Moment:
    words = book.words
    return Moment(_day(book, phase.at_utc), words.clock(phase.at_utc))


def _day(book: Book, instant: datetime) -> str:
    """The local date, with the year if it is not the page's."""
    day = book.words.day(instant)
    return book.words.date(day, "short_day" if day.year == book.almanac.year else "short")


def _apsis(book: Book, apsis: Apsis) -> Moment:
    words = book.words
    distance = words.number(apsis.distance_km)
    return Moment(_day(book, apsis.at_utc), words.clock(apsis.at_utc), distance)


def _year_link(year: int) -> Link:
    return Link(f"../{year}/index.html", str(year))
