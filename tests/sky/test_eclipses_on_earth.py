"""Eclipses as the whole Earth has them, against the Five Millennium catalogues."""

from collections.abc import Callable
from functools import cache
from typing import Any

import numpy as np
import pytest

from almanac.records.agreement import (
    GAMMA,
    LUNAR_DURATION_MIN,
    LUNAR_GREATEST_S,
    LUNAR_MAGNITUDE,
    SOLAR_GREATEST_S,
)
from almanac.sky.eclipses import LunarEclipse, borderline, lunar_eclipses, overlap
from almanac.sky.kernel import Kernel
from almanac.sky.phases import find_phases
from almanac.sky.solar_eclipses import SolarEclipse, solar_eclipses
from almanac.sky.year_sky import YearSky, build_year_sky

Rows = Callable[[str], list[dict[str, str]]]
Timed = list[tuple[float, Any]]

YEARS = range(2024, 2041)
SOLAR_MAGNITUDE = 0.0003
J2000_POSIX_S = 946728000.0
LETTERS = {"penumbral": "N", "partial": "P", "total": "T", "annular": "A", "hybrid": "H"}


@pytest.fixture(scope="module")
def eclipses(kernel: Kernel, catalogue: Any) -> Callable[[str], Timed]:
    """Every eclipse of the Moon or the Sun in the years, with TT seconds since J2000.0."""

    @cache
    def skies() -> list[tuple[YearSky, np.ndarray[Any, Any], np.ndarray[Any, Any]]]:
        found = []
        for year in YEARS:
            sky = build_year_sky(kernel, year, catalogue.stars[:1])
            first, last = (
                float(np.datetime64(f"{y}-01-01", "s").astype(int)) for y in (year, year + 1)
            )
            phases = find_phases(sky, first, last - 6 * 3600)
            kinds = np.array(phases.kinds)
            inside = (phases.utc_s >= first) & (phases.utc_s < last)
            full, new = inside & (kinds == "full"), inside & (kinds == "new")
            found.append((sky, phases.utc_s[full], phases.utc_s[new]))
        return found

    @cache
    def of(body: str) -> Timed:
        rows: Timed = []
        for sky, full, new in skies():
            ours: list[Any] = (
                lunar_eclipses(sky, full) if body == "moon" else solar_eclipses(sky, new)
            )
            greatest = np.array([one.greatest_s for one in ours])
            rows += zip((sky.clock.tt_days(greatest) * 86400).tolist(), ours, strict=True)
        return rows

    return of


def tt_s(text: str) -> float:
    """Seconds of TT since J2000.0 of an ISO date in TD."""
    return float(np.datetime64(text, "s").astype(int)) - J2000_POSIX_S


def paired(ours: Timed, rows: list[dict[str, str]]) -> list[tuple[float, Any, dict[str, str]]]:
    """Our eclipses of the table's span beside its rows, which must be as many."""
    start = tt_s(rows[0]["td"]) - 86400
    inside = [pair for pair in ours if pair[0] > start]
    assert len(inside) == len(rows)
    return [(at - tt_s(row["td"]), one, row) for (at, one), row in zip(inside, rows, strict=True)]


def test_every_solar_eclipse_of_seventeen_years(
    eclipses: Callable[[str], Timed], published: Rows
) -> None:
    """None is missed or invented; instant, gamma, kind and magnitude agree, a hybrid one too."""
    one: SolarEclipse
    for late_s, one, row in paired(eclipses("sun"), published("solar_eclipses.csv")):
        assert abs(late_s) < SOLAR_GREATEST_S, row
        assert one.gamma == pytest.approx(float(row["gamma"]), abs=GAMMA), row
        assert LETTERS[one.kind] == row["kind"], row
        assert one.magnitude == pytest.approx(float(row["magnitude"]), abs=SOLAR_MAGNITUDE), row


def test_every_lunar_eclipse_of_sixteen_years(
    eclipses: Callable[[str], Timed], published: Rows
) -> None:
    """None is missed or invented; instant, gamma, kind, magnitudes and durations agree."""
    one: LunarEclipse
    for late_s, one, row in paired(eclipses("moon"), published("lunar_eclipses.csv")):
        assert abs(late_s) < LUNAR_GREATEST_S, row
        assert one.gamma == pytest.approx(float(row["gamma"]), abs=GAMMA), row
        assert LETTERS[one.kind] == row["kind"], row
        for ours, name in (
            (one.penumbral_magnitude, "penumbral_magnitude"),
            (one.umbral_magnitude, "umbral_magnitude"),
        ):
            assert ours == pytest.approx(float(row[name]), abs=LUNAR_MAGNITUDE), row
        for first, last, name in (
            ("p1", "p4", "penumbral_min"),
            ("u1", "u4", "partial_min"),
            ("u2", "u3", "total_min"),
        ):
            assert (first in one.contacts_s) == bool(row[name]), row
            if row[name]:
                minutes = (one.contacts_s[last] - one.contacts_s[first]) / 60
                assert minutes == pytest.approx(float(row[name]), abs=LUNAR_DURATION_MIN), row


def test_contacts_come_in_order(eclipses: Callable[[str], Timed]) -> None:
    """First contact to last, each phase inside the one before."""
    for _, one in eclipses("moon"):
        assert list(one.contacts_s.values()) == sorted(one.contacts_s.values())
        codes = [code for code in one.contacts_s if code != "greatest"]
        assert codes == [c for c in ("p1", "u1", "u2", "u3", "u4", "p4") if c in codes]


def test_only_the_graze_of_july_2027_is_borderline(eclipses: Callable[[str], Timed]) -> None:
    """Of the eclipses to 2030 only one depends on the rule for the shadow's size."""
    named = {
        round(one.greatest_s): one.borderline for at, one in eclipses("moon") if one.borderline
    }
    year_2030 = 1893456000
    early = {at: kind for at, kind in named.items() if at < year_2030}
    assert list(early.values()) == ["none"]
    assert abs(next(iter(early)) - 1815926640) < 3600  # 2027-07-18 16:04 UT


@pytest.mark.parametrize(
    ("penumbral", "umbral", "other"),
    [
        (0.5, -0.5, None),
        (0.01, -1.0, "none"),
        (1.0, 0.004, "penumbral"),
        (1.0, -0.004, "partial"),
        (2.0, 0.997, "total"),
        (2.0, 1.003, "partial"),
        (2.2, 1.2, None),
    ],
)
def test_borderline_by_magnitudes(penumbral: float, umbral: float, other: str | None) -> None:
    """The other kind is named only within the differences between the rules."""
    assert borderline(penumbral, umbral) == other


def test_overlap_of_discs_by_counting_points() -> None:
    """The area under another disc agrees with a fine raster; apart none, inside all."""
    axis = np.linspace(-1, 1, 1201)
    x, y = np.meshgrid(axis, axis)
    disc = x**2 + y**2 <= 1
    for cover, apart in ((0.95, 0.4), (1.05, 1.2), (0.6, 0.2), (1.3, 0.1), (1.0, 1.99), (1.0, 2.1)):
        inside = disc & ((x - apart) ** 2 + y**2 <= cover**2)
        share = overlap(np.array([1.0]), np.array([cover]), np.array([apart]))[0]
        assert share == pytest.approx(inside.sum() / disc.sum(), abs=1e-3), (cover, apart)
