"""The front page's script: tonight and the next nights by the site's clock, wherever one reads."""

import json
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from msgspec import Struct
from playwright.sync_api import Locator, Page

pytestmark = pytest.mark.browser

SITE = "orchard-rise"
ZONE = ZoneInfo("Europe/Warsaw")
OVER = "The Moon's hours are over for tonight."
Open = Callable[..., Page]


class Tonight(Struct, frozen=True):
    """A night of the script's data."""

    date: str
    ends: int
    cap: int
    sentence: str
    grade: str
    title: str
    hours: str
    detail: str
    limits: str
    lit: str
    windows: list[list[Any]]
    """Of each: minute of start, hop and end, star, own sentence if there are several."""
    events: list[list[Any]]
    """Of each: page, text, whether the night is worth going out for it."""


Nights = dict[str, Tonight]


@pytest.fixture(scope="session")
def nights(demo_site: Path) -> Nights:
    """The year's nights by evening."""
    text = (demo_site / SITE / "2027/tonight.js").read_text(encoding="utf-8")
    rows = json.loads(text[text.index("[") : text.rindex("]") + 1])
    return {row[0]: Tonight(*row) for row in rows}


def section(open_page: Open, at: datetime | str, zone: str = "Europe/Paris") -> Locator:
    """The front page's part about the site at an instant, for a reader in a zone."""
    now = at if isinstance(at, str) else at.isoformat()
    page = open_page("index.html", now=now, timezone_id=zone)
    page.wait_for_load_state("networkidle")
    return page.locator(f'[data-site="{SITE}"]')


def shown(
    open_page: Open, now: datetime | str, zone: str = "Europe/Paris"
) -> tuple[str, list[str]]:
    """Tonight's sentence and the titles of the next nights; empty while they are hidden."""
    part = section(open_page, now, zone)
    if not part.is_visible():
        return "", []
    return part.locator(".lead").inner_text(), part.locator("ol .when").all_inner_texts()


def instant(minute: float) -> datetime:
    """The instant of a minute since 1970."""
    return datetime.fromtimestamp(60 * minute, UTC)


def clock(minute: int) -> str:
    """The site's time."""
    return f"{instant(minute).astimezone(ZONE):%H:%M}"


@pytest.mark.parametrize("zone", ["Europe/Paris", "Pacific/Auckland"])
@pytest.mark.parametrize(
    ("now", "evening"),
    [
        ("2027-03-16T16:00:00Z", "2027-03-16"),
        ("2027-03-16T23:30:00Z", "2027-03-16"),  # half past midnight at the site
        ("2027-03-17T04:00:00Z", "2027-03-16"),  # before sunrise
        ("2027-03-17T08:00:00Z", "2027-03-17"),  # the morning after
        ("2028-01-01T02:00:00Z", "2027-12-31"),  # New Year's night
    ],
)
def test_tonight_is_the_night_in_course(
    open_page: Open, nights: Nights, now: str, evening: str, zone: str
) -> None:
    """By the site's clock the night lasts until its sunrise; then comes the next."""
    part, night = section(open_page, now, zone), nights[evening]
    assert part.locator(".date").inner_text().startswith(night.title)
    over = night.windows and instant(night.windows[-1][2]) < datetime.fromisoformat(now)
    assert part.locator(".lead").inner_text() == (OVER if over else night.sentence)


def test_the_evenings_plan_stands_until_the_hop(open_page: Open, nights: Nights) -> None:
    """Who reads it a minute before the hop can still make it; a minute later the rest is told."""
    night = next(n for n in nights.values() if len(n.windows) == 1 and n.windows[0][3])
    _, hop, until, star = night.windows[0]
    sentence, _ = shown(open_page, instant(hop - 1))
    assert sentence == night.sentence
    part = section(open_page, instant(hop + 1))
    assert part.locator(".lead").inner_text() == f"The Moon can be used until {clock(until)}."
    late = part.locator(".late").inner_text()
    assert late.startswith(f"The hop was planned for {clock(hop)}: {star} and the Moon have moved")
    href = part.locator(".lead a").get_attribute("href")
    assert href == f"{SITE}/2027/{night.date}.html"
    assert shown(open_page, instant(until + 1))[0] == OVER
    assert section(open_page, instant(until + 1)).locator(".late").is_hidden()


def test_without_a_star_the_rest_of_the_window_is_all_there_is_to_say(
    open_page: Open, nights: Nights
) -> None:
    """No hop has been missed where none was planned."""
    night = next(n for n in nights.values() if len(n.windows) == 1 and not n.windows[0][3])
    start, _, until, _ = night.windows[0]
    part = section(open_page, instant(start + 2))
    assert part.locator(".lead").inner_text() == f"The Moon can be used until {clock(until)}."
    assert part.locator(".late").is_hidden()


