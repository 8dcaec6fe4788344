"""Places and events of a site-year against plain Skyfield."""

import calendar
from collections.abc import Iterator
from typing import Any

import numpy as np
from numpy.typing import NDArray
from skyfield import almanac as skyfield_almanac
from skyfield.api import Star, load, load_file, wgs84
from timing import ratio_row, timed

from almanac.inputs.catalogue import load_catalogue
from almanac.records.config import Horizon, Site
from almanac.sky.fine_sky import fine_angles
from almanac.sky.kernel import DE421_PATH, TARGETS, Kernel
from almanac.sky.nodes import Grid
from almanac.sky.site_events import (
    HORIZON_REFRACTION_DEG,
    SUN_RISES_DEG,
    TWILIGHTS_DEG,
    SiteEvents,
)
from almanac.sky.site_sky import MOON_RADIUS_KM, SiteSky
from almanac.sky.star_events import star_events
from almanac.sky.year_sky import YearSky, build_year_sky

Floats = NDArray[np.float64]
Ours = dict[str, tuple[Floats, Floats, Floats]]
"""Instants of rise, set and upper transit of each target."""
Counts = dict[str, tuple[int, int, int]]

YEAR, DAYS = 2027, 365
STARS = load_catalogue().stars[:60]
START_S = float(calendar.timegm((YEAR, 1, 1, 0, 0, 0)))
BODIES = ("moon", "sun", "mercury", "venus", "mars", "jupiter", "saturn")
SLICE_DAYS = 10
BODY_BLOCK_DAYS, STAR_BLOCK_DAYS = 30, 4
"""Blocks that fit the processor's cache; nothing is kept from one to the next."""
CHECK_STEP = 7
"""Every seventh minute is held against Skyfield: it falls on all places between the nodes."""
FURTHER_DEG = (51.0, 0.0, 69.0, -33.0, 85.0)
EVENTS_DEG = (40.4, 67.9)
EVENT_STEP_S = 600.0
FINE_STEP_DAYS = 1 / 288
"""Step at which dark_twilight_day finds twilights of minutes too; by itself it takes an hour."""

KERNEL = Kernel()
TIMESCALE = load.timescale(builtin=True)
EPHEMERIS = load_file(str(DE421_PATH))
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
SKY_BODIES = [EPHEMERIS[TARGETS[name]] for name in BODIES]
TARGET = dict(zip((*BODIES, *(star.name for star in STARS)), SKY_BODIES + SKY_STARS, strict=True))


def site(latitude_deg: float, longitude_deg: float = -1.5) -> Site:
    """A bare site."""
    flat = Horizon((0.0,), (0.0,))
    return Site(
        "bench", "bench", latitude_deg, longitude_deg, 100.0, "UTC", flat, 10.0, 1010.0, 2.0, None
    )


def observer(place: Site) -> Any:
    """The same for Skyfield."""
    ground = wgs84.latlon(place.latitude_deg, place.longitude_deg, place.elevation_m)
    return EPHEMERIS["earth"] + ground


def minutes(first_day: int, days: int) -> Grid:
    """Every minute of some days."""
    return Grid(START_S + first_day * 86400.0, 60.0, days * 1440)


def blocks(days: int) -> Iterator[Grid]:
    """The year's minutes in blocks of days."""
    return (minutes(day, min(days, DAYS - day)) for day in range(0, DAYS, days))


def ours(sky: YearSky, place: Site, stars: bool) -> None:
    """Altitude and azimuth of everything on a 1-minute year."""
    seen = SiteSky(sky, place)
    for grid in blocks(BODY_BLOCK_DAYS):
        fine_angles(seen, BODIES, False, grid)
    for grid in blocks(STAR_BLOCK_DAYS) if stars else ():
        fine_angles(seen, (), True, grid)


def sky_times(utc_s: Floats, sky: YearSky) -> Any:
    """Skyfield times, nothing cached in them yet."""
    return TIMESCALE.tt_jd(2451545.0, sky.clock.tt_days(utc_s))


def theirs(times: Any, place: Site, targets: list[Any]) -> None:
    """The same of a slice by plain Skyfield."""
    here = observer(place).at(times)
    for target in targets:
        here.observe(target).apparent().altaz()


