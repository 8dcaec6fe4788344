"""The page of the club's dates and its traces elsewhere: a made-up diary, shown whole."""

import re
from collections.abc import Callable
from datetime import timedelta
from html import unescape

import pytest
from msgspec.structs import replace

from almanac.inputs.outings import KINDS
from almanac.plan import diary as plan_diary
from almanac.plan.windows import NO_WINDOW
from almanac.publish import club_words, outing_words
from almanac.publish.pages.book import Book
from almanac.publish.pages.club_dates import dates_page, dates_view
from almanac.publish.pages.month import month_page
from almanac.publish.pages.night import night_page
from almanac.publish.terms import NO_WINDOW as NO_WINDOW_WORDS
from almanac.publish.wording import Wording
from almanac.records.catalogue import Catalogue
from almanac.records.config import ClubConfig
from almanac.records.diary import FIGURES, Diary, OutingDate
from almanac.records.year import YearAlmanac

BookOf = Callable[[YearAlmanac], Book]
CLEAR_SKY = (0.24, 0.28, 0.34, 0.38, 0.40, 0.41, 0.43, 0.46, 0.43, 0.37, 0.23, 0.20)
HOSTILE = "<script>alert('x')</script><b>&\" Moon"


@pytest.fixture
def book_of(make_config: Callable[..., ClubConfig], catalogue: Catalogue) -> BookOf:
    """A made-up year as a book in English."""

    def book(almanac: YearAlmanac) -> Book:
        words = Wording("en", almanac.site.timezone)
        return Book(almanac, make_config((almanac.site,)), catalogue, words)

    return book


def text_of(page: str) -> str:
    """What a reader sees of a page's content, on one line."""
    content = page.partition('<main id="content">')[2].partition("</main>")[0]
    plain = unescape(re.sub(r"<[^>]*>", " ", content)).replace("\u2060", "")
    return re.sub(r" ([.,])", r"\1", " ".join(plain.split()))


def test_every_code_has_words() -> None:
    """Reasons of meetings, kinds of outings and their figures, each in all its tables."""
    assert set(club_words.REASONS) == set(plan_diary.REASONS)
    assert set(club_words.JUDGEMENTS) == {*plan_diary.JUDGEMENTS, "indoors"}
    assert set(NO_WINDOW) <= set(NO_WINDOW_WORDS)
    assert set(KINDS) == set(outing_words.OUTINGS) == set(FIGURES) == set(outing_words.RANKED_BY)


def test_the_proposals_come_first_with_reserves_and_odds(
    north: YearAlmanac, book_of: BookOf
) -> None:
    """The order of the page is the order of a secretary's questions."""
    site = replace(north.site, clear_sky=CLEAR_SKY, persistence=0.35)
    almanac = replace(north, site=site)
    text = text_of(dates_page(book_of(almanac)))
    proposal = almanac.diary.outings[0].proposals[0]
    book = book_of(almanac)
    main = book.words.date(proposal.main.date, "short_weekday_day")
    spare = book.words.date(proposal.backups[0].date.date, "short_weekday_day")
    assert text.startswith(f"The club's dates {site.name} 2027")
    for part in (
        f"Moon evening for beginners: {main}.",
        f"In reserve: {spare}. Chance that one of them is clear: 58%; the first alone: 40%.",
        "3 evenings fit. Wished for: 4 a year, at most 1 in a season, at least 28 days apart.",
        "All that fits, best first",
        "Winter, January to March",
        "falls badly",
        "Jan\u00a024%, Feb\u00a028%".replace("\u00a0", " "),
        "taken as 0.35",
    ):
        assert part in text
        text = text[text.index(part) :]


def test_a_day_proposed_twice_is_told_on_both_sides(north: YearAlmanac, book_of: BookOf) -> None:
    """By the other outing's name; a day proposed once is not."""
    first = north.diary.outings[0]
    other = replace(first, rule=replace(first.rule, title="Poets' Moon"))
    told = [
        sum("Also proposed for" in note for note in view.notes)
        for outings in ((first, other), (first,))
        for view in dates_view(
            book_of(replace(north, diary=replace(north.diary, outings=outings)))
        ).outings
    ]
    assert told == [1, 1, 0]


def test_a_meeting_tells_what_the_sky_gives(north: YearAlmanac, book_of: BookOf) -> None:
    """The Moon's part and star of a good one; the reason and better day of a poor one."""
    good, poor, room = dates_view(book_of(north)).meetings
    moon = north.diary.meetings[0].moon[0]
    assert good.judgement == "falls well"
    assert moon.calibration is not None
    assert f"Start on {moon.calibration.chosen.star} at" in good.lines[0]
    assert poor.poor
    assert [link.text.split(" falls ")[1] for link in poor.better] == ["well"]
    assert any(line.startswith("Dark and moonless") for line in poor.lines)
    assert (room.judgement, room.poor, room.better) == ("indoors", False, ())


