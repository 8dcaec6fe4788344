"""The pages that teach stars: the curve, a chart a month, a star's year, why a star was chosen."""

from collections.abc import Callable
from io import BytesIO
from xml.etree import ElementTree

import pypdf
import pytest
from msgspec.structs import replace

from almanac.inputs.catalogue import load_catalogue, pattern_names
from almanac.plan.star_choice import PASSED_OVER as CODES
from almanac.publish.charts.learning import learning_chart
from almanac.publish.charts.moon_road import moon_places, star_ways
from almanac.publish.charts.paper import Sheet, sheets_to_pdf
from almanac.publish.charts.star_year import star_year_chart, star_year_ground
from almanac.publish.pages.book import Book
from almanac.publish.pages.learning import bright_weeks, learning
from almanac.publish.pages.month_skies import (
    draw_month_sky,
    hours,
    month_sky_caption,
    month_sky_page,
    sheet_notes,
    taught,
)
from almanac.publish.pages.stars import star_page, stars_page
from almanac.publish.star_finding import COLOURS, FINDING, REDDEST, colour
from almanac.publish.star_reasons import PASSED_OVER, star_reasons
from almanac.publish.wording import Wording
from almanac.records.catalogue import Catalogue
from almanac.records.stars import PassedOver, StarReasons
from almanac.records.year import Window, YearAlmanac

SVG = "{http://www.w3.org/2000/svg}"
WORDS = Wording("en", "Europe/Paris")
MakeBook = Callable[[YearAlmanac], Book]


@pytest.fixture(scope="module")
def make_book(make_config: Callable[..., object], catalogue: Catalogue) -> MakeBook:
    """A maker of books: ``make_book(almanac)``."""

    def make(almanac: YearAlmanac) -> Book:
        words = Wording("en", almanac.site.timezone)
        return Book(almanac, make_config((almanac.site,)), catalogue, words)

    return make


def test_every_star_is_found_from_a_pattern_or_a_star() -> None:
    """Each star of the catalogue has a sentence, and it leads from something drawn or named."""
    names = {star.name for star in load_catalogue().stars}
    assert set(FINDING) == names
    landmarks = {*names, *pattern_names(), "Pointers to the pole", "Belt", "W", "Plough", "Pointer"}
    for name, sentence in FINDING.items():
        others = landmarks - {name}
        assert any(mark in sentence for mark in others), name


@pytest.mark.parametrize(
    ("star", "word"),
    [
        ("Rigel", "bluish white"),
        ("Vega", "white"),
        ("Procyon", "yellowish white"),
        ("Capella", "yellow"),
        ("Arcturus", "orange"),
        ("Betelgeuse", "reddish orange"),
    ],
)
def test_colours_follow_b_minus_v(star: str, word: str) -> None:
    """Six stars whose colours every observer knows."""
    found = next(one for one in load_catalogue().stars if one.name == star)
    assert found.colour_bv is not None
    assert colour(found.colour_bv) == word
    assert [most for most, _ in COLOURS] == sorted(most for most, _ in COLOURS)
    assert colour(9.9) == REDDEST


def test_the_curve_is_drawn_and_its_advice_filled(north: YearAlmanac) -> None:
    """One dot a point, higher for a better chance, only the advised one filled with ink."""
    assert north.stars_to_learn
    points = north.stars_to_learn.curve
    root = ElementTree.fromstring(learning_chart(points, 2, WORDS))
    dots = list(root.iter(f"{SVG}circle"))
    heights = [float(dot.get("cy", "")) for dot in dots]
    assert len(dots) == len(points)
    assert heights == sorted(heights, reverse=True)
    assert ["star" in dot.get("fill", "") for dot in dots] == [False, True]


def test_the_stars_page_tells_what_each_star_buys(north: YearAlmanac, make_book: MakeBook) -> None:
    """Curve, fewest, known, the windows without a star, and both rules of thumb with figures."""
    book = make_book(north)
    view, found = learning(book), north.stars_to_learn
    assert view
    assert found
    assert [line.chance for line in view.curve] == ["61%", "73%"]
    assert [line.advised for line in view.curve] == [False, True]
    assert [one.text for one in view.fewest] == ["Vega", "Capella"]
    assert len(view.unserved) == len(found.unserved) > 0
    assert "55%" in view.rule[-1]
    assert str(found.trade_rule.windows_served) in view.rule[-1]
    page = stars_page(book)
    assert all(line.chance in page for line in view.curve)
    assert all(one.night.href in page for one in view.unserved)


def test_stars_that_the_club_knows_are_not_to_be_learnt(
    north: YearAlmanac, make_book: MakeBook
) -> None:
    """They stand beside the list of those to learn, not in it."""
    assert north.stars_to_learn
    found = replace(north.stars_to_learn, known=("Vega",), advised=("Vega", "Capella"))
    page = stars_page(make_book(replace(north, stars_to_learn=found)))
    to_learn = page[page.index("Learn these first:") : page.index("Known already:")]
    assert "Capella" in to_learn
    assert "Vega" not in to_learn


def test_a_star_beyond_the_faintest_is_not_offered(north: YearAlmanac, make_book: MakeBook) -> None:
    """No hours of use for what no window starts on: its page and the table say so instead."""
    stars = (replace(north.stars[0], magnitude=2.04), *north.stars[1:])
    book = make_book(replace(north, stars=stars))
    told = f"Too faint to start on, beyond magnitude {WORDS.number(2.0, 1)}"
    page = star_page(book, 0)
    assert f"{told}." in page
    assert "Evenings, until midnight" not in page
    assert told not in star_page(book, 1)
    table = stars_page(book)
    assert f"{told}:" in table
    assert "Evenings, until midnight" in star_page(book, 1)


