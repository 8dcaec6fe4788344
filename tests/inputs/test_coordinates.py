"""Latitudes and longitudes as people type them."""

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from almanac.inputs.coordinates import CoordinateError, latitude_deg, longitude_deg

WEIR = 51 + 25 / 60 + 48 / 3600
"""51.43 degrees."""


@pytest.mark.parametrize(
    "text",
    [
        *("51.43", "51,43", "+51.43", " 51.43 ", "51.43°", "51.43 N", "N51.43", "51.43° north"),
        *("51 25 48 N", "51°25'48\" N", "51° 25′ 48″ N", "51º25’48” n", "51°25'48''N", "51:25:48"),
        *("N 51 25.8", "51 25,8", "51° 25.8' N", "51\u00a025\u00a048\u00a0N", "51 25 48.000 N"),
    ],
)
def test_latitudes_as_people_type_them(text: str) -> None:
    """Degrees, minutes and seconds, decimal points and commas, marks of any hand, directions."""
    assert latitude_deg(text) == pytest.approx(WEIR, abs=1e-6)


@pytest.mark.parametrize(
    "text", ["-51.43", "−51,43", "51.43 S", "S 51 25 48", "-51 25 48", "51.43s"]
)
def test_the_south_is_negative(text: str) -> None:
    """By a sign, also the true minus, or by a direction."""
    assert latitude_deg(text) == pytest.approx(-WEIR, abs=1e-6)


@pytest.mark.parametrize(
    ("text", "degrees"),
    [("17.62", 17.62), ("17 37 12 E", 17.62), ("W 0 30", -0.5), ("-0 30", -0.5), ("-0", 0.0)],
)
def test_longitudes(text: str, degrees: float) -> None:
    """East is positive; half a degree west of Greenwich keeps its sign."""
    assert longitude_deg(text) == pytest.approx(degrees, abs=1e-6)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "one angle"),
        ("far away", "one angle"),
        ("51.43, 17.62", "one angle"),
        ("51,43,12", "one angle"),
        ("51d 25m", "one angle"),
        ("nan", "one angle"),
        ("1e1", "one angle"),
        ("٥١", "one angle"),
        ("9" * 100, "one angle"),
        ("51.5 30 N", "a fraction only in the last number"),
        ("51 61 N", "minutes and seconds below 60"),
        ("51 25 60", "minutes and seconds below 60"),
        ("-51 S", "a sign or a direction, not both"),
        ("N 51 N", "a sign or a direction, not both"),
        ("17 E", "no direction but N or S"),
    ],
)
def test_a_wrong_latitude_is_explained(text: str, words: str) -> None:
    """The message says what would be right and gives examples."""
    with pytest.raises(CoordinateError) as caught:
        latitude_deg(text)
    assert words in str(caught.value)
    assert "such as 51.43, 51 25 48 N or" in str(caught.value)


def test_an_ambiguous_direction_is_not_guessed() -> None:
    """O is east in German and west in French and Spanish."""
    with pytest.raises(CoordinateError, match="O is east in some languages and west in others"):
        longitude_deg("17.62 O")


@given(st.integers(-90 * 3600, 90 * 3600))
def test_minutes_and_seconds_mean_their_sum(arcseconds: int) -> None:
    """Whole arc seconds come back within a millionth of a degree in any notation."""
    degrees, rest = divmod(abs(arcseconds), 3600)
    way = "S" if arcseconds < 0 else "N"
    texts = (
        f"{degrees} {rest // 60} {rest % 60} {way}",
        f"{way}{degrees}°{rest // 60:02d}'{rest % 60:02d}\"",
        f"{arcseconds / 3600:.7f}".replace(".", ","),
    )
    for text in texts:
        assert latitude_deg(text) == pytest.approx(arcseconds / 3600, abs=1.1e-6)


@given(
    st.text(max_size=80)
    | st.from_regex(r"[NS]? ?-?\d{1,3}[ .,:]\d{1,2}['\" ]*[NSEWO]?", fullmatch=True)
)
def test_any_text_is_an_angle_or_an_error_of_ours(text: str) -> None:
    """Nothing that is typed ends in a traceback."""
    with contextlib.suppress(CoordinateError):
        assert abs(latitude_deg(text)) < 1e9
