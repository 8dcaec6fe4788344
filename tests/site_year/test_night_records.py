"""What each night says of Sun and Moon, in all sorts of places, against plain Skyfield."""

from collections.abc import Callable
from datetime import UTC, date, timedelta
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from numpy.typing import NDArray

Floats = NDArray[np.float64]
CaseOf = Callable[[str], Any]
USUAL = ["north", "south", "zenith", "daylight", "wall", "equatorial"]
POLAR = ["latitude 69", "latitude 78", "pole"]
EVERY = [*USUAL, *POLAR, "pit"]
SUN_EVENTS = {
    "set_utc": -50 / 60,
    "civil_dusk_utc": -6.0,
    "nautical_dusk_utc": -12.0,
    "astronomical_dusk_utc": -18.0,
    "astronomical_dawn_utc": -18.0,
    "nautical_dawn_utc": -12.0,
    "civil_dawn_utc": -6.0,
    "rise_utc": -50 / 60,
}


def _every_fifth(case: Any) -> list[Any]:
    return list(case.year.nights[::5])


@pytest.mark.parametrize("name", EVERY)
def test_sun_events_come_in_order(name: str, case_of: CaseOf) -> None:
    """Set, three dusks, three dawns, rise; those that happen rise in time."""
    for night in case_of(name).year.nights:
        found = [getattr(night.sun, event) for event in SUN_EVENTS]
        found = [at for at in found if at]
        assert found == sorted(set(found)), night.date


@pytest.mark.parametrize("name", EVERY)
def test_the_sun_is_where_each_event_says(name: str, case_of: CaseOf) -> None:
    """Sunset and sunrise at -50', twilights at -6, -12 and -18 degrees, to 4 arcseconds."""
    case = case_of(name)
    events = [
        (getattr(night.sun, event), limit)
        for night in _every_fifth(case)
        for event, limit in SUN_EVENTS.items()
        if getattr(night.sun, event)
    ]
    if events:
        sun = case.observer.look(np.array([at.timestamp() for at, _ in events])).sun
        assert sun == pytest.approx(np.array([limit for _, limit in events]), abs=1e-3)


@pytest.mark.parametrize("name", USUAL)
def test_away_from_the_poles_every_night_has_its_sunset_and_sunrise(
    name: str, case_of: CaseOf
) -> None:
    """Both inside the night, and each twilight on both sides or not at all."""
    for night in case_of(name).year.nights:
        sun = night.sun
        assert night.start_utc < sun.set_utc < sun.rise_utc < night.end_utc
        for twilight in ("civil", "nautical", "astronomical"):
            dusk, dawn = (getattr(sun, f"{twilight}_{side}_utc") for side in ("dusk", "dawn"))
            limit = SUN_EVENTS[f"{twilight}_dusk_utc"]
            if abs(sun.lowest_altitude_deg - limit) > 0.02:
                assert (dusk is not None) == (sun.lowest_altitude_deg < limit), night.date
                assert (dawn is not None) == (sun.lowest_altitude_deg < limit), night.date


@pytest.mark.parametrize("name", ["latitude 69", "latitude 78"])
def test_polar_day_and_night_have_no_sunset(name: str, case_of: CaseOf) -> None:
    """None while the Sun stays up or down, and the caution says which."""
    case = case_of(name)
    said = {"sun_never_sets": 0, "sun_never_rises": 0}
    for night in case.year.nights:
        sun = night.sun
        if sun.lowest_altitude_deg > -0.8:
            assert sun.set_utc is None
            assert sun.rise_utc is None
            assert "sun_never_sets" in night.cautions
        if sun.highest_altitude_deg < -0.9:
            assert sun.set_utc is None
            assert sun.rise_utc is None
            assert "sun_never_rises" in night.cautions
        for code in said:
            said[code] += code in night.cautions
    assert said["sun_never_sets"] > 50
    assert said["sun_never_rises"] > 40


@pytest.mark.parametrize("name", EVERY)
def test_a_sun_that_sets_is_not_said_never_to(name: str, case_of: CaseOf) -> None:
    """Events and cautions of a night do not contradict each other."""
    for night in case_of(name).year.nights:
        inside = [at for at in (night.sun.set_utc, night.sun.rise_utc) if at]
        inside = [at for at in inside if night.start_utc <= at < night.end_utc]
        assert not (inside and "sun_never_sets" in night.cautions), night.date
        assert not (inside and "sun_never_rises" in night.cautions), night.date