def worst_arcsec(sky: YearSky, place: Site, days: list[int]) -> dict[str, float]:
    """Largest difference from direct Skyfield in altitude and azimuth x cos(altitude).

    Of the very angles that are timed: minutes between the nodes too.
    """
    worst: dict[str, float] = {}
    seen = SiteSky(sky, place)
    for day in days:
        grid = minutes(day, 2)
        parts = fine_angles(seen, BODIES, False, grid), fine_angles(seen, (), True, grid)
        altitude = np.concatenate([part.altitude_deg[:, ::CHECK_STEP] for part in parts])
        azimuth = np.concatenate([part.azimuth_deg[:, ::CHECK_STEP] for part in parts])
        here = observer(place).at(sky_times(grid.times[::CHECK_STEP], sky))
        for row, (name, target) in enumerate(TARGET.items()):
            alt, az, _ = here.observe(target).apparent().altaz()
            up = np.abs(altitude[row] - alt.degrees).max()
            turn = (azimuth[row] - az.degrees + 180) % 360 - 180
            side = np.abs(turn * np.cos(alt.radians)).max()
            kind = name if name in BODIES else "stars"
            worst[kind] = max(worst.get(kind, 0.0), 3600 * max(float(up), float(side)))
    return worst


def told(worst: dict[str, float]) -> str:
    """Those differences in words."""
    others = max(worst[name] for name in BODIES if name != "mercury")
    return (
        f'error Mercury {worst["mercury"]:.4f}", other bodies {others:.4f}", '
        f'stars {worst["stars"]:.4f}"'
    )


def measures(rounds: int) -> Iterator[dict[str, Any]]:
    """Ratios of places, then of events."""
    sky, home = build_year_sky(KERNEL, YEAR, STARS), site(EVENTS_DEG[0])
    share = DAYS / SLICE_DAYS
    days = [int(day) for day in np.linspace(0, DAYS - SLICE_DAYS, rounds)]
    plain: list[tuple[float, float]] = []
    rich: list[tuple[float, float]] = []
    further: list[tuple[float, float]] = []
    for turn, day in enumerate(days):
        other = site(FURTHER_DEG[turn % len(FURTHER_DEG)])
        times = sky_times(minutes(day, SLICE_DAYS).times, sky)
        fast = timed(lambda: ours(build_year_sky(KERNEL, YEAR, ()), home, stars=False))
        slow = timed(lambda times=times: theirs(times, home, SKY_BODIES))
        full = timed(lambda: ours(build_year_sky(KERNEL, YEAR, STARS), home, stars=True))
        more = timed(lambda times=times: theirs(times, home, SKY_STARS))
        again = timed(lambda other=other: ours(sky, other, stars=True))
        cached = timed(
            lambda times=times, other=other: theirs(times, other, SKY_BODIES + SKY_STARS)
        )
        plain.append((slow * share, fast))
        rich.append(((slow + more) * share, full))
        further.append((cached * share, again))
    at_home = told(worst_arcsec(sky, home, days))
    away = [worst_arcsec(sky, site(latitude), days[:2]) for latitude in FURTHER_DEG]
    yield ratio_row("7 bodies alt-az, 1-minute year, shared layer included", plain, at_home)
    yield ratio_row("the same with 60 stars", rich, at_home)
    yield ratio_row(
        "each further site, Skyfield's nutation cached",
        further,
        told({name: max(worst[name] for worst in away) for name in away[0]}),
    )
    yield from event_measures(rounds)


def our_events(place: Site) -> tuple[SiteSky, Ours, dict[float, Floats]]:
    """All rise, set, transit and twilight of 67 targets."""
    seen, end_s = SiteSky(build_year_sky(KERNEL, YEAR, STARS), place), START_S + DAYS * 86400.0
    events = SiteEvents(seen, START_S, end_s, EVENT_STEP_S)
    found: Ours = {}
    for name in BODIES:
        passed = events.rise_set(name)
        found[name] = passed.up(), passed.down(), events.transits(name)
    twilight = {limit: events.sun_below(limit) for limit in TWILIGHTS_DEG.values()}
    stars = star_events(seen, START_S, end_s)
    for row, star in enumerate(STARS):
        found[star.name] = (
            stars.rise_s[stars.rise_star == row],
            stars.set_s[stars.set_star == row],
            stars.transit_s[stars.transit_star == row],
        )
    return seen, found, twilight


