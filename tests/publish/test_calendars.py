"""Calendars read back by a strict reader of RFC 5545, and by a library, hold what the pages say."""

import re
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from urllib.parse import unquote
from uuid import UUID
from zoneinfo import ZoneInfo

import icalendar
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from almanac.errors import AlmanacError
from almanac.publish.calendar import (
    LINE_OCTETS,
    Entry,
    Heading,
    address,
    calendar,
    entries_of,
    entry_text,
    folded,
    stamp,
    uid,
)
from almanac.publish.calendar_names import DARK, EVENTS, FEEDS, MEETINGS, WINDOWS, Feed, year_path
from almanac.publish.calendars import lasting_calendars, year_calendars
from almanac.publish.pages.book import Book
from almanac.publish.wording import Wording
from almanac.records.catalogue import Catalogue
from almanac.records.config import ClubConfig
from almanac.records.diary import Diary
from almanac.records.year import Night, YearAlmanac

# A reader by the grammar of RFC 5545, section 3.1, that knows nothing of the writer

LINE = re.compile(
    r"(?P<name>[A-Za-z0-9-]+)"
    r'(?P<params>(;[A-Za-z0-9-]+=("[^"\x00-\x08\x0a-\x1f\x7f]*"|[^";:,\x00-\x08\x0a-\x1f\x7f]*))*)'
    r":(?P<value>[^\x00-\x08\x0a-\x1f\x7f]*)",
    re.DOTALL,
)
ESCAPED = re.compile(r"\\([\\;,nN])|([^\\;,])", re.DOTALL)
MOMENT = re.compile(r"\d{8}T\d{6}Z")
DAY = re.compile(r"\d{8}")
DURATION = re.compile(r"P(\d+W|\d+D)")
URI = re.compile(r"[a-z][a-z0-9+.-]*:([A-Za-z0-9:/?#\[\]@!$&'()*+,;=._~-]|%[0-9A-F]{2})+")
GEO = re.compile(r"(-?\d+\.\d{6});(-?\d+\.\d{6})")
TEXTS = {"NAME", "X-WR-CALNAME", "DESCRIPTION", "X-WR-CALDESC", "SUMMARY", "LOCATION"}
ONCE = {
    "VCALENDAR": {"PRODID", "VERSION", "NAME", "DESCRIPTION", "REFRESH-INTERVAL", "URL", "SOURCE"}
    | {"X-WR-CALNAME", "X-WR-CALDESC", "X-PUBLISHED-TTL"},
    "VEVENT": {"UID", "DTSTAMP", "DTSTART", "DTEND", "SUMMARY", "DESCRIPTION", "URL"}
    | {"LOCATION", "GEO", "TRANSP"},
}
"""Properties that may stand in each, once at most (sections 3.6 and 3.6.1; RFC 7986, section 4)."""
NEEDED = {"VCALENDAR": {"PRODID", "VERSION"}, "VEVENT": {"UID", "DTSTAMP", "DTSTART"}}

Value = str | datetime | date | tuple[float, float]


class NotACalendar(Exception):
    """What is read breaks the standard."""


@dataclass
class Component:
    """Properties by name, and what stands inside."""

    kind: str
    values: dict[str, Value] = field(default_factory=dict)
    inside: list["Component"] = field(default_factory=list)

    def text(self, name: str) -> str:
        """A property that is text."""
        value = self.values[name]
        assert isinstance(value, str)
        return value

    def at(self, name: str) -> datetime:
        """A property that is an instant."""
        value = self.values[name]
        assert isinstance(value, datetime)
        return value


def must(holds: object, fault: str) -> None:
    """Refuse what does not hold."""
    if not holds:
        raise NotACalendar(fault)


