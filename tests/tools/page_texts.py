"""Whether the pages of the nights say what year.json says: each figure that differs is yielded."""

import html
import json
import re
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

HALF_SECOND = timedelta(seconds=0.5)
"""Instants of the data are rounded to it."""
LEAST_PERCENT, MOST_PERCENT = 1, 99
FIGURES = {
    "altitude_deg": ("{:.1f}°", 1e-4),
    "azimuth_deg": ("{:.1f}°", 1e-4),
    "airmass": ("{:.2f}", 1e-4),
    "seeing_arcsec": ("{:.2f}″", 1e-3),
    "diffraction_arcsec": ("{:.2f}″", 1e-3),
    "dispersion_arcsec": ("{:.2f}″", 1e-3),
    "sampling_arcsec": ("{:.2f}″", 1e-3),
    "diameter_px": ("{:,.0f} px", 0.1),
}
"""Of a window: how the page has it, and to how much the data are rounded."""
OF_THE_MOON = {
    "distance_km": ("{:,.0f} km", 0.01),
    "angular_diameter_arcmin": ("{:.1f}′", 1e-3),
    "age_days": ("{:.1f} days", 1e-4),
    "phase_angle_deg": ("{:.0f}°", 0.01),
}


def page_breaches(folder: Path) -> Iterator[str]:
    """Of an English site-year's folder: what a night's page does not say, and its data do."""
    data = json.loads((folder / "year.json").read_bytes())
    zone = ZoneInfo(data["site"]["timezone"])
    for night in data["nights"]:
        page = words((folder / f"{night['date']}.html").read_text(encoding="utf-8"))
        for name, choices in said(night, zone):
            if not any(re.search(rf"(?<![\d.,]){re.escape(one)}", page) for one in choices):
                yield f"{night['date']}: {name}: none of {sorted(choices)} stands on the page"


def words(page: str) -> str:
    """The text of a page without its drawings, in one line."""
    text = re.sub(r"<svg.*?</svg>", " ", page, flags=re.DOTALL)
    text = html.unescape(re.sub(r"<[^>]+>", " ", text)).replace("\u2212", "-")
    return re.sub(r"\s+", " ", text.replace("\u2060", ""))


def said(night: dict[str, Any], zone: ZoneInfo) -> Iterator[tuple[str, set[str]]]:
    """What a night's page must say, each as the texts that would be right."""
    for key, (form, step) in OF_THE_MOON.items():
        yield key, rounded(night["moon"][key], form, step)
    if night["windows"]:
        finest = min(night["windows"], key=lambda window: window["finest_detail_km"])
        for key, (form, step) in FIGURES.items():
            yield key, rounded(finest[key], form, step)
    for window in night["windows"]:
        for key in ("start_utc", "end_utc", "best_utc"):
            yield key, clocks(window[key], zone)
        if window["calibration"]:
            yield from of_a_star(window["calibration"], zone)


def of_a_star(star: dict[str, Any], zone: ZoneInfo) -> Iterator[tuple[str, set[str]]]:
    """The star to start on, when, how high, how it moves on and how likely it lands."""
    yield "star", {star["star"]}
    yield "star at", clocks(star["at_utc"], zone)
    yield "hop at", clocks(star["hop_utc"], zone)
    yield "height of the star", rounded(star["altitude_deg"], "{:.0f}° up", 1e-4)
    turn = "right" if star["turn_deg"] > 0 else "left"
    if abs(star["turn_deg"]) > 1:
        yield "turn", rounded(abs(star["turn_deg"]), "{:.0f}° " + turn, 1e-4)
    yield "chance", chances(100 * star["landing_chance"])


def rounded(value: float, form: str, step: float) -> set[str]:
    """The texts of a value whose data are rounded to a step; ties may go either way."""
    return {form.format(value + off).replace("360.0°", "0.0°") for off in (-step, 0, step)}


def chances(percent: float) -> set[str]:
    """A chance is never told as certain or as none."""
    if percent > MOST_PERCENT or percent < LEAST_PERCENT:
        return {f"over {MOST_PERCENT}%" if percent > MOST_PERCENT else f"under {LEAST_PERCENT}%"}
    return rounded(percent, "{:.0f}%", 0.01)


def clocks(instant: str, zone: ZoneInfo) -> set[str]:
    """Wall-clock minutes of an instant of the data."""
    at = datetime.fromisoformat(instant).astimezone(zone) + timedelta(seconds=30)
    return {f"{at + off:%H:%M}" for off in (-HALF_SECOND, timedelta(0), HALF_SECOND)}
