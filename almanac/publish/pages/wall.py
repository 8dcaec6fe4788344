"""The year at a glance, one sheet to hang on a wall: as a page and as PDFs."""

from collections.abc import Iterator
from datetime import date, datetime

from markupsafe import Markup
from msgspec import Struct
from msgspec.structs import replace

from almanac.publish.charts.drawing import on_paper
from almanac.publish.charts.night_scale import axis_hours
from almanac.publish.charts.paper import Paper
from almanac.publish.charts.wall import Marks, wall_chart
from almanac.publish.eclipse_words import mark
from almanac.publish.meeting_words import approach_mark, occultation_mark
from almanac.publish.outing_words import outing_title
from almanac.publish.pages.book import Book
from almanac.publish.pages.engine import Link, render
from almanac.publish.pages.typeset import typeset
from almanac.publish.pages.year import year_sentence

WALL_HREF = "wall.html"
BEST_COUNT = 8
EVENTS = 18
"""Most events that the sheet has room to name; the year's page of events has all."""
LINE, LINES = 50, 50
"""Letters in a line and lines of the lists for which the printed page has room."""


class Entry(Struct, frozen=True):
    """A sign of the drawing, or a date, and what it means."""

    sign: str
    text: str


class WallView(Struct, frozen=True):
    """All that the sheet shows."""

    language: str
    title: str
    subtitle: str
    sentence: str
    chart: Markup
    legend_title: str
    legend: tuple[Entry, ...]
    best_title: str
    best: tuple[Entry, ...]
    events_title: str
    events: tuple[Entry, ...]
    club_title: str
    club: tuple[Entry, ...]
    caution: str

    @property
    def crowded(self) -> bool:
        """Whether the lists need the smallest type to stay on the printed page."""
        lists = (self.legend, self.best, self.events, self.club)
        lines = (1 + len(entry.sign + entry.text) // LINE for part in lists for entry in part)
        return sum(lines) > LINES


class WallEvent(Struct, frozen=True):
    """A marked night."""

    date: date
    at_utc: datetime
    text: str
    weight: tuple[int, float]
    """Least is named first where there is no room for all."""


def wall_view(book: Book) -> WallView:
    """The view of the sheet."""
    words, site = book.words, book.almanac.site
    events = wall_events(book)
    _ = words.gettext
    return WallView(
        language=words.language,
        title=_("%(site)s %(year)s at a glance", site=site.name, year=book.almanac.year),
        subtitle=f"{book.config.club.name} · {words.zone_name}",
        sentence=year_sentence(book),
        chart=draw_wall(book, events),
        legend_title=_("How to read it"),
        legend=tuple(_legend(book)),
        best_title=_("The finest nights"),
        best=tuple(_best(book)),
        events_title=_("Events"),
        events=tuple(_numbered(book, events)),
        club_title=_("The club's dates"),
        club=tuple(_club(book)),
        caution=_(
            "Never let a telescope, finder or camera see the Sun without a filter made for it "
            "over the whole front."
        ),
    )


def wall_page(book: Book, view: WallView) -> str:
    """The page of the sheet."""
    return render("wall.html", book.frame("wall", view.title, _here(view)), view, book.words)


def _here(view: WallView) -> Link:
    return Link(WALL_HREF, view.title, True)


def wall_sheet(view: WallView, paper: Paper) -> bytes:
    """The sheet as a PDF of one page."""
    return typeset("wall", replace(view, chart=Markup(on_paper(view.chart))), paper)


def draw_wall(book: Book, events: tuple[WallEvent, ...]) -> Markup:
    """The drawing, its events numbered as in the list beside it."""
    grades = {line.date: line.quality for line in book.lines}
    return wall_chart(book.almanac, grades, _marks(book, events), book.words)


# Events


def wall_events(book: Book) -> tuple[WallEvent, ...]:
    """The events that the sheet names, in order of time."""
    found = sorted(_all_events(book), key=lambda event: event.weight)[:EVENTS]
    return tuple(sorted(found, key=lambda event: event.at_utc))


def _all_events(book: Book) -> Iterator[WallEvent]:
    """Eclipses weigh most, then what the Moon hides, the brighter the more, then planets near."""
    almanac, words = book.almanac, book.words
    for eclipse in almanac.eclipses:
        if eclipse.visible:
            yield WallEvent(eclipse.date, eclipse.greatest_utc, mark(eclipse, words), (0, 0.0))
    for one in almanac.meetings.occultations:
        if one.seen:
            weight = (1, one.magnitude or 0.0)
            yield WallEvent(one.date, one.middle_utc, occultation_mark(one, words), weight)
    for near in almanac.meetings.approaches:
        if near.kind == "planet":
            weight = (2, near.separation_deg)
            yield WallEvent(near.date, near.at_utc, approach_mark(near, words), weight)


def _marks(book: Book, events: tuple[WallEvent, ...]) -> Marks:
    """The club's dates first, then the numbers of events, by evening."""
    numbers = ((event.date, str(number)) for number, event in enumerate(events, start=1))
    found: dict[date, tuple[str, ...]] = {}
    for day, code in dict.fromkeys((*_club_marks(book), *numbers)):
        found[day] = (*found.get(day, ()), code)
    return found


def _club_marks(book: Book) -> Iterator[tuple[date, str]]:
    for meeting in book.almanac.diary.meetings:
        if meeting.night:
            poor = "-poor" if meeting.judgement == "poor" else ""
            yield meeting.night, f"outdoors{poor}" if meeting.outdoors else "indoors"
    for outing in book.almanac.diary.outings:
        for proposal in outing.proposals:
            yield proposal.main.date, "outing"


# Lists


def _legend(book: Book) -> Iterator[Entry]:
    _ = book.words.gettext
    first, last = (f"{(12 + hour) % 24:02d}:00" for hour in axis_hours(book.almanac.nights))
    yield Entry(
        "19:00 22:30",
        _(
            "from when to when the Moon can be used, in its better window; bold: the year's "
            "finest third, grey: its weakest"
        ),
    )
    yield Entry("●", _("the Moon at its best moment, zenith up; ringed: the night of a phase"))
    yield Entry(
        "▭", _("on the bar from %(first)s to %(last)s: Moon windows", first=first, last=last)
    )
    yield Entry("▬", _("on the bar: dark, with no Moon"))
    yield Entry("—", _("on the bar: the Sun is down"))
    yield Entry("1 2 3", _("events, told in the list; those of the small hours by their evening"))


def _best(book: Book) -> Iterator[Entry]:
    for line in book.best[:BEST_COUNT]:
        star = line.star or book.words.gettext("by eye")
        yield Entry(line.short, f"{line.hours}  {line.detail}  {star}")


def _numbered(book: Book, events: tuple[WallEvent, ...]) -> Iterator[Entry]:
    for number, event in enumerate(events, start=1):
        day = book.words.date(event.date, "short_day")
        yield Entry(str(number), f"{day}{book.words.gap}: {event.text}")


def _club(book: Book) -> Iterator[Entry]:
    """The series of meetings, the signs that they have, and the outings with their dates."""
    words, diary = book.words, book.almanac.diary
    first = {meeting.series: meeting for meeting in reversed(diary.meetings)}
    for _, meeting in sorted(first.items()):
        sign = "▲" if meeting.outdoors else "□"
        yield Entry(sign, f"{meeting.title}, {words.clock(meeting.start_utc)}")
    if any(meeting.judgement == "poor" for meeting in diary.meetings):
        yield Entry("△", words.gettext("outdoors on a night that suits it badly"))
    for outing in diary.outings:
        days = (words.date(one.main.date, "short_day") for one in outing.proposals)
        if listed := ", ".join(days):
            yield Entry("◆", f"{outing_title(outing.rule, words)}{words.gap}: {listed}")
