"""Where to go on a night: by finest detail as shown, then by hours, and equal where it is."""

import math
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from almanac.publish.verdicts import AS_LONG_MIN, NightDigest, listed, reason, verdict
from almanac.publish.wording import Wording

DAY = date(2027, 3, 14)
WORDS = Wording("en", "Europe/Paris")
NAMES = ("Quarry", "Mill", "Moor", "Hill", "Pond", "Weir")


def night(detail_km: float = math.inf, open_min: int = 0, why: str = "Moon too low") -> NightDigest:
    """A night at a site."""
    return NightDigest(detail_km, open_min, "", "" if math.isfinite(detail_km) else why)


def said(*nights: NightDigest | None) -> str:
    """The reason for the choice among these."""
    return reason(verdict(DAY, nights), nights, NAMES, WORDS).replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("nights", "order", "best", "text"),
    [
        ((night(2.5, 200), night(2.1, 205)), (1, 0), 1, "Mill: finer, 2.1 km against 2.5 km."),
        (
            (night(2.1, 90), night(2.5, 200)),
            (0, 1),
            1,
            "Quarry: finer, 2.1 km against 2.5 km. But it is open 1 h 50 min less.",
        ),
        (
            (night(2.1, 200), night(2.5, 165)),
            (0, 1),
            1,
            "Quarry: finer, 2.1 km against 2.5 km. It is also open 35 min longer.",
        ),
        (
            (night(2.1, 100), night(2.1, 135)),
            (1, 0),
            1,
            "Mill: as fine, and open 35 min longer.",
        ),
        ((night(2.1, 100), night(2.1, 109)), (1, 0), 2, "As good at Mill and Quarry."),
        ((night(2.1, 100), night(2.1, 110)), (1, 0), 1, "Mill: as fine, and open 10 min longer."),
        (
            (night(2.1, 100), night(2.1, 100), night(2.1, 99), night(3.0, 400)),
            (0, 1, 2, 3),
            3,
            "As good at Quarry, Mill and Moor.",
        ),
        ((night(), night(2.1, 100)), (1,), 1, "Only Mill has a window."),
        ((None, night(2.1, 100)), (1,), 1, "Only Mill has a window."),
        ((night(), night()), (), 0, "Moon too low"),
        ((night(), night(why="Sun up")), (), 0, "Moon too low; Sun up"),
        ((None, night(why="Sun up")), (), 0, "Sun up"),
    ],
)
def test_where_to_go(
    nights: tuple[NightDigest | None, ...], order: tuple[int, ...], best: int, text: str
) -> None:
    """The best first, how many are as good, and the reason in a sentence."""
    found = verdict(DAY, nights)
    assert (found.day, found.order, found.best) == (DAY, order, best)
    assert set(found.without) == {i for i, n in enumerate(nights) if n and i not in order}
    assert said(*nights) == text


@given(st.lists(st.none() | st.builds(night, st.sampled_from([1.9, 2.0, 2.1, math.inf]),
                                      st.integers(20, 300)), max_size=8))  # fmt: skip
def test_no_site_is_better_than_the_best(nights: list[NightDigest | None]) -> None:
    """Against brute force: nobody is finer, nor as fine and ten minutes longer; ties are ties."""
    found = verdict(DAY, nights)
    usable = [(i, n) for i, n in enumerate(nights) if n and n.open]
    assert sorted(found.order) == [i for i, _ in usable]
    finest = min((n.detail_km for _, n in usable), default=0)
    longest = max((n.open_min for _, n in usable if n.detail_km == finest), default=0)
    alike = {i for i, n in usable if n.detail_km == finest and longest - n.open_min < AS_LONG_MIN}
    assert set(found.order[: found.best]) == alike


@pytest.mark.parametrize(
    ("count", "most", "text"),
    [
        (0, 5, ""),
        (1, 5, "Quarry"),
        (2, 5, "Quarry and Mill"),
        (5, 5, "Quarry, Mill, Moor, Hill and Pond"),
        (6, 5, "Quarry, Mill, Moor, Hill and 2 more"),
        (6, 6, "Quarry, Mill, Moor, Hill, Pond and Weir"),
    ],
)
def test_names_are_listed_as_a_sentence_has_them(count: int, most: int, text: str) -> None:
    """And cut where there are too many."""
    assert listed(NAMES[:count], WORDS, most) == text
