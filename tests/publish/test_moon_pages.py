"""The pages of the Moon's features, light effects and librations, and what nights tell of them."""

import re
from collections.abc import Callable

import pytest
from msgspec.structs import replace

from almanac.publish.card_text import night_card
from almanac.publish.pages.book import Book, feature_href, night_href
from almanac.publish.pages.capture import blur_figures, frame_figures
from almanac.publish.pages.features import feature_page, feature_view, features_page, moon_place
from almanac.publish.pages.moon_light import light_page, light_view
from almanac.publish.pages.night import night_page
from almanac.publish.wording import Wording
from almanac.records.catalogue import Catalogue
from almanac.records.config import ClubConfig
from almanac.records.globe import Framing
from almanac.records.year import Night, YearAlmanac

WORDS = Wording("en", "Europe/Paris")
TAGS = re.compile("<[^>]*>")


def text(page: str) -> str:
    """A page's words without its markup."""
    return " ".join(TAGS.sub(" ", page).split())


@pytest.fixture(scope="module")
def book(north: YearAlmanac, make_config: Callable[..., ClubConfig], catalogue: Catalogue) -> Book:
    """The made-up year, ready for pages."""
    return Book(north, make_config((north.site,)), catalogue, WORDS)


@pytest.fixture(scope="module")
def best(north: YearAlmanac) -> Night:
    """The night that holds the made-up light effect, libration and picks."""
    return next(night for night in north.nights if night.rank == 1)


def test_a_feature_has_its_low_light_night_by_night(book: Book, north: YearAlmanac) -> None:
    """Each sunrise and sunset stands with a link to its night, its hours and the Sun's heights."""
    page, feature = feature_page(book, 0), north.feature_years[0]
    words = text(page)
    for low_sun in (*feature.sunrises, *feature.sunsets):
        day = WORDS.date(low_sun.date, "short_weekday_day")
        assert f'href="{night_href(low_sun.date)}">{day}<' in page
        hours = f"{WORDS.clock(low_sun.start_utc)}\u2060–\u2060{WORDS.clock(low_sun.end_utc)}"
        assert f"{day} {hours} 1.0° to 3.0°" in words
    view = feature_view(book, 0)
    assert len(view.sunrises) == len(feature.sunrises)
    assert len(view.sunsets) == len(feature.sunsets)
    assert "9.6°\u00a0N, 20.1°\u00a0W" in page
    assert "93\u00a0km" in page


def test_a_feature_without_low_light_says_so(
    book: Book, north: YearAlmanac, make_config: Callable[..., ClubConfig], catalogue: Catalogue
) -> None:
    """A year in which no window meets its sunrise or sunset leaves words, not empty tables."""
    dark = replace(north.feature_years[0], sunrises=(), sunsets=())
    bare = Book(replace(north, feature_years=(dark,)), book.config, catalogue, WORDS)
    words = text(feature_page(bare, 0))
    assert "Neither sunrise nor sunset there falls into a window" in words
    assert words.count("None in a window of this year.") == 2


def test_the_table_counts_nights_not_windows(book: Book, north: YearAlmanac) -> None:
    """A night with two windows of low light counts once."""
    feature = north.feature_years[0]
    count = len({low_sun.date for low_sun in feature.sunrises})
    row = re.search(r"<tr><th scope=\"row\"><a.*?</tr>", features_page(book))
    assert row
    assert text(row[0]).split()[-2] == str(count)
    assert feature_href("Copernicus") in row[0]


@pytest.mark.parametrize(
    ("latitude_deg", "longitude_deg", "place"),
    [(9.62, -20.08, "9.6°\u00a0N, 20.1°\u00a0W"), (-28.03, 3.3, "28.0°\u00a0S, 3.3°\u00a0E")],
)
def test_places_on_the_moon_name_their_sides(
    latitude_deg: float, longitude_deg: float, place: str
) -> None:
    """North and east are positive."""
    assert moon_place(latitude_deg, longitude_deg, WORDS) == place


