"""The odds of clear evenings: exact small cases, and a long simulation of the chain."""

from datetime import date, timedelta
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from almanac.plan.odds import Weather

EVEN = (0.4,) * 12
UNEVEN = (0.24, 0.28, 0.34, 0.38, 0.40, 0.41, 0.43, 0.46, 0.43, 0.37, 0.23, 0.20)
STEEP = (0.95, 0.10, 0.90, 0.05, 1.00, 0.00, 0.50, 0.02, 0.98, 0.30, 0.70, 0.60)


def evenings(start: date, *days: int) -> list[date]:
    """Dates so many days after a start."""
    return [start + timedelta(days=day) for day in days]


def test_without_persistence_the_evenings_are_independent() -> None:
    """Three evenings of 0.4: all cloudy 0.6 cubed."""
    weather = Weather(EVEN, 0.0)
    assert weather.any_clear(evenings(date(2027, 5, 3), 0, 1, 2)) == pytest.approx(1 - 0.6**3)


def test_two_neighbours_by_hand() -> None:
    """Cloudy after cloudy is 1 - p (1 - r): 0.6 x (1 - 0.4 x 0.65) = 0.444 for r = 0.35."""
    weather = Weather(EVEN, 0.35)
    assert weather.any_clear(evenings(date(2027, 5, 3), 0, 1)) == pytest.approx(1 - 0.444)


def test_order_and_repetition_do_not_matter() -> None:
    """The evenings are a set; none is never clear."""
    weather, days = Weather(UNEVEN, 0.3), evenings(date(2027, 1, 28), 0, 3, 9)
    assert weather.any_clear([*days[::-1], days[0]]) == weather.any_clear(days)
    assert weather.any_clear([]) == 0.0


@given(
    st.sampled_from([EVEN, UNEVEN, STEEP]),
    st.floats(0, 0.95),
    st.dates(date(2027, 1, 1), date(2027, 12, 31)),
    st.lists(st.integers(0, 40), min_size=1, max_size=5, unique=True),
)
def test_the_chance_is_one_and_lies_between_its_bounds(
    clear: tuple[float, ...], persistence: float, start: date, days: list[int]
) -> None:
    """At least the best evening's own, at most what independent evenings would give."""
    chosen = evenings(start, *days)
    alone = [clear[day.month - 1] for day in chosen]
    chance = Weather(clear, persistence).any_clear(chosen)
    assert max(alone) - 1e-12 <= chance <= 1 - np.prod(1 - np.array(alone)) + 1e-12


@given(st.floats(0.05, 0.95), st.floats(0.05, 0.9), st.integers(1, 20), st.integers(1, 20))
def test_a_later_reserve_is_never_worse_in_even_weather(
    clear: float, persistence: float, one: int, other: int
) -> None:
    """Weather is forgotten: the farther off, the nearer to independent."""
    weather, start = Weather((clear,) * 12, persistence), date(2027, 7, 1)
    sooner, later = sorted((one, other))
    near = weather.any_clear(evenings(start, 0, sooner))
    far = weather.any_clear(evenings(start, 0, later))
    assert near <= far + 1e-12


def simulated(
    clear: tuple[float, ...], persistence: float, start: date, days: int, runs: int
) -> np.ndarray:
    """Evenings of many runs, (days, runs): the next is tied to the last one night at a time.

    The joint chances of two neighbours are laid out afresh from their definition: both clear is
    p q and the correlation times both standard deviations, as far as p and q allow.
    """
    rng = np.random.default_rng(20270101)
    p = np.array([clear[(start + timedelta(days=day)).month - 1] for day in range(days)])
    sky = np.empty((days, runs), bool)
    sky[0] = rng.random(runs) < p[0]
    for day in range(1, days):
        one, other = p[day - 1], p[day]
        wished = one * other + persistence * np.sqrt(one * (1 - one) * other * (1 - other))
        both = min(wished, one, other)
        after_clear = both / one if one > 0 else 0.0
        after_cloudy = (other - both) / (1 - one) if one < 1 else 0.0
        sky[day] = rng.random(runs) < np.where(sky[day - 1], after_clear, after_cloudy)
    return sky


RUNS = 400_000


@pytest.mark.parametrize("clear", [EVEN, UNEVEN, STEEP])
@pytest.mark.parametrize("persistence", [0.0, 0.35, 0.8])
def test_a_simulation_agrees(clear: tuple[float, ...], persistence: float) -> None:
    """Within five standard errors, inside months, over one end of a month and over several."""
    start = date(2027, 1, 25)
    sky = simulated(clear, persistence, start, 70, RUNS)
    weather = Weather(clear, persistence)
    for days in ((0, 1), (0, 3, 4), (2, 9), (5, 8, 10), (0, 30, 66), (1, 34, 35, 69)):
        chance = weather.any_clear(evenings(start, *days))
        error = np.sqrt(chance * (1 - chance) / RUNS)
        assert sky[list(days)].any(axis=0).mean() == pytest.approx(chance, abs=5 * error + 1e-12)


def test_the_simulated_evenings_keep_the_months_shares() -> None:
    """The simulation is of what it should be: shares and neighbours' correlation as given."""
    sky = simulated(UNEVEN, 0.35, date(2027, 1, 1), 59, RUNS)
    assert sky[10].mean() == pytest.approx(0.24, abs=0.004)
    assert sky[40].mean() == pytest.approx(0.28, abs=0.004)
    assert np.corrcoef(sky[40], sky[41])[0, 1] == pytest.approx(0.35, abs=0.01)


@given(
    st.sampled_from([EVEN, UNEVEN, STEEP]),
    st.sampled_from([0.0, 0.2, 0.6, 0.95]),
    st.dates(date(2027, 1, 1), date(2027, 12, 31)),
    st.lists(st.integers(1, 45), max_size=9, unique=True),
    st.integers(0, 4),
)
def test_the_best_reserves_are_best_of_all(
    clear: tuple[float, ...], persistence: float, main: date, days: list[int], count: int
) -> None:
    """No other choice of as many gives a better chance."""
    weather, near = Weather(clear, persistence), evenings(main, *sorted(days))
    picked = weather.best_reserves(main, near, count)
    assert len(picked) == min(count, len(near))
    assert list(picked) == sorted(set(picked))
    chance = weather.any_clear([main, *(near[place] for place in picked)])
    every = combinations(near, len(picked))
    assert chance >= max(weather.any_clear([main, *one]) for one in every) - 1e-12
