"""The figures of one small site, kept as text: a change of theirs has to be meant.

Values, not markup. After a change that other tests prove right, write them anew with
``pytest tests/test_golden.py --renew-golden`` and read the difference before committing it.
"""

import json
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

Run = Callable[..., subprocess.CompletedProcess[str]]
Json = dict[str, Any]

CARDS = ("2027-10-16", "2027-03-27", "2027-06-18")
"""Two windows in a night; the night of a clock change; none."""
MONTHS = ("2027-03", "2027-06")


def hop_text(hop: Json) -> str:
    """A star and the move from it."""
    return (
        f"{hop['star']} {hop['at_utc']} at {hop['altitude_deg']:.1f}/{hop['azimuth_deg']:.1f}, "
        f"hop {hop['hop_azimuth_deg']:+.1f}/{hop['hop_altitude_deg']:+.1f}, "
        f"chance {hop['landing_chance']:.2f}"
    )


def window_lines(window: Json) -> Iterator[str]:
    """A window's figures."""
    yield (
        f"  {window['start_utc']} to {window['end_utc']}, best {window['best_utc']} "
        f"at {window['altitude_deg']:.1f}/{window['azimuth_deg']:.1f}, "
        f"detail {window['finest_detail_km']:.2f} km, airmass {window['airmass']:.2f}, "
        f"clip {window['longest_clip_s']:.0f} s, {window['exposure_stops']:+.1f} EV"
    )
    if window["calibration"]:
        yield f"    {hop_text(window['calibration'])}"
        spare = window["calibration"]["spare"]
        yield f"    spare {hop_text(spare)}" if spare else "    no spare"
    else:
        yield f"    no star: {window['no_star']}"


def night_lines(night: Json) -> Iterator[str]:
    """A night's figures."""
    moon, sun = night["moon"], night["sun"]
    rises = ",".join(moon["rises_utc"]) or "none"
    yield (
        f"{night['date']} Sun {sun['set_utc']} {sun['rise_utc']}, Moonrise {rises}, "
        f"lit {moon['illuminated_fraction']:.3f}, {moon['angular_diameter_arcmin']:.2f}'"
    )
    if night["no_window"]:
        yield f"  {night['no_window']}"
    for window in night["windows"]:
        yield from window_lines(window)


def year_lines(year: Json) -> Iterator[str]:
    """The golden text of a year: its phases and apsides, and the nights of two months."""
    for event in (*year["phases"], *year["apsides"]):
        yield f"{event['kind']} {event['at_utc']} {event['distance_km']:.0f} km"
    for night in year["nights"]:
        if night["date"].startswith(MONTHS):
            yield from night_lines(night)


@pytest.fixture
def hold(request: pytest.FixtureRequest) -> Callable[[str, str], None]:
    """Compare a text with the golden one of this name, or renew it when asked to."""

    def compare(name: str, text: str) -> None:
        path = request.path.parent / "golden" / name
        if request.config.getoption("--renew-golden"):
            path.write_text(text, encoding="utf-8")
        assert text.splitlines() == path.read_text(encoding="utf-8").splitlines()

    return compare


@pytest.mark.parametrize("date", CARDS)
def test_cards_are_as_kept(
    date: str, almanac: Run, quarry_config: Path, hold: Callable[[str, str], None]
) -> None:
    """The card of a night is word for word the one kept."""
    run = almanac("night", quarry_config, date)
    assert (run.returncode, run.stderr) == (0, "")
    hold(f"quarry-{date}.txt", run.stdout)


def test_a_years_figures_are_as_kept(quarry_site: Path, hold: Callable[[str, str], None]) -> None:
    """Phases, apsides and two months of nights keep their figures as printed here."""
    year = json.loads((quarry_site / "quarry-field/2027/year.json").read_bytes())
    hold("quarry-2027.txt", "\n".join(year_lines(year)) + "\n")
