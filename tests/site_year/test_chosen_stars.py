"""Each window's calibration star, its moment and its hop, recomputed with plain Skyfield."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import numpy as np
import pytest
from msgspec import Struct
from msgspec.structs import asdict
from numpy.typing import NDArray

from almanac.plan.hop import half_frame_deg, hop_error, landing_chance
from almanac.plan.star_choice import NO_STAR
from almanac.records.stars import StarHop
from almanac.records.year import Window

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
CaseOf = Callable[[str], Any]
CHECKED = {
    "north": 24,
    "south": 24,
    "zenith": 24,
    "daylight": 12,
    "equatorial": 12,
    "latitude 69": 8,
    "wall": 8,
}
"""How many windows of each case are checked."""


def _wrapped(degrees: Floats | float) -> Any:
    return (degrees + 180) % 360 - 180


def _separation(one: tuple[Floats, Floats], other: tuple[Floats, Floats]) -> Floats:
    """Angle between (altitude, azimuth) places in degrees, by haversines."""
    h1, a1, h2, a2 = np.radians(np.broadcast_arrays(*one, *other))
    half = np.sin((h1 - h2) / 2) ** 2 + np.cos(h1) * np.cos(h2) * np.sin((a1 - a2) / 2) ** 2
    return np.degrees(2 * np.arcsin(np.sqrt(half)))


class Facts(Struct, frozen=True):
    """All stars at one start and through the lead after it; arrays of shape (stars,)."""

    case: Any
    minutes: Floats
    """From the start: every five to the end of the lead, (n,)."""
    stars: Any
    """At these minutes, (n, stars)."""
    look: Any
    """Moon and Sun at these minutes, (n,)."""

    def conditions(self, slack: float) -> Bools:
        """In reach, above ground, clear of the Moon, laid on one after the other: (3, stars).

        With slack (degrees) above nought limits are eased by it, below nought tightened.
        """
        limits, stars = self.case.config.stars, self.stars
        bright = np.array([star.magnitude for star in self.case.catalogue.stars])
        highest = min(limits.highest_altitude_deg, self.case.config.telescope.highest_altitude_deg)
        high = stars.altitude >= limits.lowest_altitude_deg - slack
        reach = np.all(high & (stars.altitude <= highest + slack), axis=0)
        ground = self.case.observer.ground(stars.azimuth)
        apart = self.separation() >= limits.least_moon_separation_deg - slack
        laid = [
            reach & (bright <= limits.faintest_magnitude),
            np.all(stars.altitude > ground - slack, axis=0),
            apart,
        ]
        return np.logical_and.accumulate(laid, axis=0)

    def separation(self) -> Floats:
        """Of each star from the Moon at the start."""
        moon = (self.look.moon[0], self.look.moon_azimuth[0])
        return _separation((self.stars.altitude[0], self.stars.azimuth[0]), moon)

    def chances(self) -> Floats:
        """Landing chance of every star, from Skyfield's places about the mount's own axis."""
        telescope, stars, look = self.case.config.telescope, self.stars, self.look
        if telescope.mount == "altaz":
            star = stars.azimuth[0], stars.true_altitude[0]
            moon = look.moon_azimuth[0], look.moon_true[0]
        else:
            star = stars.hour_angle[0], stars.declination[0]
            moon = look.moon_hour_angle[0], look.moon_declination[0]
        error = hop_error(*star, *moon, telescope.level_error_deg)
        return landing_chance(error, half_frame_deg(telescope))

    def row(self, hop: StarHop) -> int:
        """Where a star stands in the catalogue."""
        return [star.hip for star in self.case.catalogue.stars].index(hop.hip)

    def best(self, among: Bools) -> float:
        """The best landing chance of some stars."""
        return float(np.max(self.chances()[among], initial=0.0))


def _facts(case: Any, starts_s: list[float]) -> list[Facts]:
    """Facts at each start, in one go."""
    lead = case.config.stars.lead_min
    minutes = np.union1d(np.arange(0.0, lead, 5.0), [lead])
    utc_s = (np.array(starts_s)[:, None] + minutes * 60).ravel()
    if not len(utc_s):
        return []
    stars, look = case.observer.stars(case.catalogue, utc_s), case.observer.look(utc_s)

    def part(record: Any, row: int) -> Any:
        rows = slice(row * len(minutes), (row + 1) * len(minutes))
        return type(record)(**{name: value[rows] for name, value in asdict(record).items()})

    return [Facts(case, minutes, part(stars, k), part(look, k)) for k in range(len(starts_s))]


@pytest.fixture(scope="module", params=CHECKED)
def checked(request: pytest.FixtureRequest, case_of: CaseOf) -> list[tuple[Window, Facts]]:
    """Some windows that have a star, spread over the year, with the sky at their start."""
    case = case_of(request.param)
    windows = [window for window in case.windows if window.calibration]
    rows = np.random.default_rng(1610).choice(len(windows), CHECKED[case.name], replace=False)
    picked = [windows[row] for row in sorted(rows.tolist())]
    starts = [window.calibration.chosen.at_utc.timestamp() for window in picked]
    return list(zip(picked, _facts(case, starts), strict=True))


def _sun_dark(case: Any, first_s: float, last_s: float) -> Bools:
    """Whether each minute from first to last is dark enough to solve."""
    minutes = np.arange(first_s, last_s + 1, 60.0)
    return case.observer.look(minutes).sun < case.config.stars.solve_below_sun_deg


def _reach(case: Any, window: Window) -> tuple[float, float]:
    """Between which instants the star may be solved on; the hop must fall into the window."""
    lead_min = case.config.stars.lead_min
    left_min = max(lead_min, case.config.moon.shortest_window_min)
    return window.start_utc.timestamp() - lead_min * 60, window.end_utc.timestamp() - left_min * 60


def test_the_moment_is_the_first_that_is_dark_enough(checked: Any) -> None:
    """The window's start less the lead, or dusk after it: the Sun is low enough then."""
    for window, facts in checked:
        at_s = window.calibration.chosen.at_utc.timestamp()
        first, last = _reach(facts.case, window)
        assert first - 1e-3 <= at_s <= last + 1
        assert facts.look.sun[0] <= facts.case.config.stars.solve_below_sun_deg + 1e-3
        if at_s > first + 1:
            assert not np.any(_sun_dark(facts.case, first, at_s - 2))