def unfolded(raw: bytes) -> list[str]:
    """Content lines: physical lines joined where the next begins with a space or a tab."""
    must(raw.endswith(b"\r\n"), "no CRLF at the end")
    physical = raw[:-2].split(b"\r\n")
    must(not any(b"\r" in line or b"\n" in line for line in physical), "a bare CR or LF")
    must(all(len(line) <= LINE_OCTETS for line in physical), "a line above 75 octets")
    try:
        texts = [line.decode("utf-8") for line in physical]
    except UnicodeDecodeError as error:
        raise NotACalendar("a character cut in two") from error
    lines: list[str] = []
    for text in texts:
        if text[:1] in (" ", "\t"):
            must(lines, "begins with a continuation")
            lines[-1] += text[1:]
        else:
            lines.append(text)
    return lines


def plain_text(value: str) -> str:
    """TEXT without its escapes (section 3.3.11)."""
    found = list(ESCAPED.finditer(value))
    must("".join(match[0] for match in found) == value, f"an unescaped mark in {value!r}")
    return "".join({"n": "\n", "N": "\n"}.get(m[1], m[1]) if m[1] else m[2] for m in found)


def moment(value: str) -> datetime:
    """An instant in UTC."""
    must(MOMENT.fullmatch(value), f"no instant: {value}")
    return datetime.strptime(value, "%Y%m%dT%H%M%SZ").replace(tzinfo=UTC)


def typed(name: str, params: str, value: str) -> Value:
    """The value of a property by its type."""
    if name in TEXTS:
        return plain_text(value)
    if name in ("DTSTAMP", "DTSTART", "DTEND"):
        if params != ";VALUE=DATE":
            must(params == "", f"{name}{params}")
            return moment(value)
        must(DAY.fullmatch(value) and name != "DTSTAMP", f"no day: {value}")
        return datetime.strptime(value, "%Y%m%d").date()
    if name == "GEO":
        found = GEO.fullmatch(value)
        assert found, value
        return float(found[1]), float(found[2])
    forms = {
        "UID": UID_FORM, "URL": URI, "SOURCE": URI, "REFRESH-INTERVAL": DURATION,
        "X-PUBLISHED-TTL": DURATION, "TRANSP": re.compile("TRANSPARENT"),
        "VERSION": re.compile(r"2\.0"), "PRODID": re.compile(r"-//[^;,\\]+//[A-Z]{2}"),
    }  # fmt: skip
    must(forms[name].fullmatch(value), f"{name}: {value}")
    return value


UID_FORM = re.compile(r"[0-9a-f]{8}-[0-9a-f]{4}-5[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}")
"""A name-based UUID by SHA-1: version 5 (RFC 9562, section 5.5)."""


def read(text: str) -> Component:
    """A calendar, every rule kept; NotACalendar otherwise."""
    top = Component("")
    open_: list[Component] = [top]
    for line in unfolded(text.encode("utf-8")):
        match = LINE.fullmatch(line)
        must(match, f"no content line: {line!r}")
        assert match
        name, value = match["name"], match["value"]
        if name == "BEGIN":
            must(value in ONCE, f"an unknown component {value}")
            open_[-1].inside.append(Component(value))
            open_.append(open_[-1].inside[-1])
        elif name == "END":
            must(open_[-1].kind == value, f"END:{value} out of place")
            _check(open_.pop())
        else:
            here = open_[-1]
            must(name in ONCE.get(here.kind, ()), f"{name} in {here.kind}")
            must(name not in here.values, f"{name} twice")
            here.values[name] = typed(name, match["params"], value)
    must(len(open_) == 1, "not closed")
    (found,) = top.inside
    must(found.kind == "VCALENDAR", "no calendar")
    return found


def _check(here: Component) -> None:
    must(here.values.keys() >= NEEDED[here.kind], f"{here.kind} lacks a property")
    if here.kind == "VCALENDAR":
        must(here.inside, "a calendar without a component")
        uids = [one.values["UID"] for one in here.inside]
        must(len(set(uids)) == len(uids), "a UID twice")
    start, end = here.values.get("DTSTART"), here.values.get("DTEND")
    if end is not None:
        must(type(start) is type(end) and end > start, "ends before it begins")  # type: ignore[operator]


