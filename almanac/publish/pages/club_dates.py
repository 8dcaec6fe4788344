"""The page of the club's own dates: what is proposed, what else fits, how the meetings fall."""

from collections.abc import Iterator, Sequence

from msgspec import Struct

from almanac.publish import outing_words
from almanac.publish.date_texts import date_list
from almanac.publish.pages.book import Book, night_href
from almanac.publish.pages.club_marks import DATES_HREF, outing_anchor
from almanac.publish.pages.club_meetings import MeetingRow, meeting_row
from almanac.publish.pages.engine import Link, render
from almanac.records.diary import Outing, OutingDate, Proposal

SEASON_MOST, WEEKDAY_MOST = 4, 3
"""Evenings listed for a season and for a weekday; year.json has them all."""
ENOUGH = 0.01
"""A reserve whose chance falls short of the best by no more is as good."""


class Evening(Struct, frozen=True):
    """An evening in a list."""

    night: Link
    hours: str
    figure: str


class ProposalLine(Struct, frozen=True):
    """A proposed evening with its reserves."""

    main: Evening
    what: str
    reserves: tuple[Link, ...]
    odds: str
    """Empty without the site's figures."""


class EveningList(Struct, frozen=True):
    """The best evenings of a season or a weekday."""

    title: str
    note: str
    """How many fit in all."""
    evenings: tuple[Evening, ...]


class OutingView(Struct, frozen=True):
    """One occasion."""

    anchor: str
    title: str
    rule: str
    wish: str
    proposals: tuple[ProposalLine, ...]
    notes: tuple[str, ...]
    seasons: tuple[EveningList, ...]
    weekdays: tuple[EveningList, ...]


class DatesView(Struct, frozen=True):
    """All that the page shows."""

    place: str
    lead: str
    outings: tuple[OutingView, ...]
    meetings: tuple[MeetingRow, ...]
    odds: tuple[str, ...]


def dates_page(book: Book) -> str:
    """The page of the club's dates."""
    title = book.words.gettext("The club's dates")
    frame = book.frame("dates", title, Link(DATES_HREF, title, True))
    return render("club-dates.html", frame, dates_view(book), book.words)


def dates_view(book: Book) -> DatesView:
    """The view of the page."""
    diary, almanac = book.almanac.diary, book.almanac
    return DatesView(
        place=f"{almanac.site.name} {almanac.year} · {book.words.zone_name}",
        lead=_lead(book),
        outings=tuple(_outing(book, one, row) for row, one in enumerate(diary.outings)),
        meetings=tuple(meeting_row(book, one) for one in diary.meetings),
        odds=tuple(_odds(book)),
    )


def proposed(book: Book) -> Iterator[tuple[str, tuple[Link, ...]]]:
    """Each outing's title with the evenings proposed for it."""
    for outing in book.almanac.diary.outings:
        if outing.proposals:
            nights = tuple(_night(book, one.main) for one in outing.proposals)
            yield outing_words.outing_title(outing.rule, book.words), nights


def _lead(book: Book) -> str:
    words = book.words
    for title, nights in proposed(book):
        dates = date_list(night.text for night in nights)
        return words.gettext("%(outing)s: %(dates)s.", outing=title, dates=dates)
    return words.gettext("No evening of this year fits what the club asks for.")


def _night(book: Book, evening: OutingDate) -> Link:
    text = book.words.date(evening.date, "short_weekday_day")
    return Link(night_href(evening.date), text)


# Outings


def _outing(book: Book, outing: Outing, row: int) -> OutingView:
    words, rule = book.words, outing.rule
    asked = outing_words.rule_lines(rule, book.config.moon, words)
    return OutingView(
        anchor=outing_anchor(row),
        title=outing_words.outing_title(rule, words),
        rule=" ".join(asked),
        wish=_wish(book, outing),
        proposals=tuple(_proposal(book, outing, one) for one in outing.proposals),
        notes=tuple(_notes(book, outing)),
        seasons=tuple(_seasons(book, outing)),
        weekdays=tuple(_weekdays(book, outing)),
    )


def _wish(book: Book, outing: Outing) -> str:
    words, rule = book.words, outing.rule
    fit = words.ngettext("%(n)d evening fits.", "%(n)d evenings fit.", len(outing.dates))
    wish = words.gettext(
        "Wished for: %(year)d a year, at most %(season)d in a season, at least %(spacing)s apart.",
        year=rule.dates,
        season=rule.per_season,
        spacing=_days(book, rule.spacing_days),
    )
    reserves = words.gettext(
        "In reserve for each: %(backups)d, within %(within)s.",
        backups=rule.backups,
        within=_days(book, rule.backup_days),
    )
    return " ".join((fit, wish, reserves))


def _days(book: Book, days: int) -> str:
    return book.words.ngettext("%(n)d day", "%(n)d days", days)


def _proposal(book: Book, outing: Outing, proposal: Proposal) -> ProposalLine:
    return ProposalLine(
        main=_evening(book, outing, proposal.main),
        what=outing_words.evening_line(proposal.main, book.words),
        reserves=tuple(_night(book, backup.date) for backup in proposal.backups),
        odds=_chances(book, proposal),
    )