def test_every_condition_holds_for_star_and_spare(checked: Any) -> None:
    """Bright, within limits, over the profile through the lead, clear of the Moon's glare."""
    for window, facts in checked:
        chosen, spare = window.calibration.chosen, window.calibration.spare
        held = facts.conditions(slack=2e-3)[-1]
        assert held[facts.row(chosen)], (chosen.star, chosen.at_utc)
        if spare:
            assert held[facts.row(spare)], (spare.star, spare.at_utc)
            assert spare.at_utc == chosen.at_utc
            assert spare.hip != chosen.hip


def test_no_usable_star_is_better_by_more_than_two_per_cent(checked: Any) -> None:
    """The chosen star lands within two per cent of the best; so does the spare of the rest."""
    for window, facts in checked:
        chosen, spare = window.calibration.chosen, window.calibration.spare
        surely = facts.conditions(slack=-2e-3)[-1]
        chance = facts.chances()
        assert chosen.landing_chance == pytest.approx(chance[facts.row(chosen)], abs=1e-3)
        assert chosen.landing_chance >= facts.best(surely) - 0.021
        surely[facts.row(chosen)] = False
        if spare:
            assert spare.landing_chance == pytest.approx(chance[facts.row(spare)], abs=1e-3)
            assert spare.landing_chance >= facts.best(surely) - 0.021
        else:
            assert not surely.any()


def test_among_equals_a_star_to_learn_is_chosen(checked: Any) -> None:
    """Another is taken only where no star to learn is within two per cent of the best."""
    for window, facts in checked:
        to_learn = facts.case.year.stars_to_learn.fewest
        learned = np.array([star.name in to_learn for star in facts.case.catalogue.stars])
        surely = facts.conditions(slack=-2e-3)[-1]
        level = surely & (facts.chances() >= facts.best(surely) - 0.019)
        assert learned[facts.row(window.calibration.chosen)] or not np.any(level & learned)


def test_the_hop_is_moon_minus_star(checked: Any) -> None:
    """At the start and after the lead, both refracted; right and up are positive."""
    for window, facts in checked:
        lead = timedelta(minutes=facts.case.config.stars.lead_min)
        for hop in filter(None, (window.calibration.chosen, window.calibration.spare)):
            row, stars, look = facts.row(hop), facts.stars, facts.look
            assert hop.star == facts.case.catalogue.stars[row].name
            assert hop.altitude_deg == pytest.approx(float(stars.altitude[0, row]), abs=1e-3)
            assert abs(_wrapped(hop.azimuth_deg - stars.azimuth[0, row])) < 5e-3
            assert hop.separation_deg == pytest.approx(float(facts.separation()[row]), abs=1e-3)
            assert hop.hop_utc == hop.at_utc + lead
            moves = (
                (0, hop.hop_azimuth_deg, hop.hop_altitude_deg),
                (-1, hop.turn_deg, hop.climb_deg),
            )
            for when, right, up in moves:
                climb = float(look.moon[when] - stars.altitude[when, row])
                assert up == pytest.approx(climb, abs=1e-3)
                turn = look.moon_azimuth[when] - stars.azimuth[when, row]
                steep = 1 / np.cos(np.radians(max(look.moon[when], stars.altitude[when, row])))
                assert abs(_wrapped(right - turn)) < 2e-3 * steep
                assert -180 <= right <= 180