@pytest.mark.parametrize("name", EVERY)
def test_the_cap_comes_before_sunrise(name: str, case_of: CaseOf) -> None:
    """By the club's minutes, in every night with a sunrise and in no other."""
    case = case_of(name)
    for night in case.year.nights:
        before = timedelta(minutes=case.config.safety.cap_before_sunrise_min)
        rise = night.sun.rise_utc
        assert night.sun.cap_by_utc == (rise - before if rise else None)
        assert ("cap_before_sunrise" in night.cautions) == (rise is not None)


@pytest.mark.parametrize("name", EVERY)
def test_nights_are_the_years_own(name: str, case_of: CaseOf) -> None:
    """Every evening of the year once, from local noon to local noon."""
    case = case_of(name)
    first = date(case.year.year, 1, 1)
    count = (date(case.year.year + 1, 1, 1) - first).days
    assert [night.date for night in case.year.nights] == [
        first + timedelta(days=day) for day in range(count)
    ]
    zone = ZoneInfo(case.site.timezone)
    for night in case.year.nights:
        start, end = (at.astimezone(zone) for at in (night.start_utc, night.end_utc))
        assert (start.date(), start.hour) == (night.date, 12)
        assert (end.date(), end.hour) == (night.date + timedelta(days=1), 12)


@pytest.mark.parametrize("name", EVERY)
def test_every_instant_is_aware_and_utc(name: str, case_of: CaseOf) -> None:
    """Down to the hops."""
    for night in case_of(name).year.nights:
        instants = [night.start_utc, night.end_utc, night.moon.at_utc, *night.moon.rises_utc]
        instants += [getattr(night.sun, event) for event in SUN_EVENTS]
        instants += [transit.at_utc for transit in night.moon.transits]
        for window in night.windows:
            instants += [window.start_utc, window.best_utc, window.end_utc]
        assert all(at is None or at.tzinfo is UTC for at in instants)


@pytest.mark.parametrize("name", EVERY)
def test_a_night_has_windows_or_a_reason(name: str, case_of: CaseOf) -> None:
    """In order of time, apart from each other, and long enough."""
    case = case_of(name)
    shortest = timedelta(minutes=case.config.moon.shortest_window_min, microseconds=-2)
    for night in case.year.nights:
        assert bool(night.windows) == (night.no_window is None)
        assert bool(night.windows) == (night.rank is not None)
        for window in night.windows:
            assert window.end_utc - window.start_utc >= shortest
        for one, other in pairwise(night.windows):
            assert one.end_utc < other.start_utc


@pytest.mark.parametrize("name", EVERY)
def test_ranks_follow_the_finest_detail_then_the_length(name: str, case_of: CaseOf) -> None:
    """1 to n, each once, by each night's best window."""
    ranked = sorted(
        (night for night in case_of(name).year.nights if night.windows),
        key=lambda night: night.rank,
    )
    assert [night.rank for night in ranked] == list(range(1, len(ranked) + 1))
    best = [
        min((w.finest_detail_km, -(w.end_utc - w.start_utc).total_seconds()) for w in night.windows)
        for night in ranked
    ]
    assert best == sorted(best)


@pytest.mark.parametrize("name", [name for name in EVERY if name not in ("daylight", "pole")])
def test_without_daylight_no_window_is_in_daylight(name: str, case_of: CaseOf) -> None:
    """A window that begins at sunset or ends at sunrise does not count as by day."""
    for night in case_of(name).year.nights:
        assert not any(window.daylight for window in night.windows)
        assert "sun_up_in_window" not in night.cautions


@pytest.mark.parametrize("name", ["north", "latitude 69"])
def test_a_moon_close_to_a_risen_sun_is_told_with_or_without_a_window(
    name: str, case_of: CaseOf
) -> None:
    """Under 30 degrees with both up there is a warning, over it none; half an hour moves 0.3."""
    case = case_of(name)
    nights = [night for night in case.year.nights if not night.moon.age_days % 28 > 6]
    steps = np.array([np.arange(0, 86400.0, 1800.0) + n.start_utc.timestamp() for n in nights])
    look = case.observer.look(steps.ravel())
    both = (look.sun > -50 / 60) & (look.moon > 0)
    least = np.where(both, look.separation, 180.0).reshape(steps.shape).min(axis=1)
    for night, near in zip(nights, least, strict=True):
        told = {"sun_near_moon", "near_new_moon"} & set(night.cautions)
        assert told if near < 30.0 else near < 30.3 or "sun_near_moon" not in told, night.date
    warned = [night for night in nights if "sun_near_moon" in night.cautions]
    assert len(warned) > 8
    assert name != "north" or any(night.windows for night in warned)