def test_a_year_without_a_curve_still_has_its_page(north: YearAlmanac, make_book: MakeBook) -> None:
    """With nothing served there is no chart, and the page says that no star would help."""
    assert north.stars_to_learn
    bare = replace(north.stars_to_learn, curve=(), fewest=(), known=(), advised=())
    view = learning(make_book(replace(north, stars_to_learn=bare)))
    assert view
    assert view.chart is None
    assert "No further star" in view.advice


def test_the_polar_summer_says_that_no_star_can_be_used(
    polar: YearAlmanac, north: YearAlmanac, make_book: MakeBook
) -> None:
    """Weeks without a dark hour are dated on the stars' pages; at 45 N there are none."""
    sentence = bright_weeks(make_book(polar))
    lowest = {night.date: night.sun.lowest_altitude_deg for night in polar.nights}
    bright = [day for day, low in lowest.items() if low > -7.0]
    assert f"From {bright[0]:%-d %B} to {bright[-1]:%-d %B}" in sentence
    assert sentence in stars_page(make_book(polar))
    assert sentence in star_page(make_book(polar), 0)
    assert bright_weeks(make_book(north)) == ""
    june = polar.months[5]
    assert draw_month_sky(make_book(polar), june) is None
    page = month_sky_page(make_book(polar), june, None, ())
    assert "dark enough" in page
    assert "<svg" not in page.split("<main")[1]


@pytest.mark.parametrize("year", ["north", "south"])
def test_a_months_chart_carries_hours_and_the_moon(
    year: str, make_book: MakeBook, request: pytest.FixtureRequest
) -> None:
    """Each later place above the ground is a dot, each evening of the road a ring."""
    almanac = request.getfixturevalue(year)
    book = make_book(almanac)
    for month in (one for one in almanac.months if one.sky.at_utc):
        chart = draw_month_sky(book, month)
        plain = draw_month_sky(book, replace(month, later=(), moon=()))
        horizon = almanac.site.horizon
        more = str(chart).count("h.1") - str(plain).count("h.1")
        ways = sum(len(places) for places in star_ways(month, horizon))
        # A ring is a dot of ink under one of paper.
        assert more == 2 * (ways + len(moon_places(month, horizon)))
        assert len(hours(book, month)) == 3
        assert [len(star.places) for star in taught(book, month)] == [3, 3, 3]


def test_the_sheet_is_one_page_with_the_finding_sentences(
    north: YearAlmanac, make_book: MakeBook
) -> None:
    """On both papers: title, caption, and each star to learn with how to find it."""
    book, month = make_book(north), north.months[0]
    chart = draw_month_sky(book, month)
    assert chart
    for paper, width in (("a4", 595.28), ("letter", 612.0)):
        caption, notes = month_sky_caption(book, month), sheet_notes(book, month)
        sheet = sheets_to_pdf([Sheet(chart, "January", caption, notes)], paper, "January")
        reader = pypdf.PdfReader(BytesIO(sheet))
        assert len(reader.pages) == 1
        assert float(reader.pages[0].mediabox.width) == pytest.approx(width, abs=0.1)
        text = " ".join(reader.pages[0].extract_text().split())
        assert all(line.split("\t")[0] in text for line in notes.splitlines())
        assert "arc of the Plough" in text


def test_a_stars_year_stands_at_its_hours(north: YearAlmanac) -> None:
    """A span an hour longer reaches 13 units higher, and every week has its bar."""
    star = north.stars[1]
    ground = star_year_ground(north.nights, WORDS)
    root = ElementTree.fromstring(star_year_chart(star.name, star.weeks, ground, WORDS))
    bars = [p.get("d", "") for p in root.iter(f"{SVG}path") if "star" in p.get("stroke", "")]
    assert bars[0].count("M") == len(star.weeks) > 20
    empty = star_year_chart(star.name, (), ground, WORDS)
    assert "At no time of the year." in empty


def reasoned(north: YearAlmanac, reason: str) -> Window:
    """A window with a star whose brighter rival was passed over for a reason."""
    window = next(w for night in north.nights for w in night.windows if w.calibration)
    assert window.calibration
    rival = PassedOver("Sirius", 32349, 12.4, -3.2, 5.5, 0.37, 10.0, reason)
    reasons = StarReasons(above_ground_deg=21.6, sun_altitude_deg=-9.4, passed_over=rival)
    return replace(window, calibration=replace(window.calibration, reasons=reasons))


@pytest.mark.parametrize(
    ("reason", "figure"),
    [
        ("too_low", "12°"),
        ("too_high", "12°"),
        ("behind_horizon", "3°"),
        ("near_moon", "6°"),
        ("not_clear_long", "10 min"),
        ("lands_less", "37%"),
        ("not_to_learn", "37%"),
    ],
)
def test_reasons_carry_the_figure_that_tells(north: YearAlmanac, reason: str, figure: str) -> None:
    """For each code the sentence names the brightest star and its telling figure."""
    chosen, against = star_reasons(reasoned(north, reason), WORDS)
    assert "Not Sirius" in against
    assert figure in against
    assert "22° above the skyline" in chosen
    assert "9° below the horizon" in chosen
    assert set(PASSED_OVER) == set(CODES)


def test_without_reasons_nothing_is_claimed(north: YearAlmanac) -> None:
    """A window without a star, or whose reasons are not known, has no sentence."""
    window = replace(reasoned(north, "too_low"), calibration=None)
    assert list(star_reasons(window, WORDS)) == []


def test_month_links_stand_on_the_stars_page(north: YearAlmanac, make_book: MakeBook) -> None:
    """Twelve charts can be reached."""
    page = stars_page(make_book(north))
    assert all(f"sky-2027-{month:02d}.html" in page for month in range(1, 13))
