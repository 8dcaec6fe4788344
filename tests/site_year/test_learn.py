"""The stars to learn of real years, the reasons for each star, and its risings, recomputed."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from itertools import combinations
from pathlib import Path
from typing import Any

import ephem
import numpy as np
import pytest
from msgspec.structs import replace

from almanac.almanac import compute, year_sky
from almanac.inputs.catalogue import load_catalogue
from almanac.inputs.config import load_config
from almanac.plan.nights import year_nights
from almanac.plan.star_choice import PASSED_OVER
from almanac.records.config import ClubConfig, Horizon, Site
from almanac.records.stars import StarsToLearn
from almanac.records.year import YearAlmanac
from almanac.site_year.calibration import StarChooser
from almanac.site_year.windows import window_conditions, year_windows
from almanac.sky.site_events import SiteEvents
from almanac.sky.site_sky import SiteSky
from almanac.sky.year_sky import YearSky

MINIMAL = Path(__file__).parents[2] / "site_config" / "minimal.toml"
TRADE = ("Betelgeuse", "Aldebaran", "Capella", "Vega", "Deneb")
"""Said to serve all evenings near 50 N: common practice, no source."""
WALL = Horizon((0.0, 90.0, 90.0, 270.0, 270.0), (2.0, 2.0, 50.0, 50.0, 2.0))
PLACES = {
    "north": {"latitude_deg": 50.0, "timezone": "Europe/Prague", "longitude_deg": 15.0},
    "wall": {"latitude_deg": 50.0, "longitude_deg": 15.0, "timezone": "UTC", "horizon": WALL},
    "south": {"latitude_deg": -32.0, "longitude_deg": 141.0, "timezone": "Australia/Broken_Hill"},
    "arctic": {"latitude_deg": 69.0, "longitude_deg": 19.0, "timezone": "Europe/Oslo"},
}


@pytest.fixture(scope="module")
def sky() -> YearSky:
    """The sky of 2027."""
    return year_sky(2027, load_catalogue())


@pytest.fixture(scope="module")
def config() -> ClubConfig:
    """Every default, all night long."""
    return load_config(MINIMAL)


def place(config: ClubConfig, name: str) -> Site:
    """An open site, or the one with a wall from east through south to west."""
    return replace(config.sites[0], **PLACES[name])


@pytest.fixture(scope="module")
def year_of(sky: YearSky, config: ClubConfig) -> Callable[[str], YearAlmanac]:
    """A site's year, computed when first asked for."""
    done: dict[str, YearAlmanac] = {}

    def year(name: str) -> YearAlmanac:
        if name not in done:
            done[name] = compute(config, place(config, name), sky, load_catalogue())
        return done[name]

    return year


def chooser(sky: YearSky, config: ClubConfig, site: Site) -> StarChooser:
    """All stars at all windows' moments."""
    nights = year_nights(sky.year, site.timezone)
    events = SiteEvents(
        SiteSky(sky, site), nights.spans[0, 0] - 129600.0, nights.spans[-1, 1] + 129600.0
    )
    limits = window_conditions(events, nights, config)
    windows = year_windows(nights.spans, limits, config.moon).spans
    return StarChooser(windows, events, config, load_catalogue().stars)


def learned(year: YearAlmanac) -> StarsToLearn:
    """What the year says of the stars to learn."""
    assert year.stars_to_learn
    return year.stars_to_learn


@pytest.mark.parametrize("name", PLACES)
def test_no_fewer_stars_serve_a_real_year(name: str, sky: YearSky, config: ClubConfig) -> None:
    """All smaller sets of the 65 stars are looked at, and all pairs for the curve."""
    found = chooser(sky, config, place(config, name))
    usable, chance = found.candidates.usable, found.candidates.chance
    servable, fewest = usable[usable.any(axis=1)], found.to_learn.fewest
    assert fewest.windows_served == len(servable) == servable[:, fewest.stars].any(axis=1).sum()
    smaller = combinations(range(usable.shape[1]), len(fewest.stars) - 1)
    assert not any(servable[:, list(less)].any(axis=1).all() for less in smaller)
    best = max(
        (int(served.sum()), float(np.where(usable, chance, 0)[:, pair].max(axis=1).sum()))
        for pair in map(list, combinations(range(usable.shape[1]), 2))
        for served in [usable[:, pair].any(axis=1)]
    )
    point = found.to_learn.curve[1]
    assert point.windows_served == best[0]
    assert point.mean_chance == pytest.approx(best[1] / best[0], abs=1e-4)


