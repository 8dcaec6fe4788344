"""What must hold of every site in every year: each function yields the breaches it finds."""

import json
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
from msgspec import Struct
from msgspec.structs import asdict
from numpy.typing import NDArray
from observer import Look, Observer

from almanac.publish.card import card_of
from almanac.publish.card_text import card_text
from almanac.publish.feeds import year_json
from almanac.publish.wording import Wording
from almanac.records.config import ClubConfig, Site
from almanac.records.year import Night, Window, YearAlmanac

Floats = NDArray[np.float64]
Breaches = Iterator[str]

ASIDE_S = 1.5
"""How far from an edge it is looked whether all conditions hold inside and one fails outside."""
ANGLE_DEG = 5e-5
"""0.18": what the places of both ways of computing may differ by, with room."""
FRACTION = 1e-6
HALF_DAY = timedelta(hours=12)
CHANCE_STEPS = 1e-4
"""In which chances are compared where sets of stars are."""
LEAST_GAP_D, MOST_GAP_D = 5.9, 8.9
"""Between principal phases: beyond the extremes of Meeus, Astronomical Algorithms, ch. 49."""
RANGES = {
    "chance": (0.0, 1.0),
    "fraction": (0.0, 1.0),
    "obscuration": (0.0, 1.0),
    "separation_deg": (0.0, 180.0),
    "clearance_deg": (0.0, 180.0),
    "azimuth_deg": (-360.0, 360.0),
    "altitude_deg": (-180.0, 180.0),
    "position_angle_deg": (0.0, 360.0),
    "zenith_angle_deg": (0.0, 360.0),
    "distance_km": (0.0, 414_000.0),
    "airmass": (0.9, 50.0),
}
"""By the end of a field's name."""


class SiteYear(Struct, frozen=True):
    """A computed year with what it was computed from."""

    config: ClubConfig
    site: Site
    year: YearAlmanac
    observer: Observer
    rng: np.random.Generator

    @property
    def windows(self) -> list[tuple[Night, Window]]:
        """All windows with their nights, in order of time."""
        return [(night, window) for night in self.year.nights for window in night.windows]


def hours_spans(case: SiteYear, night: Night) -> list[tuple[float, float]]:
    """The club's hours of a night, POSIX seconds."""
    spans = case.config.moon.hours[night.date.weekday()]
    if spans is None:
        return [(night.start_utc.timestamp(), night.end_utc.timestamp())]
    zone, noon = ZoneInfo(case.site.timezone), time(12)

    def at(clock: time, end: bool) -> float:
        morning = clock < noon or (end and clock == noon)
        day = night.date + timedelta(days=1) if morning else night.date
        return datetime.combine(day, clock, zone).timestamp()

    return [(at(span.start, False), at(span.end, True)) for span in spans]


def margins(case: SiteYear, nights: list[Night], look: Look) -> Floats:
    """By how much each condition holds at each instant, (5, n); negative where it fails.

    Degrees, but 1 or -1 for the club's hours and a scaled lit fraction.
    """
    moon, safety = case.config.moon, case.config.safety
    ground = case.observer.ground(look.moon_azimuth)
    sun = -50 / 60 - look.sun
    if moon.daylight:
        sun = np.maximum(sun, look.separation - safety.sun_stop_deg)
    inside = [
        any(start <= at <= end for start, end in hours_spans(case, night))
        for night, at in zip(nights, look.utc_s, strict=True)
    ]
    return np.array(
        [
            look.moon - np.maximum(moon.lowest_altitude_deg, ground),
            case.config.telescope.highest_altitude_deg - look.moon,
            sun,
            np.where(inside, 1.0, -1.0),
            (look.fraction - moon.thinnest_fraction) * ANGLE_DEG / FRACTION,
        ]
    )


def windows_in_their_nights(case: SiteYear) -> Breaches:
    """In order, apart, inside noon to noon, long enough, the best moment inside."""
    least = case.config.moon.shortest_window_min * 60
    for night, window in case.windows:
        start, end = window.start_utc, window.end_utc
        if not night.start_utc <= start <= window.best_utc <= end <= night.end_utc:
            yield f"{night.date}: window {start} to {end}, best {window.best_utc}"
        star = window.calibration
        if star and window.best_utc < star.chosen.hop_utc:
            yield f"{night.date}: best {window.best_utc} before the hop {star.chosen.hop_utc}"
        if (end - start).total_seconds() < least - 0.001:
            yield f"{night.date}: a window of {end - start}"
        if (window.calibration is None) == (window.no_star is None):
            yield f"{night.date}: neither or both of a star and a reason for none"
    for (night, one), (_, other) in pairwise(case.windows):
        if other.start_utc < one.end_utc:
            yield f"{night.date}: windows overlap at {other.start_utc}"


