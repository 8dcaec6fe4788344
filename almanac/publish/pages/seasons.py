"""The pages of the seasons' skies: a chart of the whole sky, with its stars in a table."""

from collections.abc import Iterator
from typing import NamedTuple

from markupsafe import Markup

from almanac.publish.charts.sky_disc import season_chart
from almanac.publish.pages.book import Book, season_href, star_href
from almanac.publish.pages.engine import Frame, Link, render
from almanac.records.year import SeasonSky


class PlacedStar(NamedTuple):
    """A usable star of a season's sky."""

    link: Link
    direction: str
    azimuth: str
    altitude: str
    magnitude: str
    learn: bool


class SeasonView(NamedTuple):
    """All that a season's page shows."""

    title: str
    caption: str
    chart: Markup | None
    stars: tuple[PlacedStar, ...]
    papers: tuple[Link, ...]
    others: tuple[Link, ...]


def draw_season(book: Book, season: SeasonSky) -> Markup | None:
    """The season's chart, or None where the Sun never goes low enough."""
    if season.at_utc is None:
        return None
    learn = tuple(star.hip for star in book.learn)
    return season_chart(season, book.catalogue, book.almanac.site, learn, book.words)


def season_page(
    book: Book, season: SeasonSky, chart: Markup | None, papers: tuple[Link, ...]
) -> str:
    """The page of a season's sky, with its chart already drawn and its sheets named."""
    view = season_view(book, season, chart, papers)
    return render("season.html", season_frame(book, season), view, book.words)


def season_view(
    book: Book, season: SeasonSky, chart: Markup | None, papers: tuple[Link, ...]
) -> SeasonView:
    """The view of a season's sky, with its chart already drawn."""
    words = book.words
    return SeasonView(
        title=season_title(book, season),
        caption=season_caption(book, season),
        chart=chart,
        stars=tuple(_placed(book, season)),
        papers=papers,
        others=tuple(
            Link(season_href(s.season), words.season(s.season), s is season)
            for s in book.almanac.seasons
        ),
    )


def season_frame(book: Book, season: SeasonSky) -> Frame:
    """The frame of a season's page."""
    name = book.words.season(season.season)
    up = Link("stars.html", book.words.gettext("Stars"))
    return book.frame("season", name, up, Link(season_href(season.season), name, True))


def season_title(book: Book, season: SeasonSky) -> str:
    """The chart's title."""
    return book.words.season_sky(season.season)


def season_caption(book: Book, season: SeasonSky) -> str:
    """When the chart holds, or why there is none."""
    words = book.words
    day = words.date(season.date)
    if season.at_utc is None:
        return words.gettext("On %(day)s the Sun never sinks far enough for stars.", day=day)
    return words.gettext(
        "The whole sky over %(site)s on %(day)s at %(time)s, above its own skyline. "
        "A month earlier it stands so two hours later, a month later two hours earlier.",
        site=book.almanac.site.name,
        day=day,
        time=words.clock(season.at_utc),
    )


def _placed(book: Book, season: SeasonSky) -> Iterator[PlacedStar]:
    words, learn = book.words, {star.hip for star in book.learn}
    if season.at_utc is None:
        return
    rows = zip(
        book.catalogue.stars,
        season.star_altitude_deg,
        season.star_azimuth_deg,
        season.usable,
        strict=True,
    )
    usable = [(star, alt, az) for star, alt, az, ok in rows if ok]
    for star, altitude_deg, azimuth_deg in sorted(usable, key=lambda row: row[0].magnitude):
        yield PlacedStar(
            link=Link(star_href(star.name), star.name),
            direction=words.compass(azimuth_deg),
            azimuth=words.bearing(azimuth_deg),
            altitude=words.degrees(altitude_deg),
            magnitude=words.number(star.magnitude, 1),
            learn=star.hip in learn,
        )
