"""Pages, pictures and marks of eclipses, on records made up here."""

import re
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from html import unescape
from typing import Any

import pytest
from msgspec.structs import replace

from almanac.publish.card_text import night_card
from almanac.publish.charts.eclipse_moon import eclipse_moon_chart
from almanac.publish.charts.eclipse_sun import eclipse_sun_chart
from almanac.publish.eclipse_words import mark, seen_from
from almanac.publish.feeds import year_json
from almanac.publish.pages.book import Book, eclipse_href
from almanac.publish.pages.booklet import booklet_view
from almanac.publish.pages.eclipse import eclipse_page
from almanac.publish.pages.events import event_rows, events_page
from almanac.publish.pages.site import site_pages
from almanac.publish.wording import Wording
from almanac.records.catalogue import Catalogue
from almanac.records.events import Eclipse, EclipseMoment, EclipseSpan, LunarShadow, SolarView
from almanac.records.year import YearAlmanac

EVENING = datetime(2027, 3, 21, 19, 0, tzinfo=UTC)
MORNING = datetime(2027, 8, 2, 8, 0, tzinfo=UTC)
WORDS = Wording("en", "Europe/Paris")


def moment(code: str, at: datetime, **changes: Any) -> EclipseMoment:
    """A moment of an eclipse, in sight unless told otherwise."""
    settings: dict[str, Any] = {
        "altitude_deg": 30.0,
        "azimuth_deg": 120.0,
        "visible": True,
        "sun_altitude_deg": -20.0,
        "magnitude": 0.3,
        "obscuration": 0.2,
        "position_angle_deg": 40.0,
        "zenith_angle_deg": 75.0,
        "right_deg": 0.1,
        "up_deg": 0.4,
    }
    return EclipseMoment(code=code, at_utc=at, **(settings | changes))


def lunar(**changes: Any) -> Eclipse:
    """A partial eclipse of the Moon whose end is out of sight."""
    codes = ("p1", "u1", "greatest", "u4", "p4")
    contacts = [
        moment(
            code,
            EVENING + timedelta(minutes=40 * i),
            right_deg=-1.2 + 0.6 * i,
            up_deg=0.3 + 0.2 * i,
            visible=code != "p4",
        )
        for i, code in enumerate(codes)
    ]
    shot = EclipseSpan("partial", EVENING, EVENING + timedelta(minutes=50))
    settings: dict[str, Any] = {
        "body": "moon",
        "kind": "partial",
        "date": date(2027, 3, 21),
        "greatest_utc": contacts[2].at_utc,
        "gamma": 0.9,
        "magnitude": 0.3,
        "visible": True,
        "deepest_utc": contacts[2].at_utc,
        "contacts": tuple(contacts),
        "lunar": LunarShadow(1.3, 0.3, None, 1.25, 0.7, 0.26, 9600.0, 4800.0, None, (shot,)),
        "solar": None,
    }
    return Eclipse(**(settings | changes))


def solar(kind: str = "partial", **changes: Any) -> Eclipse:
    """An eclipse of the Sun in a morning."""
    codes = ("c1", "greatest", "c4")
    contacts = tuple(
        moment(code, MORNING + timedelta(minutes=50 * i), sun_altitude_deg=40.0, up_deg=0.1)
        for i, code in enumerate(codes)
    )
    looks = tuple(replace(one, code="step") for one in contacts)
    view = SolarView(kind, 0.42, 1.05, 0.33, 0.265, 0.27, None, False, False, looks)
    settings: dict[str, Any] = {
        "body": "sun",
        "kind": "total",
        "date": date(2027, 8, 2),
        "greatest_utc": contacts[1].at_utc,
        "gamma": 0.2,
        "magnitude": 1.07,
        "visible": True,
        "deepest_utc": contacts[1].at_utc,
        "contacts": contacts,
        "lunar": None,
        "solar": view,
    }
    return Eclipse(**(settings | changes))