def _chances(book: Book, proposal: Proposal) -> str:
    words, alone = book.words, proposal.main.clear_chance
    if proposal.chance is None or alone is None:
        return ""
    if not proposal.backups:
        return words.gettext("Chance of a clear sky: %(alone)s.", alone=words.chance(alone))
    return words.gettext(
        "Chance that one of them is clear: %(chance)s; the first alone: %(alone)s.",
        chance=words.chance(proposal.chance),
        alone=words.chance(alone),
    )


def _notes(book: Book, outing: Outing) -> Iterator[str]:
    """What the proposal lacks, and which reserve helps."""
    words, rule = book.words, outing.rule
    if outing.dates and len(outing.proposals) < rule.dates:
        yield words.gettext(
            "Of the %(wished)d evenings wished for, %(found)d can be had.",
            wished=rule.dates,
            found=len(outing.proposals),
        )
    yield from _shared(book, outing)
    if outing.gaps and outing.proposals and rule.backups:
        yield _which_reserve(book, outing)


def _shared(book: Book, outing: Outing) -> Iterator[str]:
    """Which of the evenings are proposed for another outing too."""
    mine = {one.main.date for one in outing.proposals}
    for other in book.almanac.diary.outings:
        for one in other.proposals if other is not outing else ():
            if one.main.date in mine:
                yield book.words.gettext(
                    "Also proposed for %(day)s: %(outing)s.",
                    day=_night(book, one.main).text,
                    outing=outing_words.outing_title(other.rule, book.words),
                )


def _which_reserve(book: Book, outing: Outing) -> str:
    """How long after the evening a reserve helps most, of those that there are."""
    words, soonest = book.words, outing.gaps[0]
    most = max(gap.chance for gap in outing.gaps)
    best = next(gap for gap in outing.gaps if gap.chance >= most - ENOUGH)
    helps = words.gettext(
        "A reserve at least %(days)s after the evening helps most: the chance that one of the two "
        "is clear is then %(chance)s on average.",
        days=_days(book, best.days),
        chance=words.chance(best.chance),
    )
    if best == soonest:
        return helps
    sooner = words.gettext(
        "With a reserve %(days)s after it the chance is %(chance)s.",
        days=_days(book, soonest.days),
        chance=words.chance(soonest.chance),
    )
    return f"{helps} {sooner}"


def _evening(book: Book, outing: Outing, evening: OutingDate) -> Evening:
    return Evening(
        night=_night(book, evening),
        hours=outing_words.evening_hours(evening, book.words),
        figure=outing_words.figure(outing.rule.kind, evening, book.words),
    )


def _seasons(book: Book, outing: Outing) -> Iterator[EveningList]:
    """The best of each season, in the order of the year."""
    words = book.words
    quarters = zip(book.almanac.diary.seasons, outing_words.QUARTERS, strict=True)
    for season, months in quarters:
        mine = [one for one in outing.dates if one.season == season]
        title = words.gettext(
            "%(season)s, %(months)s", season=words.season(season), months=words.gettext(months)
        )
        yield _list(book, outing, title, sorted(mine, key=lambda one: one.rank), SEASON_MOST)


def _weekdays(book: Book, outing: Outing) -> Iterator[EveningList]:
    """The year's best of each weekday."""
    for weekday in outing.rule.weekdays:
        mine = [one for one in outing.dates if one.date.weekday() == weekday]
        mine.sort(key=lambda one: one.year_rank)
        yield _list(book, outing, book.words.weekday(weekday), mine, WEEKDAY_MOST)


def _list(
    book: Book, outing: Outing, title: str, mine: Sequence[OutingDate], most: int
) -> EveningList:
    """The best of some evenings, which come best first."""
    words = book.words
    fit = words.ngettext("%(n)d evening fits.", "%(n)d evenings fit.", len(mine))
    return EveningList(
        title=title,
        note=fit if mine else words.gettext("No evening fits."),
        evenings=tuple(_evening(book, outing, one) for one in mine[:most]),
    )


# Odds


def _odds(book: Book) -> Iterator[str]:
    """Where the chances come from, or that there are none."""
    words, site = book.words, book.almanac.site
    if site.clear_sky is None:
        yield words.gettext(
            "The club has given no shares of clear evenings for this site, so the almanac does "
            "not know how likely a clear sky is."
        )
        return
    shares = (
        f"{words.month(month, short=True)}\u00a0{words.percent(share)}"
        for month, share in enumerate(site.clear_sky, start=1)
    )
    yield words.gettext("Clear evenings here: %(shares)s.", shares=", ".join(shares))
    yield words.gettext(
        "Weather lasts: the correlation of an evening with the next is taken as %(persistence)s. "
        "So a reserve some evenings later helps more than one the day after.",
        persistence=words.number(site.persistence, 2),
    )
    yield words.gettext(
        "The chances are those of a chain of clear and cloudy evenings (Gabriel & Neumann 1962 "
        "on daily rain); they are no forecast: look at one before you go."
    )
