"""The year as a booklet to print: a PDF from the same records and words as the pages."""

from collections.abc import Iterator

from msgspec import Struct
from msgspec.structs import replace

from almanac.publish import steps
from almanac.publish.booklet_words import CLOSING, COLUMNS, OPENING, RULE
from almanac.publish.charts.drawing import on_paper
from almanac.publish.charts.moon_disc import moon_disc, moon_text
from almanac.publish.charts.paper import Paper
from almanac.publish.pages import club, methods, seasons, year
from almanac.publish.pages.book import Book
from almanac.publish.pages.booklet_club import club_blocks
from almanac.publish.pages.booklet_months import month_table
from almanac.publish.pages.booklet_parts import (
    Chapter,
    Figure,
    Part,
    Prose,
    Table,
    figure,
    row,
    text,
)
from almanac.publish.pages.digest import digest
from almanac.publish.pages.engine import Frame, render
from almanac.publish.pages.events import event_rows
from almanac.publish.pages.low_light import SHOWN
from almanac.publish.pages.picks import pick_lines
from almanac.publish.pages.prose import Block, prose
from almanac.publish.pages.typeset import typeset
from almanac.publish.star_finding import finding

SHAPED = (0.3, 0.7)
"""Lit fractions between which the cover's Moon shows a line of shadows."""


class BookletView(Struct, frozen=True):
    """All that the booklet shows."""

    language: str
    title: str
    subtitle: str
    club: str
    place: str
    web: str
    """The address of the almanac's pages, or empty."""
    moon: Figure
    """The cover's."""
    contents: str
    """Title of the table of contents."""
    chapters: tuple[Chapter, ...]


def booklet_pdf(view: BookletView, paper: Paper) -> bytes:
    """The booklet on sheets of one size."""
    return typeset("booklet", view, paper)


def booklet_view(book: Book) -> BookletView:
    """The whole booklet of a site's year."""
    site, words, config = book.almanac.site, book.words, book.config
    _ = words.gettext
    return BookletView(
        language=words.language,
        title=f"{site.name} {book.almanac.year}",
        subtitle=_("The Moon, night by night"),
        club=config.club.name,
        place=f"{year.place(book)} · {words.zone_name}",
        web=config.club.url or "",
        moon=_cover(book),
        contents=_("Contents"),
        chapters=(
            Chapter(_("How to use this booklet"), (Prose(tuple(_how(book))),)),
            Chapter(_("The year"), tuple(_year(book))),
            *_months(book),
            Chapter(_("Stars to start on"), tuple(_stars(book))),
            Chapter(_("Events"), (Prose(tuple(_events(book))),)),
            *_club(book),
            Chapter(_("Sun safety"), (Prose(_sun_safety(book), columns=2),)),
            Chapter(_("Methods and accuracy"), (Prose(_methods(book), columns=2),)),
        ),
    )


def _cover(book: Book) -> Figure:
    """The Moon of the finest night on which it is well shaped; without any, of the first night."""
    words, nights = book.words, book.almanac.nights
    shaped = [n for n in nights if n.rank and SHAPED[0] < n.moon.illuminated_fraction < SHAPED[1]]
    chosen = min(shaped, key=lambda night: night.rank or 0, default=nights[0])
    features = steps.best_window(chosen).features[:SHOWN] if chosen.windows else ()
    caption = words.gettext(
        "The Moon on %(day)s at %(time)s. %(moon)s.",
        day=words.date(chosen.date, "weekday_day"),
        time=words.clock(chosen.moon.at_utc),
        moon=moon_text(chosen.moon, words),
    )
    drawing = moon_disc(chosen.moon, words, features)
    return Figure("", on_paper(drawing), caption, caption, tall=False)


def _how(book: Book) -> Iterator[Block]:
    _ = book.words.gettext
    yield Block("rule", (_(RULE),))
    yield text(_(OPENING))
    for head, meaning in COLUMNS:
        if meaning:
            yield row(_(head), _(meaning))
    yield text(_(CLOSING))


def _year(book: Book) -> Iterator[Part]:
    words = book.words
    _ = words.gettext
    view = year.year_view(book, year.draw_year(book))
    yield Prose((text(view.sentence),))
    yield figure(view.chart, view.chart_caption)
    head = (_("Night"), _("Window"), _("Star"), _("Detail"))
    best = tuple((n.short, n.hours, n.star or _("by eye"), n.detail) for n in view.best)
    yield Table(_("The ten finest nights"), head, best)
    picks = (row(p.what, f"{p.night.text} {p.at}", p.value, p.place) for p in pick_lines(book))
    yield Prose((Block("heading", (_("Moons that stand out"),)), *picks))
    yield Table(_("Phases"), view.phase_names, _moments(view.lunations))
    yield Table(_("The Moon nearest and farthest"), view.apsis_names, _moments(view.apsides))


def _moments(rows: tuple[tuple[year.Moment | None, ...], ...]) -> tuple[tuple[str, ...], ...]:
    return tuple(tuple(_moment(one) for one in cells) for cells in rows)


def _moment(moment: year.Moment | None) -> str:
    if moment is None:
        return ""
    distance = f", {moment.note} km" if moment.note else ""
    return f"{moment.day} {moment.clock}{distance}"


def _months(book: Book) -> Iterator[Chapter]:
    for number in range(1, 13):
        month = month_table(book, number)
        yield Chapter(month.title, (month,))


def _stars(book: Book) -> Iterator[Part]:
    words = book.words
    yield Prose(
        (
            text(words.gettext("The telescope finds itself by a star before it hops to the Moon.")),
            *(row(star.name, words.gettext(finding(star.name))) for star in book.learn),
        )
    )
    for season in book.almanac.seasons:
        chart = seasons.draw_season(book, season)
        caption = seasons.season_caption(book, season)
        if chart:
            yield figure(chart, caption, seasons.season_title(book, season), tall=True)


def _events(book: Book) -> Iterator[Block]:
    words, visible = book.words, [event for event in event_rows(book) if event.visible]
    if not visible:
        yield text(
            words.gettext("No eclipse, occultation or close approach can be seen from here.")
        )
    for event in visible:
        yield row(event.day, f"{event.name}{words.gap}: {event.here}")


def _club(book: Book) -> Iterator[Chapter]:
    if blocks := tuple(club_blocks(book)):
        yield Chapter(book.words.gettext("The club's dates"), (Prose(blocks),))


def _sun_safety(book: Book) -> tuple[Block, ...]:
    """The text of the page on Sun safety, with this site's days alone."""
    view = club.sun_view([digest(book.almanac, book.config)], book.config)
    return prose(render("sun-safety.html", _frame(book), view, book.words))


def _methods(book: Book) -> tuple[Block, ...]:
    config = replace(book.config, sites=(book.almanac.site,))
    view = methods.methods_view(book.almanac.made_with, config, book.words)
    return prose(render("methods.html", _frame(book), view, book.words))


def _frame(book: Book) -> Frame:
    name = book.config.club.name
    return Frame("booklet", name, "", name, book.words.language)