def test_daylight_windows_keep_off_the_sun_and_say_so(case_of: CaseOf) -> None:
    """With the Sun up the Moon is never nearer than the stop; the cautions name both limits."""
    case = case_of("daylight")
    by_day = [(night, w) for night in case.year.nights for w in night.windows if w.daylight]
    assert len(by_day) > 100
    inside = [
        np.linspace(window.start_utc.timestamp() + 1, window.end_utc.timestamp() - 1, 13)
        for _, window in by_day
    ]
    look = case.observer.look(np.concatenate(inside))
    apart = np.where(look.sun > -50 / 60, look.separation, 180.0).reshape(len(by_day), -1)
    assert np.all(apart > case.config.safety.sun_stop_deg)
    for (night, _), least in zip(by_day, apart.min(axis=1), strict=True):
        assert "sun_up_in_window" in night.cautions
        assert least > 59.9 or "sun_near_moon" in night.cautions
    assert {night.no_window for night in case.year.nights} & {"sun_too_close", "too_thin"}
    assert "sun_up" not in {night.no_window for night in case.year.nights}


def test_a_moon_overhead_is_out_of_the_mounts_reach(case_of: CaseOf) -> None:
    """Where it passes the zenith the window breaks in two round it, and no window is higher."""
    case = case_of("zenith")
    broken = [night for night in case.year.nights if len(night.windows) > 1]
    assert len(broken) >= 3
    assert all(window.altitude_deg <= 88.0 + 1e-6 for window in case.windows)
    assert max(window.altitude_deg for window in case.windows) > 87.9


def test_behind_a_wall_the_moon_must_clear_it(case_of: CaseOf) -> None:
    """Sixty degrees of wall from east over south to west: the Moon is above it or in the north."""
    case = case_of("wall")
    assert case.windows
    for window in case.windows:
        south = 90 < window.azimuth_deg < 270
        assert window.altitude_deg >= (60 if south else 15) - 1e-6


def test_a_pit_has_no_window_all_year(case_of: CaseOf) -> None:
    """All nights say so, and everything else is there all the same."""
    case = case_of("pit")
    assert not case.windows
    assert {night.no_window for night in case.year.nights} == {"moon_below_limit"}
    assert not case.year.star_tracks
    assert all(month.best_date is None for star in case.year.stars for month in star.months)
    assert not any(season.usable.any() for season in case.year.seasons)


@pytest.mark.parametrize("name", EVERY)
def test_the_moon_rises_sets_and_culminates_where_it_says(name: str, case_of: CaseOf) -> None:
    """Upper limb at -34', centre on the meridian, transit altitude refracted; all in the night."""
    case = case_of(name)
    nights = _every_fifth(case)
    limbs = [at for night in nights for at in (*night.moon.rises_utc, *night.moon.sets_utc)]
    for night in nights:
        events = [*night.moon.rises_utc, *night.moon.sets_utc]
        events += [transit.at_utc for transit in night.moon.transits]
        assert all(night.start_utc <= at < night.end_utc for at in events)
    if limbs:
        look = case.observer.look(np.array([at.timestamp() for at in limbs]))
        half = np.degrees(np.arcsin(1737.4 / look.moon_km))
        assert look.moon_true + half == pytest.approx(np.full(len(limbs), -34 / 60), abs=1e-3)
    transits = [transit for night in nights for transit in night.moon.transits]
    look = case.observer.look(np.array([transit.at_utc.timestamp() for transit in transits]))
    heights = np.array([transit.altitude_deg for transit in transits])
    assert look.moon == pytest.approx(heights, abs=1e-3)
    if name != "pole":
        assert np.abs(look.moon_hour_angle) == pytest.approx(np.zeros(len(transits)), abs=5e-3)


@pytest.mark.parametrize("name", USUAL)
def test_the_moon_crosses_the_meridian_once_a_lunar_day(name: str, case_of: CaseOf) -> None:
    """24 h 37 min to 25 h 10 min from transit to transit, from the first night to the last."""
    nights = case_of(name).year.nights
    transits = np.array([t.at_utc.timestamp() for night in nights for t in night.moon.transits])
    gaps = np.diff(transits) / 3600
    assert gaps.min() > 24.5
    assert gaps.max() < 25.3
    assert transits[0] - nights[0].start_utc.timestamp() < 25.3 * 3600
    assert nights[-1].end_utc.timestamp() - transits[-1] < 25.3 * 3600


