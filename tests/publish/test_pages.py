"""The pages of a made-up year: whole, linked, escaped, and true to their records."""

import json
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta
from gettext import NullTranslations
from html.parser import HTMLParser
from pathlib import PurePosixPath
from urllib.parse import urldefrag

import pytest
from jinja2 import UndefinedError
from msgspec.structs import replace

from almanac.publish.pages import club_pages, digest, site_pages
from almanac.publish.pages.book import Book, star_href
from almanac.publish.pages.engine import Frame, render
from almanac.publish.pages.figures import figure_groups
from almanac.publish.pages.find import find_pages
from almanac.publish.pages.month import month_page
from almanac.publish.pages.night import night_page
from almanac.publish.pages.night_line import quality
from almanac.publish.pages.seasons import draw_season, season_page
from almanac.publish.pages.stars import evening_hours, star_page, stars_page
from almanac.publish.pages.year import Moment, draw_year, rows, year_page
from almanac.publish.wording import ENGLISH, Wording
from almanac.records.catalogue import Catalogue
from almanac.records.config import ClubConfig
from almanac.records.year import YearAlmanac

Pages = dict[str, str | bytes]
MakeConfig = Callable[..., ClubConfig]

WORDS = Wording("en", "Europe/Paris")
BY_OTHERS = {"quarry-field/2027/downloads.html"}
"""Linked here, written when the other files are there."""
VOID = {"meta", "link", "br", "img", "input"}
HOSTILE = "<script>alert('x')</script><b>&\"\u202e Club"


@dataclass
class Page(HTMLParser):
    """What a page holds: links, ids, tags, text; collects faults of nesting."""

    links: list[str] = field(default_factory=list)
    ids: list[str] = field(default_factory=list)
    tags: list[str] = field(default_factory=list)
    text: list[str] = field(default_factory=list)
    unbalanced: list[str] = field(default_factory=list)
    attributes: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__()
        self.open: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [name for name, _ in attrs]
        for name, value in attrs:
            if name in ("href", "src") and value is not None:
                self.links.append(value)
            if name == "id" and value:
                self.ids.append(value)
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.open.pop()

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open.pop() != tag:
            self.unbalanced.append(tag)

    def handle_data(self, data: str) -> None:
        if data.strip():
            self.text.append(data.strip())


def parsed(text: str) -> Page:
    """The page, read to its end."""
    page = Page()
    page.feed(text)
    page.close()
    return page


def visible(page: str | bytes) -> str:
    """The visible text of a page on one line."""
    assert isinstance(page, str)
    return " ".join(" ".join(parsed(page).text).split())


def text_of(pages: Pages, path: str) -> str:
    """The visible text of one of the pages on one line."""
    return visible(pages[path])


MakeBook = Callable[..., Book]


@pytest.fixture(scope="module")
def make_book(make_config: MakeConfig, catalogue: Catalogue) -> MakeBook:
    """A maker of books, to render single pages of a year: ``make_book(almanac)``."""

    def make(
        almanac: YearAlmanac, translations: NullTranslations = ENGLISH, name: str = "A club"
    ) -> Book:
        words = Wording("en", almanac.site.timezone, translations)
        return Book(almanac, make_config((almanac.site,), name=name), catalogue, words)

    return make


def night_text(book: Book, day: date) -> str:
    """The visible text of the page of an evening."""
    return visible(night_page(book, (day - date(book.almanac.year, 1, 1)).days))


@pytest.fixture(scope="module")
def built(north: YearAlmanac, catalogue: Catalogue, make_config: MakeConfig) -> Pages:
    """A club with one site, built."""
    config = make_config((north.site,))
    return club_pages([digest(north, config)], config) | site_pages(north, config, catalogue)


@pytest.fixture(scope="module")
def html(built: Pages) -> dict[str, Page]:
    """Every HTML page, parsed."""
    return {
        path: parsed(page)
        for path, page in built.items()
        if path.endswith(".html") and isinstance(page, str)
    }