@pytest.mark.parametrize("name", PLACES)
def test_a_year_says_which_stars_to_learn(name: str, year_of: Callable[[str], Any]) -> None:
    """Each window is served or listed with its reason, and the curve only rises."""
    year = year_of(name)
    windows = [window for night in year.nights for window in night.windows]
    found = learned(year)
    assert [(one.start_utc, one.no_star) for one in found.unserved] == [
        (window.start_utc, window.no_star) for window in windows if not window.calibration
    ]
    served = [point.windows_served for point in found.curve]
    assert served[-1] == len(windows) - len(found.unserved)
    assert [point.count for point in found.curve] == list(range(1, len(found.curve) + 1))
    ranks = [(point.windows_served, point.mean_landing_chance) for point in found.curve]
    assert ranks == sorted(ranks)


def test_three_or_four_stars_serve_a_year(year_of: Callable[[str], Any]) -> None:
    """The trade's rule holds with room: four stars serve every window that any star can, at every
    one of these sites, and land better than three times out of four."""
    for name in PLACES:
        found = learned(year_of(name))
        assert len(found.fewest) <= 2
        four = found.curve[3]
        assert four.windows_served == found.curve[-1].windows_served
        assert four.mean_landing_chance > 0.75


def test_the_five_stars_of_the_trade_serve_the_north(sky: YearSky, config: ClubConfig) -> None:
    """Betelgeuse, Aldebaran, Capella, Vega and Deneb serve every window at 50 N, though the best
    five of the year land more often."""
    stars = load_catalogue().stars
    known = tuple(star.hip for star in stars if star.name in TRADE)
    taught = replace(config, stars=replace(config.stars, known=known))
    trade = chooser(sky, taught, place(config, "north")).to_learn.fewest
    assert {stars[column].name for column in trade.stars} == set(TRADE)
    free = chooser(sky, config, place(config, "north")).to_learn.curve[4]
    assert free.windows_served == trade.windows_served
    assert free.mean_chance > trade.mean_chance + 0.1


def test_behind_a_wall_no_star_of_the_south_is_learned(year_of: Callable[[str], Any]) -> None:
    """With 50 degrees of wall to the south the fewest come from the north of the sky."""
    declination = {star.name: star.dec_deg for star in load_catalogue().stars}
    assert all(declination[name] > 30 for name in learned(year_of("wall")).fewest)


def test_the_arctic_summer_has_no_star_for_weeks(year_of: Callable[[str], Any]) -> None:
    """At 69 N no window from late May to late July has a star, and no star a usable evening."""
    year = year_of("arctic")
    summer = [night for night in year.nights if (night.date.month, night.date.day) >= (5, 20)]
    summer = [night for night in summer if (night.date.month, night.date.day) <= (7, 20)]
    assert len(summer) == 62
    assert not any(window.calibration for night in summer for window in night.windows)
    assert all(star.months[5].evening_hours == 0 for star in year.stars)
    codes = {one.no_star for one in learned(year).unserved}
    assert "too_bright_to_solve" in codes


def test_among_equals_a_star_to_learn_is_chosen(
    sky: YearSky, config: ClubConfig, year_of: Callable[[str], Any]
) -> None:
    """Within two per cent of the best chance the brightest star to learn wins; without one the
    brightest star does."""
    found = chooser(sky, config, place(config, "south"))
    windows = [window for night in year_of("south").nights for window in night.windows]
    learning = set(learned(year_of("south")).fewest)
    won = 0
    for row, usable in zip(found.rows, found.candidates.usable, strict=True):
        if not usable.any():
            continue
        chance = found.candidates.chance[list(found.rows).index(row)]
        level = np.flatnonzero(usable & (chance >= chance[usable].max() - 0.02))
        equals = [found.stars[column] for column in level]
        preferred = [star for star in equals if star.name in learning] or equals
        chosen = windows[row].calibration.chosen.hip
        assert chosen == min(preferred, key=lambda star: star.magnitude).hip
        won += preferred is not equals and chosen != min(equals, key=lambda s: s.magnitude).hip
    assert won > 0