def unseen(**changes: Any) -> Eclipse:
    """An eclipse of the Sun that misses the site."""
    nothing = {"visible": False, "deepest_utc": None, "contacts": (), "solar": None}
    return solar(**(nothing | {"greatest_utc": datetime(2027, 2, 6, 16, tzinfo=UTC)} | changes))


@pytest.fixture(scope="module")
def book(
    north: YearAlmanac, catalogue: Catalogue, make_config: Callable[..., Any]
) -> Callable[..., Book]:
    """Makes the book of the northern site with some eclipses."""

    def make(*eclipses: Eclipse) -> Book:
        almanac = replace(north, eclipses=eclipses)
        return Book(almanac, make_config((north.site,)), catalogue, WORDS)

    return make


def text_of(page: str) -> str:
    """The words of a page, characters that only keep them together left out."""
    words = unescape(re.sub(r"<[^>]+>", " ", page)).replace("\u2060", "")
    return " ".join(words.split())


def test_the_suns_page_begins_with_cautions(book: Callable[..., Book]) -> None:
    """They stand before anything else, with the way to the page on Sun safety."""
    page = eclipse_page(book(solar()), solar())
    cautions = page.index('class="cautions"')
    assert cautions < page.index('class="lead"') < page.index("<svg")
    assert 'href="../../sun-safety.html"' in page[cautions : page.index('class="lead"')]
    assert "no moment of it is safe without a filter" in page
    assert "no window for the Moon" in page


def test_only_totality_here_changes_the_caution(book: Callable[..., Book]) -> None:
    """Where the Sun is wholly covered the page says when the filter goes back on."""
    whole = solar("total")
    page = eclipse_page(book(whole), whole)
    assert "Only totality itself is safe" in page
    assert "no moment of it is safe" not in page


def test_the_moons_page_needs_no_filter(book: Callable[..., Book]) -> None:
    """No caution, the contacts to the second, the phases in the windows, the hidden end."""
    page = text_of(eclipse_page(book(lunar()), lunar()))
    assert "needs no filter" in page
    assert "Partial phase 20:00–20:50 50 min" in page
    assert "20:40:00 It enters the umbra" in page
    assert "behind the skyline" in page
    assert "Danjon" in page


def test_a_borderline_case_says_so(book: Callable[..., Book]) -> None:
    """The reader learns that another rule finds no eclipse."""
    shadow = lunar().lunar
    assert shadow is not None
    graze = lunar(kind="penumbral", lunar=replace(shadow, borderline="none"))
    assert "A borderline case." in eclipse_page(book(graze), graze)


def test_both_magnitudes_are_named(book: Callable[..., Book]) -> None:
    """Part of the diameter, ratio of the diameters and part of the area, each called so."""
    page = text_of(eclipse_page(book(solar()), solar()))
    assert "Magnitude 0.420 part of the Sun's diameter covered" in page
    assert "Ratio of diameters 1.050" in page
    assert "Obscuration 33.0% part of the Sun's area" in page


def test_the_list_holds_all_and_links_what_can_be_seen(book: Callable[..., Book]) -> None:
    """In order of time; an eclipse out of sight gives its reason and has no page."""
    made = book(solar(), lunar(), unseen())
    rows = event_rows(made)
    assert [row.visible for row in rows] == [False, True, True]
    assert [row.at_utc for row in rows] == sorted(row.at_utc for row in rows)
    page = events_page(made)
    assert eclipse_href(lunar()) in page
    assert eclipse_href(unseen()) not in page
    assert "does not reach this place" in page


def test_lists_name_an_eclipse_as_it_is_here(book: Callable[..., Book]) -> None:
    """Total elsewhere and partial here is partial, on screen and on paper; unseen, it is total."""
    made = book(solar(), unseen())
    assert [row.name for row in event_rows(made)] == [
        "Total eclipse of the Sun",
        "Partial eclipse of the Sun",
    ]
    chapter = next(one for one in booklet_view(made).chapters if one.title == "Events")
    printed = str(chapter.parts)
    assert "Partial eclipse of the Sun: deepest in sight at" in printed
    assert "Total eclipse" not in printed