def windows_hold(case: SiteYear) -> Breaches:
    """At random instants inside, and just inside each edge, every condition holds."""
    asked = []
    for night, window in case.windows:
        start, end = window.start_utc.timestamp(), window.end_utc.timestamp()
        inside = case.rng.uniform(start + ASIDE_S, end - ASIDE_S, 2)
        asked += [(night, at) for at in (start + ASIDE_S, *inside.tolist(), end - ASIDE_S)]
    yield from _failing(case, asked)


def _failing(case: SiteYear, asked: list[tuple[Night, float]]) -> Breaches:
    if not asked:
        return
    nights = [night for night, _ in asked]
    held = margins(case, nights, case.observer.look(np.array([at for _, at in asked])))
    for column in np.flatnonzero(held.min(axis=0) < -ANGLE_DEG).tolist():
        night, at = asked[column]
        yield f"{night.date}: at {_utc(at)} a condition fails: {held[:, column].round(5)}"


def windows_end_where_a_condition_does(case: SiteYear) -> Breaches:
    """Just outside each edge some condition fails, but where noon parts two nights."""
    asked = []
    edges = {edge for _, window in case.windows for edge in (window.start_utc, window.end_utc)}
    for night, window in case.windows:
        if "window_withdrawn" in night.cautions:
            continue  # cut at sunset or sunrise for the sake of a move
        for edge, aside in ((window.start_utc, -ASIDE_S), (window.end_utc, ASIDE_S)):
            beyond = edge + timedelta(seconds=aside)
            touching = any(min(edge, beyond) < at < max(edge, beyond) for at in edges)
            if night.start_utc < beyond < night.end_utc and not touching:
                asked.append((night, beyond.timestamp()))
    for night, at, held in _all_hold(case, asked):
        nearer = at + np.linspace(-ASIDE_S, ASIDE_S, 301)  # the tip of a spike is passed in less
        again = margins(case, [night] * len(nearer), case.observer.look(nearer))
        if again.min() > 0:
            yield f"{night.date}: at {_utc(at)}, outside, all holds: {held.round(5)}"


def _all_hold(
    case: SiteYear, asked: list[tuple[Night, float]]
) -> Iterator[tuple[Night, float, Floats]]:
    """Those of some instants at which every condition clearly holds."""
    if not asked:
        return
    nights = [night for night, _ in asked]
    held = margins(case, nights, case.observer.look(np.array([at for _, at in asked])))
    for column in np.flatnonzero(held.min(axis=0) > ANGLE_DEG).tolist():
        yield *asked[column], held[:, column]


def no_window_is_missed(case: SiteYear) -> Breaches:
    """A random instant outside all windows at which all holds lies in too short a span."""
    nights = case.year.nights
    rows = case.rng.integers(len(nights), size=200)
    asked = [
        (
            nights[row],
            float(case.rng.uniform(night.start_utc.timestamp(), night.end_utc.timestamp())),
        )
        for row, night in ((row, nights[row]) for row in rows.tolist())
        if "window_withdrawn" not in nights[row].cautions
    ]
    asked = [
        (night, at)
        for night, at in asked
        if not any(w.start_utc.timestamp() <= at <= w.end_utc.timestamp() for w in night.windows)
    ]
    shortest_s = case.config.moon.shortest_window_min * 60
    for night, at, _ in _all_hold(case, asked):
        if all(_length_s(case, night, at, step_s) > shortest_s + 90 for step_s in (30.0, 0.5)):
            yield f"{night.date}: all holds at {_utc(at)} for long, and no window"


def _length_s(case: SiteYear, night: Night, at: float, step_s: float) -> float:
    """Length of the unbroken good span around an instant; of one that is long enough, a part."""
    reach_s = case.config.moon.shortest_window_min * 60 + 120
    first = max(night.start_utc.timestamp(), at - reach_s)
    last = min(night.end_utc.timestamp(), at + reach_s)
    times = np.arange(first, last, step_s)
    good = margins(case, [night] * len(times), case.observer.look(times)).min(axis=0) > 0
    here = int(np.clip(np.searchsorted(times, at), 0, len(times) - 1))
    bad = np.flatnonzero(~good)
    before, after = bad[bad < here], bad[bad > here]
    start = int(before[-1]) + 1 if len(before) else 0
    end = int(after[0]) - 1 if len(after) else len(times) - 1
    return (end - start) * step_s


