"""Close approaches of a year against a scan by plain Skyfield, minute by minute."""

from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from msgspec.structs import replace
from skyfield.api import Star, load, load_file, wgs84

from almanac.almanac import compute, year_sky
from almanac.inputs.catalogue import load_catalogue
from almanac.inputs.config import load_config
from almanac.records.meetings import Approach
from almanac.records.year import YearAlmanac
from almanac.sky.kernel import DE421_PATH, TARGETS
from almanac.sky.refraction import refraction_deg
from almanac.sky.site_sky import ground_deg

DEMO = Path(__file__).parents[2] / "site_config" / "demo.toml"
HOURS = 20
STEP_DEG = 0.012
"""The Moon moves by less in the scan's minute."""


@pytest.fixture(scope="module")
def year() -> YearAlmanac:
    """The demo's first site in 2027."""
    config = load_config(DEMO)
    config = replace(config, sites=config.sites[:1])
    catalogue = load_catalogue()
    return compute(config, config.sites[0], year_sky(2027, catalogue), catalogue)


@pytest.fixture(scope="module")
def ephemeris() -> Iterator[Any]:
    """The same ephemeris, read by plain Skyfield."""
    with closing(load_file(str(DE421_PATH))) as opened:
        yield opened


def target(ephemeris: Any, one: Approach) -> Any:
    """What the Moon comes near to, as Skyfield has it."""
    catalogue = load_catalogue()
    if one.kind == "planet":
        return ephemeris[TARGETS[one.name]]
    star = next(star for star in catalogue.beside_ecliptic if star.name == one.name)
    return Star(
        ra_hours=star.ra_deg / 15,
        dec_degrees=star.dec_deg,
        ra_mas_per_year=star.pm_ra_mas,
        dec_mas_per_year=star.pm_dec_mas,
        epoch=2448349.0625,
    )


@pytest.mark.parametrize("kind", ["planet", "star", "cluster"])
def test_no_minute_in_the_dark_is_nearer(kind: str, year: YearAlmanac, ephemeris: Any) -> None:
    """For three approaches of each kind: none of forty hours, by what the Moon moves in one."""
    site, scale = year.site, load.timescale(builtin=True)
    here = ephemeris["earth"] + wgs84.latlon(
        site.latitude_deg, site.longitude_deg, site.elevation_m
    )
    chosen = [one for one in year.meetings.approaches if one.kind == kind][::2][:3]
    assert len(chosen) == 3
    for one in chosen:
        offsets = 60.0 * np.arange(-60 * HOURS, 60 * HOURS + 1)
        at_s = one.at_utc.timestamp() + offsets
        at = here.at(scale.from_datetimes([datetime.fromtimestamp(s, UTC) for s in at_s]))
        moon = at.observe(ephemeris["moon"]).apparent()
        other = at.observe(target(ephemeris, one)).apparent()
        sun = at.observe(ephemeris["sun"]).apparent().altaz()[0].degrees
        clear = sun < -6.0
        places = []
        for body in (moon, other):
            altitude, azimuth, _ = body.altaz()
            seen = altitude.degrees + refraction_deg(altitude.degrees, site)
            clear &= seen > np.maximum(ground_deg(site, azimuth.degrees), 0.0)
            places.append((np.radians(seen), azimuth.radians))
        if kind != "cluster":
            radius = np.degrees(np.arcsin(1737.4 / moon.distance().km))
            clear &= moon.separation_from(other).degrees > radius
        (h, a), (g, b) = places
        cosine = np.sin(h) * np.sin(g) + np.cos(h) * np.cos(g) * np.cos(a - b)
        apart = np.degrees(np.arccos(cosine))
        least = apart[clear].min()
        assert one.separation_deg == pytest.approx(least, abs=STEP_DEG), (one.name, one.date)
        assert apart[len(offsets) // 2] == pytest.approx(one.separation_deg, abs=1e-3)
