"""Which stars to learn: the curve, the fewest, the windows without a star, the trade's rule."""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from markupsafe import Markup
from msgspec import Struct

from almanac.publish.charts.learning import learning_chart
from almanac.publish.pages.book import Book, night_href, star_href
from almanac.publish.pages.engine import Link
from almanac.publish.wording import Wording
from almanac.records.stars import CurvePoint, StarsToLearn

LONG_DAYS = 7
"""Shorter runs of bright nights are not told."""


class CurveLine(Struct, frozen=True):
    """A point of the curve."""

    count: str
    stars: tuple[Link, ...]
    served: str
    chance: str
    advised: bool


class Unserved(NamedTuple):
    """A window without a star."""

    night: Link
    reason: str


class Learning(NamedTuple):
    """All that the page tells of learning stars."""

    advice: str
    chart: Markup | None
    curve: tuple[CurveLine, ...]
    known: tuple[Link, ...]
    fewest: tuple[Link, ...]
    fewest_note: str
    unserved: tuple[Unserved, ...]
    rule: tuple[str, ...]


def learning(book: Book) -> Learning | None:
    """The view; None for a year of which nothing was computed."""
    found = book.almanac.stars_to_learn
    if found is None:
        return None
    words = book.words
    advised = next((point for point in found.curve if point.stars == found.advised), None)
    count = advised.count if advised else 0
    return Learning(
        advice=_advice(found, advised, words),
        chart=learning_chart(found.curve, count, words) if found.curve else None,
        curve=tuple(_line(point, point is advised, words) for point in found.curve),
        known=_links(found.known),
        fewest=_links(found.fewest),
        fewest_note=_fewest_note(found, words),
        unserved=tuple(_unserved(book, found)),
        rule=tuple(_rule(found, words)),
    )


def _links(names: Iterable[str]) -> tuple[Link, ...]:
    return tuple(Link(star_href(name), name) for name in names)


def _line(point: CurvePoint, advised: bool, words: Wording) -> CurveLine:
    return CurveLine(
        count=words.number(point.count),
        stars=_links(point.stars),
        served=words.number(point.windows_served),
        chance=words.percent(point.mean_landing_chance),
        advised=advised,
    )


def _advice(found: StarsToLearn, advised: CurvePoint | None, words: Wording) -> str:
    if advised is None:
        return words.gettext("No further star would serve a window of this year better.")
    return words.gettext(
        "Together they serve %(served)s windows, and the Moon lands in the frame in %(chance)s of "
        "the hops on average. Each further star adds less, as the curve shows.",
        served=words.number(advised.windows_served),
        chance=words.percent(advised.mean_landing_chance),
    )


def _fewest_note(found: StarsToLearn, words: Wording) -> str:
    told = words.gettext(
        "With these alone every window that any star can serve is served, but not well: a "
        "star far from the Moon's direction makes the hop land less often."
    )
    if found.proven:
        return told
    doubt = words.gettext(
        "These lists are the best that were found; it is not proven that no better ones exist."
    )
    return f"{told} {doubt}"


def _unserved(book: Book, found: StarsToLearn) -> Iterator[Unserved]:
    nights = book.almanac.nights
    for one in found.unserved:
        night = next(n for n in nights if n.start_utc <= one.start_utc < n.end_utc)
        day = book.words.date(night.date, "short_weekday_day")
        yield Unserved(Link(night_href(night.date), day), book.words.no_star(one.no_star))


def _rule(found: StarsToLearn, words: Wording) -> Iterator[str]:
    """The trade's two rules of thumb against this site's year."""
    most = max((point.windows_served for point in found.curve), default=0)
    four = next((point for point in found.curve if point.count == 4), None)
    if four:
        yield words.gettext(
            "Three or four stars serve a year, it is said (common practice, no source). Here four "
            "further stars serve %(served)s of the %(most)s windows that any can serve, landing in "
            "%(chance)s of the hops.",
            served=words.number(four.windows_served),
            most=words.number(most),
            chance=words.percent(four.mean_landing_chance),
        )
    five = found.trade_rule
    yield words.gettext(
        "%(stars)s cover every evening near 50° north, it is said (common practice, no source). "
        "Here the five serve %(served)s of %(most)s windows, landing in %(chance)s of the hops.",
        stars=", ".join(five.stars),
        served=words.number(five.windows_served),
        most=words.number(max(most, five.windows_served)),
        chance=words.percent(five.mean_landing_chance),
    )


def bright_weeks(book: Book) -> str:
    """The longest run of nights in which no star can be solved on; empty if under a week."""
    limit = book.config.stars.solve_below_sun_deg
    longest: list[int] = []
    run: list[int] = []
    for index, night in enumerate(book.almanac.nights):
        run = [*run, index] if night.sun.lowest_altitude_deg > limit else []
        longest = max(longest, run, key=len)
    if len(longest) < LONG_DAYS:
        return ""
    first, last = (book.almanac.nights[longest[i]].date for i in (0, -1))
    return book.words.gettext(
        "From %(first)s to %(last)s no night grows dark enough to solve: no star can be used.",
        first=book.words.date(first, "day"),
        last=book.words.date(last, "day"),
    )