def nights_are_the_year(case: SiteYear) -> Breaches:
    """Every evening of the year but those the zone skips, noon to noon, without a gap."""
    nights, year = case.year.nights, case.year.year
    for one, other in pairwise(nights):
        if one.end_utc != other.start_utc or not one.date < other.date:
            yield f"{one.date} ends {one.end_utc}, {other.date} begins {other.start_utc}"
    if {night.date.year for night in nights} != {year}:
        yield "a night of another year"
    zone = ZoneInfo(case.site.timezone)
    for day in range((date(year + 1, 1, 1) - date(year, 1, 1)).days):
        evening = date(year, 1, 1) + timedelta(days=day)
        noon = datetime.combine(evening, time(12), zone)
        real = noon.astimezone(UTC).astimezone(zone).date() == evening
        if real != (evening in {night.date for night in nights}):
            yield f"{evening}: the evening is {'missing' if real else 'not real'}"
    for night in nights:
        if (night.no_window is None) != bool(night.windows):
            yield f"{night.date}: {night.no_window} beside {len(night.windows)} windows"
    ranks = sorted(night.rank for night in nights if night.rank)
    if ranks != list(range(1, sum(bool(night.windows) for night in nights) + 1)):
        yield f"ranks {ranks[:5]}..."


def suns_are_in_order(case: SiteYear) -> Breaches:
    """Dusks sink and dawns rise in their order, inside the night; the dark is dark."""
    for night in case.year.nights:
        sun = night.sun
        dusks = [sun.civil_dusk_utc, sun.nautical_dusk_utc, sun.astronomical_dusk_utc]
        dawns = [sun.astronomical_dawn_utc, sun.nautical_dawn_utc, sun.civil_dawn_utc]
        for events in ([sun.set_utc, *dusks], [*dawns, sun.rise_utc]):
            there = [at for at in events if at is not None]
            if there != sorted(there):
                yield f"{night.date}: {there}"
        reach = sun_reach(case.site, night)
        for at in (sun.set_utc, *dusks, *dawns, sun.rise_utc):
            if at and not night.start_utc - reach <= at <= night.end_utc + reach:
                yield f"{night.date}: the Sun's {at} is outside"
        if any(
            dusk and dawn and dusk > dawn for dusk, dawn in zip(dusks, dawns[::-1], strict=True)
        ):
            yield f"{night.date}: dusks {dusks}, dawns {dawns}"
        if night.dark and not (
            night.start_utc <= night.dark.start_utc < night.dark.end_utc <= night.end_utc
        ):
            yield f"{night.date}: dark from {night.dark.start_utc} to {night.dark.end_utc}"
    asked = [(n, n.dark) for n in case.year.nights if n.dark]
    if asked:
        middle = [(d.start_utc.timestamp() + d.end_utc.timestamp()) / 2 for _, d in asked]
        look = case.observer.look(np.array(middle))
        for (night, _), sun_deg, moon_deg in zip(asked, look.sun, look.moon_true, strict=True):
            if sun_deg > -18 + ANGLE_DEG or moon_deg > 0:
                yield f"{night.date}: dark with the Sun at {sun_deg}, the Moon at {moon_deg}"


def sun_reach(site: Site, night: Night) -> timedelta:
    """How far beyond the noons that part two nights the Sun's own night may run: half a day, but a
    whole one where noon by the clock is nearer to the Sun's midnight than to its noon."""
    noon_utc_h = night.start_utc.hour + night.start_utc.minute / 60
    late_h = (noon_utc_h + site.longitude_deg / 15) % 24 - 12
    return HALF_DAY if abs(late_h) < 6 else 2 * HALF_DAY


def phases_are_in_order(case: SiteYear) -> Breaches:
    """New, first quarter, full, last quarter, in turn and about a week apart; apsides too."""
    kinds = ["new", "first_quarter", "full", "last_quarter"]
    for one, other in pairwise(case.year.phases):
        gap = (other.at_utc - one.at_utc).total_seconds() / 86400
        turn = (kinds.index(other.kind) - kinds.index(one.kind)) % 4
        if turn != 1 or not LEAST_GAP_D < gap < MOST_GAP_D:
            yield f"{one.kind} to {other.kind} in {gap} days"
    for near, far in pairwise(case.year.apsides):
        if near.kind == far.kind or near.at_utc >= far.at_utc:
            yield f"{near.kind} at {near.at_utc}, then {far.kind} at {far.at_utc}"
    if not 48 <= len(case.year.phases) <= 51:
        yield f"{len(case.year.phases)} phases"


def stars_serve(case: SiteYear) -> Breaches:
    """Each chosen star fulfils the club's limits when the work on it begins."""
    limits, lead = case.config.stars, case.config.stars.lead_min * 60
    highest = min(limits.highest_altitude_deg, case.config.telescope.highest_altitude_deg)
    for night, window in case.windows:
        if window.calibration is None:
            continue
        star = window.calibration.chosen
        hop = (star.hop_utc - star.at_utc).total_seconds()
        # the moment is a whole second, the window's start need not be one
        early = (window.start_utc - star.at_utc).total_seconds() - lead
        late = (star.hop_utc - window.end_utc).total_seconds()
        if abs(hop - lead) > 0.001 or early > 0.001 or late > 1:
            yield f"{night.date}: star at {star.at_utc}, hop at {star.hop_utc}"
        if not limits.lowest_altitude_deg <= star.altitude_deg <= highest:
            yield f"{night.date}: {star.star} at {star.altitude_deg}"
        if star.separation_deg < limits.least_moon_separation_deg:
            yield f"{night.date}: {star.star} {star.separation_deg} from the Moon"
        if star.altitude_deg < case.observer.ground(np.array([star.azimuth_deg]))[0] - ANGLE_DEG:
            yield f"{night.date}: {star.star} behind the profile"
        if window.calibration.spare and window.calibration.spare.hip == star.hip:
            yield f"{night.date}: {star.star} is its own spare"