def test_every_page_of_the_year_is_there(built: Pages, north: YearAlmanac) -> None:
    """A front page, Sun safety, methods, a year, 12 months, a page a night, stars, seasons."""
    folder = "quarry-field/2027/"
    names = ["index.html", "stars.html"]
    names += [f"2027-{month:02d}.html" for month in range(1, 13)]
    names += [f"{night.date}.html" for night in north.nights]
    names += [star_href(star.name) for star in north.stars]
    names += [f"season-{season}.html" for season in ("winter", "spring", "summer", "autumn")]
    names += ["year-a4.pdf", "year-letter.pdf", "seasons-a4.pdf", "skies-letter.pdf"]
    wanted = {folder + name for name in names}
    wanted |= {"index.html", "sun-safety.html", "methods.html", "assets/almanac.css"}
    assert len(north.nights) == 365
    assert wanted <= set(built)
    assert all(built[path] for path in wanted)


def test_every_link_and_anchor_resolves(built: Pages, html: dict[str, Page]) -> None:
    """Links are relative, name a file that is written, and an id that the file holds."""
    for path, page in html.items():
        for link in page.links:
            address, anchor = urldefrag(link)
            assert "://" not in address, (path, link)
            if address.startswith("data:"):
                continue
            target = resolved(path, address) if address else path
            assert target in built or target in BY_OTHERS, (path, link)
            if target.endswith(".pdf"):
                assert not anchor or re.fullmatch(r"page=\d+", anchor), (path, link)
            else:
                assert not anchor or anchor in html[target].ids, (path, link)


def resolved(page: str, link: str) -> str:
    """The path from the top folder that a relative link on a page means."""
    parts: list[str] = list(PurePosixPath(page).parent.parts)
    for part in PurePosixPath(link).parts:
        if part == "..":
            parts.pop()
        else:
            parts.append(part)
    return "/".join(parts)


def test_every_page_is_well_nested_with_unique_ids(html: dict[str, Page]) -> None:
    """Tags close in the order they open; an id stands once; nothing runs or styles inline."""
    for path, page in html.items():
        assert not page.unbalanced, (path, page.unbalanced[:3])
        assert not page.open, (path, page.open)
        assert len(set(page.ids)) == len(page.ids), path
        assert page.tags.count("h1") == 1, path
        assert page.tags.count("main") == 1, path
        assert not {name for name in page.attributes if name.startswith("on")}, path
        assert "style" not in page.attributes, path


def test_labels_point_at_ids_of_their_page(built: Pages, html: dict[str, Page]) -> None:
    """What an aria-labelledby names is on the page."""
    for path, page in html.items():
        text = built[path]
        assert isinstance(text, str)
        for names in re.findall(r'aria-labelledby="([^"]*)"', text):
            assert set(names.split()) <= set(page.ids), path


def test_scripts_are_files_of_ours(built: Pages, html: dict[str, Page]) -> None:
    """Nothing stands inline; few pages need more than the script that all share."""
    needs: dict[str, set[str]] = {}
    for path in html:
        page = built[path]
        assert isinstance(page, str)
        for attributes, inline in re.findall(r"<script([^>]*)>(.*?)</script>", page, re.DOTALL):
            assert not inline.strip(), path
            source = re.search(r'src="(?:../)*assets/([a-z-]+\.js)"', attributes)
            assert source, (path, attributes)
            needs.setdefault(source[1], set()).add(path)
    assert needs["tonight.js"] == {"index.html"}
    assert needs["find.js"] == {"quarry-field/2027/find.html"}


def test_a_hostile_name_stays_text(north: YearAlmanac, make_book: MakeBook) -> None:
    """Markup in the names of club and site is shown, not obeyed."""
    almanac = replace(north, site=replace(north.site, name=HOSTILE))
    book = make_book(almanac, name=HOSTILE)
    config = replace(book.config, club=replace(book.config.club, notes=HOSTILE))
    chart = draw_year(book)
    front = club_pages([digest(almanac, config)], config)
    pages = [
        front["index.html"], front["sun-safety.html"], year_page(book, chart), night_page(book, 80)
    ]  # fmt: skip
    for page in pages:
        assert isinstance(page, str)
        assert "<script>alert" not in page
        assert "<b>&" not in page
        assert "&lt;script&gt;" in page


