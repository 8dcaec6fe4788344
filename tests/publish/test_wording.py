"""What a reader reads: times, numbers, directions and the texts for codes."""

import re
from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest

from almanac.inputs.catalogue import load_catalogue
from almanac.plan.limbs import EFFECTS
from almanac.plan.picks import PICKS, STAGES, Looks, stages
from almanac.plan.star_choice import NO_STAR
from almanac.plan.sun_safety import CAUTIONS
from almanac.plan.windows import NO_WINDOW
from almanac.publish import terms
from almanac.publish.date_texts import DATE_FORMS, DATE_SKELETONS, date_list
from almanac.publish.wording import Wording

ENGLISH = Wording("en", "Europe/Paris")


def utc(*parts: int) -> datetime:
    """An instant by its UTC parts."""
    return datetime(*parts, tzinfo=UTC)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("seconds", "text"),
    [(0.0, "20:04"), (29.9, "20:04"), (30.0, "20:05"), (59.5, "20:05"), (60.0, "20:05")],
)
def test_clock_rounds_to_the_nearest_minute(seconds: float, text: str) -> None:
    """A time half a minute short of the next minute is written as the next minute."""
    assert ENGLISH.clock(utc(2027, 3, 21, 19, 4) + timedelta(seconds=seconds)) == text


def test_clock_rounds_over_midnight() -> None:
    """59.5 seconds past 23:59 is midnight, not 23:60 and not 23:59."""
    assert ENGLISH.clock(utc(2027, 1, 10, 22, 59, 59, 500000)) == "00:00"


def test_the_day_is_that_of_the_minute_shown() -> None:
    """What the clock rounds to the next midnight belongs to the next day, and no sooner."""
    shown = utc(2027, 1, 10, 22, 59, 30)
    assert (ENGLISH.day(shown), ENGLISH.clock(shown)) == (date(2027, 1, 11), "00:00")
    assert ENGLISH.day(shown - timedelta(seconds=1)) == date(2027, 1, 10)


@pytest.mark.parametrize(
    ("instant", "text", "offset"),
    [
        (utc(2027, 3, 28, 0, 59, 29), "01:59", "UTC+1"),
        (utc(2027, 3, 28, 0, 59, 31), "03:00", "UTC+1"),
        (utc(2027, 3, 28, 1, 0), "03:00", "UTC+2"),
        (utc(2027, 10, 31, 0, 30), "02:30", "UTC+2"),
        (utc(2027, 10, 31, 1, 30), "02:30", "UTC+1"),
    ],
)
def test_clock_changes_on_both_nights(instant: datetime, text: str, offset: str) -> None:
    """Rounding happens before the change of zone offset, so no time that never was is shown."""
    assert ENGLISH.clock(instant) == text
    assert ENGLISH.offset(instant) == offset


def test_a_half_hour_zone() -> None:
    """A zone half an hour off, with a half-hour daylight saving, is written to the minute."""
    words = Wording("en", "Australia/Lord_Howe")
    assert words.clock(utc(2027, 6, 1, 12, 0)) == "22:30"
    assert words.offset(utc(2027, 6, 1, 12, 0)) == "UTC+10:30"
    assert words.hour(utc(2027, 6, 1, 12, 30)) == "23"
    assert Wording("en", "America/St_Johns").offset(utc(2027, 1, 1)) == "UTC−3:30"


@pytest.mark.parametrize(
    ("seconds", "text"),
    [(29, "0 min"), (1800, "30 min"), (3599, "1 h 00 min"), (3900, "1 h 05 min")],
)
def test_duration_rounds_to_the_minute(seconds: float, text: str) -> None:
    """An hour less a second is an hour, not 60 minutes."""
    assert ENGLISH.duration(seconds) == text


def test_numbers_have_a_true_minus_and_no_negative_zero() -> None:
    """Thousands are grouped, minus is a minus, and nothing is −0."""
    assert ENGLISH.number(384400.4) == "384,400"
    assert ENGLISH.number(-3.26, 1) == "−3.3"
    assert ENGLISH.number(-0.04, 1) == "0.0"
    assert ENGLISH.degrees(52.4) == "52°"
    assert ENGLISH.percent(0.574) == "57%"
    assert Wording("de", "Europe/Berlin").number(1234.5, 1) == "1.234,5"
    assert Wording("de", "Europe/Berlin").percent(0.5) == "50\u00a0%"


