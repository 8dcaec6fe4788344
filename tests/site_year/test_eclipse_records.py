"""A year's eclipses as records: what shows above the skyline, when, and in which night."""

import time
from collections.abc import Callable
from datetime import UTC, date, datetime
from functools import cache
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from msgspec.structs import replace
from numpy.typing import NDArray

from almanac.inputs.catalogue import load_catalogue
from almanac.plan.nights import year_nights
from almanac.records.config import Horizon, Site
from almanac.records.events import Eclipse
from almanac.site_year.eclipses import year_eclipses
from almanac.sky.kernel import open_kernel
from almanac.sky.phases import find_phases
from almanac.sky.site_sky import SiteSky
from almanac.sky.year_sky import YearSky, build_year_sky

Floats = NDArray[np.float64]
Find = Callable[..., tuple[Eclipse, ...]]

FLAT = Horizon((0.0,), (0.0,))
NO_WINDOW: Floats = np.empty((0, 2))
TWENTY_YEARS_S = 6.0
"""For one site, places of the bodies at hand."""


def site(latitude_deg: float, longitude_deg: float, timezone: str, horizon: Horizon = FLAT) -> Site:
    """A made-up field."""
    return Site(
        *("Made-up Field", "made-up-field", latitude_deg, longitude_deg, 0.0, timezone),
        *(horizon, 10.0, 1010.0, 2.0, None),
    )


LYON = site(45.76, 4.84, "Europe/Paris")


@pytest.fixture(scope="module")
def sky_of_year() -> Callable[[int], YearSky]:
    """The bodies' places in a year."""
    kernel, star = open_kernel(), load_catalogue().stars[:1]
    return cache(lambda year: build_year_sky(kernel, year, star))


@pytest.fixture(scope="module")
def find(sky_of_year: Callable[[int], YearSky]) -> Find:
    """The eclipses of a site's year, with windows if given."""

    def of(year: int, where: Site, windows: Floats = NO_WINDOW) -> tuple[Eclipse, ...]:
        sky, nights = sky_of_year(year), year_nights(year, where.timezone)
        phases = find_phases(sky, nights.spans[0, 0] - 30 * 86400, nights.spans[-1, 1])
        return year_eclipses(SiteSky(sky, where), nights, windows, phases)

    return of


def posix_s(text: str) -> float:
    """POSIX seconds of an ISO instant in UTC."""
    return datetime.fromisoformat(text).replace(tzinfo=UTC).timestamp()


def one_of(eclipses: tuple[Eclipse, ...], slug: str) -> Eclipse:
    """The eclipse of a name."""
    return next(one for one in eclipses if one.slug == slug)


def codes(eclipse: Eclipse) -> list[str]:
    """Of its moments, in order."""
    return [moment.code for moment in eclipse.contacts]


def test_a_morning_eclipse_belongs_to_the_night_before(find: Find) -> None:
    """The Moon's eclipse of 12 January 2028, 04:14 UT, is of the night of the 11th."""
    eclipse = one_of(find(2028, LYON), "2028-01-12-lunar")
    assert (eclipse.date, eclipse.kind) == (date(2028, 1, 11), "partial")
    assert codes(eclipse) == ["p1", "u1", "greatest", "u4", "p4"]
    assert all(moment.visible for moment in eclipse.contacts)
    assert eclipse.deepest_utc == eclipse.contacts[2].at_utc
    assert eclipse.contacts[2].magnitude == pytest.approx(0.0662, abs=0.0004)


def test_the_suns_eclipse_has_the_local_date(find: Find) -> None:
    """22 July 2028, 02:57 UT, falls on the 22nd in Sydney; there it is total."""
    sydney = site(-33.87, 151.21, "Australia/Sydney")
    eclipse = one_of(find(2028, sydney), "2028-07-22-solar")
    assert (eclipse.date, eclipse.visible) == (date(2028, 7, 22), True)
    assert eclipse.solar is not None
    assert eclipse.solar.kind == "total"
    assert eclipse.solar.obscuration == 1
    assert 200 < (eclipse.solar.central_duration_s or 0) < 250
    assert eclipse.solar.magnitude < eclipse.solar.diameter_ratio


@pytest.mark.parametrize(
    ("year", "where", "slug", "misses"),
    [
        (2024, site(-33.87, 151.21, "Australia/Sydney"), "2024-04-08-solar", False),
        (2017, site(52.52, 13.4, "Europe/Berlin"), "2017-08-21-solar", False),
        (2027, site(-54.8, -68.3, "America/Argentina/Ushuaia"), "2027-08-02-solar", True),
        (2028, site(-33.87, 151.21, "Australia/Sydney"), "2028-01-12-lunar", False),
    ],
)
def test_what_cannot_be_seen_says_so(
    find: Find, year: int, where: Site, slug: str, misses: bool
) -> None:
    """Nothing is offered where the body is down or the shadow misses, and the list tells which."""
    eclipse = one_of(find(year, where), slug)
    assert not eclipse.visible
    assert (eclipse.deepest_utc, eclipse.solar) == (None, None)
    assert (eclipse.contacts == ()) == misses
    assert not any(moment.visible for moment in eclipse.contacts)


