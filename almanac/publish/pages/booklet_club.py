"""The booklet's chapter of the club's own dates, from the same view as their page."""

from collections.abc import Iterator

from almanac.publish.date_texts import date_list
from almanac.publish.pages.book import Book
from almanac.publish.pages.booklet_parts import row
from almanac.publish.pages.club_dates import OutingView, ProposalLine, dates_view
from almanac.publish.pages.club_meetings import MeetingRow
from almanac.publish.pages.prose import Block


def club_blocks(book: Book) -> Iterator[Block]:
    """Outings with their proposals and reserves, meetings with the sky they get; may be none."""
    view, _ = dates_view(book), book.words.gettext
    for outing in view.outings:
        yield from _outing(book, outing)
    if view.meetings:
        yield Block("heading", (_("Meetings"),))
        yield from (_meeting(book, meeting) for meeting in view.meetings)
    if view.outings or view.meetings:
        yield from (Block("source", (line,)) for line in view.odds)


def _outing(book: Book, outing: OutingView) -> Iterator[Block]:
    yield Block("heading", (outing.title,))
    yield Block("source", (outing.rule,))
    for proposal in outing.proposals:
        yield _proposal(book, proposal)
    if not outing.proposals:
        yield Block("text", (book.words.gettext("No evening fits this rule."),))


def _proposal(book: Book, proposal: ProposalLine) -> Block:
    days = date_list(night.text for night in proposal.reserves)
    reserves = book.words.gettext("In reserve: %(days)s.", days=days) if days else ""
    told = (proposal.what, reserves, proposal.odds)
    return row(f"{proposal.main.night.text}, {proposal.main.hours}", *filter(None, told))


def _meeting(book: Book, meeting: MeetingRow) -> Block:
    days = ", ".join(dict.fromkeys(day.text for day in meeting.better))
    better = book.words.gettext("Better: %(days)s.", days=days) if days else ""
    told = (f"{meeting.hours} {meeting.title}", meeting.judgement, *meeting.lines, better)
    return row(meeting.day, *filter(None, told))
