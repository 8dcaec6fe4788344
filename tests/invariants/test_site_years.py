"""What must hold of every almanac, wherever and whenever, checked by plain Skyfield."""

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any

import invariants
import pytest
from invariants import INVARIANTS, SiteYear, breaches
from msgspec.structs import replace
from page_texts import page_breaches
from random_configs import Draw, config_text

from almanac.build import build
from almanac.inputs.config import load_config
from almanac.records.year import Dark, Night, YearAlmanac

SiteYearOf = Callable[[str, tuple[int, int]], SiteYear]
EVERY = 20
"""Of so many random site-years one is also drawn and written: pages, charts and feeds."""

HARD = {
    "skipped day": (2011, -13.8, -171.8, "Pacific/Apia"),
    "skipped day, Kwajalein": (1993, 8.7, 167.7, "Pacific/Kwajalein"),
    "doubled day": (1969, 8.7, 167.7, "Pacific/Kwajalein"),
    "45 minutes": (2027, -44.0, -176.5, "Pacific/Chatham"),
    "15 minutes": (1986, 27.7, 85.3, "Asia/Kathmandu"),
    "half an hour of summer": (2024, -31.5, 159.1, "Australia/Lord_Howe"),
    "two hours of summer": (2027, -72.0, 2.5, "Antarctica/Troll"),
    "seconds": (1972, 6.3, -10.8, "Africa/Monrovia"),
    "first year": (1900, 52.4, 4.9, "Europe/Amsterdam"),
    "last year": (2052, 64.1, -21.9, "Atlantic/Reykjavik"),
    "north pole": (2030, 90.0, 0.0, "UTC"),
    "south pole": (2031, -90.0, 180.0, "Antarctica/McMurdo"),
    "date line, east": (2027, 1.9, 180.0, "Pacific/Kiritimati"),
    "date line, west": (2027, 0.0, -180.0, "Etc/GMT+12"),
    "leap second": (2016, 0.0, 0.0, "UTC"),
}
"""Year, latitude, longitude, zone."""

TEXT = """
[club]
name = "Made Up Skywatchers"
years = [{}]
[[site]]
name = "Quarry Field"
latitude_deg = {}
longitude_deg = {}
timezone = "{}"
{}
"""
SHORT_RUN = ("skipped day", "doubled day", "seconds", "south pole", "date line, east")


def test_a_random_site_year_breaks_no_law(
    drawn_year: SiteYear, drawn: tuple[int, int], tmp_path: Path
) -> None:
    """Anywhere, in any year, under any limits: see tests/tools/invariants.py for the laws."""
    assert breaches(drawn_year) == []
    if drawn[1] % EVERY == 0:
        config = tmp_path / "club.toml"
        config.write_text(config_text(Draw(*drawn)), encoding="utf-8")
        build(load_config(config), tmp_path / "site", False, 1, lambda _: None)
        (folder,) = (path.parent for path in (tmp_path / "site").rglob("year.json"))
        assert list(page_breaches(folder)) == []


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """All hard skies in a long run, some in a short one."""
    if "hard" in metafunc.fixturenames:
        long = metafunc.config.getoption("--site-years") >= len(HARD)
        metafunc.parametrize("hard", HARD if long else SHORT_RUN)


def test_a_hard_sky_breaks_no_law(hard: str, site_year_of: SiteYearOf) -> None:
    """Odd clocks, both ends of the ephemeris, poles and the date line."""
    assert breaches(site_year_of(TEXT.format(*HARD[hard], ""), (0, 0))) == []


def test_a_site_without_any_sky_has_no_window(site_year_of: SiteYearOf) -> None:
    """A profile up to the zenith: no night has one, and the almanac stands all the same."""
    case = site_year_of(TEXT.format(2027, 45.0, 3.0, "UTC", "horizon = [[0, 90]]"), (0, 0))
    assert case.windows == []
    assert breaches(case) == []