def test_a_skyline_hides_the_end(find: Find) -> None:
    """Behind a wall in the west the same eclipse ends where the Moon's upper limb sinks behind."""
    wall = Horizon((0.0, 230.0, 231.0, 300.0, 301.0), (0.0, 0.0, 30.0, 30.0, 0.0))
    eclipse = one_of(find(2028, replace(LYON, horizon=wall)), "2028-01-12-lunar")
    assert codes(eclipse) == ["p1", "u1", "greatest", "set", "u4", "p4"]
    falls = eclipse.contacts[3]
    assert falls.altitude_deg == pytest.approx(30 - 0.26, abs=0.03)
    assert [moment.visible for moment in eclipse.contacts] == [*4 * [True], False, False]


def test_the_sun_sets_eclipsed(find: Find) -> None:
    """In Lyon on 26 January 2028 the Sun sets before the greatest: deepest at sunset."""
    eclipse = one_of(find(2028, LYON), "2028-01-26-solar")
    view = eclipse.solar
    assert view is not None
    assert (view.kind, view.rises_eclipsed, view.sets_eclipsed) == ("partial", False, True)
    sunset = next(moment for moment in eclipse.contacts if moment.code == "set")
    assert eclipse.deepest_utc == sunset.at_utc
    assert sunset.sun_altitude_deg == pytest.approx(-50 / 60, abs=0.01)
    assert view.magnitude == pytest.approx(sunset.magnitude)
    assert view.looks[-1].at_utc == sunset.at_utc


def test_phases_inside_windows(find: Find) -> None:
    """What can be photographed is each phase cut to the windows, in order."""
    windows = np.array(
        [
            [posix_s("2028-01-12T02:00"), posix_s("2028-01-12T04:00")],
            [posix_s("2028-01-12T04:20"), posix_s("2028-01-12T05:00")],
        ]
    )
    eclipse = one_of(find(2028, LYON, windows), "2028-01-12-lunar")
    p1, u1, _, u4, _ = (moment.at_utc for moment in eclipse.contacts)
    ends = [datetime.fromtimestamp(at, UTC) for at in windows.ravel()]
    assert eclipse.lunar is not None
    assert [(s.phase, s.start_utc, s.end_utc) for s in eclipse.lunar.shots] == [
        ("penumbral", p1, u1),
        ("partial", u1, ends[1]),
        ("partial", ends[2], u4),
        ("penumbral", u4, ends[3]),
    ]


def test_places_agree_with_their_angles(find: Find) -> None:
    """Where the Moon's centre is drawn fits the position angles and the magnitude."""
    for eclipse in (e for year in (2027, 2028) for e in find(year, LYON) if e.visible):
        for moment in eclipse.contacts:
            apart = np.hypot(moment.right_deg, moment.up_deg)
            if eclipse.lunar:
                reach = eclipse.lunar.umbra_radius_deg + eclipse.lunar.moon_radius_deg - apart
                part = reach / (2 * eclipse.lunar.moon_radius_deg)
                assert moment.magnitude == pytest.approx(part, abs=0.01)
            elif moment.code not in ("c2", "c3"):
                toward = np.degrees(np.arctan2(-moment.right_deg, moment.up_deg)) % 360
                assert moment.zenith_angle_deg == pytest.approx(toward, abs=1e-6)


def test_twenty_years_take_seconds(find: Find) -> None:
    """A tenth of twenty years for one site, the bodies' places at hand, in a tenth of the time."""
    start = time.perf_counter()
    found = [one for year in (2027, 2028) for one in find(year, LYON)]
    assert (time.perf_counter() - start) * 10 < TWENTY_YEARS_S
    assert len(found) == 5 + 5


@pytest.mark.parametrize("name", ["north", "daylight"])
def test_no_window_during_an_eclipse_of_the_sun(case_of: Callable[[str], Any], name: str) -> None:
    """A Moon before the Sun is never offered."""
    year = case_of(name).year
    solar = [one for one in year.eclipses if one.body == "sun" and one.contacts]
    assert solar
    for one in solar:
        first, last = one.contacts[0].at_utc, one.contacts[-1].at_utc
        assert not any(
            window.start_utc < last and window.end_utc > first
            for night in year.nights
            for window in night.windows
        )


def test_local_dates_follow_the_zone(find: Find) -> None:
    """Every visible eclipse's night or day holds its deepest instant by the site's own clock."""
    for eclipse in find(2028, LYON):
        if eclipse.visible and eclipse.deepest_utc:
            local = eclipse.deepest_utc.astimezone(ZoneInfo("Europe/Paris"))
            evening = local.hour >= 12 or eclipse.body == "sun"
            assert (local.date() - eclipse.date).days == (0 if evening else 1)
