"""Places and events of a site-year against plain Skyfield."""

import calendar
from collections.abc import Iterator
from time import perf_counter
from typing import Any

import numpy as np
from skyfield import almanac as skyfield_almanac
from skyfield.api import Star, load, load_file, wgs84
from timing import ratio_row, timed

from almanac.inputs.catalogue import load_catalogue
from almanac.records.config import Horizon, Site
from almanac.sky.kernel import TARGETS, Kernel
from almanac.sky.nodes import Grid
from almanac.sky.site_events import SUN_RISES_DEG, TWILIGHTS_DEG, SiteEvents
from almanac.sky.site_sky import SiteSky
from almanac.sky.star_events import star_events
from almanac.sky.year_sky import YearSky, build_year_sky

YEAR = 2027
STARS = load_catalogue().stars[:60]
START_S = float(calendar.timegm((YEAR, 1, 1, 0, 0, 0)))
BODIES = ("moon", "sun", "mercury", "venus", "mars", "jupiter", "saturn")
DAYS, MINUTE_S, BLOCK_DAYS = 365, 60.0, 20
SLICE_DAYS = 10

KERNEL = Kernel()
TIMESCALE = load.timescale(builtin=True)
EPHEMERIS = load_file(str(KERNEL.path))
SKY_STARS = [
    Star(
        ra_hours=star.ra_deg / 15,
        dec_degrees=star.dec_deg,
        ra_mas_per_year=star.pm_ra_mas,
        dec_mas_per_year=star.pm_dec_mas,
        parallax_mas=star.parallax_mas,
        epoch=TIMESCALE.J(1991.25),
    )
    for star in STARS
]


def site(latitude_deg: float, longitude_deg: float = -1.5) -> Site:
    """A bare site."""
    flat = Horizon((0.0,), (0.0,))
    return Site(
        "bench", "bench", latitude_deg, longitude_deg, 100.0, "UTC", flat, 10.0, 1010.0, 2.0, None
    )


SITE = site(40.4)
OBSERVER = EPHEMERIS["earth"] + wgs84.latlon(SITE.latitude_deg, SITE.longitude_deg, 100.0)


def ours(sky: YearSky, place: Site, stars: bool) -> None:
    """Altitude and azimuth of everything on a 1-minute year."""
    seen = SiteSky(sky, place)
    for day in range(0, DAYS, BLOCK_DAYS):
        count = min(BLOCK_DAYS, DAYS - day) * 1440
        seen.bodies(BODIES, Grid(START_S + day * 86400.0, MINUTE_S, count))
    for day in range(DAYS if stars else 0):
        seen.stars(Grid(START_S + day * 86400.0, MINUTE_S, 1440))


def slice_times(day: int, sky: YearSky) -> Any:
    """Skyfield times of a ten-day slice; nothing is cached in them yet."""
    grid = Grid(START_S + day * 86400.0, MINUTE_S, SLICE_DAYS * 1440)
    return TIMESCALE.tt_jd(2451545.0, sky.clock.tt_days(grid.times))


def theirs(times: Any, targets: list[Any]) -> None:
    """The same of a slice by plain Skyfield."""
    observer = OBSERVER.at(times)
    for target in targets:
        observer.observe(target).apparent().altaz()


def worst_arcsec(sky: YearSky, days: list[int]) -> dict[str, float]:
    """Largest difference from direct Skyfield in altitude and azimuth x cos(altitude)."""
    worst: dict[str, float] = {}
    seen = SiteSky(sky, SITE)
    for day in days:
        utc_s = START_S + day * 86400.0 + np.arange(0, SLICE_DAYS * 86400.0, 1200.0)
        times = TIMESCALE.tt_jd(2451545.0, sky.clock.tt_days(utc_s))
        observer = OBSERVER.at(times)
        stars = seen.stars(utc_s)
        mine = {name: seen.body(name, utc_s) for name in BODIES}
        pairs = [
            (name, mine[name].altitude_deg, mine[name].azimuth_deg, EPHEMERIS[TARGETS[name]])
            for name in BODIES
        ] + [
            ("stars", stars.altitude_deg[:, row], stars.azimuth_deg[:, row], star)
            for row, star in enumerate(SKY_STARS)
        ]
        for name, altitude, azimuth, target in pairs:
            alt, az, _ = observer.observe(target).apparent().altaz()
            up = np.abs(altitude - alt.degrees).max()
            side = np.abs(((azimuth - az.degrees + 180) % 360 - 180) * np.cos(alt.radians)).max()
            worst[name] = max(worst.get(name, 0.0), 3600 * max(float(up), float(side)))
    return worst