def test_a_site_without_figures_says_that_it_does_not_know(
    north: YearAlmanac, book_of: BookOf
) -> None:
    """No chance is printed that no one has given."""
    diary = north.diary
    bare = tuple(
        replace(
            outing,
            gaps=(),
            proposals=tuple(
                replace(
                    one,
                    main=replace(one.main, clear_chance=None),
                    backups=tuple(replace(backup, chance=None) for backup in one.backups),
                    chance=None,
                )
                for one in outing.proposals
            ),
        )
        for outing in diary.outings
    )
    meetings = tuple(replace(one, clear_chance=None) for one in diary.meetings)
    almanac = replace(north, diary=replace(diary, meetings=meetings, outings=bare))
    text = text_of(dates_page(book_of(almanac)))
    assert "does not know how likely a clear sky is" in text
    assert "Chance" not in text
    assert "%;" not in text


def test_a_club_without_meetings_or_fitting_evenings_still_has_its_page(
    north: YearAlmanac, book_of: BookOf
) -> None:
    """Empty states have a sentence."""
    empty = text_of(dates_page(book_of(replace(north, diary=Diary()))))
    assert "The club has no meetings in its config, or none in this year." in empty
    outing = replace(north.diary.outings[0], dates=(), proposals=(), gaps=())
    none = replace(north, diary=replace(north.diary, outings=(outing,)))
    text = text_of(dates_page(book_of(none)))
    assert "No evening fits this rule." in text
    assert "No evening of this year fits what the club asks for." in text


def test_nights_and_months_show_the_clubs_dates(north: YearAlmanac, book_of: BookOf) -> None:
    """A night links to its meeting and to its outing; the month's calendar marks both."""
    book = book_of(north)
    meeting, main = north.diary.meetings[0], north.diary.outings[0].proposals[0].main
    assert meeting.night == main.date
    row = next(i for i, night in enumerate(north.nights) if night.date == main.date)
    page = night_page(book, row)
    dates = dates_page(book)
    anchors = re.findall(r'href="club-dates.html#([^"]+)"', page)
    assert [anchor.partition("-")[0] for anchor in anchors] == ["meeting", "outing", "outing"]
    assert all(f'id="{anchor}"' in dates for anchor in anchors)
    calendar = text_of(month_page(book, main.date.month))
    assert f"Moon evening {book.words.clock(meeting.start_utc)}" in calendar
    assert "Proposed: Moon evening for beginners" in calendar


def test_a_meeting_of_the_year_befores_night_has_no_link(
    north: YearAlmanac, book_of: BookOf
) -> None:
    """The small hours of 1 January belong to a night that this year does not show."""
    meeting = replace(north.diary.meetings[0], night=None)
    almanac = replace(north, diary=replace(north.diary, meetings=(meeting,)))
    (row,) = dates_view(book_of(almanac)).meetings
    assert row.href == ""
    assert dates_page(book_of(almanac))


def test_hostile_titles_stay_text(north: YearAlmanac, book_of: BookOf) -> None:
    """Titles of meetings and outings are escaped wherever they stand."""
    diary = north.diary
    meetings = tuple(replace(one, title=HOSTILE) for one in diary.meetings)
    outings = tuple(replace(o, rule=replace(o.rule, title=HOSTILE)) for o in diary.outings)
    book = book_of(replace(north, diary=replace(diary, meetings=meetings, outings=outings)))
    month = diary.outings[0].proposals[0].main.date.month
    for page in (dates_page(book), month_page(book, month)):
        assert "<script>alert" not in page
        assert "&lt;script&gt;alert" in page


def test_an_evening_after_midnight_names_its_day(north: YearAlmanac) -> None:
    """Saturday's outing at four in the morning is on Sunday."""
    evening: OutingDate = north.diary.outings[0].dates[0]
    words = Wording("en", north.site.timezone)
    night = north.nights[0]
    early = replace(evening, date=night.date, start_utc=night.start_utc + timedelta(hours=8))
    late = replace(evening, date=night.date, start_utc=night.start_utc + timedelta(hours=16))
    day = words.date(night.date + timedelta(days=1), "weekday_number")
    assert outing_words.evening_hours(early, words).startswith("20:00")
    assert outing_words.evening_hours(late, words).startswith(f"{day} 04:00")