GOOD = (
    "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//A//B//EN\r\nBEGIN:VEVENT\r\n{}END:VEVENT\r\n"
    "END:VCALENDAR\r\n"
)
EVENT = (
    "UID:2ed6657d-e927-568b-95e1-2665a8aea6a2\r\nDTSTAMP:20260101T000000Z\r\n"
    "DTSTART:20270102T030405Z\r\n{}"
)


def event(more: str) -> str:
    """A calendar with one event that has more properties."""
    return GOOD.format(EVENT.format(more))


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        (event("SUMMARY:a\n"), "a bare CR or LF"),
        (event("SUMMARY:" + "a" * 68 + "\r\n"), "a line above 75 octets"),
        (event("SUMMARY:a,b\r\n"), "an unescaped mark"),
        (event("SUMMARY:a\\b\r\n"), "an unescaped mark"),
        (event("SUMMARY:a\x07\r\n"), "no content line"),
        (event("SUMMARY:a\r\nSUMMARY:b\r\n"), "SUMMARY twice"),
        (event("DTEND:20270102T030405Z\r\n"), "ends before it begins"),
        (event("DTEND;VALUE=DATE:20270103\r\n"), "ends before it begins"),
        (event("DTEND:20270102T040405\r\n"), "no instant"),
        (event("FOO:1\r\n"), "FOO in VEVENT"),
        (event("URL:https://a.example/ b\r\n"), "URL"),
        (GOOD.format("DTSTAMP:20260101T000000Z\r\n"), "VEVENT lacks a property"),
        ("BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//A//B//EN\r\nEND:VCALENDAR\r\n", "without a"),
        ("BEGIN:VCALENDAR\r\nEND:VEVENT\r\n", "out of place"),
        ("BEGIN:VCALENDAR\r\n", "not closed"),
    ],
)
def test_the_reader_sees_faults(text: str, fault: str) -> None:
    """Each broken rule is refused, and the same calendar without the fault is read."""
    with pytest.raises(NotACalendar, match=fault):
        read(text)
    good = read(event("SUMMARY:a\\,b\\\\\\nc\r\n  d\r\nDTEND:20270102T030406Z\r\n")).inside[0]
    assert good.text("SUMMARY") == "a,b\\\nc d"


def test_a_character_cut_in_two_is_seen() -> None:
    """A fold inside a character of UTF-8 is refused."""
    with pytest.raises(NotACalendar, match="cut in two"):
        unfolded("SUMMARY:é".encode()[:-1] + b"\r\n " + "é".encode()[-1:] + b"\r\n")


# The writer


def one_entry(summary: str) -> Entry:
    """An entry with a summary, also as description and place."""
    start = datetime(2027, 3, 28, 0, 30, tzinfo=UTC)
    return Entry(
        uid("test", summary), stamp(2027), start, start + timedelta(hours=2), summary, summary,
        "https://a.example/b", summary, (-31.273, 149.061),
    )  # fmt: skip


def expected(text: str) -> str:
    """What TEXT can hold of a text: line ends as one kind, no other controls."""
    for end in ("\r\n", "\r", "\u2028", "\u2029"):
        text = text.replace(end, "\n")
    controls = {*map(chr, range(32)), *map(chr, range(0x7F, 0xA0))} - {"\n", "\t"}
    return "".join(character for character in text if character not in controls)


HOSTILE = st.text(st.characters(exclude_categories=["Cs"]), max_size=400)


