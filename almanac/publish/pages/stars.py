"""The pages of stars: all by month, one by one, and the sky of each season."""

from collections.abc import Iterator
from typing import NamedTuple

from markupsafe import Markup

from almanac.publish.charts.star_year import star_year_chart
from almanac.publish.pages.book import Book, month_sky_href, season_href, star_href
from almanac.publish.pages.engine import Frame, Link, render
from almanac.publish.pages.learning import Learning, bright_weeks, learning
from almanac.publish.pages.night_line import NightLine
from almanac.publish.star_finding import colour, finding
from almanac.publish.wording import Wording
from almanac.records.year import StarYear

HALF_HOURS = ("·", "½")
"""Evening hours that round to none and to a half."""


class MonthHours(NamedTuple):
    """A month of a star."""

    month: str
    hours: str
    """Whole hours, a half, or a dot."""
    exact: str
    best: Link | None
    strong: bool
    """Two hours or more."""


class StarLine(NamedTuple):
    """A star in one line."""

    link: Link
    magnitude: str
    served: str
    months: tuple[MonthHours, ...]
    learn: bool


class MonthEvents(NamedTuple):
    """A star on the 15th of a month."""

    month: str
    rise: str
    transit: str
    set: str


class StarsView(NamedTuple):
    """All that the table page shows."""

    months: tuple[str, ...]
    initials: tuple[str, ...]
    lines: tuple[StarLine, ...]
    never: tuple[Link, ...]
    """Stars that no evening of the year can use."""
    faint: tuple[Link, ...]
    """Stars beyond the club's faintest."""
    too_faint: str
    """That they are, up to the colon before them."""
    learn: tuple[Link, ...]
    """Without those that the club knows."""
    seasons: tuple[Link, ...]
    months_sky: tuple[Link, ...]
    learning: Learning | None
    bright: str
    """The weeks without a usable hour, as a sentence, or empty."""


class StarView(NamedTuple):
    """All that a star's page shows."""

    line: StarLine
    faint: bool
    """Beyond the club's faintest: then nothing is said of its use."""
    place: str
    note: str
    sentence: str
    colour: str
    finding: str
    chart: Markup
    events: tuple[MonthEvents, ...]
    served: tuple[tuple[str, tuple[NightLine, ...]], ...]
    """By month: the nights for which it is chosen."""
    previous: Link | None
    next: Link | None


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
    faint = [star for star in stars if _is_faint(book, star)]
    bright = [star for star in stars if star not in faint]
    usable = [star for star in bright if any(month.evening_hours for month in star.months)]
    taught = learning(book)
    known = {link.text for link in taught.known} if taught else set()
    return StarsView(
        months=tuple(words.month(m, short=True) for m in range(1, 13)),
        initials=tuple(words.month(m)[0] for m in range(1, 13)),
        lines=tuple(star_line(book, star) for star in usable),
        never=tuple(_star_link(star) for star in bright if star not in usable),
        faint=tuple(_star_link(star) for star in faint),
        too_faint=f"{_too_faint(book)}{words.gap}:",
        learn=tuple(_star_link(star) for star in book.learn if star.name not in known),
        months_sky=tuple(
            Link(month_sky_href(book.almanac.year, sky.month), words.month(sky.month))
            for sky in book.almanac.months
        ),
        learning=taught,
        bright=bright_weeks(book),
        seasons=tuple(
            Link(season_href(s.season), words.season_sky(s.season)) for s in book.almanac.seasons
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
    star, faint = stars[index], _is_faint(book, stars[index])
    use = f"{_too_faint(book)}." if faint else _sentence(star, words)
    return StarView(
        line=star_line(book, star),
        faint=faint,
        place=_place(star, words),
        note=words.gettext(star.note) if star.note else "",
        sentence=" ".join((use, bright_weeks(book))).strip(),
        colour=_colour(star, words),
        finding=words.gettext(finding(star.name)) if finding(star.name) else "",
        chart=star_year_chart(star.name, star.weeks, book.star_ground, words),
        events=tuple(_events(star, words)),
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


def _colour(star: StarYear, words: Wording) -> str:
    if star.colour_bv is None:
        return ""
    name, index = words.gettext(colour(star.colour_bv)), words.number(star.colour_bv, 2)
    return words.gettext("Colour: %(name)s (B−V %(index)s).", name=name, index=index)


def _events(star: StarYear, words: Wording) -> Iterator[MonthEvents]:
    for number, month in enumerate(star.months, 1):
        events = month.events
        if events:
            times = (events.rise_utc, events.transit_utc, events.set_utc)
            clocks = (words.clock(at) if at else "–" for at in times)
            yield MonthEvents(words.month(number, short=True), *clocks)


def _is_faint(book: Book, star: StarYear) -> bool:
    return star.magnitude > book.config.stars.faintest_magnitude


def _too_faint(book: Book) -> str:
    limit = book.words.number(book.config.stars.faintest_magnitude, 1)
    return book.words.gettext("Too faint to start on, beyond magnitude %(limit)s", limit=limit)


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