def test_light_effects_carry_their_source(book: Book, north: YearAlmanac) -> None:
    """Each is dated, timed, linked to its feature and night, and names who published it."""
    page, effect = light_page(book), north.light_effects[0]
    line = light_view(book).effects[0]
    assert (
        f"{WORDS.clock(effect.start_utc)}\u2060–\u2060{WORDS.clock(effect.end_utc)}" == line.hours
    )
    assert effect.source in page
    assert "colongitude 22.0°, give or take 1.0°" in page
    assert feature_href(effect.feature) in page
    assert night_href(effect.date) in page


def test_librations_name_what_they_bring_into_view(book: Book, north: YearAlmanac) -> None:
    """The limb, both tilts and the features, each linked."""
    line = light_view(book).librations[0]
    assert (line.limb, line.east, line.north) == ("east", "6.2°", "−5.0°")
    assert [link.href for link in line.features] == [feature_href("Copernicus")]


def test_a_night_tells_what_of_the_year_it_holds(book: Book, best: Night) -> None:
    """Light effect, libration and picks stand on their night's page, and on no other."""
    index = book.almanac.nights.index(best)
    words = text(night_page(book, index))
    assert "Morning ray, " in words
    assert "the Moon&#39;s east limb is lit and turned to us further than" in words
    assert "Highest Moon of the year:" in words
    other = next(n for n in book.almanac.nights if n.windows and n.rank != 1)
    assert "stand out" not in text(night_page(book, book.almanac.nights.index(other)))


def test_names_on_the_night_lead_to_their_pages(book: Book, best: Night) -> None:
    """The table of low light links every feature."""
    page = night_page(book, book.almanac.nights.index(best))
    assert '<a href="feature-copernicus.html">Copernicus</a>' in page


def test_blur_parts_add_up_in_squares(best: Night) -> None:
    """Four parts and their sum, worked here from the shown figures."""
    window = replace(
        best.windows[0],
        seeing_arcsec=2.0,
        diffraction_arcsec=1.0,
        dispersion_arcsec=2.0,
        sampling_arcsec=4.0,
    )
    values = [figure.value for figure in blur_figures(window, WORDS)]
    assert values[:5] == ["2.00″", "1.00″", "2.00″", "4.00″", "5.00″"]


def test_framing_is_told_for_every_crop(best: Night) -> None:
    """Where the Moon fits its share stands alone, where not the frames that cover it too."""
    framings = (Framing(1, 0.92, 1, 1), Framing(2, 1.84, 3, 2), Framing(4, 3.68, 5, 3))
    window = replace(best.windows[0], framings=framings, longest_clip_s=12.4, usual_clip_fits=False)
    figures = {figure.term: figure for figure in frame_figures(window, WORDS)}
    assert figures["Whole frame, 1×"].value == "92%"
    assert figures["Cropped 2×"].value == "184%, 3 × 2 frames"
    assert figures["Cropped 4×"].value == "368%, 5 × 3 frames"
    assert figures["Longest clip"].value == "12 s"
    assert "too short for the usual 20 s" in figures["Longest clip"].note


def test_an_equatorial_mount_has_no_rotation(best: Night) -> None:
    """The same rows, with no limit to a clip."""
    window = replace(best.windows[0], longest_clip_s=None, usual_clip_fits=True)
    figures = {figure.term: figure for figure in frame_figures(window, WORDS)}
    assert figures["Field rotation"].value == "none"
    assert figures["Longest clip"].value == "any length"
    assert "Cropped 4×" in figures


def test_the_card_tells_framing_exposure_and_low_light(book: Book, best: Night) -> None:
    """In rows of their own, and the night's light effect with its hours."""
    window = replace(best.windows[0], framings=(Framing(1, 0.92, 1, 1), Framing(2, 1.84, 3, 2)))
    night = replace(best, windows=(replace(window, exposure_stops=-0.26),))
    card = night_card(book.almanac, night, book.config, WORDS)
    assert "Framing     1x 92%; 2x 184%, 3 x 2 frames\n" in card
    assert "Exposure    -0.3 stops from a full Moon overhead\n" in card
    assert "Low light   Copernicus\n" in card
    assert "Morning ray, " in card
