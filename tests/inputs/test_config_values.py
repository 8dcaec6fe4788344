"""Single values: folder names, texts to show, near matches, the standard atmosphere."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic_core import PydanticCustomError

from almanac.inputs import texts
from almanac.inputs.atmosphere import standard_pressure_hpa
from almanac.inputs.faults import near_match, shown


@pytest.mark.parametrize(
    ("name", "slug"),
    [
        ("Quarry Field", "quarry-field"),
        ("  Łódź – Nowe Pole  ", "lodz-nowe-pole"),
        ("Straße am Ærø", "strasse-am-aero"),
        ("Ⓠuarry ﬁeld №2", "quarry-field-no2"),
        ("O'Hara's hill", "oharas-hill"),
        ("../../etc/passwd", "etc-passwd"),
        ("x" * 59 + " y", "x" * 59),
        ("Обсерватория", ""),
        ("…", ""),
    ],
)
def test_a_slug_is_made_from_a_name(name: str, slug: str) -> None:
    """Latin letters lose their marks, the rest becomes single hyphens."""
    assert texts.slug_of(name) == slug


@given(st.text())
def test_a_made_slug_is_safe_or_empty(name: str) -> None:
    """What is made from any name passes the check for a slug that a club writes, or is empty."""
    slug = texts.slug_of(name)
    assert slug == "" or texts.slug(slug) == slug


def test_a_name_may_hold_emoji_and_any_script() -> None:
    """Joined emoji, accents and right-to-left letters are text like any other."""
    for name in ("👩‍🚀 club", "مرصد", "Āžuolas", "<b>&\"'"):
        assert texts.one_line(name) == name


@pytest.mark.parametrize("character", ["\x00", "\x1b", "\x85", "\u2028", "\u202e", "\u2066"])
def test_a_text_holds_no_control_characters(character: str) -> None:
    """Neither control characters, nor line separators, nor marks that turn the text round."""
    for check in (texts.one_line, texts.prose):
        with pytest.raises(PydanticCustomError, match=f"U\\+{ord(character):04X}"):
            check(f"a{character}b")


def test_notes_may_have_lines() -> None:
    """A line break or a tab is allowed in notes alone."""
    assert texts.prose("one\n\ttwo") == "one\n\ttwo"


def test_a_near_match_ignores_letter_case() -> None:
    """The choice is given in its own spelling."""
    assert near_match("EUROPE/PRIS", ["Asia/Tokyo", "Europe/Paris"]) == "Europe/Paris"


@pytest.mark.parametrize("word", ["zzz", "x" * 1000, 7, None])
def test_no_near_match(word: object) -> None:
    """An unlike, an endless or another kind of word has none."""
    assert near_match(word, ["altaz", "equatorial"]) is None


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (True, "true"),
        (1.5, "1.5"),
        ("a\nb", "'a\\nb'"),
        ([1, [True]], "[1, [true]]"),
        (1 << 200, "a whole number of 201 bits"),
    ],
)
def test_a_value_is_shown_on_one_line(value: object, text: str) -> None:
    """Values read much as they stand in the file."""
    assert shown(value) == text


@pytest.mark.parametrize(
    ("elevation_m", "pressure_hpa", "tolerance_hpa"),
    [
        # U.S. Standard Atmosphere, 1976: sea level is a defining value.
        (0, 1013.25, 0.0),
        # The same, foot of the second layer: 226.3206 hPa at 11000 m geopotential height,
        # which is 11019.07 m above sea level.
        (11019.07, 226.3206, 0.001),
        # The same, table I, geometric altitude; printed to five figures; from memory.
        (1000, 898.76, 0.005),
        (5000, 540.48, 0.005),
    ],
)
def test_the_standard_atmosphere(
    elevation_m: float, pressure_hpa: float, tolerance_hpa: float
) -> None:
    """The pressure agrees with the published table."""
    assert standard_pressure_hpa(elevation_m) == pytest.approx(pressure_hpa, abs=tolerance_hpa)