def test_a_draw_is_the_same_each_time() -> None:
    """What a seed and a number name can be computed again."""
    assert config_text(Draw(3, 14)) == config_text(Draw(3, 14)) != config_text(Draw(3, 15))


def night_changed(year: YearAlmanac, change: Callable[[Night], dict[str, Any]]) -> YearAlmanac:
    """The year with its first night that has a window and a star changed."""
    nights = list(year.nights)
    row = next(row for row, n in enumerate(nights) if n.windows and n.windows[0].calibration)
    nights[row] = replace(nights[row], **change(nights[row]))
    return replace(year, nights=tuple(nights))


def window_changed(year: YearAlmanac, **minutes: int) -> YearAlmanac:
    """The year with an edge of a window moved by so many minutes."""

    def change(night: Night) -> dict[str, Any]:
        first = night.windows[0]
        moved = {f"{edge}_utc": getattr(first, f"{edge}_utc") + timedelta(minutes=by)
                 for edge, by in minutes.items()}  # fmt: skip
        return {"windows": (replace(first, **moved), *night.windows[1:])}

    return night_changed(year, change)


def star_sunk(night: Night) -> dict[str, Any]:
    """The chosen star under the ground."""
    first = night.windows[0]
    assert first.calibration
    star = replace(first.calibration.chosen, altitude_deg=-3.0)
    calibration = replace(first.calibration, chosen=star)
    return {"windows": (replace(first, calibration=calibration), *night.windows[1:])}


def dark_turned(night: Night) -> dict[str, Any]:
    """A dark span that ends before it begins."""
    return {"dark": Dark(night.end_utc, night.start_utc)}


def without_windows(year: YearAlmanac) -> YearAlmanac:
    """No window in all the year."""
    nights = [replace(night, windows=(), no_window="too_thin", rank=None) for night in year.nights]
    return replace(year, nights=tuple(nights))


WRONG: dict[str, Callable[[YearAlmanac], YearAlmanac]] = {
    "windows_in_their_nights": lambda year: window_changed(year, end=-2000),
    "windows_hold": lambda year: window_changed(year, end=60),
    "windows_end_where_a_condition_does": lambda year: window_changed(year, end=-5),
    "no_window_is_missed": without_windows,
    "nights_are_the_year": lambda year: replace(year, nights=year.nights[1:]),
    "suns_are_in_order": lambda year: night_changed(year, dark_turned),
    "phases_are_in_order": lambda year: replace(year, phases=year.phases[::2]),
    "stars_serve": lambda year: night_changed(year, star_sunk),
    "learning_adds_up": lambda year: replace(
        year,
        stars_to_learn=year.stars_to_learn
        and replace(year.stars_to_learn, curve=year.stars_to_learn.curve[::-1]),
    ),
    "figures_are_figures": lambda year: replace(
        year, phases=(replace(year.phases[0], distance_km=float("nan")),)
    ),
}


@pytest.mark.parametrize("law", WRONG)
def test_a_broken_almanac_is_noticed(law: str, site_year_of: SiteYearOf) -> None:
    """Each law finds what breaks it, and nothing where nothing is broken."""
    case = site_year_of(TEXT.format(2027, 45.0, 3.0, "UTC", ""), (0, 0))
    check = next(one for one in INVARIANTS if one.__name__ == law)
    assert list(check(case)) == []
    assert next(check(replace(case, year=WRONG[law](case.year))), None)


def test_texts_and_data_that_differ_are_noticed(
    site_year_of: SiteYearOf, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A card without its hours and data without their nights break a law each."""
    case = site_year_of(TEXT.format(2027, 45.0, 3.0, "UTC", ""), (0, 0))
    monkeypatch.setattr(invariants, "card_text", lambda _: "")
    monkeypatch.setattr(invariants, "year_json", lambda _: '{"nights": []}')
    broken = {found.partition(":")[0] for found in breaches(case)}
    assert broken == {"texts_agree", "data_are_json"}