def learning_adds_up(case: SiteYear) -> Breaches:
    """Each further star serves more windows, never more than there are, or as many and better."""
    learn = case.year.stars_to_learn
    if learn is None:
        return
    served = [point.windows_served for point in learn.curve]
    if served != sorted(served) or max(served, default=0) > len(case.windows):
        yield f"the curve serves {served} of {len(case.windows)}"
    for less, more in pairwise(learn.curve):
        fall = less.mean_landing_chance - more.mean_landing_chance
        if more.windows_served == less.windows_served and fall > CHANCE_STEPS:
            yield f"{more.count} stars serve as many windows as {less.count}, and land less often"
    if len(learn.unserved) != sum(w.calibration is None for _, w in case.windows):
        yield f"{len(learn.unserved)} windows are said to be without a star"


def figures_are_figures(case: SiteYear) -> Breaches:
    """No field is not-a-number or out of its range, and every instant is UTC."""
    yield from _walked(case.year, "year")


def _walked(value: Any, name: str) -> Breaches:
    if isinstance(value, bool) or value is None:
        return
    if isinstance(value, float):
        low, high = next((r for end, r in RANGES.items() if name.endswith(end)), (-1e12, 1e12))
        if not low <= value <= high:
            yield f"{name} = {value}"
    elif isinstance(value, datetime):
        if value.tzinfo is not UTC:
            yield f"{name} = {value!r}"
    elif isinstance(value, np.ndarray):
        if value.dtype.kind == "f" and not np.all(np.isfinite(value)):
            yield f"{name} holds what is not finite"
    elif isinstance(value, Struct):
        for field, one in asdict(value).items():
            yield from _walked(one, f"{name}.{field}")
    elif isinstance(value, dict):
        for key, one in value.items():
            yield from _walked(one, f"{name}[{key}]")
    elif isinstance(value, tuple | list):
        for one in value:
            yield from _walked(one, name)


def data_are_json(case: SiteYear) -> Breaches:
    """year.json is strict JSON and carries every night and window."""

    def refuse(word: str) -> None:
        raise ValueError(word)

    data = json.loads(year_json(case.year), parse_constant=refuse)
    if [night["date"] for night in data["nights"]] != [str(n.date) for n in case.year.nights]:
        yield "other nights in the data"
    if sum(len(night["windows"]) for night in data["nights"]) != len(case.windows):
        yield "other windows in the data"


def texts_agree(case: SiteYear) -> Breaches:
    """A card prints the hours, in local time and rounded, and the star that the data have."""
    zone = ZoneInfo(case.site.timezone)
    rows = case.rng.integers(len(case.year.nights), size=5)
    some = [case.year.nights[row] for row in rows.tolist()]
    for night in [*some, *[n for n in case.year.nights if n.windows][:3]]:
        text = card_text(card_of(case.year, night, case.config, Wording.of("en", str(zone))))
        for window in night.windows:
            for at in (window.start_utc, window.end_utc):
                if _clock(at, zone) not in text:
                    yield f"{night.date}: {_clock(at, zone)} is not on the card:\n{text}"
            if window.calibration and window.calibration.chosen.star not in text:
                yield f"{night.date}: {window.calibration.chosen.star} is not on the card"


def _clock(at: datetime, zone: ZoneInfo) -> str:
    wall = at.astimezone(zone).replace(tzinfo=None) + timedelta(seconds=30)
    return f"{wall:%H:%M}"


def _utc(at: float) -> datetime:
    return datetime.fromtimestamp(at, UTC)


INVARIANTS: tuple[Callable[[SiteYear], Breaches], ...] = (
    windows_in_their_nights,
    windows_hold,
    windows_end_where_a_condition_does,
    no_window_is_missed,
    nights_are_the_year,
    suns_are_in_order,
    phases_are_in_order,
    stars_serve,
    learning_adds_up,
    figures_are_figures,
    data_are_json,
    texts_agree,
)


def breaches(case: SiteYear) -> list[str]:
    """Everything that does not hold, each with the name of what was broken."""
    return [f"{law.__name__}: {found}" for law in INVARIANTS for found in law(case)]
