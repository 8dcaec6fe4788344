"""Occultations against a published table and against plain Skyfield, and the way to the limit."""

from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import UTC, datetime
from functools import cache, partial
from typing import Any, NamedTuple

import numpy as np
import pytest
from numpy.typing import NDArray
from skyfield.api import Star as SkyfieldStar
from skyfield.api import load, load_file, wgs84

from almanac.records.agreement import OCCULTATION_PUBLISHED_S, OCCULTATION_SKYFIELD_S
from almanac.records.catalogue import Catalogue
from almanac.records.config import Site
from almanac.sky.conjunctions import PLANETS, conjunctions, star_count
from almanac.sky.kernel import DE421_PATH, TARGETS, open_kernel
from almanac.sky.occultations import (
    FARTHEST_DEG,
    GRAZE_KM,
    Passages,
    limb_places,
    moved,
    passages,
)
from almanac.sky.site_sky import SiteSky
from almanac.sky.year_sky import YearSky, build_year_sky

Floats = NDArray[np.float64]

PLACES = {"north": (52.2, -1.5, 100.0), "south": (-31.273, 149.061, 1165.0)}
MOON_KM = 1737.4
"""Archinal et al., Celest. Mech. Dyn. Astr. 109 (2011) 101, table 5."""


class Year(NamedTuple):
    """A site's year of passages."""

    sky: SiteSky
    found: Passages


class Judge:
    """Plain Skyfield at a place, reading the same ephemeris."""

    def __init__(
        self, ephemeris: Any, latitude_deg: float, longitude_deg: float, elevation_m: float
    ) -> None:
        """Stand at the place."""
        self.ephemeris = ephemeris
        self.scale = load.timescale(builtin=True)
        ground = wgs84.latlon(latitude_deg, longitude_deg, elevation_m)
        self.here = self.ephemeris["earth"] + ground

    def times(self, utc_s: Floats) -> Any:
        """Skyfield's times of POSIX seconds."""
        return self.scale.from_datetimes([datetime.fromtimestamp(at, UTC) for at in utc_s])

    def excess_deg(self, target: Any, utc_s: Floats) -> Floats:
        """Separation of the centres less the Moon's radius, without aberration.

        That shrinks both alike, by up to 0.1 arcsecond of the radius; the ray is straight.
        """
        when = self.times(utc_s)
        moon = self.here.at(when).observe(self.ephemeris["moon"])
        star = self.here.at(when).observe(target)
        radius = np.degrees(np.arcsin(MOON_KM / moon.distance().km))
        return np.asarray(moon.separation_from(star).degrees - radius)

    def target(self, catalogue: Catalogue, row: int) -> Any:
        """What our row of a target is to Skyfield."""
        count = len(catalogue.beside_ecliptic)
        if row >= count:
            return self.ephemeris[TARGETS[PLANETS[row - count]]]
        star = catalogue.zodiac[row]
        return SkyfieldStar(
            ra_hours=star.ra_deg / 15,
            dec_degrees=star.dec_deg,
            ra_mas_per_year=star.pm_ra_mas,
            dec_mas_per_year=star.pm_dec_mas,
            parallax_mas=star.parallax_mas,
            epoch=2448349.0625,  # J1991.25
        )


@pytest.fixture(scope="module")
def judge_at() -> Iterator[Callable[..., Judge]]:
    """Makes a judge at latitude, longitude and elevation."""
    with closing(load_file(str(DE421_PATH))) as ephemeris:
        yield partial(Judge, ephemeris)


@pytest.fixture(scope="module")
def year_of(
    catalogue: Catalogue, make_site: Callable[..., Site], at_utc: Callable[[str], float]
) -> Callable[..., Year]:
    """Passages of a place's year, with the stars that the Moon can hide."""

    @cache
    def sky_of(year: int) -> YearSky:
        return build_year_sky(open_kernel(), year, (), catalogue.beside_ecliptic)

    @cache
    def passages_of(year: int, latitude_deg: float, longitude_deg: float, up_m: float) -> Year:
        seen = SiteSky(sky_of(year), make_site(latitude_deg, longitude_deg, up_m))
        start, end = at_utc(f"{year}-01-01T00:00:00"), at_utc(f"{year + 1}-01-01T00:00:00")
        near = conjunctions(seen.sky, start, end, FARTHEST_DEG)
        stars = (near.target < len(catalogue.zodiac)) | (near.target >= star_count(seen.sky))
        kept = type(near)(near.target[stars], near.utc_s[stars], near.separation_deg[stars])
        return Year(seen, passages(seen, kept))

    return passages_of


def test_a_published_year_of_occultations(
    published: Callable[[str], list[dict[str, str]]],
    catalogue: Catalogue,
    year_of: Callable[..., Year],
    at_utc: Callable[[str], float],
) -> None:
    """Every disappearance and reappearance of the table is found within 15 seconds."""
    hips = [star.hip for star in catalogue.zodiac]
    for row in published("occultations_1999.csv"):
        latitude, longitude = float(row["latitude_deg"]), float(row["longitude_deg"])
        found = year_of(1999, latitude, longitude, 30.0).found
        mine = found.target == hips.index(int(row["hip"]))
        ours = (found.enter_s if row["event"] == "D" else found.leave_s)[mine]
        then = at_utc(f"{row['date']}T{row['published_ut']}")
        assert np.abs(ours - then).min() < OCCULTATION_PUBLISHED_S, (
            row
        )  # the town is known, its coordinates are not