@pytest.mark.parametrize(
    ("probability", "text"),
    [(0.0, "under 1%"), (0.42, "42%"), (0.99, "99%"), (0.9999, "over 99%"), (1.0, "over 99%")],
)
def test_a_chance_never_claims_certainty(probability: float, text: str) -> None:
    """A landing chance that rounds to 100% is not printed as 100%."""
    assert ENGLISH.chance(probability) == text


@pytest.mark.parametrize(
    ("azimuth_deg", "word", "letters"),
    [
        (0.0, "north", "N"),
        (359.0, "north", "N"),
        (225.0, "south-west", "SW"),
        (247.0, "south-west", "WSW"),
        (248.0, "west", "WSW"),
        (-90.0, "west", "W"),
    ],
)
def test_compass_names_the_nearest_direction(azimuth_deg: float, word: str, letters: str) -> None:
    """Directions wrap over north and are rounded to the nearest."""
    assert ENGLISH.compass(azimuth_deg) == word
    assert ENGLISH.compass_short(azimuth_deg) == letters


@pytest.mark.parametrize(
    ("azimuth_deg", "altitude_deg", "text"),
    [
        (-31.2, -11.8, "31° left, 12° down"),
        (0.3, 5.2, "5° up"),
        (170.0, 0.4, "170° right"),
        (0.2, -0.2, "less than 1°"),
    ],
)
def test_hop_reads_as_the_handset_moves(azimuth_deg: float, altitude_deg: float, text: str) -> None:
    """Right and up are positive; a part that rounds to nothing is left out."""
    assert ENGLISH.hop(azimuth_deg, altitude_deg) == text


def test_a_bearing_never_reads_360() -> None:
    """359.7 rounds to north, which is 0."""
    assert ENGLISH.bearing(359.7) == "0°"
    assert ENGLISH.bearing(359.97, 1) == "0.0°"
    assert ENGLISH.bearing(359.4) == "359°"


def test_dates_put_the_day_first_and_follow_the_language() -> None:
    """English dates are day, month, year; another language only needs its name."""
    night = date(2027, 3, 21)
    assert ENGLISH.date(night) == "21 March 2027"
    assert ENGLISH.date(night, "short_weekday_day") == "Sun 21 Mar"
    assert Wording("de", "Europe/Berlin").date(night) == "21. März 2027"
    assert (ENGLISH.month(3), ENGLISH.weekday(0), ENGLISH.weekday(6, short=True)) == (
        "March",
        "Monday",
        "Sun",
    )


def test_spanish_dates_hold_no_comma_and_name_the_weekday() -> None:
    """A list of them parts its dates by commas, and a point parts no thousands."""
    spanish, night = Wording("es", "Europe/Madrid"), date(2027, 3, 21)
    assert spanish.date(night, "weekday_day") == "domingo 21 de marzo"
    assert spanish.date(night, "short_weekday_day") == "dom 21 mar"
    assert spanish.number(384400.5, 1) == "384\u202f400,5"


def test_the_first_of_a_month_is_ordinal_in_french() -> None:
    """No other day is, nor is a month without its day."""
    french, first = Wording("fr", "Europe/Paris"), date(2027, 1, 1)
    assert french.date(first) == "1er janvier 2027"
    assert french.date(first, "weekday_day") == "vendredi 1er janvier"
    assert french.date(first, "short_weekday_day") == "ven. 1er janv."
    assert french.date(first, "month") == "janvier 2027"
    assert french.date(date(2027, 1, 11)) == "11 janvier 2027"


def test_german_dates_name_the_month_and_point_the_day() -> None:
    """1. Jan. 2028 and not 01.01.2028; the day beside its weekday is an ordinal, as all are."""
    german, first = Wording("de", "Europe/Berlin"), date(2028, 1, 1)
    assert german.date(first, "short") == "1. Jan. 2028"
    assert german.date(first, "weekday_number") == "Sa 1."
    assert ENGLISH.date(first, "weekday_number") == "Sat 1"


def test_dates_that_end_a_sentence_have_one_full_stop() -> None:
    """That of the sentence serves the abbreviated month too."""
    assert f"{date_list(['15. Jan.', '10. Dez.'])}." == "15. Jan., 10. Dez."
    assert f"{date_list(['8. Mai'])}." == "8. Mai."


def test_french_sets_a_thin_space_before_a_colon() -> None:
    """No other language does."""
    gaps = {
        language: Wording(language, "Europe/Paris").gap for language in ("de", "en", "es", "fr")
    }
    assert gaps == {"de": "", "en": "", "es": "", "fr": "\u202f"}