@settings(deadline=None)
@given(HOSTILE)
@example("C:\\New\\;x,\\n\\N \\\\, ;: \"q\" ^n 'x'")
@example("\u202eevil\u2066 \u200f\u200e عشاء")
@example("👩🏽‍🚀🇪🇺🌕" * 40)
@example("a\x00\x07\x0b\x0c\x1b\x85\u2028b\u2029c\r\nd\re\nf\tg\x7f")
@example("é" * 10_000)
@example(",;\\\n" * 2_500)
@example("END:VEVENT\r\nBEGIN:VEVENT\r\nX:" * 20)
@example(" leading and trailing ")
def test_hostile_titles_come_back_whole(title: str) -> None:
    """Whatever stands in a title is read back as it was, by the strict reader and by a library."""
    text = calendar(Heading(title, title), entry_text([one_entry(title)]))
    found = read(text)
    (mine,) = found.inside
    for here, names in ((found, ("NAME", "DESCRIPTION", "X-WR-CALNAME")), (mine, ("SUMMARY",))):
        for name in names:
            assert here.text(name) == expected(title)
    theirs = icalendar.Calendar.from_ical(text.encode()).events
    assert len(theirs) == 1
    assert str(theirs[0]["SUMMARY"]) == expected(title)
    assert theirs[0].start == mine.at("DTSTART")


def test_a_calendar_names_its_language() -> None:
    """The maker's identifier ends in the language of the entries."""
    text = calendar(Heading("Mond", "Mond", language="de"), entry_text([one_entry("Mond")]))
    assert read(text).text("PRODID").endswith("//DE")


@given(st.text(st.sampled_from("aé月🌕\\,"), min_size=60, max_size=400))
def test_folds_fill_lines_and_cut_no_character(text: str) -> None:
    """Every physical line but the last holds as many whole characters as 75 octets allow."""
    pieces = folded(f"X:{text}").split("\r\n")
    assert pieces[0] + "".join(piece[1:] for piece in pieces[1:]) == f"X:{text}"
    assert all(piece[0] == " " for piece in pieces[1:])
    widths = [len(piece.encode()) for piece in pieces]
    assert max(widths) <= LINE_OCTETS
    assert all(width >= LINE_OCTETS - 3 for width in widths[:-1])


@pytest.mark.parametrize("length", range(50, 80))
def test_entries_are_found_behind_any_name(length: int) -> None:
    """A name that holds the mark of an entry is not taken for one, wherever it is folded."""
    entries = entry_text([one_entry("x")])
    name = "a" * length + "BEGIN:VEVENT"
    assert entries_of(calendar(Heading(name, name), entries)) == entries


def test_a_uid_stays_what_it_is() -> None:
    """UIDs never change from one version to the next, or phones would show all twice."""
    names = ("Juniper Hollow Skywatchers", "quarry-field", "window", date(2027, 3, 21), 0)
    assert uid(*names) == "67448229-4761-5a13-aa92-8aa352c9fdea"
    assert UUID(uid(*names)).version == 5
    assert uid("a", "b") != uid("a b") != uid("b", "a")


def test_the_stamp_is_a_rule_or_what_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    """DTSTAMP is the start of the year before, unless SOURCE_DATE_EPOCH tells the last change."""
    monkeypatch.delenv("SOURCE_DATE_EPOCH", raising=False)
    assert stamp(2027) == datetime(2026, 1, 1, tzinfo=UTC)
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1798761600")
    assert stamp(2027) == datetime(2027, 1, 1, tzinfo=UTC)
    for wrong in ("tomorrow", "1e400", "9" * 30):
        monkeypatch.setenv("SOURCE_DATE_EPOCH", wrong)
        with pytest.raises(AlmanacError, match="SOURCE_DATE_EPOCH"):
            stamp(2027)


def test_addresses_hold_the_letters_of_addresses() -> None:
    """Other letters are percent-encoded as UTF-8, and what is encoded stays so."""
    assert address("https://m.example/a b/ü?x=1&y=%20") == (
        "https://m.example/a%20b/%C3%BC?x=1&y=%20"
    )


# A year's calendars


@pytest.fixture(scope="module")
def book_of(catalogue: Catalogue, make_config: Callable[..., ClubConfig]) -> Callable[..., Book]:
    """A maker of books whose club has an address, or the one given."""

    def make(almanac: YearAlmanac, url: str | None = "https://club.example/moon/") -> Book:
        config = make_config((almanac.site,))
        config = replace(config, club=replace(config.club, url=url))
        return Book(almanac, config, catalogue, Wording("en", almanac.site.timezone))

    return make


