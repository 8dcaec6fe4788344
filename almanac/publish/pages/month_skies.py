"""The monthly star charts: the sky over some hours, the Moon's road, how to find the stars."""

from collections.abc import Iterator
from itertools import groupby
from typing import NamedTuple

from markupsafe import Markup

from almanac.publish.charts.moon_road import moon_places
from almanac.publish.charts.sky_disc import season_chart
from almanac.publish.pages.book import Book, month_sky_href, night_href, star_href
from almanac.publish.pages.engine import Frame, Link, render
from almanac.publish.star_finding import finding
from almanac.publish.steps import place
from almanac.records.year import MonthSky


class TaughtStar(NamedTuple):
    """A star to learn through the evening."""

    link: Link
    places: tuple[str, ...]
    """At the chart's hour and at each later one; a dash where the skyline hides it."""
    finding: str


class MoonLine(NamedTuple):
    """An evening of the Moon's road."""

    link: Link
    where: str


class MonthSkyView(NamedTuple):
    """All that a month's chart page shows."""

    title: str
    caption: str
    chart: Markup | None
    hours: tuple[str, ...]
    stars: tuple[TaughtStar, ...]
    moon: tuple[MoonLine, ...]
    papers: tuple[Link, ...]
    others: tuple[Link, ...]


def draw_month_sky(book: Book, month: MonthSky) -> Markup | None:
    """The month's chart, or None where the 15th has no hour dark enough."""
    if month.sky.at_utc is None:
        return None
    learn = tuple(star.hip for star in book.learn)
    return season_chart(month.sky, book.catalogue, book.almanac.site, learn, book.words, month)


def month_sky_page(
    book: Book, month: MonthSky, chart: Markup | None, papers: tuple[Link, ...]
) -> str:
    """The page of a month's chart, already drawn, with its sheets named."""
    view = month_sky_view(book, month, chart, papers)
    return render("month-sky.html", month_sky_frame(book, month), view, book.words)


def month_sky_view(
    book: Book, month: MonthSky, chart: Markup | None, papers: tuple[Link, ...]
) -> MonthSkyView:
    """The view of a month's chart."""
    words = book.words
    return MonthSkyView(
        title=month_sky_title(book, month),
        caption=month_sky_caption(book, month),
        chart=chart,
        hours=hours(book, month),
        stars=tuple(taught(book, month)),
        moon=tuple(_moon(book, month)),
        papers=papers,
        others=tuple(
            Link(
                month_sky_href(book.almanac.year, other.month),
                words.month(other.month, short=True),
                other is month,
            )
            for other in book.almanac.months
        ),
    )


def month_sky_frame(book: Book, month: MonthSky) -> Frame:
    """The frame of the page."""
    up = Link("stars.html", book.words.gettext("Stars"))
    title = month_sky_title(book, month)
    here = Link(month_sky_href(book.almanac.year, month.month), title, True)
    return book.frame("month-sky", title, up, here)


def month_sky_title(book: Book, month: MonthSky) -> str:
    """The chart's title."""
    return book.words.gettext("The sky in %(month)s", month=book.words.month(month.month))


def month_sky_caption(book: Book, month: MonthSky) -> str:
    """When the chart holds and what is on it, or why there is none."""
    words, at = book.words, month.sky.at_utc
    day = words.date(month.sky.date)
    if at is None:
        return words.gettext(
            "Around %(day)s no hour of the evening is dark enough to solve on a star.", day=day
        )
    sky = words.gettext(
        "The sky over %(site)s on %(day)s at %(time)s, above its own skyline. Dotted: where the "
        "stars to learn go in the next hours.",
        site=book.almanac.site.name,
        day=day,
        time=words.clock(at),
    )
    return f"{sky} {_road_caption(book, month)}"


def _road_caption(book: Book, month: MonthSky) -> str:
    if moon_places(month, book.almanac.site.horizon):
        return book.words.gettext(
            "The broad band is the Moon's road among the stars, with a ring for each evening that "
            "has a window and the day beside some of them."
        )
    return book.words.gettext(
        "Where the Moon stands in this month's windows is not above the skyline at that hour."
    )


def hours(book: Book, month: MonthSky) -> tuple[str, ...]:
    """The local times of the chart, first the one that it shows."""
    if month.sky.at_utc is None:
        return ()
    later = sorted({place.at_utc for place in month.later})
    return tuple(book.words.clock(at) for at in (month.sky.at_utc, *later))


def taught(book: Book, month: MonthSky) -> Iterator[TaughtStar]:
    """The stars to learn, with their places through the evening."""
    words, sky = book.words, month.sky
    if sky.at_utc is None:
        return
    later = {hip: list(places) for hip, places in groupby(month.later, lambda p: p.hip)}
    for i, star in enumerate(book.catalogue.stars):
        if star.hip in later:
            now = (float(sky.star_altitude_deg[i]), float(sky.star_azimuth_deg[i]))
            then = [(place.altitude_deg, place.azimuth_deg) for place in later[star.hip]]
            yield TaughtStar(
                link=Link(star_href(star.name), star.name),
                places=tuple(_where(book, *where) for where in (now, *then)),
                finding=words.gettext(finding(star.name)) if finding(star.name) else "",
            )


def _where(book: Book, altitude_deg: float, azimuth_deg: float) -> str:
    words = book.words
    if altitude_deg <= 0:
        return words.gettext("not up")
    return f"{words.degrees(altitude_deg)} {words.compass_short(azimuth_deg)}"


def _moon(book: Book, month: MonthSky) -> Iterator[MoonLine]:
    words = book.words
    for moon in month.moon:
        link = Link(night_href(moon.date), words.date(moon.date, "short_weekday_day"))
        up = moon.altitude_deg > 0
        where = place(moon.altitude_deg, moon.azimuth_deg, words) if up else ""
        yield MoonLine(link, where or words.gettext("below the horizon at the chart's hour"))


def sheet_notes(book: Book, month: MonthSky) -> str:
    """How to find each star to learn that is up at one of the hours, a line for each."""
    down = book.words.gettext("not up")
    shown = (star for star in taught(book, month) if {*star.places} != {down})
    return "\n".join(f"{star.link.text}\t{star.finding}" for star in shown)
