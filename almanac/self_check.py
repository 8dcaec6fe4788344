"""The self-check: a handful of published values, recomputed on this machine by plain Skyfield."""

import json
from collections.abc import Iterator, Sequence
from contextlib import closing
from datetime import UTC, datetime
from math import cos, radians
from pathlib import Path
from typing import Any, NamedTuple

from almanac.almanac import compute, year_sky
from almanac.inputs.catalogue import load_catalogue
from almanac.inputs.config import load_config
from almanac.publish.feeds import year_json
from almanac.records import agreement as held
from almanac.records.catalogue import Star
from almanac.sky.plain import PlainSky

Json = dict[str, Any]

ROUNDED_S = 0.5
"""Published instants are whole seconds."""
TURN_ARCSEC = 15.041 * ROUNDED_S
"""What the sky turns in that, at most."""
LUNAR_ECLIPSE_S = 5.0
"""Skyfield's own search ends within a second or two: measured, up to 1.7 s in a dozen years."""


LINE = "{:<42} {:>21}  {:>21}  {:>9}  {:>8}  {}"
HEAD = ("figure", "published", "recomputed", "apart", "bound")


class Recomputed(NamedTuple):
    """A published value beside the same by another way."""

    figure: str
    published: str
    again: str
    off: float
    """How far they lie apart; NaN if there is nothing to compare with."""
    bound: float
    unit: str

    @property
    def holds(self) -> bool:
        """Whether the two agree."""
        return self.off <= self.bound


def self_check(config_path: Path) -> tuple[str, list[Recomputed]]:
    """The checks of a config's first site and year, under a title."""
    config, catalogue = load_config(config_path), load_catalogue()
    site, year = config.sites[0], config.club.years[0]
    almanac = compute(config, site, year_sky(year, catalogue), catalogue)
    published = json.loads(year_json(almanac))
    with closing(PlainSky(site)) as plain:
        return f"{site.name} {year}", list(checks(published, plain, catalogue.stars))


def checks(published: Json, plain: PlainSky, stars: Sequence[Star]) -> Iterator[Recomputed]:
    """One check of each kind that the year has a value for; published is its ``year.json``."""
    nights = _finest_first(published["nights"])
    windows = [window for night in nights for window in night["windows"]]
    if windows:
        yield from _direction("Moon at its best", windows[0], "best_utc", plain, "moon")
    hop = next((window["calibration"] for window in windows if window["calibration"]), None)
    if hop:
        star = next(star for star in stars if star.hip == hop["hip"])
        yield from _direction(f"Calibration star {star.name}", hop, "at_utc", plain, star)
    yield _lit_part(nights[0]["moon"], plain)
    events = {
        "Moonrise": ("moon", [at for night in nights for at in night["moon"]["rises_utc"]]),
        "Moonset": ("moon", [at for night in nights for at in night["moon"]["sets_utc"]]),
        "Sunset": ("sun", [night["sun"]["set_utc"] for night in nights if night["sun"]["set_utc"]]),
    }
    for figure, (body, instants) in events.items():
        for at in instants[:1]:
            again = plain.crossing(body, _seconds(at))
            yield _instant(figure, at, again, held.RISE_SET_ASTROPY_S)
    for phase in [one for one in published["phases"] if one["kind"] == "full"][:1]:
        again = plain.elongation_reached(180.0, _seconds(phase["at_utc"]))
        yield _instant("Full Moon", phase["at_utc"], again, held.PHASE_ASTROPY_S)
    for eclipse in [one for one in published["eclipses"] if one["body"] == "moon"][:1]:
        again = plain.lunar_eclipse(_seconds(eclipse["greatest_utc"]))
        yield _instant("Eclipse of the Moon", eclipse["greatest_utc"], again, LUNAR_ECLIPSE_S)


def report(title: str, rows: Sequence[Recomputed]) -> str:
    """The checks as a table of plain text."""
    lines = [f"{title}, recomputed by Skyfield called directly:"]
    lines += [LINE.format(*HEAD, "")]
    for row in rows:
        apart, bound = (f"{value:.2f} {row.unit}" for value in (row.off, row.bound))
        verdict = "agrees" if row.holds else "DIFFERS"
        lines.append(LINE.format(row.figure, row.published, row.again, apart, bound, verdict))
    return "\n".join(line.rstrip() for line in lines)


def _finest_first(nights: list[Json]) -> list[Json]:
    """Nights by their finest detail; those without a window last, in order of time."""

    def finest(night: Json) -> float:
        return min((window["finest_detail_km"] for window in night["windows"]), default=1e9)

    return sorted(nights, key=finest)


def _direction(
    figure: str, told: Json, instant: str, plain: PlainSky, target: str | Star
) -> Iterator[Recomputed]:
    """Height and azimuth at an instant of what a published object tells."""
    altitude, azimuth = plain.place(target, _seconds(told[instant]))
    high, low = held.REFRACTED_HIGH_ARCSEC, held.REFRACTED_LOW_ARCSEC
    air = high if altitude > held.REFRACTED_HIGH_DEG else low
    off = abs(told["altitude_deg"] - altitude)
    yield _angle(f"{figure}, height", told["altitude_deg"], altitude, off, air)
    across = abs((told["azimuth_deg"] - azimuth + 180) % 360 - 180) * cos(radians(altitude))
    yield _angle(f"{figure}, azimuth", told["azimuth_deg"], azimuth, across, 1.0)


def _angle(figure: str, told: float, again: float, off: float, arcsec: float) -> Recomputed:
    texts = [f"{value:.4f}\u00b0" for value in (told, again)]
    return Recomputed(figure, texts[0], texts[1], off * 3600, arcsec + TURN_ARCSEC, '"')


def _lit_part(moon: Json, plain: PlainSky) -> Recomputed:
    told, again = moon["illuminated_fraction"], plain.lit_part(_seconds(moon["at_utc"]))
    texts = [f"{100 * value:.2f} %" for value in (told, again)]
    return Recomputed(
        "Lit part", texts[0], texts[1], 100 * abs(told - again), 100 * held.LIT_PART, "%"
    )


def _instant(figure: str, told: str, again: float, bound_s: float) -> Recomputed:
    off, known = abs(_seconds(told) - again), again == again  # NaN is not itself
    text = datetime.fromtimestamp(again, UTC).isoformat(" ")[:21] if known else "none"
    return Recomputed(figure, told, text, off, bound_s + ROUNDED_S, "s")


def _seconds(text: str) -> float:
    return datetime.fromisoformat(text).timestamp()