@pytest.mark.parametrize("name", ["north", "south", "latitude 78", "equatorial"])
def test_the_moon_of_a_night_is_described_as_skyfield_sees_it(name: str, case_of: CaseOf) -> None:
    """Lit fraction, phase angle, distance, diameter: topocentric, at at_utc."""
    case = case_of(name)
    moons = [night.moon for night in case.year.nights]
    look = case.observer.look(np.array([moon.at_utc.timestamp() for moon in moons]))

    def of(field: str) -> Floats:
        return np.array([getattr(moon, field) for moon in moons])

    assert of("illuminated_fraction") == pytest.approx(look.fraction, abs=1e-4)
    assert of("phase_angle_deg") == pytest.approx(look.phase_angle, abs=0.01)
    assert of("distance_km") == pytest.approx(look.moon_km, abs=2)
    arcmin = 2 * np.degrees(np.arcsin(1737.4 / look.moon_km)) * 60
    assert of("angular_diameter_arcmin") == pytest.approx(arcmin, abs=1e-3)


@pytest.mark.parametrize("name", EVERY)
def test_the_nights_moment_is_the_best_moment_or_transit_or_midnight(
    name: str, case_of: CaseOf
) -> None:
    """In that order, to the second."""
    case = case_of(name)
    zone = ZoneInfo(case.site.timezone)
    for night in case.year.nights:
        at, transits = night.moon.at_utc, night.moon.transits
        if night.windows:
            finest = min(window.finest_detail_km for window in night.windows)
            assert at in [w.best_utc for w in night.windows if w.finest_detail_km == finest]
        elif transits:
            assert abs(at - transits[0].at_utc) <= timedelta(seconds=1)
        else:
            local = at.astimezone(zone)
            assert (local.date(), local.hour) == (night.date + timedelta(days=1), 0)


@pytest.mark.parametrize("name", ["north", "zenith", "equatorial"])
def test_age_and_waxing_agree_with_the_phases(name: str, case_of: CaseOf) -> None:
    """Age counts from the last new Moon; the Moon waxes while it is less than 180 degrees ahead."""
    case = case_of(name)
    moons = [night.moon for night in case.year.nights]
    at_s = np.array([moon.at_utc.timestamp() for moon in moons])
    ahead = case.observer.moon_ahead_of_sun(at_s)
    clear = (np.abs(ahead - 180) > 0.1) & (np.abs((ahead + 180) % 360 - 180) > 0.1)
    waxing = np.array([moon.waxing for moon in moons])
    assert np.array_equal(waxing[clear], (ahead < 180)[clear])
    new = np.array([p.at_utc.timestamp() for p in case.year.phases if p.kind == "new"])
    for moon, at in zip(moons, at_s, strict=True):
        assert 0 <= moon.age_days < 29.9
        before = new[new <= at]
        if len(before):
            assert moon.age_days == pytest.approx((at - before[-1]) / 86400, abs=1e-5)


@pytest.mark.parametrize("name", ["north", "zenith", "equatorial"])
def test_phases_come_round_in_order_and_on_time(name: str, case_of: CaseOf) -> None:
    """New, first quarter, full, last quarter; the Moon is 0, 90, 180 and 270 degrees ahead."""
    case = case_of(name)
    cycle = ("new", "first_quarter", "full", "last_quarter")
    kinds = [cycle.index(phase.kind) for phase in case.year.phases]
    assert all((b - a) % 4 == 1 for a, b in pairwise(kinds))
    assert 49 <= len(kinds) <= 50
    at_s = np.array([phase.at_utc.timestamp() for phase in case.year.phases])
    ahead = case.observer.moon_ahead_of_sun(at_s) - 90.0 * np.array(kinds)
    off = (ahead + 180) % 360 - 180
    assert np.max(np.abs(off)) < 3e-4  # two seconds of the Moon's motion
    assert case.year.nights[0].start_utc <= case.year.phases[0].at_utc
    assert case.year.phases[-1].at_utc < case.year.nights[-1].end_utc


@pytest.mark.parametrize("name", EVERY)
def test_near_new_moon_is_said_when_the_moon_is_near_the_sun(name: str, case_of: CaseOf) -> None:
    """On a few days each month, all of them about the new Moon."""
    case = case_of(name)
    warned = [night for night in case.year.nights if "near_new_moon" in night.cautions]
    assert 12 < len(warned) < 120
    for night in warned:
        assert min(night.moon.age_days, 29.5 - night.moon.age_days) < 5