def their_events(place: Site, twilight_step_days: float | None = None) -> Counts:
    """The same by find_risings, find_settings, find_transits and dark_twilight_day: counts."""
    here, counts = observer(place), {}
    first, last = TIMESCALE.utc(YEAR, 1, 1), TIMESCALE.utc(YEAR + 1, 1, 1)
    for name, target in TARGET.items():
        counts[name] = (
            int(skyfield_almanac.find_risings(here, target, first, last)[1].sum()),
            int(skyfield_almanac.find_settings(here, target, first, last)[1].sum()),
            len(skyfield_almanac.find_transits(here, target, first, last)),
        )
    twilight = skyfield_almanac.dark_twilight_day(EPHEMERIS, here.vector_functions[-1])
    twilight.step_days = twilight_step_days or twilight.step_days
    counts["twilight"] = (len(skyfield_almanac.find_discrete(first, last, twilight)[0]), 0, 0)
    return counts


def counted(found: Ours, twilight: dict[float, Floats]) -> Counts:
    """Ours in the form of theirs: the Sun's rise and set are twilight's changes too."""
    counts = {name: (len(up), len(down), len(top)) for name, (up, down, top) in found.items()}
    edges = np.concatenate([spans.ravel() for spans in twilight.values()])
    inside = (edges > START_S) & (edges < START_S + DAYS * 86400.0)
    counts["twilight"] = (int(inside.sum()) + sum(counts["sun"][:2]), 0, 0)
    return counts


def event_errors(seen: SiteSky, found: Ours, twilight: dict[float, Floats]) -> tuple[float, float]:
    """How far from its limit Skyfield sees what rises, sets or darkens, and from the meridian.

    Arcseconds of altitude, and seconds.
    """
    here, arcsec, seconds = observer(seen.site), [0.0], [0.0]
    cases = [(name, np.concatenate(instants[:2]), None) for name, instants in found.items()]
    cases += [("sun", spans.ravel()[1:-1], limit) for limit, spans in twilight.items()]
    for name, utc_s, limit in cases:
        around = (utc_s[:, None] + [-1.0, 0.0, 1.0]).ravel()
        if len(around):
            times = sky_times(around, seen.sky)
            alt, _, _ = here.at(times).observe(TARGET[name]).apparent().altaz()
            wanted = _rises_deg(name, here, times) if limit is None else limit
            before, high, after = (alt.degrees - wanted).reshape(-1, 3).T
            arcsec.append(float(np.abs(high).max()) * 3600)
            seconds.append(float((np.abs(2 * high / (after - before))).max()))
    for name, (_, _, utc_s) in found.items():
        apparent = here.at(sky_times(utc_s, seen.sky)).observe(TARGET[name]).apparent()
        seconds.append(float(np.abs(apparent.hadec()[0].hours).max()) * 3600)
    return max(arcsec), max(seconds)


def _rises_deg(name: str, here: Any, times: Any) -> Floats | float:
    """The centre's altitude at rise.

    The Moon's disc from its geometric distance: Skyfield's own is as light travels from the
    barycentre's point of view, up to 40 km off, while aberration shrinks or widens the disc.
    """
    if name == "sun":
        return SUN_RISES_DEG
    if name == "moon":
        distance_km = (EPHEMERIS["moon"].at(times) - here.at(times)).distance().km
        return -HORIZON_REFRACTION_DEG - np.degrees(np.arcsin(MOON_RADIUS_KM / distance_km))
    return -HORIZON_REFRACTION_DEG


def event_measures(rounds: int) -> Iterator[dict[str, Any]]:
    """Events of two latitudes, with the counts side by side."""
    for latitude in EVENTS_DEG:
        place = site(latitude)
        pairs = []
        for _ in range(rounds):
            own = timed(lambda place=place: our_events(place))
            pairs.append((timed(lambda place=place: their_events(place)), own))
        seen, found, twilight = our_events(place)
        mine, other = counted(found, twilight), their_events(place, FINE_STEP_DAYS)
        wrong = [name for name in other if mine[name] != other[name]]
        same = f"other counts of {', '.join(wrong)}" if wrong else "equal counts"
        missed = other["twilight"][0] - their_events(place)["twilight"][0]
        arcsec, seconds = event_errors(seen, found, twilight)
        yield ratio_row(
            f"all events of 67 targets at {latitude} N",
            pairs,
            f"{same} (its hourly search misses {missed} twilights), "
            f'error {arcsec:.4f}" of altitude, {seconds:.3f} s',
        )
