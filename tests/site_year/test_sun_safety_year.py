"""A year by day: windows whose moves pass a risen Sun are withdrawn, and the pages say so."""

from pathlib import Path

import numpy as np
import pytest
from msgspec.structs import replace

from almanac.almanac import compute, year_sky
from almanac.inputs.catalogue import load_catalogue
from almanac.inputs.config import load_config
from almanac.publish.pages import site_pages
from almanac.records.config import ClubConfig
from almanac.records.year import Window, YearAlmanac
from almanac.sky.site_events import SUN_RISES_DEG
from almanac.sky.site_sky import SiteSky, angle_deg, from_angles

DEMO = Path(__file__).parents[2] / "site_config" / "demo.toml"
STOP_DEG = 15.0


@pytest.fixture(scope="module")
def config() -> ClubConfig:
    """The demo's club, by day too, parked to the north."""
    plain = load_config(DEMO)
    moon = replace(plain.moon, daylight=True, hours=(None,) * 7)
    return replace(plain, moon=moon, sites=plain.sites[:1])


@pytest.fixture(scope="module")
def sky(config: ClubConfig) -> SiteSky:
    """Its site's sky."""
    return SiteSky(year_sky(2027, load_catalogue()), config.sites[0])


@pytest.fixture(scope="module")
def year(config: ClubConfig, sky: SiteSky) -> YearAlmanac:
    """Its year."""
    return compute(config, config.sites[0], sky.sky, load_catalogue())


def brute_deg(sky: SiteSky, at_s: float, park: tuple[float, float]) -> float:
    """Least distance of a risen Sun from a mesh of the move between Moon and park, else inf."""
    when = np.array([at_s])
    moon, sun = sky.body("moon", when), sky.body("sun", when)
    if sun.altitude_deg[0] <= SUN_RISES_DEG + 0.01:
        return float("inf")
    turn = (moon.azimuth_deg[0] - park[0] + 180) % 360 - 180
    azimuth = park[0] + np.linspace(0, turn, 181)
    altitude = np.linspace(park[1], sky.refracted_deg(moon.altitude_deg)[0], 181)
    mesh = from_angles(*np.meshgrid(altitude, azimuth)).reshape(3, -1)
    place = from_angles(sky.refracted_deg(sun.altitude_deg), sun.azimuth_deg)
    return float(angle_deg(mesh, place).min())


def windows(year: YearAlmanac) -> list[Window]:
    """All windows of the year."""
    return [window for night in year.nights for window in night.windows]


def test_no_window_is_offered_whose_moves_pass_the_sun(
    year: YearAlmanac, sky: SiteSky, config: ClubConfig
) -> None:
    """By mesh, to and from the parked position; and the window carries the same distance."""
    park, by_day = config.telescope.park, 0
    for window in windows(year):
        ends = (window.start_utc.timestamp(), window.end_utc.timestamp())
        least = min(brute_deg(sky, at, park) for at in ends)
        assert least >= STOP_DEG
        if window.slew_clearance_deg is not None:
            by_day += 1
            assert window.slew_clearance_deg - 0.01 <= least <= window.slew_clearance_deg + 1.5
    assert by_day > 50


def test_every_window_withdrawn_would_have_passed_the_sun(
    year: YearAlmanac, sky: SiteSky, config: ClubConfig
) -> None:
    """Its mesh comes as near as it says, and the night says so and offers no daylight of it."""
    danger = year.danger
    assert danger is not None
    assert len(danger.withdrawn) > 10
    nights = {night.date: night for night in year.nights}
    for window in danger.withdrawn:
        assert window.slew.clearance_deg < STOP_DEG
        near = brute_deg(sky, window.slew.at_utc.timestamp(), config.telescope.park)
        assert window.slew.clearance_deg - 0.01 <= near < window.slew.clearance_deg + 1.5
        night = nights[window.date]
        assert "window_withdrawn" in night.cautions
        if not night.windows:
            assert night.no_window == "sun_too_close"


def test_the_pages_say_which_window_is_withdrawn_and_why(
    year: YearAlmanac, config: ClubConfig
) -> None:
    """The night's own page, and the page of the Sun's danger with the distance."""
    pages = site_pages(year, config, load_catalogue())
    danger = year.danger
    assert danger is not None
    sun = str(pages[f"{year.site.slug}/2027/sun.html"])
    for window in danger.withdrawn:
        night = str(pages[f"{year.site.slug}/2027/{window.date}.html"])
        assert "a move of the telescope would pass too near the Sun" in night
        assert f'href="{window.date}.html"' in sun
        assert f"{window.slew.clearance_deg:.1f}°" in sun


def test_the_sun_comes_over_the_profile_after_each_window(year: YearAlmanac, sky: SiteSky) -> None:
    """Its upper limb stands behind the profile just before and above it just after."""
    danger = year.danger
    assert danger is not None
    over = np.array([one.over_profile_utc.timestamp() for one in danger.returns])
    assert len(over) > 100
    for shift, above in ((-20.0, False), (20.0, True)):
        sun = sky.body("sun", over + shift)
        top = sky.refracted_deg(sun.altitude_deg) + np.degrees(np.arcsin(696000 / sun.distance_km))
        assert np.all((top > sky.ground_deg(sun.azimuth_deg)) == above)


def test_the_days_without_a_look_for_the_moon_are_those_of_its_least_distance(
    year: YearAlmanac, sky: SiteSky
) -> None:
    """Every night is on the list if and only if the Moon comes within the stop distance."""
    danger = year.danger
    assert danger is not None
    listed = {day.date: day.separation_deg for day in danger.new_moon_days}
    for night in year.nights:
        times = np.arange(night.start_utc.timestamp(), night.end_utc.timestamp(), 120.0)
        moon, sun = sky.body("moon", times), sky.body("sun", times)
        least = float(angle_deg(moon.direction, sun.direction).min())
        if abs(least - STOP_DEG) > 0.05:
            assert (night.date in listed) == (least < STOP_DEG), night.date
        if night.date in listed:
            assert listed[night.date] == pytest.approx(least, abs=0.05)