def measures(rounds: int) -> Iterator[dict[str, Any]]:
    """Ratios of places, then of events."""
    bodies = [EPHEMERIS[TARGETS[name]] for name in BODIES]
    sky = build_year_sky(KERNEL, YEAR, STARS)
    share = DAYS / SLICE_DAYS
    days = [int(day) for day in np.linspace(0, DAYS - SLICE_DAYS, rounds)]
    plain: list[tuple[float, float]] = []
    rich: list[tuple[float, float]] = []
    further: list[tuple[float, float]] = []
    for day in days:
        fast = timed(lambda: ours(build_year_sky(KERNEL, YEAR, ()), SITE, stars=False))
        times = slice_times(day, sky)
        slow = timed(lambda times=times: theirs(times, bodies))
        stars = timed(lambda times=times: theirs(times, SKY_STARS))
        cached = timed(lambda times=times: theirs(times, bodies + SKY_STARS))
        full = timed(lambda: ours(build_year_sky(KERNEL, YEAR, STARS), SITE, stars=True))
        again = timed(lambda: ours(sky, site(51.0), stars=True))
        plain.append((slow * share, fast))
        rich.append(((slow + stars) * share, full))
        further.append((cached * share, again))
    worst = worst_arcsec(sky, days)
    planets = max(worst[name] for name in BODIES if name != "mercury")
    yield ratio_row(
        "7 bodies alt-az, 1-minute year, shared layer included",
        plain,
        f'Mercury {worst["mercury"]:.3f}", others {planets:.4f}"',
    )
    yield ratio_row("the same with 60 stars", rich, f'stars {worst["stars"]:.3f}"')
    yield ratio_row("each further site, Skyfield's nutation cached", further)
    yield from event_measures(rounds)


def our_events(place: Site) -> dict[str, int]:
    """All rise, set, transit and twilight of 67 targets: counts."""
    seen = SiteSky(build_year_sky(KERNEL, YEAR, STARS), place)
    events = SiteEvents(seen, START_S, START_S + DAYS * 86400.0)
    counts = {"rise": 0, "set": 0, "transit": 0}
    for name in BODIES:
        found = events.rise_set(name)
        counts["rise"] += len(found.up())
        counts["set"] += len(found.down())
        counts["transit"] += len(events.transits(name))
    for limit in (SUN_RISES_DEG, *TWILIGHTS_DEG.values()):
        events.sun_below(limit)
    stars = star_events(seen, START_S, START_S + DAYS * 86400.0)
    counts["rise"] += len(stars.rise_s)
    counts["set"] += len(stars.set_s)
    counts["transit"] += len(stars.transit_s)
    return counts


def their_events(place: Site) -> dict[str, int]:
    """The same by Skyfield's find_risings, find_settings, find_transits and dark_twilight_day."""
    ground = wgs84.latlon(place.latitude_deg, place.longitude_deg, place.elevation_m)
    observer = EPHEMERIS["earth"] + ground
    first, last = TIMESCALE.utc(YEAR, 1, 1), TIMESCALE.utc(YEAR + 1, 1, 1)
    counts = {"rise": 0, "set": 0, "transit": 0}
    for target in [*(EPHEMERIS[TARGETS[name]] for name in BODIES), *SKY_STARS]:
        counts["rise"] += int(skyfield_almanac.find_risings(observer, target, first, last)[1].sum())
        counts["set"] += int(skyfield_almanac.find_settings(observer, target, first, last)[1].sum())
        counts["transit"] += len(skyfield_almanac.find_transits(observer, target, first, last))
    twilight = skyfield_almanac.dark_twilight_day(EPHEMERIS, ground)
    skyfield_almanac.find_discrete(first, last, twilight)
    return counts


def event_measures(rounds: int) -> Iterator[dict[str, Any]]:
    """Events of two latitudes, with the counts side by side."""
    for latitude in (40.4, 67.9):
        pairs = []
        for _ in range(rounds):
            begin = perf_counter()
            mine = our_events(site(latitude))
            middle = perf_counter()
            other = their_events(site(latitude))
            pairs.append((perf_counter() - middle, middle - begin))
        same = "equal counts" if mine == other else f"counts {mine} against {other}"
        yield ratio_row(f"all events of 67 targets at {latitude} N", pairs, same)