def test_a_misspelled_field_raises() -> None:
    """A template that asks for what its view lacks fails the build and names it."""
    frame = Frame("front", "A club", "", "A club", "en")
    with pytest.raises(UndefinedError, match="no attribute"):
        render("front.html", frame, object(), WORDS)


def test_two_builds_are_the_same_bytes(
    built: Pages, north: YearAlmanac, catalogue: Catalogue, make_config: MakeConfig
) -> None:
    """Same input, same pages."""
    config = make_config((north.site,))
    again = club_pages([digest(north, config)], config) | site_pages(north, config, catalogue)
    assert again == built


def test_the_night_tells_when_where_and_which_way(built: Pages, north: YearAlmanac) -> None:
    """The sentence, the plan and the figures of a night come from its records."""
    night = next(n for n in north.nights if len(n.windows) == 1 and n.windows[0].calibration)
    window = night.windows[0]
    assert window.calibration is not None
    star = window.calibration.chosen
    text = text_of(built, f"quarry-field/2027/{night.date}.html")
    out = WORDS.clock(star.at_utc - timedelta(minutes=15))
    assert f"Go out at {out}. Start on {star.star} at {WORDS.clock(star.at_utc)}" in text
    assert f"Then {WORDS.hop(star.turn_deg, star.climb_deg)}: the Moon." in text
    assert WORDS.number(window.finest_detail_km, 1) in text
    assert f"number {night.rank} of the year's" in text


def test_times_on_the_page_are_rounded(north: YearAlmanac, make_book: MakeBook) -> None:
    """A window that opens at 59.5 seconds is printed as opening the next minute."""
    index = next(i for i, n in enumerate(north.nights) if len(n.windows) == 1)
    night = north.nights[index]
    start = night.windows[0].start_utc.replace(second=59, microsecond=500_000)
    late = replace(night, windows=(replace(night.windows[0], start_utc=start),))
    nights = (*north.nights[:index], late, *north.nights[index + 1 :])
    text = night_text(make_book(replace(north, nights=nights)), night.date)
    local = WORDS.local(start + timedelta(seconds=1))
    assert f"The window opens at {local:%H:%M}" in text


def test_a_night_without_a_window_says_why(built: Pages, north: YearAlmanac) -> None:
    """The reason stands in the sentence and in the month."""
    night = next(n for n in north.nights if n.no_window)
    assert night.no_window is not None
    text = text_of(built, f"quarry-field/2027/{night.date}.html")
    assert f"No Moon for the telescope tonight. {WORDS.no_window_reason(night.no_window)}" in text
    month = text_of(built, f"quarry-field/2027/{night.date:%Y-%m}.html")
    assert WORDS.no_window(night.no_window) in month


def test_a_moon_without_low_light_says_why(north: YearAlmanac, make_book: MakeBook) -> None:
    """About full Moon the list is empty, and the page says so in its place; not otherwise."""
    index, night = next((i, n) for i, n in enumerate(north.nights) if n.windows)
    bare = replace(night, windows=tuple(replace(w, features=()) for w in night.windows))
    nights = (*north.nights[:index], bare, *north.nights[index + 1 :])
    reason = "No named feature stands in low light"
    assert reason in night_page(make_book(replace(north, nights=nights)), index)
    assert reason not in night_page(make_book(north), index)


def test_beside_the_sun_no_hour_of_the_moon_stands_without_its_warning(north: YearAlmanac) -> None:
    """A transit by day invites a look: it warns on days near the Sun, and on no others."""
    night = next(n for n in north.nights if "near_new_moon" in n.cautions and n.moon.transits)
    noon = night.start_utc + timedelta(minutes=10)
    transit = replace(night.moon.transits[0], at_utc=noon)
    night = replace(night, moon=replace(night.moon, at_utc=noon, transits=(transit,)))
    for codes, near in (("near_new_moon",), True), (("sun_near_moon",), True), ((), False):
        groups = list(figure_groups(replace(night, cautions=codes), WORDS))
        notes = [f.note for group in groups for f in group.figures if f.term == "Highest"]
        assert notes == ["Near the Sun: do not look" if near else ""]
        assert any("do not look for it" in group.title for group in groups) == near