def test_later_hops_are_moon_minus_star_and_can_be_made(checked: Any) -> None:
    """Half an hour, one and two hours on: all that the window, the dark and the star allow."""
    case = checked[0][1].case
    limits, least_min = case.config.stars, case.config.moon.shortest_window_min
    highest = min(limits.highest_altitude_deg, case.config.telescope.highest_altitude_deg)
    hops = [window.calibration.chosen for window, _ in checked]
    utc_s = np.array([[hop.hop_utc.timestamp() + s for s in (1800, 3600, 7200)] for hop in hops])
    stars = case.observer.stars(case.catalogue, utc_s.ravel())
    look = case.observer.look(utc_s.ravel())
    for k, at_s in enumerate(utc_s.ravel().tolist()):
        (window, facts), hop = checked[k // 3], hops[k // 3]
        row = facts.row(hop)
        height, azimuth = stars.altitude[k, row], stars.azimuth[k, row]
        margins = (
            window.end_utc.timestamp() - 60 * least_min - at_s,
            limits.solve_below_sun_deg - look.sun[k],
            height - limits.lowest_altitude_deg,
            height - case.observer.ground(azimuth),
            highest - height,
        )
        later = next((one for one in hop.later if one.at_utc.timestamp() == at_s), None)
        if later is None:
            assert min(margins) < 0.01
            continue
        assert min(margins) > -0.01
        assert later.climb_deg == pytest.approx(float(look.moon[k] - height), abs=1e-3)
        steep = 1 / np.cos(np.radians(max(look.moon[k], height)))
        off = _wrapped(later.turn_deg - (look.moon_azimuth[k] - azimuth))
        assert abs(off) < 2e-3 * steep


def test_clear_minutes_end_when_the_star_does(checked: Any) -> None:
    """Usable for the minutes given, and less than five minutes more if under an hour."""
    case = checked[0][1].case
    limits = case.config.stars
    highest = min(limits.highest_altitude_deg, case.config.telescope.highest_altitude_deg)
    hops = [window.calibration.chosen for window, _ in checked]
    ends = np.array([hop.at_utc.timestamp() + hop.clear_min * 60 for hop in hops])
    before, after = (case.observer.stars(case.catalogue, ends + s) for s in (-6.0, 306.0))
    for k, (hop, (_, facts)) in enumerate(zip(hops, checked, strict=True)):
        assert limits.lead_min <= hop.clear_min <= max(60, limits.lead_min)
        clear = []
        for seen in (before, after):
            altitude = seen.altitude[k, facts.row(hop)]
            ground = case.observer.ground(seen.azimuth[k, facts.row(hop)])
            clear.append(limits.lowest_altitude_deg <= altitude <= highest and altitude > ground)
        assert clear[0]
        assert hop.clear_min >= 60 or not clear[1]


@pytest.mark.parametrize("name", CHECKED)
def test_a_window_without_a_star_says_why(name: str, case_of: CaseOf) -> None:
    """Either no minute was dark enough, or one condition left no star."""
    case = case_of(name)
    for window in [window for window in case.windows if not window.calibration][:10]:
        first, last = _reach(case, window)
        dark = _sun_dark(case, first, last)
        if window.no_star == "too_bright_to_solve":
            assert not np.any(dark)
            continue
        left = _facts(case, [first + 60 * float(np.argmax(dark))])[0].conditions(slack=-0.3)
        assert not np.any(left[NO_STAR.index(window.no_star) - 1]), window.start_utc


@pytest.mark.parametrize("name", [*CHECKED, "latitude 78", "pole"])
def test_every_window_has_a_star_or_a_reason(name: str, case_of: CaseOf) -> None:
    """Never both, never neither; and every star is a star of the year's list."""
    case = case_of(name)
    hips = {star.hip for star in case.year.stars}
    for window in case.windows:
        assert (window.calibration is None) == (window.no_star is not None)
        if window.calibration:
            assert window.calibration.chosen.hip in hips
    served = sum(star.windows_served for star in case.year.stars)
    assert served == sum(1 for window in case.windows if window.calibration)
