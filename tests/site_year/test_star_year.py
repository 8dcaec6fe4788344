"""A star's year and a month's chart against another library's places."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise
from pathlib import Path

import ephem
import pytest
from msgspec.structs import replace

from almanac.almanac import compute, year_sky
from almanac.inputs.catalogue import load_catalogue
from almanac.inputs.config import load_config
from almanac.records.config import ClubConfig
from almanac.records.year import YearAlmanac

DEMO = Path(__file__).resolve().parents[2] / "site_config" / "demo.toml"
STARS = ("Vega", "Aldebaran", "Spica", "Sirius")


@pytest.fixture(scope="module")
def config() -> ClubConfig:
    """The demonstration's club."""
    return load_config(DEMO)


@pytest.fixture(scope="module")
def year(config: ClubConfig) -> YearAlmanac:
    """Its first site's year."""
    catalogue = load_catalogue()
    return compute(config, config.sites[0], year_sky(2027, catalogue), catalogue)


def seen(year: YearAlmanac, body: ephem.Body, at: datetime, pressure: float) -> tuple[float, float]:
    """Altitude and azimuth in degrees by ephem."""
    site = ephem.Observer()
    site.lat, site.lon = str(year.site.latitude_deg), str(year.site.longitude_deg)
    site.elevation, site.pressure = year.site.elevation_m, pressure
    site.date = ephem.Date(at.astimezone(UTC).replace(tzinfo=None))
    body.compute(site)
    return float(body.alt) * 57.29577951, float(body.az) * 57.29577951


@pytest.mark.parametrize("name", STARS)
def test_a_usable_span_holds_in_its_middle_and_not_beyond(
    name: str, year: YearAlmanac, config: ClubConfig
) -> None:
    """In each span star and Sun fulfil the limits; an hour outside one of them does not."""
    star = next(one for one in year.stars if one.name == name)
    limits, site = config.stars, year.site
    highest = min(limits.highest_altitude_deg, config.telescope.highest_altitude_deg)

    def usable(at: datetime, slack: float) -> bool:
        altitude, azimuth = seen(year, ephem.star(name), at, 1000.0)
        sun, _ = seen(year, ephem.Sun(), at, 0.0)
        ground = ground_deg(site.horizon.azimuth_deg, site.horizon.altitude_deg, azimuth)
        return (
            limits.lowest_altitude_deg - slack < altitude < highest + slack
            and altitude > ground - slack
            and sun < limits.solve_below_sun_deg + slack
        )

    assert len(star.weeks) > 15
    for span in star.weeks:
        assert usable(span.start_utc + (span.end_utc - span.start_utc) / 2, 2.0), span
    edges = [span.end_utc + timedelta(hours=1) for span in star.weeks]
    starts = [span.start_utc for span in star.weeks]
    lonely = [at for at in edges if not any(abs(at - s) < timedelta(hours=2) for s in starts)]
    assert not any(usable(at, -0.5) for at in lonely)


def ground_deg(azimuths: tuple[float, ...], heights: tuple[float, ...], at: float) -> float:
    """The profile, by plain search between its points."""
    points = list(zip(azimuths, heights, strict=True))
    ring = [(points[-1][0] - 360, points[-1][1]), *points, (points[0][0] + 360, points[0][1])]
    for (a, low), (b, high) in pairwise(ring):
        if a <= at <= b and b > a:
            return low + (high - low) * (at - a) / (b - a)
    raise AssertionError(at)


def test_later_places_and_the_moons_road_are_those_of_the_sky(year: YearAlmanac) -> None:
    """Stars to 0.1 deg; the Moon's places keep its distance from a star through the turn."""
    for month in year.months:
        for place in month.later:
            altitude, azimuth = seen(year, ephem.star(place.star), place.at_utc, 0.0)
            if altitude > 10:
                assert place.altitude_deg == pytest.approx(altitude, abs=0.12)
                assert place.azimuth_deg == pytest.approx(azimuth, abs=0.05)
        assert len(month.moon) == sum(
            len(night.windows) for night in year.nights if night.date.month == month.month
        )
        assert month.sky.at_utc
        for moon, best in zip(month.moon, bests(year, month.month), strict=True):
            body = ephem.Moon(ephem.Date(best.replace(tzinfo=None)))
            fixed = ephem.FixedBody()
            fixed._ra, fixed._dec, fixed._epoch = body.g_ra, body.g_dec, best.replace(tzinfo=None)
            altitude, azimuth = seen(year, fixed, month.sky.at_utc, 0.0)
            assert moon.altitude_deg == pytest.approx(altitude, abs=0.05)


def bests(year: YearAlmanac, month: int) -> list[datetime]:
    """Best moments of a month's windows."""
    nights = [night for night in year.nights if night.date.month == month]
    return [window.best_utc for night in nights for window in night.windows]


@pytest.mark.parametrize("latitude_deg", [-34.0, 69.6])
def test_other_skies(latitude_deg: float, config: ClubConfig) -> None:
    """In the south the Cross's stars are used; at 69 N no summer chart has an hour."""
    catalogue = load_catalogue()
    site = replace(config.sites[0], latitude_deg=latitude_deg)
    year = compute(config, site, year_sky(2027, catalogue), catalogue)
    acrux = next(star for star in year.stars if star.name == "Acrux")
    charts = [month.sky.at_utc is not None for month in year.months]
    if latitude_deg < 0:
        assert len(acrux.weeks) > 20
        assert all(charts)
    else:
        assert not acrux.weeks
        assert charts[4:7] == [False] * 3
        june = [span for star in year.stars for span in star.weeks if span.date.month == 6]
        assert june == []
