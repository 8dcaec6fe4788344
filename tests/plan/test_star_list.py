"""The fewest stars and the curve against looking at every set there is."""

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp

from almanac.plan.best_stars import Table, best_set
from almanac.plan.star_list import MOST_STARS, StarSet, most_served, smallest_cover, star_list

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Sky = tuple[Bools, Floats, NDArray[np.int64], Bools]


@st.composite
def skies(draw: st.DrawFn) -> Sky:
    """A few windows and stars; chances from few values, so that many sets are equal."""
    windows, stars = draw(st.integers(0, 9)), draw(st.integers(1, 7))
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    usable = rng.random((windows, stars)) < draw(st.sampled_from([0.15, 0.4, 0.8]))
    levels = draw(st.sampled_from([1, 3, 1000]))
    chance = rng.integers(1, levels + 1, (windows, stars)) / levels
    hip = rng.permutation(np.arange(100, 100 + stars))
    return usable, chance, hip, rng.random(stars) < draw(st.sampled_from([0.0, 0.3]))


def judged(sky: Sky, others: tuple[int, ...]) -> tuple[int, int, int, list[int]]:
    """Windows left out, chance missed in steps of 1e-4, places by HIP, and the places."""
    usable, chance, hip, known = sky
    columns = [*np.flatnonzero(known), *others]
    served = usable[:, columns].any(axis=1)
    steps = np.where(usable, np.round(chance * 10_000), 0)[:, columns].max(axis=1, initial=0)
    useful = np.flatnonzero(usable.any(axis=0) & ~known)
    place = {int(column): i for i, column in enumerate(useful[np.argsort(hip[useful])])}
    places = sorted(place[column] for column in others)
    return -int(served.sum()), -int(steps.sum()), sum(places), places


def sets_of(sky: Sky, count: int) -> list[tuple[int, ...]]:
    """Every set of at most count stars that are not known and serve some window."""
    usable, _, _, known = sky
    free = np.flatnonzero(usable.any(axis=0) & ~known).tolist()
    return [chosen for size in range(count + 1) for chosen in combinations(free, size)]


def others(sky: Sky, found: StarSet) -> tuple[int, ...]:
    """The stars of a set that are not known."""
    return tuple(star for star in found.stars if not sky[3][star])


@given(skies())
def test_the_curve_is_the_best_of_all_sets(sky: Sky) -> None:
    """Most windows, then the highest sum of chances, then the lower HIP numbers."""
    for count, point in enumerate(star_list(*sky).curve, start=1):
        best = min(sets_of(sky, count), key=lambda chosen: judged(sky, chosen))
        assert sorted(others(sky, point)) == sorted(best)


@given(skies())
def test_no_smaller_set_serves_all(sky: Sky) -> None:
    """The fewest serve every window that can be served; one star less never does."""
    fewest = star_list(*sky).fewest
    chosen = others(sky, fewest)
    servable = int(sky[0].any(axis=1).sum())
    assert fewest.windows_served == servable == -judged(sky, chosen)[0]
    smaller = sets_of(sky, len(chosen) - 1) if chosen else []
    assert all(-judged(sky, less)[0] < servable for less in smaller)
    same = [chosen for chosen in sets_of(sky, len(chosen)) if -judged(sky, chosen)[0] == servable]
    assert sorted(chosen) == sorted(min(same, key=lambda chosen: judged(sky, chosen)))


@given(skies())
def test_the_figures_are_those_of_the_sets(sky: Sky) -> None:
    """Windows served are counted, the mean is over them; known stars come first, each by HIP."""
    usable, chance, hip, known = sky
    found = star_list(*sky)
    for point in (found.fewest, *found.curve):
        stars = list(point.stars)
        rows = usable[:, stars].any(axis=1)
        best = np.where(usable, chance, 0.0)[rows][:, stars].max(axis=1, initial=0.0)
        assert point.windows_served == rows.sum()
        assert point.mean_chance == pytest.approx(best.mean() if rows.any() else 0.0)
        assert stars == sorted(stars, key=lambda star: (not known[star], hip[star]))
        assert set(np.flatnonzero(known)) <= set(stars)