@pytest.mark.parametrize("name", EVERY)
def test_stars_of_the_year_and_seasons_are_complete(name: str, case_of: CaseOf) -> None:
    """Twelve months each with hours from nought to twelve, four seasons, best dates in month."""
    case = case_of(name)
    assert len(case.year.stars) == len(case.catalogue.stars)
    for star in case.year.stars:
        assert len(star.months) == 12
        for number, month in enumerate(star.months, start=1):
            assert 0 <= month.evening_hours <= 13
            assert (month.best_date is None) == (month.evening_hours == 0)
            if month.best_date:
                assert (month.best_date.year, month.best_date.month) == (case.year.year, number)
    assert [season.season for season in case.year.seasons] == [
        "winter",
        "spring",
        "summer",
        "autumn",
    ]
    for season in case.year.seasons:
        stars = 0 if season.at_utc is None else len(case.catalogue.stars)
        assert len(season.star_altitude_deg) == len(season.usable) == stars


@pytest.mark.parametrize("name", ["north", "south"])
def test_a_months_evening_hours_are_those_of_a_watched_month(name: str, case_of: CaseOf) -> None:
    """Mean over the month of dark-enough evenings, sampled every ten minutes with Skyfield."""
    case = case_of(name)
    limits, zone = case.config.stars, ZoneInfo(case.site.timezone)
    nights = [night for night in case.year.nights if night.date.month == 4][::5]
    totals = []
    for night in nights:
        minutes = np.arange(night.start_utc.timestamp() + 300, night.end_utc.timestamp(), 600.0)
        local = [night.start_utc.fromtimestamp(at, zone).date() for at in minutes]
        evening = np.array([day == night.date for day in local])
        dark = case.observer.look(minutes).sun < limits.solve_below_sun_deg
        seen = case.observer.stars(case.catalogue, minutes[evening & dark])
        highest = min(limits.highest_altitude_deg, case.config.telescope.highest_altitude_deg)
        usable = (seen.altitude >= limits.lowest_altitude_deg) & (seen.altitude <= highest)
        usable &= seen.altitude > case.observer.ground(seen.azimuth)
        totals.append(usable.sum(axis=0) / 6)
    watched = np.mean(totals, axis=0)
    printed = np.array([star.months[3].evening_hours for star in case.year.stars])
    assert printed == pytest.approx(watched, abs=0.3)


@pytest.mark.parametrize("name", ["north", "south", "latitude 69"])
def test_season_charts_show_the_sky_at_their_hour(name: str, case_of: CaseOf) -> None:
    """Star places and usable stars at at_utc, in the dark."""
    case = case_of(name)
    limits = case.config.stars
    bright = np.array(
        [star.magnitude <= limits.faintest_magnitude for star in case.catalogue.stars]
    )
    highest = min(limits.highest_altitude_deg, case.config.telescope.highest_altitude_deg)
    for season in case.year.seasons:
        if season.at_utc is None:
            assert name == "latitude 69"
            continue
        at_s = season.at_utc.timestamp()
        seen = case.observer.stars(case.catalogue, np.array([at_s]))
        altitude, azimuth = seen.altitude[0], seen.azimuth[0]
        assert season.star_altitude_deg == pytest.approx(altitude, abs=1e-3)
        assert case.observer.look(np.array([at_s])).sun[0] < limits.solve_below_sun_deg + 0.2
        usable = (altitude >= limits.lowest_altitude_deg) & (altitude <= highest) & bright
        usable &= altitude > case.observer.ground(azimuth)
        assert np.array_equal(season.usable, usable)


def test_southern_seasons_are_the_souths(case_of: CaseOf) -> None:
    """Winter is in July there."""
    winter = case_of("south").year.seasons[0]
    assert (winter.season, winter.date.month) == ("winter", 7)


def test_hours_across_midnight_are_kept(case_of: CaseOf) -> None:
    """At the equatorial mount's club every window lies between 18:30 and 01:30 on the clock."""
    case = case_of("equatorial")
    zone = ZoneInfo(case.site.timezone)
    crossing = 0
    for night in case.year.nights:
        for window in night.windows:
            start, end = (at.astimezone(zone) for at in (window.start_utc, window.end_utc))
            assert (start.hour, start.minute) >= (18, 30) or start.hour < 2
            assert (end.hour, end.minute) >= (18, 50) or (end.hour, end.minute) <= (1, 30)
            crossing += start.date() != end.date()
            assert window.longest_clip_s is None
            assert window.field_rotation_deg_per_hour == 0
    assert crossing > 50
