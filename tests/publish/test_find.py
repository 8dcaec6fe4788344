"""The page on which to find a night: its rows carry what ``year.json`` holds, and no more."""

import json
import re
from collections.abc import Callable, Iterator
from datetime import date, datetime
from html import unescape
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from msgspec import Struct
from msgspec.structs import replace

from almanac.publish.feeds import year_json
from almanac.publish.pages.book import Book
from almanac.publish.pages.find import find_pages, order_href
from almanac.publish.wording import Wording
from almanac.records.catalogue import Catalogue
from almanac.records.config import ClubConfig
from almanac.records.diary import Diary
from almanac.records.year import YearAlmanac

Json = dict[str, object]
MakeConfig = Callable[..., ClubConfig]

TR = re.compile(r'<tr(?: data-n="([^"]*)")?>(.*?)</tr>')
CELL = re.compile(r"<t[hd][^>]*>(.*?)</t[hd]>")


class Shown(Struct, frozen=True):
    """A row as the page has it."""

    figures: list[str]
    href: str
    cells: list[str]
    """Text."""


def rows_of(page: str) -> list[Shown]:
    """The rows of the page's table."""
    return [
        Shown(
            unescape(figures or "").split(","),
            "".join(re.findall('href="([^"]*)"', cells)),
            [unescape(re.sub("<[^>]*>", "", cell)) for cell in CELL.findall(cells)],
        )
        for figures, cells in TR.findall(page.split("<tbody>")[1])
    ]


@pytest.fixture(scope="module")
def make_pages(catalogue: Catalogue, make_config: MakeConfig) -> Callable[..., dict[str, str]]:
    """The pages of a year by address: ``make_pages(almanac)``."""

    def make(almanac: YearAlmanac) -> dict[str, str]:
        words = Wording("en", almanac.site.timezone)
        return dict(find_pages(Book(almanac, make_config((almanac.site,)), catalogue, words)))

    return make


@pytest.fixture(scope="module", params=["north", "south", "polar"])
def almanac(request: pytest.FixtureRequest) -> YearAlmanac:
    """The made-up years of three latitudes."""
    return request.getfixturevalue(request.param)


def year_rows(year: dict[str, list[dict[str, object]]]) -> Iterator[tuple[Json, Json | None]]:
    """Night and window of each row that year.json asks for, in order."""
    for night in year["nights"]:
        windows = night["windows"]
        assert isinstance(windows, list)
        yield from ((night, window) for window in windows or [None])


def instant(text: object) -> datetime:
    """An instant of year.json."""
    return datetime.fromisoformat(str(text))


def minutes_from_noon(text: object, zone: str) -> float:
    """By the clock of the zone."""
    local = instant(text).astimezone(ZoneInfo(zone))
    return (60 * local.hour + local.minute + local.second / 60 - 720) % 1440


def nearly(figure: str, value: float, unit: float = 1.0) -> bool:
    """Whether the figure is the value rounded to the unit, which year.json rounded before."""
    return abs(float(figure) - value) <= unit / 2 + 0.02 * unit


def test_rows_carry_what_the_json_holds(
    almanac: YearAlmanac, make_pages: Callable[..., dict[str, str]]
) -> None:
    """Row by row, every figure is that of year.json, rounded as it is shown."""
    rows = rows_of(make_pages(almanac)["find.html"])
    zone = almanac.site.timezone
    wanted = list(year_rows(json.loads(year_json(almanac))))
    assert len(rows) == len(wanted) >= 365
    for row, (night, window) in zip(rows, wanted, strict=True):
        moon, dark = night["moon"], night["dark"]
        assert isinstance(moon, dict)
        assert row.href == f"{night['date']}.html"
        lit, waxing, dark_min, _, *rest = row.figures
        assert nearly(lit, 100 * moon["illuminated_fraction"])
        assert waxing == str(int(moon["waxing"]))
        assert isinstance(dark, dict) or dark_min == "0"
        if isinstance(dark, dict):
            span = instant(dark["end_utc"]) - instant(dark["start_utc"])
            assert nearly(dark_min, span.total_seconds() / 60)
        if window is None:
            assert rest == []
            continue
        start, end, height, detail, chance, star = rest
        assert nearly(start, minutes_from_noon(window["start_utc"], zone))
        assert nearly(end, minutes_from_noon(window["end_utc"], zone) or 1440)
        assert nearly(height, float(str(window["altitude_deg"])))
        assert nearly(detail, float(str(window["finest_detail_km"])), 0.1)
        calibration = window["calibration"]
        if isinstance(calibration, dict):
            assert star == calibration["star"]
            assert nearly(chance, 100 * calibration["landing_chance"])
        else:
            assert (chance, star) == ("", "")


def test_cells_show_the_figures(
    almanac: YearAlmanac, make_pages: Callable[..., dict[str, str]]
) -> None:
    """What is held against a condition is what the reader sees."""
    words = Wording("en", almanac.site.timezone)
    capped = {
        (f"{night.date}.html", words.clock(window.start_utc))
        for night in almanac.nights
        for window in night.windows
        if night.sun.cap_by_utc and night.sun.cap_by_utc < window.end_utc
        if "sun_up_in_window" not in night.cautions
    }
    for row in rows_of(make_pages(almanac)["find.html"]):
        lit, waxing, dark, _, *rest = row.figures
        moon, shown_dark, *cells = row.cells[1:]
        assert moon == f"{lit}% {'waxing' if waxing == '1' else 'waning'}"
        assert shown_dark == (f"{int(dark) // 60}:{int(dark) % 60:02d}" if dark != "0" else "–")
        if not rest:
            assert len(cells) == 1
            continue
        start, end, height, detail, chance, star = rest
        clocks = [f"{m // 60 % 24:02d}:{m % 60:02d}" for m in (int(start) + 720, int(end) + 720)]
        hours, _, cap = cells[0].partition(", cap by ")
        assert re.findall(r"\d\d:\d\d", hours) == clocks
        assert bool(cap) == ((row.href, clocks[0]) in capped)
        assert cells[1:3] == [f"{height}°", f"{detail}\u00a0km"]
        assert cells[3].endswith(star or "by eye")
        assert cells[4] == ("over 99%" if chance == "100" else f"{chance}%" if star else "–") or (
            chance == "99" and cells[4] == "over 99%"
        )