@pytest.mark.parametrize("place", PLACES)
def test_contacts_of_2027_are_those_of_plain_skyfield(
    place: str,
    catalogue: Catalogue,
    year_of: Callable[..., Year],
    judge_at: Callable[..., Judge],
) -> None:
    """At each contact the other's excess, by its rate of change, is less than a second away."""
    found = year_of(2027, *PLACES[place]).found
    judge = judge_at(*PLACES[place])
    hidden = np.flatnonzero(np.isfinite(found.enter_s))
    assert len(hidden) > 25
    for row in hidden.tolist():
        target = judge.target(catalogue, int(found.target[row]))
        for at_s in (found.enter_s[row], found.leave_s[row]):
            excess = judge.excess_deg(target, at_s + np.array([-5.0, 0.0, 5.0]))
            late_s = excess[1] / ((excess[2] - excess[0]) / 10.0)
            assert abs(late_s) < OCCULTATION_SKYFIELD_S, (row, at_s, late_s)


def _unit(seen: Any) -> Floats:
    return np.asarray(seen.position.km / seen.distance().km)


@pytest.mark.parametrize("place", PLACES)
def test_no_occultation_of_a_quarter_is_lost(
    place: str,
    catalogue: Catalogue,
    year_of: Callable[..., Year],
    judge_at: Callable[..., Judge],
    at_utc: Callable[[str], float],
) -> None:
    """A scan of every target at every ten minutes, above the horizon, finds none besides."""
    count = len(catalogue.zodiac)
    clusters = range(count, count + len(catalogue.clusters))
    year, judge = year_of(2027, *PLACES[place]), judge_at(*PLACES[place])
    start, end = at_utc("2027-02-01T00:00:00"), at_utc("2027-05-01T00:00:00")
    times, days = np.arange(start, end, 600.0), np.arange(start, end + 86400.0, 86400.0)
    moon = judge.here.at(judge.times(times)).observe(judge.ephemeris["moon"])
    unit, limit = _unit(moon), np.cos(np.arcsin(MOON_KM / moon.distance().km))
    scanned = set()
    rows = [row for row in range(star_count(year.sky.sky) + len(PLANETS)) if row not in clusters]
    for row in rows:
        target = judge.target(catalogue, row)
        daily = _unit(judge.here.at(judge.times(days)).observe(target))
        there = np.stack([np.interp(times, days, part) for part in daily])
        inside = times[np.sum(unit * there, axis=0) > limit]
        if len(inside):
            seen = judge.here.at(judge.times(inside)).observe(target).apparent()
            good = (seen.altaz()[0].degrees > 0.5) & (judge.excess_deg(target, inside) < -0.02)
            scanned |= {(row, round(at / 43200)) for at in inside[good].tolist()}
    assert len(scanned) >= 5
    found = year.found
    pairs = zip(found.target.tolist(), found.least_s.tolist(), strict=True)
    ours = {(row, round(at / 43200) + shift) for row, at in pairs for shift in (-1, 0, 1)}
    assert scanned <= ours


def test_moving_the_site_to_the_limit_makes_the_star_touch_the_limb(
    catalogue: Catalogue, year_of: Callable[..., Year], judge_at: Callable[..., Judge]
) -> None:
    """A graze told a few kilometres off: from a site moved by that way its excess is nil."""
    tried = 0
    for place in ((52.2, -1.5, 100.0), (-31.273, 149.061, 1165.0), (40.0, 10.0, 0.0)):
        for year in (2025, 2026, 2027):
            sky, found = year_of(year, *place)
            for row in np.flatnonzero(np.isfinite(found.limit_km)).tolist():
                way, bearing = found.limit_km[row], np.radians(found.limit_bearing_deg[row])
                there = moved(sky.site, way * np.cos(bearing), way * np.sin(bearing))
                judge = judge_at(there.latitude_deg, there.longitude_deg, there.elevation_m)
                target = judge.target(catalogue, int(found.target[row]))
                around = found.least_s[row] + np.arange(-60.0, 61.0, 2.0)
                touch_deg = judge.excess_deg(target, around).min()
                assert abs(touch_deg) * 3600 < 0.15, (place, year, row, way)
                assert way <= GRAZE_KM
                tried += 1
    assert tried >= 3


def test_angles_on_the_limb_agree_with_right_ascension_and_declination(
    catalogue: Catalogue, year_of: Callable[..., Year], judge_at: Callable[..., Judge]
) -> None:
    """Position angles by the other's equatorial places; the star is above the horizon once."""
    year, judge = year_of(2027, *PLACES["north"]), judge_at(*PLACES["north"])
    found = year.found
    hidden = np.flatnonzero(np.isfinite(found.enter_s))[:12]
    limb = limb_places(year.sky, found.target[hidden], found.enter_s[hidden])
    for k, row in enumerate(hidden.tolist()):
        at = judge.here.at(judge.times(found.enter_s[[row]])[0])
        moon = at.observe(judge.ephemeris["moon"]).apparent()
        star = at.observe(judge.target(catalogue, int(found.target[row]))).apparent()
        sun = at.observe(judge.ephemeris["sun"]).apparent()
        (ra, dec, _), (ra2, dec2, _) = moon.radec("date"), star.radec("date")
        ra3, dec3, _ = sun.radec("date")
        for other, ours in (
            ((ra2, dec2), limb.position_angle_deg[k]),
            ((ra3, dec3), limb.bright_limb_deg[k]),
        ):
            turn = other[0].radians - ra.radians
            east = np.cos(other[1].radians) * np.sin(turn)
            north = np.sin(other[1].radians) * np.cos(dec.radians) - np.cos(
                other[1].radians
            ) * np.sin(dec.radians) * np.cos(turn)
            theirs = np.degrees(np.arctan2(east, north))
            assert abs((ours - theirs + 180) % 360 - 180) < 0.05
