"""Cautions about the Sun, and the evenings and seasons of stars."""

from datetime import date, timedelta

import numpy as np
import pytest
from msgspec.structs import replace
from numpy.typing import NDArray

from almanac.plan.seasons import evening_hours, month_means, season_dates
from almanac.plan.sun_safety import CAUTIONS, SunFacts, cautions

RISES_DEG = -50 / 60
CALM = SunFacts(
    lowest_altitude_deg=-40.0,
    highest_altitude_deg=40.0,
    rises=False,
    least_moon_separation_deg=120.0,
    daylight_separation_deg=float("inf"),
)
"""A dark night by a far Moon, as if no Sun rose after it."""


def said(**changes: object) -> tuple[str, ...]:
    """Codes for a calm night with some facts changed; caution 30, stop 15 degrees."""
    return cautions(replace(CALM, **changes), 30.0, 15.0, RISES_DEG)  # type: ignore[arg-type]


def test_a_calm_night_has_no_caution() -> None:
    """Nothing is said without need, or nobody reads it."""
    assert said() == ()


@pytest.mark.parametrize(
    ("changes", "codes"),
    [
        ({"rises": True}, ("cap_before_sunrise",)),
        ({"daylight_separation_deg": 90.0}, ("sun_up_in_window",)),
        ({"daylight_separation_deg": 29.9}, ("sun_up_in_window", "sun_near_moon")),
        ({"daylight_separation_deg": 0.0}, ("sun_up_in_window", "sun_near_moon")),
        ({"daylight_separation_deg": 30.1}, ("sun_up_in_window",)),
        ({"risen_separation_deg": 29.9}, ("sun_near_moon",)),
        ({"risen_separation_deg": 30.1}, ()),
        (
            {"least_moon_separation_deg": 14.9, "risen_separation_deg": 14.9},
            ("near_new_moon",),
        ),
        ({"least_moon_separation_deg": 14.9}, ("near_new_moon",)),
        ({"least_moon_separation_deg": 15.1}, ()),
        ({"lowest_altitude_deg": -17.9}, ("no_darkness",)),
        ({"lowest_altitude_deg": -18.1}, ()),
        ({"lowest_altitude_deg": -0.8}, ("no_darkness", "sun_never_sets")),
        ({"lowest_altitude_deg": 5.0}, ("no_darkness", "sun_never_sets")),
        ({"lowest_altitude_deg": -0.9}, ("no_darkness",)),
        ({"highest_altitude_deg": -0.9}, ("sun_never_rises",)),
        ({"highest_altitude_deg": -0.8}, ()),
    ],
    ids=str,
)
def test_each_fact_gives_its_codes_and_no_other(
    changes: dict[str, object], codes: tuple[str, ...]
) -> None:
    """Just inside each limit the code stands; just outside it does not."""
    assert said(**changes) == codes


def test_a_sun_opposite_the_moon_is_still_up() -> None:
    """A full Moon seen with the Sun up: 180 degrees apart, and the Sun is in the window."""
    assert "sun_up_in_window" in said(daylight_separation_deg=180.0)


def test_codes_come_in_one_order_and_none_is_left_over() -> None:
    """The most dangerous first; between them the cases raise every code there is."""
    day = said(
        rises=True,
        daylight_separation_deg=10.0,
        least_moon_separation_deg=10.0,
        lowest_altitude_deg=1.0,
        slew_clearance_deg=20.0,
        window_withdrawn=True,
    )
    assert day == CAUTIONS[:8]
    assert said(highest_altitude_deg=-5.0) == CAUTIONS[8:]


def test_seasons_of_the_north_and_the_south_are_half_a_year_apart() -> None:
    """Winter is January in the north and July in the south; the equator counts as north."""
    north, south = season_dates(2027, 52.0), season_dates(2027, -32.0)
    assert {name: day.month for name, day in north.items()} == {
        "winter": 1,
        "spring": 4,
        "summer": 7,
        "autumn": 10,
    }
    assert south["winter"] == north["summer"]
    assert south["summer"] == north["winter"]
    assert south["spring"] == north["autumn"]
    assert south["autumn"] == north["spring"]
    assert list(south) == list(north)
    assert {day.year for day in (*north.values(), *south.values())} == {2027}
    assert season_dates(2027, 0.0) == north


def hours(
    usable: list[list[int]], night: list[int], nights: int, step_s: float = 900.0
) -> NDArray[np.float64]:
    """Hours of stars (columns) in nights (rows)."""
    return evening_hours(np.array(usable, dtype=bool), np.array(night), nights, step_s)


def test_evening_hours_count_usable_samples() -> None:
    """Four quarter hours are an hour; nights without a sample have none."""
    found = hours([[1, 0], [1, 1], [1, 0], [1, 0], [0, 1]], [1, 1, 1, 1, 3], 5)
    assert found.tolist() == [[0, 0], [1.0, 0.25], [0, 0], [0, 0.25], [0, 0]]


def test_a_first_night_counts_and_a_year_without_evenings_gives_noughts() -> None:
    """Night 0 is a night; a summer at the pole has no sample at all."""
    assert hours([[1], [1]], [0, 0], 1).tolist() == [[0.5]]
    none = evening_hours(np.empty((0, 2), dtype=bool), np.empty(0, dtype=np.int64), 3, 900.0)
    assert none.tolist() == [[0, 0], [0, 0], [0, 0]]


def test_more_than_two_hundred_and_fifty_five_samples_do_not_overflow() -> None:
    """A long polar evening at a fine step."""
    assert hours([[1]] * 1000, [0] * 1000, 1, step_s=3.6).tolist() == [[1.0]]


def test_month_means_take_every_evening_of_the_month_and_its_best() -> None:
    """Evenings without a sample count as nought; of equal best evenings the first is named."""
    dates = tuple(date(2027, 1, 30) + timedelta(days=k) for k in range(5))
    table = np.array([[9.0, 0], [9, 0], [0, 0], [3, 0], [3, 0]])
    means, best = month_means(table, dates, 2)
    assert means.tolist() == [2.0, 0.0]
    assert best == [date(2027, 2, 2), None]
    means, best = month_means(table, dates, 1)
    assert means.tolist() == [9.0, 0.0]
    assert best == [date(2027, 1, 30), None]
