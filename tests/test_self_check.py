"""The self-check agrees with what is published, and tells each value that is wrong."""

import json
import subprocess
from collections.abc import Callable, Iterator
from contextlib import closing
from copy import deepcopy
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from almanac import self_check
from almanac.cli import main
from almanac.inputs.catalogue import load_catalogue
from almanac.inputs.config import load_config
from almanac.self_check import checks
from almanac.sky.plain import PlainSky

Json = dict[str, Any]
Run = Callable[..., subprocess.CompletedProcess[str]]

FIGURES = (
    "Moon at its best, height",
    "Moon at its best, azimuth",
    "Calibration star Betelgeuse, height",
    "Calibration star Betelgeuse, azimuth",
    "Lit part",
    "Moonrise",
    "Moonset",
    "Sunset",
    "Full Moon",
    "Eclipse of the Moon",
)


@pytest.fixture(scope="module")
def published(quarry_site: Path) -> Json:
    """A year as it was published."""
    (path,) = quarry_site.rglob("year.json")
    year: Json = json.loads(path.read_bytes())
    return year


@pytest.fixture(scope="module")
def plain(quarry_config: Path) -> Iterator[PlainSky]:
    """Skyfield's sky of its site."""
    with closing(PlainSky(load_config(quarry_config).sites[0])) as sky:
        yield sky


def failing(year: Json, plain: PlainSky) -> list[str]:
    """Names of the checks that fail."""
    rows = list(checks(year, plain, load_catalogue().stars))
    assert tuple(row.figure for row in rows) == FIGURES
    return [row.figure for row in rows if not row.holds]


def test_published_values_agree(published: Json, plain: PlainSky) -> None:
    """Ten values of a built site, each by another way."""
    assert failing(published, plain) == []


def later(text: str, seconds: float) -> str:
    """A published instant moved."""
    moved = datetime.fromisoformat(text) + timedelta(seconds=seconds)
    return moved.isoformat().replace("+00:00", "Z")


def windows(year: Json) -> list[Json]:
    """All windows of a year."""
    return [window for night in year["nights"] for window in night["windows"]]


def more(objects: list[Json], key: str, change: float) -> None:
    """Change a figure of many objects."""
    for one in objects:
        one[key] += change


def moved(objects: list[Json], key: str, seconds: float) -> None:
    """Move an instant, or each of a list, of many objects."""
    for one in objects:
        if isinstance(one[key], list):
            one[key] = [later(at, seconds) for at in one[key]]
        elif one[key]:
            one[key] = later(one[key], seconds)


def part(year: Json, name: str) -> list[Json]:
    """The Sun or the Moon of each night."""
    return [night[name] for night in year["nights"]]


def stars(year: Json) -> list[Json]:
    """The calibration stars of a year."""
    return [window["calibration"] for window in windows(year) if window["calibration"]]


DOCTORED: dict[str, Callable[[Json], None]] = {
    FIGURES[0]: lambda year: more(windows(year), "altitude_deg", 0.006),
    FIGURES[1]: lambda year: more(windows(year), "azimuth_deg", 0.01),
    FIGURES[2]: lambda year: more(stars(year), "altitude_deg", -0.006),
    FIGURES[3]: lambda year: more(stars(year), "azimuth_deg", -0.004),
    FIGURES[4]: lambda year: more(part(year, "moon"), "illuminated_fraction", 0.001),
    FIGURES[5]: lambda year: moved(part(year, "moon"), "rises_utc", 3),
    FIGURES[6]: lambda year: moved(part(year, "moon"), "sets_utc", -3),
    FIGURES[7]: lambda year: moved(part(year, "sun"), "set_utc", 600),
    FIGURES[8]: lambda year: moved(year["phases"], "at_utc", 4),
    FIGURES[9]: lambda year: moved(year["eclipses"], "greatest_utc", -9),
}
"""A little more than each figure's bound."""


@pytest.mark.parametrize("figure", FIGURES)
def test_a_wrong_value_is_told(figure: str, published: Json, plain: PlainSky) -> None:
    """That one and no other."""
    year = deepcopy(published)
    DOCTORED[figure](year)
    assert failing(year, plain) == [figure]


@pytest.mark.parametrize("seconds", [-86400 * 3, 86400 * 3])
def test_a_day_that_is_wrong_is_told(seconds: float, published: Json, plain: PlainSky) -> None:
    """Where nothing is found nearby, nothing agrees."""
    year = deepcopy(published)
    moved(year["phases"], "at_utc", seconds)
    moved(year["eclipses"], "greatest_utc", seconds)
    assert failing(year, plain) == ["Full Moon", "Eclipse of the Moon"]


def test_the_command_tells_each_value(almanac: Run, quarry_config: Path) -> None:
    """A table of ten lines under a head, and exit code 0."""
    run = almanac("check", quarry_config, "--sky")
    assert (run.returncode, run.stderr) == (0, "")
    _, title, head, *rows, verdict = run.stdout.splitlines()
    assert title == "Quarry Field 2027, recomputed by Skyfield called directly:"
    assert head.split() == ["figure", "published", "recomputed", "apart", "bound"]
    assert all(row.startswith(figure) for row, figure in zip(rows, FIGURES, strict=True))
    assert {row.rpartition("  ")[2] for row in rows} == {"agrees"}
    assert verdict == "All 10 agree."
    assert max(map(len, run.stdout.splitlines()[1:])) < 120


def test_the_command_fails_on_a_wrong_almanac(
    quarry_config: Path, published: Json, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every Moonrise half a minute late: exit code 1, and the line says so."""
    year = deepcopy(published)
    moved(part(year, "moon"), "rises_utc", 30)
    monkeypatch.setattr(self_check, "compute", lambda *_: None)
    monkeypatch.setattr(self_check, "year_sky", lambda *_: None)
    monkeypatch.setattr(self_check, "year_json", lambda _: json.dumps(year))
    result = CliRunner().invoke(main, ["check", str(quarry_config), "--sky"])
    assert result.exit_code == 1
    assert result.stderr.endswith("error: 1 of 10 values differ by more than their bound\n")
    (wrong,) = (line for line in result.stdout.splitlines() if line.endswith("DIFFERS"))
    assert wrong.startswith("Moonrise")
