"""All pages of one site's year, the sheets to print, and the data of the front page's script."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import partial

from almanac.publish.charts.paper import PAPERS, Paper, Sheet, sheets_to_pdf
from almanac.publish.pages import (
    approaches,
    club_dates,
    danger,
    eclipse,
    events,
    features,
    find,
    meanings,
    meetings,
    month,
    month_skies,
    moon_light,
    night,
    seasons,
    stars,
    year,
)
from almanac.publish.pages.book import (
    EVENTS_HREF,
    FEATURES_HREF,
    LIGHT_HREF,
    MEANINGS_HREF,
    SUN_HREF,
    Book,
    approaches_href,
    eclipse_href,
    feature_href,
    month_href,
    month_sky_href,
    occultation_href,
    season_href,
    star_href,
)
from almanac.publish.pages.club_marks import DATES_HREF
from almanac.publish.pages.elsewhere import Elsewhere
from almanac.publish.pages.engine import Link
from almanac.publish.pages.prints import prints
from almanac.publish.pages.tonight import tonight
from almanac.publish.wording import Wording
from almanac.records.catalogue import Catalogue
from almanac.records.config import ClubConfig
from almanac.records.neighbours import Neighbourhood
from almanac.records.year import YearAlmanac

Pages = Iterator[tuple[str, str | bytes]]
Room = Callable[[], Pages]
SHARES = 4
"""Into which the nights are divided."""


def site_pages(
    almanac: YearAlmanac,
    config: ClubConfig,
    catalogue: Catalogue,
    around: Neighbourhood | None = None,
    booklet: bool = True,
) -> dict[str, str | bytes]:
    """Every page and sheet of a site's year, by path from the site's top folder."""
    rooms = site_rooms(site_book(almanac, config, catalogue, around, booklet))
    return {path: page for room in rooms for path, page in room()}


def site_book(
    almanac: YearAlmanac,
    config: ClubConfig,
    catalogue: Catalogue,
    around: Neighbourhood | None,
    booklet: bool,
) -> Book:
    """What all files of a site's year share."""
    words = Wording.of(config.club.language, almanac.site.timezone)
    elsewhere = Elsewhere(almanac.site.slug, almanac.year, config.club.years, around)
    return Book(almanac, config, catalogue, words, elsewhere, booklet)


def site_rooms(book: Book) -> tuple[Room, ...]:
    """The pages and sheets in groups, each to be made on its own, the longest work first."""
    days = range(len(book.lines))
    nights = (partial(_nights, book, days[share::SHARES]) for share in range(SHARES))
    rooms = (
        *(partial(room, book) for room in (prints, _month_skies, _year, _globe, _stars)),
        *nights,
        *(partial(room, book) for room in (_events, find.find_pages, _seasons)),
        *(partial(room, book) for room in (_months, _dates, _meanings, _tonight)),
    )
    return tuple(partial(_placed, book.folder, room) for room in rooms)


def _placed(folder: str, room: Room) -> Pages:
    return ((folder + name, page) for name, page in room())


def _year(book: Book) -> Pages:
    chart = year.draw_year(book)
    yield "index.html", year.year_page(book, chart)
    title = f"{book.almanac.site.name} {book.almanac.year}"
    caption = f"{year.year_sentence(book)} {year.chart_caption(book.words)}"
    for paper in PAPERS:
        sheet = Sheet(chart, title, caption)
        yield f"year-{paper}.pdf", sheets_to_pdf([sheet], paper, title, landscape=True)


def _dates(book: Book) -> Pages:
    yield DATES_HREF, club_dates.dates_page(book)


def _months(book: Book) -> Pages:
    for number in range(1, 13):
        yield month_href(book.almanac.year, number), month.month_page(book, number)


def _meanings(book: Book) -> Pages:
    yield MEANINGS_HREF, meanings.meanings_page(book)


def _nights(book: Book, indices: Iterable[int]) -> Pages:
    for index in indices:
        yield book.lines[index].href, night.night_page(book, index)


def _tonight(book: Book) -> Pages:
    yield "tonight.js", tonight(book)


def _stars(book: Book) -> Pages:
    yield "stars.html", stars.stars_page(book)
    for index, star in enumerate(book.almanac.stars):
        yield star_href(star.name), stars.star_page(book, index)


def _globe(book: Book) -> Pages:
    yield FEATURES_HREF, features.features_page(book)
    yield LIGHT_HREF, moon_light.light_page(book)
    for index, feature in enumerate(book.almanac.feature_years):
        yield feature_href(feature.name), features.feature_page(book, index)


def _events(book: Book) -> Pages:
    yield EVENTS_HREF, events.events_page(book)
    for one in book.almanac.eclipses:
        if one.visible:
            yield eclipse_href(one), eclipse.eclipse_page(book, one)
    for hidden in book.almanac.meetings.occultations:
        if hidden.seen:
            yield occultation_href(hidden), meetings.occultation_page(book, hidden)
    for number in sorted({near.date.month for near in book.almanac.meetings.approaches}):
        href = approaches_href(book.almanac.year, number)
        yield href, approaches.approaches_page(book, number)
    yield SUN_HREF, danger.danger_page(book)


def _seasons(book: Book) -> Pages:
    sheets: list[Sheet] = []
    for season in book.almanac.seasons:
        chart = seasons.draw_season(book, season)
        if chart:
            title = f"{seasons.season_title(book, season)}, {book.almanac.site.name}"
            sheets.append(Sheet(chart, title, seasons.season_caption(book, season)))
        links = _to_print("seasons", len(sheets)) if chart else ()
        yield season_href(season.season), seasons.season_page(book, season, chart, links)
    yield from _printed("seasons", sheets, book.words.gettext("The sky of the seasons"))


def _month_skies(book: Book) -> Pages:
    sheets: list[Sheet] = []
    for sky in book.almanac.months:
        chart = month_skies.draw_month_sky(book, sky)
        if chart:
            title = f"{month_skies.month_sky_title(book, sky)}, {book.almanac.site.name}"
            caption, notes = (
                month_skies.month_sky_caption(book, sky),
                month_skies.sheet_notes(book, sky),
            )
            sheets.append(Sheet(chart, title, caption, notes))
        links = _to_print("skies", len(sheets)) if chart else ()
        href = month_sky_href(book.almanac.year, sky.month)
        yield href, month_skies.month_sky_page(book, sky, chart, links)
    yield from _printed("skies", sheets, book.words.gettext("The sky of the months"))


def _sheets_href(stem: str, paper: Paper) -> str:
    return f"{stem}-{paper}.pdf"


def _to_print(stem: str, page: int) -> tuple[Link, ...]:
    """Links to a page of the PDFs, by the fragment of RFC 8118."""
    return tuple(
        Link(f"{_sheets_href(stem, paper)}#page={page}", paper.capitalize()) for paper in PAPERS
    )


def _printed(stem: str, sheets: Sequence[Sheet], title: str) -> Pages:
    for paper in PAPERS if sheets else ():
        yield _sheets_href(stem, paper), sheets_to_pdf(sheets, paper, title)
