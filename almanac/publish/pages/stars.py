"""The pages of stars: all by month, one by one, and the sky of each season."""

from collections.abc import Iterator
from dataclasses import dataclass

from markupsafe import Markup

from almanac.publish.charts.sky_disc import season_chart
from almanac.publish.pages.book import Book, NightLine, season_href, star_href
from almanac.publish.pages.engine import Frame, Link, render
from almanac.publish.wording import Wording
from almanac.records.year import SeasonSky, StarYear

HALF_HOURS = ("·", "½")
"""Evening hours that round to none and to a half."""


@dataclass(frozen=True)
class MonthHours:
    """A month of a star."""

    month: str
    hours: str
    """Whole hours, a half, or a dot."""
    exact: str
    best: Link | None
    strong: bool
    """Two hours or more."""


@dataclass(frozen=True)
class StarLine:
    """A star in one line."""

    link: Link
    magnitude: str
    served: str
    months: tuple[MonthHours, ...]
    learn: bool


@dataclass(frozen=True)
class StarsView:
    """All that the table page shows."""

    months: tuple[str, ...]
    initials: tuple[str, ...]
    lines: tuple[StarLine, ...]
    never: tuple[Link, ...]
    """Stars that no evening of the year can use."""
    learn: tuple[Link, ...]
    seasons: tuple[Link, ...]


@dataclass(frozen=True)
class StarView:
    """All that a star's page shows."""

    line: StarLine
    place: str
    note: str
    sentence: str
    served: tuple[tuple[str, tuple[NightLine, ...]], ...]
    """By month: the nights for which it is chosen."""
    previous: Link | None
    next: Link | None


@dataclass(frozen=True)
class PlacedStar:
    """A usable star of a season's sky."""

    link: Link
    direction: str
    azimuth: str
    altitude: str
    magnitude: str
    learn: bool


@dataclass(frozen=True)
class SeasonView:
    """All that a season's page shows."""

    title: str
    caption: str
    chart: Markup | None
    stars: tuple[PlacedStar, ...]
    papers: tuple[Link, ...]
    others: tuple[Link, ...]


def star_line(book: Book, star: StarYear) -> StarLine:
    """A star's months and figures as text."""
    words = book.words
    return StarLine(
        link=Link(star_href(star.name), star.name),
        magnitude=words.number(star.magnitude, 2),
        served=words.number(star.windows_served),
        months=tuple(_months(star, words)),
        learn=star in book.learn,
    )


def _months(star: StarYear, words: Wording) -> Iterator[MonthHours]:
    for number, month in enumerate(star.months, 1):
        day = month.best_date
        yield MonthHours(
            month=words.month(number, short=True),
            hours=evening_hours(month.evening_hours, words),
            exact=_exact(month.evening_hours, words),
            best=Link(f"{day.isoformat()}.html", words.date(day, "short_day")) if day else None,
            strong=month.evening_hours >= 2.0,
        )


def _exact(hours: float, words: Wording) -> str:
    return words.gettext("%(hours)s h", hours=words.number(hours, 1)) if hours else ""


def evening_hours(hours: float, words: Wording) -> str:
    """Hours rounded to the nearest whole, with a half where it is nearer than one."""
    if hours < 0.75:
        return HALF_HOURS[hours >= 0.25]
    return words.number(hours)


def stars_page(book: Book) -> str:
    """The page of all stars by month."""
    return render("stars.html", stars_frame(book), stars_view(book), book.words)


def stars_view(book: Book) -> StarsView:
    """The view of all stars by month, in the catalogue's order."""
    words, stars = book.words, book.almanac.stars
    usable = [star for star in stars if any(month.evening_hours for month in star.months)]
    return StarsView(
        months=tuple(words.month(m, short=True) for m in range(1, 13)),
        initials=tuple(words.month(m)[0] for m in range(1, 13)),
        lines=tuple(star_line(book, star) for star in usable),
        never=tuple(_star_link(star) for star in stars if star not in usable),
        learn=tuple(_star_link(star) for star in book.learn),
        seasons=tuple(
            Link(season_href(s.season), words.season(s.season)) for s in book.almanac.seasons
        ),
    )


def stars_frame(book: Book) -> Frame:
    """The frame of the table page."""
    title = book.words.gettext("Stars")
    return book.frame("stars", title, Link("stars.html", title, True))


def star_page(book: Book, index: int) -> str:
    """The page of the star at an index of the year's stars."""
    frame = star_frame(book, book.almanac.stars[index])
    return render("star.html", frame, star_view(book, index), book.words)


def star_view(book: Book, index: int) -> StarView:
    """The view of the star at an index of the year's stars."""
    stars, words = book.almanac.stars, book.words
    star = stars[index]
    return StarView(
        line=star_line(book, star),
        place=_place(star, words),
        note=words.gettext(star.note) if star.note else "",
        sentence=_sentence(star, words),
        served=tuple(_served(book, star)),
        previous=_star_link(stars[index - 1]) if index else None,
        next=_star_link(stars[index + 1]) if index + 1 < len(stars) else None,
    )


def star_frame(book: Book, star: StarYear) -> Frame:
    """The frame of a star's page."""
    up = Link("stars.html", book.words.gettext("Stars"))
    return book.frame("star", star.name, up, Link(star_href(star.name), star.name, True))


def _star_link(star: StarYear) -> Link:
    return Link(star_href(star.name), star.name)


def _place(star: StarYear, words: Wording) -> str:
    return words.gettext(
        "HIP %(hip)d · right ascension %(ra)s · declination %(dec)s",
        hip=star.hip,
        ra=words.degrees(star.ra_deg, 2),
        dec=words.degrees(star.dec_deg, 2),
    )


def _sentence(star: StarYear, words: Wording) -> str:
    if not any(month.evening_hours for month in star.months):
        return words.gettext("From this site it is never usable in the evening.")
    best = max(range(12), key=lambda m: star.months[m].evening_hours)
    served = words.ngettext(
        "It is the chosen star of %(n)d window.",
        "It is the chosen star of %(n)d windows.",
        star.windows_served,
    )
    usable = words.gettext(
        "Best in %(month)s, when it can be used for %(hours)s h of an evening.",
        month=words.month(best + 1),
        hours=words.number(star.months[best].evening_hours, 1),
    )
    return f"{usable} {served}"


def _served(book: Book, star: StarYear) -> Iterator[tuple[str, tuple[NightLine, ...]]]:
    for month in range(1, 13):
        lines = tuple(line for line in book.month_lines(month) if line.star == star.name)
        if lines:
            yield book.words.month(month), lines


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
    words = book.words
    return words.gettext("The %(season)s sky", season=words.season(season.season).lower())


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
            azimuth=words.degrees(azimuth_deg),
            altitude=words.degrees(altitude_deg),
            magnitude=words.number(star.magnitude, 1),
            learn=star.hip in learn,
        )