def test_the_nights_of_both_clock_changes_say_so(built: Pages) -> None:
    """Only those nights do, with the offset before and after."""
    change = "the clocks change tonight, from {} to {}"
    spring = text_of(built, "quarry-field/2027/2027-03-27.html")
    autumn = text_of(built, "quarry-field/2027/2027-10-30.html")
    assert change.format("UTC+1", "UTC+2") in spring
    assert change.format("UTC+2", "UTC+1") in autumn
    assert "clocks change" not in text_of(built, "quarry-field/2027/2027-03-28.html")


def test_neighbours_are_linked_both_ways(html: dict[str, Page]) -> None:
    """The first night has no night before, the last none after, all others both."""
    folder = "quarry-field/2027/"
    first, second = html[folder + "2027-01-01.html"], html[folder + "2027-01-02.html"]
    assert "2027-01-02.html" in first.links
    assert "2027-01-01.html" in second.links
    assert "2026-12-31.html" not in first.links
    assert "2028-01-01.html" not in html[folder + "2027-12-31.html"].links


def test_a_southern_site_in_a_half_hour_zone(south: YearAlmanac, make_book: MakeBook) -> None:
    """Latitude is south, times are half an hour off, and the clocks change in October."""
    book = make_book(south)
    assert "31.30° S, 138.60° E" in visible(year_page(book, draw_year(book)))
    assert "(UTC+10:30)" in night_text(book, date(2027, 1, 10))
    assert "from UTC+9:30 to UTC+10:30" in night_text(book, date(2027, 10, 2))


def test_polar_day_and_night_are_told(polar: YearAlmanac, make_book: MakeBook) -> None:
    """A Sun that does not set is a caution; what does not happen says so; no chart is drawn."""
    book = make_book(polar)
    summer = night_text(book, date(2027, 6, 20))
    assert WORDS.caution("sun_never_sets") in summer
    assert "does not happen" in summer
    assert WORDS.caution("sun_never_rises") in night_text(book, date(2027, 12, 20))
    season = next(season for season in polar.seasons if season.season == "summer")
    assert draw_season(book, season) is None
    page = season_page(book, season, None, ())
    assert "the Sun never sinks far enough for stars" in visible(page)


def test_moons_that_stand_out_carry_their_figures(built: Pages, north: YearAlmanac) -> None:
    """Each pick stands on the year's page with its night and the figure that made it."""
    text = text_of(built, "quarry-field/2027/index.html")
    for pick in north.picks:
        if pick.code != "finest_detail":
            day = WORDS.date(pick.date, "short_weekday_day")
            assert f"{WORDS.pick(pick.stage or pick.code)} {day} {WORDS.clock(pick.at_utc)}" in text


def test_dangerous_days_are_listed(built: Pages, north: YearAlmanac) -> None:
    """Sun safety names a run of days around each of the year's new Moons."""
    text = text_of(built, "sun-safety.html")
    for phase in north.phases:
        if phase.kind == "new" and phase.at_utc.year == 2027:
            day = WORDS.local(phase.at_utc).date()
            near = [WORDS.date(day + timedelta(days=i), "short_day") for i in range(-4, 5)]
            assert any(name in text for name in near), phase


def test_the_tonight_data_hold_every_night(built: Pages, north: YearAlmanac) -> None:
    """The front page's script gets a row a night, in the order of its fields."""
    script = built["quarry-field/2027/tonight.js"]
    assert isinstance(script, str)
    body = script[script.index("[") : script.rindex("]") + 1]
    nights = json.loads(body)
    assert [row[0] for row in nights] == [night.date.isoformat() for night in north.nights]
    assert {row[4] for row in nights} == {"good", "fair", "poor", "none"}
    assert all(len(row) == 12 and row[3] for row in nights)
    for row, night in zip(nights, north.nights, strict=True):
        assert len(row[10]) == len(night.windows)