@pytest.mark.parametrize("form", [*DATE_FORMS, *DATE_SKELETONS])
def test_every_date_form_names_the_day_or_the_month(form: str) -> None:
    """No form comes out empty."""
    assert re.search(r"\b21\b|\bMar", ENGLISH.date(date(2027, 3, 21), form))


@pytest.mark.parametrize(
    ("fraction", "waxing", "text"),
    [
        (0.002, True, "New Moon"),
        (0.2, True, "Waxing crescent"),
        (0.2, False, "Waning crescent"),
        (0.5, True, "Waxing half Moon"),
        (0.8, False, "Waning gibbous"),
        (0.998, False, "Full Moon"),
    ],
)
def test_the_moon_shape_has_a_name(fraction: float, waxing: bool, text: str) -> None:
    """The name follows the lit fraction and the direction of change."""
    assert ENGLISH.moon_shape(fraction, waxing) == text


@pytest.mark.parametrize("percent", [12, 44, 46, 54, 56, 98, 100])
def test_the_finest_of_a_stage_is_headed_by_its_own_shape(percent: int) -> None:
    """A pick and the page of its night call the Moon by the same shape."""
    looks = Looks(np.zeros(1), np.array([percent / 100]), np.array([True]))
    stage = STAGES[stages(looks)[0]]
    shape = ENGLISH.moon_shape(percent / 100, True).lower()
    same = {"first_quarter": "waxing half moon", "full": "full moon"}
    assert same.get(stage, " ".join(reversed(stage.split("_")))) == shape


def test_every_code_of_the_plan_has_words() -> None:
    """Each code is worded, no two say the same, and nothing is worded that is no code."""
    no_window = {*NO_WINDOW, "sun_too_close"}  # for daylight windows that are withdrawn
    for codes, table, word in (
        (no_window, terms.NO_WINDOW, ENGLISH.no_window),
        (no_window, terms.NO_WINDOW, ENGLISH.no_window_reason),
        (NO_STAR, terms.NO_STAR, ENGLISH.no_star),
        (NO_STAR, terms.NO_STAR, ENGLISH.no_star_reason),
        (CAUTIONS, terms.CAUTIONS, ENGLISH.caution),
        ({*PICKS, *STAGES} - {"finest_detail", "best_of_stage"}, terms.PICKS, ENGLISH.pick),
    ):
        texts = [word(code) for code in codes]
        assert len(set(texts)) == len(texts)
        assert all(len(text) > 4 for text in texts)
        assert set(table) == set(codes)


def test_every_light_effect_can_be_translated() -> None:
    """The names marked for translation are those of the effects that the plan looks for."""
    assert tuple(effect.name for effect in EFFECTS) == terms.LIGHT_EFFECTS


def test_an_unknown_code_is_an_error() -> None:
    """A code nobody worded raises instead of printing itself."""
    with pytest.raises(KeyError):
        ENGLISH.caution("sun_is_green")


def test_every_kind_of_feature_in_the_table_has_a_word() -> None:
    """A kind that the shipped table of lunar features uses can be printed."""
    kinds = {feature.kind for feature in load_catalogue().features}
    assert kinds
    assert all(ENGLISH.feature_kind(kind) for kind in kinds)


@pytest.mark.parametrize(
    ("right", "up", "text"),
    [
        (0.1, -0.1, "near the middle"),
        (0.9, 0.0, "right"),
        (0.6, 0.6, "upper right"),
        (0.0, 0.8, "top"),
        (-0.7, 0.1, "left"),
        (-0.5, -0.5, "lower left"),
        (0.1, -0.9, "bottom"),
    ],
)
def test_a_place_on_the_disc_is_told_as_the_frame_shows_it(
    right: float, up: float, text: str
) -> None:
    """Right and up are positive."""
    assert ENGLISH.disc_place(right, up) == text


@pytest.mark.parametrize(
    ("instant", "name"),
    [
        (utc(2018, 2, 18, 1, 30), "Brasilia Summer Time"),
        (utc(2018, 2, 18, 2, 30), "Brasilia Standard Time"),
    ],
)
def test_an_hour_that_comes_twice_has_two_names(instant: datetime, name: str) -> None:
    """23:30 of the evening when the clocks went back at midnight is named by its own time."""
    words = Wording("en", "America/Sao_Paulo")
    assert (words.clock(instant), words.zone_name_at(instant)) == ("23:30", name)