@pytest.mark.parametrize("name", PLACES)
def test_reasons_are_those_of_the_sky(name: str, year_of: Callable[[str], Any]) -> None:
    """The brightest star of the sky is named where it was not chosen, with the figure that bars
    it."""
    year = year_of(name)
    magnitude = {star.hip: star.magnitude for star in year.stars}
    seen = set()
    for window in (w for night in year.nights for w in night.windows if w.calibration):
        chosen, reasons = window.calibration.chosen, window.calibration.reasons
        assert 0 < reasons.above_ground_deg <= chosen.altitude_deg
        assert reasons.sun_altitude_deg < -6.99
        star = reasons.passed_over
        if star is None:
            continue
        seen.add(star.reason)
        assert star.hip != chosen.hip
        assert magnitude[star.hip] < magnitude[chosen.hip]
        barred = {
            "too_low": star.altitude_deg < 15,
            "too_high": star.altitude_deg > 80,
            "behind_horizon": star.above_ground_deg <= 0,
            "not_clear_long": star.clear_min <= 15,
            "near_moon": star.separation_deg < 8,
            "lands_less": star.landing_chance < chosen.landing_chance,
            "not_to_learn": abs(star.landing_chance - chosen.landing_chance) <= 0.04,
        }
        assert barred[star.reason]
        earlier = list(PASSED_OVER)[: list(PASSED_OVER).index(star.reason)]
        assert not any(barred[code] for code in earlier if code != "not_clear_long")
    assert {"too_low", "lands_less"} <= seen


def altitude_and_hour_angle(name: str, site: Site, moment: datetime) -> tuple[float, float]:
    """A catalogue star by ephem, airless: degrees, and degrees west of the meridian."""
    star = next(star for star in load_catalogue().stars if star.name == name)
    years = 2027.5 - 1991.25
    body = ephem.FixedBody()
    body._epoch = ephem.J2000
    east = star.pm_ra_mas / np.cos(np.radians(star.dec_deg))
    body._ra = np.radians(star.ra_deg + east * years / 3.6e6)
    body._dec = np.radians(star.dec_deg + star.pm_dec_mas * years / 3.6e6)
    observer = ephem.Observer()
    observer.lat, observer.lon = np.radians(site.latitude_deg), np.radians(site.longitude_deg)
    observer.pressure, observer.date = 0, ephem.Date(moment.replace(tzinfo=None))
    body.compute(observer)
    west = float(observer.sidereal_time()) - float(body.ra)
    return np.degrees(float(body.alt)), (np.degrees(west) + 180) % 360 - 180


@pytest.mark.parametrize("name", ["north", "south", "arctic"])
def test_stars_rise_transit_and_set_when_ephem_says(
    name: str, year_of: Callable[[str], Any]
) -> None:
    """Within a second, on the night of each month's 15th: first noon to noon, local time."""
    year = year_of(name)
    checked = 0
    for star in year.stars[::4]:
        for month, found in enumerate(star.months, start=1):
            events = found.events
            night = next(n for n in year.nights if (n.date.month, n.date.day) == (month, 15))
            for moment, rising in ((events.rise_utc, True), (events.set_utc, False)):
                if moment is None:
                    continue
                low, mid, high = (
                    altitude_and_hour_angle(star.name, year.site, moment + timedelta(seconds=s))[0]
                    for s in (-30, 0, 30)
                )
                rate = (high - low) / 60
                assert (rate > 0) == rising
                assert abs((mid + 34 / 60) / rate) < 1
                assert night.start_utc <= moment < night.end_utc
                checked += 1
            assert night.start_utc <= events.transit_utc < night.end_utc
            west = altitude_and_hour_angle(star.name, year.site, events.transit_utc)[1]
            assert abs(west) * 240 < 1
    assert checked > 100


def test_a_star_that_never_sets_is_said_to_do_neither(year_of: Callable[[str], Any]) -> None:
    """At 50 N Capella stays up, Canopus stays down, and both pass the meridian."""
    stars = {star.name: star for star in year_of("north").stars}
    for name in ("Capella", "Canopus"):
        events = [month.events for month in stars[name].months]
        assert all(one.rise_utc is None and one.set_utc is None for one in events)
        assert all(one.transit_utc.tzinfo is UTC for one in events)