@given(skies(), st.randoms(use_true_random=False))
def test_the_order_of_stars_and_windows_does_not_matter(sky: Sky, dice: object) -> None:
    """The same sky told in another order gives the same stars by HIP number."""
    usable, chance, hip, known = sky
    rows = np.arange(len(usable))
    columns = np.arange(len(hip))
    dice.shuffle(rows)  # type: ignore[attr-defined]
    dice.shuffle(columns)  # type: ignore[attr-defined]
    told = star_list(
        usable[np.ix_(rows, columns)], chance[np.ix_(rows, columns)], hip[columns], known[columns]
    )
    first = star_list(*sky)
    for one, other in zip((first.fewest, *first.curve), (told.fewest, *told.curve), strict=True):
        assert [hip[star] for star in one.stars] == [hip[columns][star] for star in other.stars]


@given(skies())
def test_the_curve_ends_only_where_nothing_is_left_to_gain(sky: Sky) -> None:
    """Fewer than eight points: all that help are in, or the mean cannot rise by a thousandth."""
    usable, chance, _, known = sky
    found = star_list(*sky)
    if len(found.curve) == MOST_STARS:
        return
    last = found.curve[-1] if found.curve else None
    stars = list(last.stars) if last else np.flatnonzero(known).tolist()
    reach = np.where(usable, chance, 0.0)
    served = usable[:, stars].any(axis=1)
    assert served.sum() == usable.any(axis=1).sum()
    missed = (reach.max(axis=1, initial=0.0) - reach[:, stars].max(axis=1, initial=0.0))[served]
    assert not len(missed) or missed.mean() < 0.001


def test_known_stars_that_serve_all_leave_nothing_to_learn() -> None:
    """Fewest is then what the club knows."""
    usable = np.array([[True, False, True], [True, True, False]])
    found = star_list(usable, usable * 1.0, np.array([5, 3, 9]), np.array([True, False, False]))
    assert found.fewest.stars == (0,)
    assert found.curve == ()


def test_a_known_star_that_serves_nothing_still_stands_in_the_list() -> None:
    """It costs nothing and is not counted."""
    usable = np.array([[False, True]])
    found = star_list(usable, usable * 0.5, np.array([5, 3]), np.array([True, False]))
    assert found.fewest == StarSet((0, 1), 1, 0.5)


def test_one_window_more_counts_more_than_any_chance() -> None:
    """Of two stars that serve all the better one is taken, not a third that lands surely but once
    less."""
    usable = np.ones((10, 3), dtype=bool)
    usable[0, 2] = False
    chance = np.array([0.1, 0.2, 1.0]) * np.ones((10, 1))
    found = star_list(usable, chance, np.array([3, 5, 7]), np.zeros(3, dtype=bool))
    assert found.fewest.stars == (1,)
    assert [point.stars for point in found.curve] == [(1,), (1, 2)]


def test_equal_stars_give_the_lower_number() -> None:
    """Two stars alike in everything: the smaller HIP number is taken, wherever it stands."""
    usable = np.ones((3, 2), dtype=bool)
    found = star_list(usable, usable * 0.5, np.array([7, 4]), np.zeros(2, dtype=bool))
    assert found.fewest.stars == (1,)


def test_where_no_star_is_usable_there_is_nothing_to_learn() -> None:
    """No window that can be served: an empty list and no curve."""
    found = star_list(
        np.zeros((4, 3), dtype=bool), np.ones((4, 3)), np.arange(3), np.zeros(3, dtype=bool)
    )
    assert found.fewest == StarSet((), 0, 0.0)
    assert found.curve == ()