def test_of_two_windows_the_one_to_come_is_told(open_page: Open, nights: Nights) -> None:
    """During the first the second is announced; after it the second's own plan stands there."""
    night = next(n for n in nights.values() if len(n.windows) == 2 and n.windows[0][3])
    first, second = night.windows
    sentence, _ = shown(open_page, instant(first[1] + 2))
    assert sentence == (
        f"The Moon can be used until {clock(first[2])}. Another window opens at {clock(second[0])}."
    )
    assert shown(open_page, instant(first[2] + 2))[0] == second[4]
    assert second[4] in night.sentence or first[4] in night.sentence


def test_the_cap_is_told_and_stands_out_when_it_is_due(open_page: Open, nights: Nights) -> None:
    """By its time and the sunrise; once it is due by word, weight and colour."""
    night = nights["2027-03-16"]
    line = section(open_page, instant(night.cap - 60)).locator(".cap")
    assert line.inner_text() == (
        f"Cover a telescope that stays out by {clock(night.cap)}: "
        f"the Sun rises at {clock(night.ends)}."
    )
    quiet = line.evaluate("(it) => getComputedStyle(it).color")
    due = section(open_page, instant(night.cap + 1)).locator(".cap")
    assert due.inner_text() == f"Cover the telescope now: the Sun rises at {clock(night.ends)}."
    assert due.evaluate("(it) => getComputedStyle(it).color") != quiet


def test_no_plan_runs_beyond_the_cap(nights: Nights) -> None:
    """What can be used is told until the telescope has to be covered, never until sunrise."""
    windows = [(night, window) for night in nights.values() for window in night.windows]
    assert windows
    assert all(window[2] <= night.cap for night, window in windows)


def test_the_next_three_nights_are_worth_it_and_to_come(open_page: Open, nights: Nights) -> None:
    """In order, after tonight, of the year's better two thirds or with an outing of the club."""
    outing = next(
        day
        for day, night in nights.items()
        if day > "2027-03-16" and night.grade == "poor" and any(e[2] for e in night.events)
    )
    eve = date.fromisoformat(outing) - timedelta(days=1)
    part = section(open_page, f"{eve}T16:00:00Z")
    later = [night for day, night in nights.items() if day > str(eve)]
    worth = [n.title for n in later if n.grade in ("good", "fair") or any(e[2] for e in n.events)]
    assert worth[0] == nights[outing].title
    assert "Proposed: " in part.locator("ol li").first.inner_text()
    assert part.locator("ol .when").all_inner_texts() == worth[:3]
    assert part.locator(".seek a").get_attribute("href") == f"{SITE}/2027/find.html"


def test_the_morning_of_an_eclipse_names_it(open_page: Open, nights: Nights) -> None:
    """With the way to its page, which has the warnings; on other days there is nothing."""
    part = section(open_page, "2027-08-02T06:00:00Z")
    ((href, text, invites),) = nights["2027-08-02"].events
    assert "Sun" in text
    assert not invites
    assert part.locator(".night-events a").get_attribute("href") == f"{SITE}/2027/{href}"
    assert part.locator(".night-events").inner_text() == text
    assert section(open_page, "2027-08-04T06:00:00Z").locator(".night-events").is_hidden()


def test_a_page_that_wakes_up_tells_the_time_anew(open_page: Open, nights: Nights) -> None:
    """A phone laid aside in the evening does not show the evening's plan after midnight."""
    night = nights["2027-03-16"]
    part = section(open_page, "2027-03-16T16:00:00Z")
    assert part.locator(".lead").inner_text() == night.sentence
    part.page.clock.set_fixed_time(instant(night.windows[0][2] + 5))
    part.page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    assert part.locator(".lead").inner_text() == OVER


@pytest.mark.parametrize("now", ["2026-11-25T12:00:00Z", "2028-02-01T12:00:00Z"])
def test_outside_its_years_nothing_is_said_of_tonight(open_page: Open, now: str) -> None:
    """The best nights by month still stand there."""
    assert shown(open_page, now) == ("", [])


def test_without_script_the_best_nights_stand_there(open_page: Open) -> None:
    """A night for each month, as links."""
    page = open_page("index.html", now="2027-03-16T16:00:00Z", java_script_enabled=False)
    assert not page.locator(f'[data-site="{SITE}"]').is_visible()
    links = page.locator("table.best").first.locator("td a").all()
    months = {date.fromisoformat(str(link.get_attribute("href"))[-15:-5]).month for link in links}
    assert len(months) == len(links) > 6