@pytest.fixture(scope="module", params=["north", "south", "polar"])
def book(request: pytest.FixtureRequest, book_of: Callable[..., Book]) -> Book:
    """The made-up years of three latitudes: all three zones change their clocks."""
    return book_of(request.getfixturevalue(request.param))


def entries(book: Book, feed: Feed) -> list[Component]:
    """The entries of one of a book's calendars."""
    site, year = book.almanac.site, book.almanac.year
    return read(year_calendars(book)[year_path(site, year, feed)]).inside


def clocks(book: Book, one: Component) -> tuple[str, str]:
    """Start and end as a phone in the site's zone shows them."""
    zone = ZoneInfo(book.almanac.site.timezone)
    start, end = (one.at(name).astimezone(zone) for name in ("DTSTART", "DTEND"))
    return f"{start:%H:%M}", f"{end:%H:%M}"


def test_every_window_stands_at_the_pages_hours(book: Book) -> None:
    """Hours, star and page of each entry are those of the night's line, summer time or not."""
    found = iter(entries(book, WINDOWS))
    offsets = set()
    for night, line in zip(book.almanac.nights, book.lines, strict=True):
        for window in night.windows:
            one = next(found)
            start, end = clocks(book, one)
            assert f"{start}\u2060–\u2060{end}" in line.hours
            assert one.at("DTSTART").second == 0
            assert one.values["URL"] == f"https://club.example/moon/{book.folder}{line.href}"
            if window.calibration:
                assert window.calibration.chosen.star in one.text("SUMMARY")
            assert line.quality_text in one.text("SUMMARY")
            offsets.add(book.words.local(window.start_utc).utcoffset())
    assert next(found, None) is None
    assert len(offsets) == 2


def test_texts_name_the_zone_of_their_times(book: Book) -> None:
    """Each text that gives a time ends with the zone's name on that day."""
    summer = 0
    for feed in (WINDOWS, DARK, MEETINGS):
        for one in entries(book, feed):
            last, at = one.text("DESCRIPTION").splitlines()[-1], one.at("DTSTART")
            assert last.startswith("Times: ")
            assert book.words.zone_name_at(at) in last or "clocks change" in last
            summer += "Summer" in last or "Daylight" in last
    for one in entries(book, EVENTS):
        assert one.text("DESCRIPTION").splitlines()[-1].startswith("Times: ")
    assert summer > 20


def test_dark_hours_are_the_pages(book: Book) -> None:
    """Each dark span of an hour or more is there with its length, and no shorter one."""
    long = [
        night
        for night in book.almanac.nights
        if night.dark and night.dark.end_utc - night.dark.start_utc >= timedelta(hours=1)
    ]
    found = entries(book, DARK)
    assert len(found) == len(long) > 100
    for one, night in zip(found, long, strict=True):
        assert night.dark
        hours = book.words.clock(night.dark.start_utc), book.words.clock(night.dark.end_utc)
        assert clocks(book, one) == hours
        length = one.at("DTEND") - one.at("DTSTART")
        assert one.text("SUMMARY").endswith(book.words.duration(length.total_seconds()))


def test_phases_are_whole_days_of_the_site(book: Book) -> None:
    """A phase stands on its local date, one day long, with its time in the name."""
    days = [one for one in entries(book, EVENTS) if isinstance(one.values["DTSTART"], date)]
    whole = [one for one in days if not isinstance(one.values["DTSTART"], datetime)]
    instants = [*book.almanac.phases, *book.almanac.apsides]
    assert len(whole) == len(instants) > 70
    shown = {(book.words.day(one.at_utc), book.words.clock(one.at_utc)) for one in instants}
    for one in whole:
        start, end = one.values["DTSTART"], one.values["DTEND"]
        assert isinstance(start, date)
        assert isinstance(end, date)
        assert end - start == timedelta(days=1)
        assert (start, one.text("SUMMARY")[-5:]) in shown
        assert "LOCATION" not in one.values


