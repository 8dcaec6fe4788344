"""The front page's script: tonight and the next nights by the site's clock, wherever one reads."""

import json
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path

import pytest
from playwright.sync_api import Page

pytestmark = pytest.mark.browser

SITE = "orchard-rise"
OVER = "The Moon's hours are over for tonight."
Open = Callable[..., Page]
Rows = dict[str, list[str]]


@pytest.fixture(scope="session")
def rows(demo_site: Path) -> Rows:
    """By evening: date, sunrise, sentence, grade, title, hours, detail, end, disc."""
    text = (demo_site / SITE / "2027/tonight.js").read_text(encoding="utf-8")
    nights = json.loads(text[text.index("[") : text.rindex("]") + 1])
    return {row[0]: row for row in nights}


def shown(open_page: Open, now: str, zone: str = "Europe/Paris") -> tuple[str, list[str]]:
    """Tonight's sentence and the titles of the next nights; empty while they are hidden."""
    page = open_page("index.html", now=now, timezone_id=zone)
    page.wait_for_load_state("networkidle")
    section = page.locator(f'[data-site="{SITE}"]')
    if not section.is_visible():
        return "", []
    titles = section.locator("ol .when").all_inner_texts()
    return section.locator(".lead").inner_text(), titles


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
    open_page: Open, rows: Rows, now: str, evening: str, zone: str
) -> None:
    """By the site's clock the night lasts until its sunrise; then comes the next."""
    sentence, _ = shown(open_page, now, zone)
    until = rows[evening][7]
    over = until and datetime.fromisoformat(until) < datetime.fromisoformat(now)
    assert sentence == (OVER if over else rows[evening][2])


def test_the_next_three_nights_are_worth_it_and_to_come(open_page: Open, rows: Rows) -> None:
    """In order, after tonight, of the year's better two thirds."""
    _, titles = shown(open_page, "2027-03-16T16:00:00Z")
    later = [row for day, row in rows.items() if day > "2027-03-16"]
    assert titles == [row[4] for row in later if row[3] in ("good", "fair")][:3]


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