class Pseudo(NullTranslations):
    """A language that answers every known message with Greek letters, fields kept."""

    def gettext(self, message: str) -> str:
        parts = re.split(r"(%\(\w+\)\d*[sd]|%%|\{\w+\})", message)
        return "".join(
            part if i % 2 else re.sub("[A-Za-z]", "λ", part) for i, part in enumerate(parts)
        )

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return self.gettext(msgid1 if n == 1 else msgid2)


def untranslated(page: str, names: set[str]) -> Iterator[str]:
    """Words of the page's text that are neither translated nor names, dates or units."""
    for text in parsed(page).text:
        yield from (w for w in re.findall("[A-Za-z]{3,}", text) if w not in names)


def test_every_text_passes_through_the_translation(north: YearAlmanac, make_book: MakeBook) -> None:
    """With a catalogue of another language no English is left on a page."""
    book = make_book(north, Pseudo())
    season = north.seasons[0]
    pages = (
        year_page(book, draw_year(book)),
        month_page(book, 3),
        *(night_page(book, index) for index in range(60, 100)),
        stars_page(book),
        star_page(book, 1),
        season_page(book, season, draw_season(book, season), ()),
        *(page for _, page in find_pages(book)),
    )
    names = {word for star in north.stars for word in star.name.split()}
    names |= {*book.config.club.name.split(), *north.site.name.split(), "Copernicus"}
    names |= {WORDS.month(m, short) for m in range(1, 13) for short in (True, False)}
    names |= {WORDS.weekday(d, short) for d in range(7) for short in (True, False)}
    names |= {"UTC", "Central", "European", "Standard", "Summer", "Time", "HIP"}
    for page in pages:
        assert not set(untranslated(page, names)), parsed(page).text[0]


@pytest.mark.parametrize(
    ("rank", "count", "grade"),
    [(1, 3, "good"), (2, 3, "fair"), (3, 3, "poor"), (1, 1, "good"), (100, 300, "good"),
     (101, 300, "fair"), (300, 300, "poor"), (None, 300, "none")],
)  # fmt: skip
def test_nights_are_graded_by_thirds(rank: int | None, count: int, grade: str) -> None:
    """The strongest third is good, the weakest poor."""
    assert quality(rank, count) == grade


@pytest.mark.parametrize(
    ("hours", "text"),
    [(0.0, "·"), (0.24, "·"), (0.25, "½"), (0.74, "½"), (0.75, "1"), (1.6, "2"), (7.0, "7")],
)
def test_evening_hours_are_rounded(hours: float, text: str) -> None:
    """To whole hours, with a half in between."""
    assert evening_hours(hours, WORDS) == text


@pytest.mark.parametrize(
    ("name", "href"),
    [("Vega", "star-vega.html"), ("Rigil Kentaurus", "star-rigil-kentaurus.html"),
     ("Al Na'ir", "star-al-na-ir.html"), ("Étamin", "star-etamin.html")],
)  # fmt: skip
def test_star_addresses_are_readable(name: str, href: str) -> None:
    """Lower-case letters without accents, and hyphens."""
    assert star_href(name) == href


def test_moments_fall_into_rows_with_gaps_at_the_ends() -> None:
    """A year that begins with a full Moon leaves the first columns of its first row empty."""
    full, last, new = (Moment(day, "12:00") for day in ("3 Jan", "10 Jan", "18 Jan"))
    kinds = ("new", "first_quarter", "full", "last_quarter")
    found = list(rows([("full", full), ("last_quarter", last), ("new", new)], kinds))
    assert found == [(None, None, full, last), (new, None, None, None)]


def test_a_page_stays_light(built: Pages) -> None:
    """No page weighs more than 100 kB, so that it is small on a phone even before compression."""
    heavy = {p: len(t) for p, t in built.items() if p.endswith(".html") and len(t) > 100_000}
    assert not heavy


def test_the_year_page_dates_a_phase_of_the_next_year(built: Pages) -> None:
    """Key dates outside the page's year carry theirs."""
    text = text_of(built, "quarry-field/2027/index.html")
    assert WORDS.date(date(2027, 1, 1), "short") not in text