def test_all_else_stands_at_the_site(book: Book) -> None:
    """Place and coordinates are those of the site, and no entry takes up the reader's time."""
    site = book.almanac.site
    for feed in (WINDOWS, DARK, MEETINGS):
        for one in entries(book, feed):
            assert one.values["LOCATION"] == site.name
            assert one.values["GEO"] == (site.latitude_deg, site.longitude_deg)
            assert one.values["TRANSP"] == "TRANSPARENT"


def test_no_address_is_made_up(book_of: Callable[..., Book], north: YearAlmanac) -> None:
    """A club without an address has calendars without links."""
    for text in year_calendars(book_of(north, None)).values():
        found = read(text)
        assert not {"URL", "SOURCE"} & found.values.keys()
        assert not any("URL" in one.values for one in found.inside)


def test_uids_differ_between_all_entries(
    book_of: Callable[..., Book], north: YearAlmanac, south: YearAlmanac
) -> None:
    """No two entries of a club's sites share a UID."""
    uids = Counter(
        one.text("UID")
        for year in (north, south)
        for f in FEEDS
        for one in entries(book_of(year), f)
    )
    assert max(uids.values()) == 1


def moved(night: Night) -> Night:
    """A night whose windows open and close later, each by another star."""
    late = timedelta(minutes=17)
    windows = tuple(
        replace(w, start_utc=w.start_utc + late, end_utc=w.end_utc + late, calibration=None,
                no_star="none_in_reach")
        for w in night.windows
    )  # fmt: skip
    return replace(night, windows=windows, rank=1 if windows else None)


def test_uids_outlive_a_change_of_settings(
    book_of: Callable[..., Book], north: YearAlmanac
) -> None:
    """Entries of moved windows and meetings, at a moved address, keep their UIDs."""
    later = replace(
        north,
        nights=tuple(map(moved, north.nights)),
        diary=replace(
            north.diary,
            meetings=tuple(
                replace(m, start_utc=m.start_utc + timedelta(hours=1), judgement="poor")
                for m in north.diary.meetings
            ),
        ),
    )
    for feed in (WINDOWS, MEETINGS):
        before = entries(book_of(north), feed)
        after = entries(book_of(later, "https://elsewhere.example"), feed)
        assert {one.values["UID"] for one in before} == {one.values["UID"] for one in after}
        assert [one.values["DTSTART"] for one in before] != [o.values["DTSTART"] for o in after]


def test_two_meetings_of_a_day_are_told_apart(
    book_of: Callable[..., Book], north: YearAlmanac
) -> None:
    """The same title twice on a day gives two entries, as the calendar's reader checks."""
    meetings = (north.diary.meetings[0],) * 2
    book = book_of(replace(north, diary=Diary(meetings)))
    assert [one.text("SUMMARY") for one in entries(book, MEETINGS)] == [meetings[0].title] * 2


def test_a_calendar_is_never_empty(book_of: Callable[..., Book], north: YearAlmanac) -> None:
    """A year without windows says so on its first day: a calendar needs an entry."""
    nights = tuple(replace(night, windows=(), rank=None) for night in north.nights)
    (one,) = entries(book_of(replace(north, nights=nights)), WINDOWS)
    assert one.text("SUMMARY") == "Moon windows: none in 2027"
    assert (one.values["DTSTART"], one.values["DTEND"]) == (date(2027, 1, 1), date(2027, 1, 2))


# The Sun