@pytest.mark.parametrize(
    ("eclipse", "reason"),
    [
        (unseen(), "shadow does not reach"),
        (unseen(contacts=(moment("c1", MORNING, altitude_deg=-5.0),)), "Sun is below"),
        (unseen(contacts=(moment("c1", MORNING, altitude_deg=5.0),)), "behind this skyline"),
        (
            unseen(body="moon", contacts=(moment("p1", MORNING, altitude_deg=-5.0),)),
            "Moon is below",
        ),
    ],
)
def test_the_reason_why_nothing_is_seen(eclipse: Eclipse, reason: str) -> None:
    """Shadow, horizon or skyline."""
    assert reason in seen_from(eclipse, WORDS)


def test_night_month_year_and_card_tell_of_it(
    book: Callable[..., Book], make_config: Callable[..., Any], north: YearAlmanac
) -> None:
    """The Moon's eclipse is linked from its night and the year, marked in the month and carded."""
    made = book(lunar(), solar(), unseen())
    pages = site_pages(made.almanac, made.config, made.catalogue)
    name, folder = mark(lunar(), WORDS), made.folder
    link = f'href="{eclipse_href(lunar())}"'
    assert link in str(pages[f"{folder}2027-03-21.html"])
    assert link in str(pages[f"{folder}index.html"])
    assert name in str(pages[f"{folder}2027-03.html"])
    assert mark(solar(), WORDS) in str(pages[f"{folder}2027-08.html"])
    assert f"{folder}{eclipse_href(unseen())}" not in pages
    nights = {night.date: night for night in made.almanac.nights}
    card = night_card(made.almanac, nights[date(2027, 3, 21)], made.config, WORDS)
    assert name in card
    summer = night_card(made.almanac, nights[date(2027, 8, 2)], made.config, WORDS)
    assert "eclipse" not in summer


def test_the_moons_picture_places_every_contact() -> None:
    """Each time is written, dashed is what is out of sight, and left is left."""
    chart = str(eclipse_moon_chart(lunar(), WORDS))
    for one in lunar().contacts:
        assert WORDS.clock(one.at_utc) in chart
    assert chart.count("stroke-dasharray") == 1
    dots = [float(x) for x in re.findall(r'cx="([\d.]+)" cy="[\d.]+" r="3\.5"', chart)]
    assert dots == sorted(dots)
    with pytest.raises(ValueError, match="no eclipse of the Moon"):
        eclipse_moon_chart(solar(), WORDS)


def test_the_suns_picture_bites_on_the_right_side() -> None:
    """The Moon's disc stands right of and above the Sun's by the record, in one scale."""
    chart = str(eclipse_sun_chart(solar(), WORDS))
    suns = re.findall(r'<clipPath id="sun\d"><circle cx="([\d.]+)" cy="([\d.]+)" r="54"', chart)
    moons = re.findall(r'url\(#sun\d\)" cx="([\d.]+)" cy="([\d.]+)" r="([\d.]+)"', chart)
    assert len(suns) == len(moons) == 3
    for (x, y), (to_x, to_y, radius) in zip(suns, moons, strict=True):
        assert float(to_x) - float(x) == pytest.approx(54 / 0.265 * 0.1, abs=0.11)
        assert float(y) - float(to_y) == pytest.approx(54 / 0.265 * 0.1, abs=0.11)
        assert float(radius) == pytest.approx(54 * 0.27 / 0.265, abs=0.06)
    with pytest.raises(ValueError, match="shows no Sun"):
        eclipse_sun_chart(lunar(), WORDS)


def test_the_json_holds_them(book: Callable[..., Book]) -> None:
    """Seconds in UTC, null for what a body does not have."""
    text = year_json(book(lunar(), unseen()).almanac)
    assert '"deepest_utc":"2027-03-21T20:20:00Z"' in text.replace(" ", "")
    assert '"shots":[{"phase":"partial"' in re.sub(r"\s", "", text)