@pytest.mark.parametrize(
    ("key", "sign", "figure", "unit"),
    [("detail", 1, 7, 0.1), ("height", -1, 6, 1.0), ("length", -1, None, 1.0)],
)
def test_each_order_has_all_windows(
    key: str,
    sign: int,
    figure: int | None,
    unit: float,
    almanac: YearAlmanac,
    make_pages: Callable[..., dict[str, str]],
) -> None:
    """A ready-made order holds the same rows of windows, best first."""
    pages = make_pages(almanac)
    by_date = [row for row in rows_of(pages["find.html"]) if len(row.figures) > 4]
    ordered = rows_of(pages[order_href(key)])
    assert len(by_date) > 50
    assert sorted(row.cells for row in ordered) == sorted(row.cells for row in by_date)

    def rank(row: Shown) -> float:
        start, end = (float(it) for it in row.figures[4:6])
        return sign * (end - start if figure is None else float(row.figures[figure]))

    by_cells = {tuple(row.cells): row for row in by_date}
    ranks = [rank(by_cells[tuple(row.cells)]) for row in ordered]
    assert all(b > a - 1.01 * unit for a, b in pairwise(ranks)), "but for rounding"
    assert ranks[0] == min(ranks)
    assert "find.js" in pages["find.html"]
    assert "find.js" not in pages[order_href(key)], "nothing to narrow there"


def test_the_clubs_dates_are_marked(
    north: YearAlmanac, make_pages: Callable[..., dict[str, str]]
) -> None:
    """Bit 1 is a meeting, bit 2 a proposed outing, and the row says so."""
    meetings = {meeting.night for meeting in north.diary.meetings if meeting.night}
    proposals = [one for outing in north.diary.outings for one in outing.proposals]
    outings = {proposal.main.date for proposal in proposals}
    assert meetings
    assert outings
    for row in rows_of(make_pages(north)["find.html"]):
        day = date.fromisoformat(row.href[:10])
        assert int(row.figures[3]) == (day in meetings) + 2 * (day in outings)
        assert ("meeting" in row.cells[0]) == (day in meetings)
        assert ("outing" in row.cells[0]) == (day in outings)


def test_without_dates_of_the_club_none_are_offered(
    north: YearAlmanac, make_pages: Callable[..., dict[str, str]]
) -> None:
    """The condition stands there only if some night can fulfil it."""
    page = make_pages(replace(north, diary=Diary()))["find.html"]
    assert 'name="club"' in make_pages(north)["find.html"]
    assert 'name="club"' not in page


def test_a_hostile_star_stays_text(
    north: YearAlmanac, make_pages: Callable[..., dict[str, str]]
) -> None:
    """Markup in a star's name is shown, not obeyed, in cell, figures and choice."""
    name = '<b>"Star"</b>&\''
    nights = list(north.nights)
    index, night = next(
        (i, n) for i, n in enumerate(nights) if n.windows and n.windows[0].calibration
    )
    window = night.windows[0]
    assert window.calibration is not None
    chosen = replace(window.calibration.chosen, star=name)
    hostile = replace(window, calibration=replace(window.calibration, chosen=chosen))
    nights[index] = replace(night, windows=(hostile, *night.windows[1:]))
    page = make_pages(replace(north, nights=tuple(nights)))["find.html"]
    assert "<b>" not in page.split("<main")[1]
    assert name in {row.figures[-1] for row in rows_of(page)}


def test_short_clips_are_told(
    north: YearAlmanac, make_pages: Callable[..., dict[str, str]]
) -> None:
    """A row whose clip must be under half the usual says so; no other does."""
    nights = [
        replace(night, windows=tuple(replace(w, longest_clip_s=clip_s) for w in night.windows))
        for night, clip_s in zip(north.nights, [4.0, 10.0, None] * 122, strict=False)
    ]
    page = make_pages(replace(north, nights=tuple(nights)))["find.html"]
    windows = [(night, window) for night in nights for window in night.windows]
    rows = [row for row in rows_of(page) if len(row.figures) > 4]
    assert len(rows) == len(windows)
    for row, (_, window) in zip(rows, windows, strict=True):
        told = "clips up to 4\u00a0s" in row.cells[3]
        assert told == (window.longest_clip_s == 4.0)


def test_a_year_without_a_window_still_has_its_dark_nights(
    north: YearAlmanac, make_pages: Callable[..., dict[str, str]]
) -> None:
    """The page stands with a row a night; the orders of windows are empty."""
    nights = tuple(replace(n, windows=(), no_window="sun_up", rank=None) for n in north.nights)
    pages = make_pages(replace(north, nights=nights))
    assert [len(row.figures) for row in rows_of(pages["find.html"])] == [4] * len(nights)
    assert rows_of(pages["find-detail.html"]) == []
    assert "Nights with a window: 0" in pages["find-detail.html"]