def test_dangers_come_first(book_of: Callable[..., Book], north: YearAlmanac) -> None:
    """By day the name begins with the Sun and the text with the night's cautions about it."""
    first = next(night for night in north.nights if night.windows)
    by_day = replace(
        first,
        windows=tuple(replace(window, daylight=True) for window in first.windows),
        cautions=("sun_up_in_window", "sun_near_slew", "cap_before_sunrise"),
    )
    nights = tuple(by_day if night is first else night for night in north.nights)
    book = book_of(replace(north, nights=nights))
    one, *others = entries(book, WINDOWS)
    assert one.text("SUMMARY").startswith("Sun up! Moon")
    lines = one.text("DESCRIPTION").splitlines()
    assert lines[:2] == [book.words.caution(code) for code in by_day.cautions[:2]]
    assert lines[-2].startswith("Cover a telescope that stays out by ")
    assert not any(other.text("SUMMARY").startswith("Sun") for other in others)


def test_every_entry_tells_when_to_cap(book: Book) -> None:
    """The time to cap stands in each window of a night before a sunrise."""
    nights = {night.date.isoformat(): night for night in book.almanac.nights}
    capped = 0
    for one in entries(book, WINDOWS):
        night = nights[one.text("URL")[-15:-5]]
        if night.sun.cap_by_utc:
            assert book.words.clock(night.sun.cap_by_utc) in one.text("DESCRIPTION")
            capped += 1
    assert capped > 100


# From year to year


def test_one_address_holds_all_years(
    book_of: Callable[..., Book], make_year: Callable[..., YearAlmanac], north: YearAlmanac
) -> None:
    """The lasting calendar has the entries of every year, each with its own UID, in order."""
    books = [book_of(make_year(north.site, 2028)), book_of(north)]
    years = {path: text for one in books for path, text in year_calendars(one).items()}
    config = replace(books[0].config, club=replace(books[0].config.club, years=(2028, 2027)))
    lasting = lasting_calendars(config, north.site, years.__getitem__)
    assert list(lasting) == [f"quarry-field/calendars/{feed.file}" for feed in FEEDS]
    for feed, text in zip(FEEDS, lasting.values(), strict=True):
        found = read(text)
        apart = [entries(book, feed) for book in reversed(books)]
        assert found.inside == [*apart[0], *apart[1]]
        assert "2027" not in found.text("NAME")
        assert (
            found.values["SOURCE"]
            == f"https://club.example/moon/quarry-field/calendars/{feed.file}"
        )


# The built site


@pytest.fixture(scope="module")
def built(demo_site: Path) -> dict[str, Component]:
    """All calendars of the demo, by path."""
    return {
        path.relative_to(demo_site).as_posix(): read(path.read_bytes().decode())
        for path in sorted(demo_site.rglob("*.ics"))
    }


def test_the_demo_has_its_calendars(built: dict[str, Component]) -> None:
    """Four of a year and four that last for each site, the same entries in both."""
    assert len(built) == 16
    for site in ("orchard-rise", "mill-pond"):
        for feed in FEEDS:
            year, lasting = (built[f"{site}/{name}/{feed.file}"] for name in ("2027", "calendars"))
            assert year.inside == lasting.inside


def addresses_of(built: dict[str, Component], name: str) -> Iterator[tuple[str, Component]]:
    """Entries of a demo calendar with the address each leads to, from the demo's folder."""
    for site in ("orchard-rise", "mill-pond"):
        for one in built[f"{site}/2027/{name}"].inside:
            url = one.text("URL").removeprefix("https://stork-meadow.example/moon/")
            yield unquote(url), one


def pages_of(built: dict[str, Component], name: str) -> Iterator[tuple[str, Component]]:
    """The same with the path of the page alone."""
    return ((url.partition("#")[0], one) for url, one in addresses_of(built, name))


def part_of(demo_site: Path, url: str) -> str:
    """The part of a page that an address leads to: a section, or the whole page."""
    path, _, anchor = url.partition("#")
    page = (demo_site / path).read_text("utf-8")
    return page.split(f'id="{anchor}"')[1].split("</section>")[0] if anchor else page


