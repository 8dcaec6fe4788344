"""The club's dates on the pages of their nights: which meeting or outing falls on each."""

from datetime import date

from almanac.publish.club_words import meeting_mark
from almanac.publish.outing_words import outing_title
from almanac.publish.pages.engine import Link
from almanac.publish.wording import Wording
from almanac.records.diary import ClubMeeting, Diary

DATES_HREF = "club-dates.html"


def meeting_anchor(meeting: ClubMeeting) -> str:
    """The id of a meeting's row on the page of dates."""
    return f"meeting-{meeting.day}-{meeting.series + 1}"


def outing_anchor(place: int) -> str:
    """The id of an outing's section on the page of dates, by its place in the diary."""
    return f"outing-{place + 1}"


def is_outing(link: Link) -> bool:
    """Whether one of the links below leads to an outing."""
    return link.href.startswith(f"{DATES_HREF}#outing-")


def club_links(diary: Diary, words: Wording) -> dict[date, tuple[Link, ...]]:
    """The meetings and proposed outings of each night that has any, with their place on the page.

    Meetings come first.
    """
    found: dict[date, tuple[Link, ...]] = {}
    for meeting in diary.meetings:
        if meeting.night:
            link = Link(f"{DATES_HREF}#{meeting_anchor(meeting)}", meeting_mark(meeting, words))
            found[meeting.night] = (*found.get(meeting.night, ()), link)
    for place, outing in enumerate(diary.outings):
        text = words.gettext("Proposed: %(outing)s", outing=outing_title(outing.rule, words))
        for proposal in outing.proposals:
            link = Link(f"{DATES_HREF}#{outing_anchor(place)}", text)
            found[proposal.main.date] = (*found.get(proposal.main.date, ()), link)
    return found