@pytest.mark.parametrize("seed", range(6))
def test_a_cover_of_many_stars_is_smallest(seed: int) -> None:
    """Where a greedy cover needs three or more, all smaller sets are looked at."""
    rng = np.random.default_rng(seed)
    serves = rng.random((25, 12)) < 0.25
    serves = serves[serves.any(axis=1)]
    cover, proven = smallest_cover(serves)
    assert proven
    assert len(cover) > 2
    assert serves[:, cover].any(axis=1).all()
    smaller = combinations(range(12), len(cover) - 1)
    assert not any(serves[:, chosen].any(axis=1).all() for chosen in smaller)


@pytest.mark.parametrize("count", [1, 2, 3])
def test_most_served_is_most(count: int) -> None:
    """No other set of as many stars serves more windows."""
    serves = np.random.default_rng(count).random((30, 11)) < 0.2
    found = serves[:, most_served(serves, count).columns].any(axis=1).sum()
    assert found == max(serves[:, c].any(axis=1).sum() for c in combinations(range(11), count))


def solver_total(worth: Floats, count: int) -> float:
    """The same question put to the mixed-integer solver: its proven optimum."""
    windows, stars = worth.shape
    pairs = windows * stars
    link = np.hstack([-np.tile(np.eye(stars), (windows, 1)), np.eye(pairs)])
    once = np.hstack([np.zeros((windows, stars)), np.kron(np.eye(windows), np.ones(stars))])
    few = np.concatenate([np.ones(stars), np.zeros(pairs)])
    found = milp(
        np.concatenate([np.zeros(stars), -worth.ravel()]),
        integrality=np.arange(stars + pairs) < stars,
        bounds=Bounds(0, 1),
        constraints=[
            LinearConstraint(link, -np.inf, 0),
            LinearConstraint(once, -np.inf, 1),
            LinearConstraint(few, 0, count),
        ],
        options={"mip_rel_gap": 0.0},
    )
    assert found.mip_gap == 0
    return -float(found.fun)


@pytest.mark.parametrize("count", [2, 4, 6])
def test_larger_cases_agree_with_the_mixed_integer_solver(count: int) -> None:
    """40 windows and 20 stars: the search and the solver reach the same sum."""
    rng = np.random.default_rng(count)
    worth = np.round(rng.random((40, 20)) * 1000) * (rng.random((40, 20)) < 0.5)
    table = Table(worth, np.zeros(40), np.zeros(20))
    start = most_served(worth > 0, count).columns
    found, proven = best_set(table, count, 0, start)
    assert proven
    assert table.total(found) == pytest.approx(solver_total(worth, count), abs=1e-3)


@pytest.mark.parametrize("shape", [(300, 30), (600, 70)])
def test_a_hard_table_is_cut_short_and_says_so(shape: tuple[int, int]) -> None:
    """Random tables take minutes to prove: a good list comes all the same, the same each time."""
    rng = np.random.default_rng(2)
    usable, chance = rng.random(shape) < 0.1, rng.random(shape)
    sky = (usable, chance, np.arange(shape[1]), np.zeros(shape[1], dtype=bool))
    found = star_list(*sky)
    assert not found.proven
    assert found.fewest.windows_served == usable.any(axis=1).sum()
    served = [point.windows_served for point in found.curve]
    assert served == sorted(served)
    greedy: list[int] = []
    for _ in range(MOST_STARS):
        left = ~usable[:, greedy].any(axis=1)
        greedy.append(int(usable[left].sum(axis=0).argmax()))
    assert served[-1] >= usable[:, greedy].any(axis=1).sum()
    assert star_list(*sky) == found


def test_a_short_search_gives_a_set_without_a_proof() -> None:
    """With no bound to ask for the best set met is told, and that nothing is proven."""
    worth = np.round(np.random.default_rng(1).random((40, 12)) * 1000)
    table = Table(worth, np.zeros(40), np.zeros(12))
    found = best_set(table, 3, 0, (0, 1, 2), bounds=0)
    assert not found.proven
    assert len(found.columns) == 3
    assert table.total(found.columns) >= table.total((0, 1, 2))