def test_windows_open_when_their_pages_say(demo_site: Path, built: dict[str, Component]) -> None:
    """Converted to the site's zone, each window's hours stand on the page that it leads to."""
    zone = ZoneInfo("Europe/Warsaw")
    seen = Counter[object]()
    for path, one in pages_of(built, "windows.ics"):
        page = (demo_site / path).read_text("utf-8")
        start, end = (one.at(name).astimezone(zone) for name in ("DTSTART", "DTEND"))
        assert f"{start:%H:%M}\u2060–\u2060{end:%H:%M}" in page
        night = date.fromisoformat(path[-15:-5])
        assert start.date() == (night if start.hour >= 12 else night + timedelta(days=1))
        seen[start.utcoffset()] += 1
    assert set(seen) == {timedelta(hours=1), timedelta(hours=2)}


def minutes_on(page: str) -> set[str]:
    """All times that a page gives, those to the second as their nearest minute."""
    found = set(re.findall(r"\b\d\d:\d\d\b(?!:)", page))
    for text in re.findall(r"\b\d\d:\d\d:\d\d\b", page):
        at = datetime.strptime(text, "%H:%M:%S") + timedelta(seconds=30)
        found.add(f"{at:%H:%M}")
    return found


def test_events_happen_when_their_pages_say(demo_site: Path, built: dict[str, Component]) -> None:
    """The first and last minute of each event that can be seen stand on its page or part of one."""
    kinds = Counter[str]()
    for path, one in addresses_of(built, "events.ics"):
        if "DTEND" not in one.values or isinstance(one.values["DTEND"], datetime):
            page = minutes_on(part_of(demo_site, path))
            for name in {"DTSTART", "DTEND"} & one.values.keys():
                assert f"{one.at(name).astimezone(ZoneInfo('Europe/Warsaw')):%H:%M}" in page, path
            kinds[path.split("/")[-1].partition("-")[0]] += 1
    assert set(kinds) == {"approaches", "eclipse", "occultation"}


def test_every_entry_leads_to_a_page(demo_site: Path, built: dict[str, Component]) -> None:
    """Each address of an entry is a page of the site."""
    for feed in FEEDS:
        for path, _ in pages_of(built, feed.file):
            assert (demo_site / path).is_file(), path


def test_an_eclipse_of_the_sun_begins_with_its_danger(built: dict[str, Component]) -> None:
    """The eclipse of 2 August 2027, partial in Poland, is told with what to do about the Sun."""
    (one,) = (
        one for path, one in pages_of(built, "events.ics") if path.startswith("orchard-rise")
        if "eclipse of the Sun" in one.text("SUMMARY")
    )  # fmt: skip
    assert one.at("DTSTART").date() == date(2027, 8, 2)
    assert one.text("SUMMARY").endswith("only through a solar filter")
    assert one.text("DESCRIPTION").startswith("Never look at the Sun")


def test_a_library_reads_them_alike(demo_site: Path, built: dict[str, Component]) -> None:
    """The library in common use finds the same entries with the same hours and texts."""
    for path, mine in built.items():
        theirs = icalendar.Calendar.from_ical((demo_site / path).read_bytes())
        assert theirs.calendar_name == mine.values["NAME"]
        assert not theirs.errors
        for one, other in zip(mine.inside, theirs.events, strict=True):
            assert (one.values["UID"], one.values["DTSTART"]) == (other.uid, other.start)
            assert one.values.get("DTEND", one.values["DTSTART"]) == other.end
            assert one.values["SUMMARY"] == str(other["SUMMARY"])
            assert one.values.get("DESCRIPTION", "") == str(other.get("DESCRIPTION", ""))
            assert not other.errors


def test_calendars_are_small(demo_site: Path) -> None:
    """Those of a site's year take less than 60 kB on their way to a phone."""
    import zlib

    folder = demo_site / "orchard-rise/2027"
    sizes = [len(zlib.compress(path.read_bytes())) for path in folder.glob("*.ics")]
    assert len(sizes) == 4
    assert sum(sizes) < 60_000
