"""Meetings and outings of real years, watched minute by minute with plain Skyfield."""

from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from msgspec.structs import replace
from numpy.typing import NDArray

from almanac.almanac import compute, year_sky
from almanac.records.config import HoursSpan, Meeting
from almanac.records.diary import ClubMeeting, OutingDate
from almanac.site_year.outings import proposals_of

Floats = NDArray[np.float64]
CaseOf = Callable[[str], Any]
MINUTE = 60.0
EDGE_S = 90.0
"""The watch looks once a minute."""
WEEKLY = Meeting(
    title="Every Friday",
    rule="FREQ=WEEKLY;BYDAY=FR",
    start=time(19, 30),
    duration_min=150.0,
    outdoors=True,
    first=date(2027, 1, 1),
)


@pytest.fixture(scope="module")
def chatham(case_of: CaseOf) -> Any:
    """The southern club on islands 12 h 45 min east of Greenwich, with a meeting every Friday."""
    south = case_of("south")
    site = replace(
        south.site, latitude_deg=-43.95, longitude_deg=-176.55, timezone="Pacific/Chatham"
    )
    meetings = (
        WEEKLY,
        replace(WEEKLY, title="Under the stars", needs="dark"),
        replace(WEEKLY, title="When the club never observes", rule="FREQ=WEEKLY;BYDAY=MO"),
    )
    config = replace(south.config, sites=(site,), meetings=meetings)
    year = compute(config, site, year_sky(2027, south.catalogue), south.catalogue)
    watch = south.observer
    observer = type(watch)(site, watch.ephemeris, watch.timescale)
    return replace(south, config=config, site=site, year=year, observer=observer)


@pytest.fixture(params=["north", "south", "chatham"])
def case(request: pytest.FixtureRequest, case_of: CaseOf) -> Any:
    """The demo in the north, the one in the south, and the islands."""
    name = request.param
    return request.getfixturevalue("chatham") if name == "chatham" else case_of(name)


def minutes(start: datetime, end: datetime) -> Floats:
    """The middles of all minutes between two instants."""
    return np.arange(start.timestamp() + MINUTE / 2, end.timestamp(), MINUTE)


def moon_serves(case: Any, utc_s: Floats) -> NDArray[np.bool_]:
    """Whether the Moon can be used in each minute, whatever the club's hours."""
    look, moon = case.observer.look(utc_s), case.config.moon
    return (
        (look.moon > moon.lowest_altitude_deg)
        & (look.moon > case.observer.ground(look.moon_azimuth))
        & (look.moon < case.config.telescope.highest_altitude_deg)
        & (look.sun < -50 / 60)
        & (look.fraction > moon.thinnest_fraction)
    )


def is_dark(case: Any, utc_s: Floats) -> NDArray[np.bool_]:
    """Whether the Sun is 18 degrees down and the Moon's upper limb below an ideal horizon."""
    look = case.observer.look(utc_s)
    radius = np.degrees(np.arcsin(1737.4 / look.moon_km))
    return (look.sun < -18) & (look.moon_true < -34 / 60 - radius)


def inside(utc_s: Floats, spans: list[tuple[datetime, datetime]], grow_s: float) -> Any:
    """Whether each instant is in a span made longer at both ends, or shorter."""
    found = np.zeros(len(utc_s), bool)
    for start, end in spans:
        found |= (utc_s > start.timestamp() - grow_s) & (utc_s < end.timestamp() + grow_s)
    return found


def local(case: Any, instant: datetime) -> datetime:
    """On the wall clock, without its zone."""
    return instant.astimezone(ZoneInfo(case.site.timezone)).replace(tzinfo=None)


def test_every_meeting_is_held_at_its_hour_by_the_clock(case: Any) -> None:
    """In summer time and out of it, as long as it lasts, on the day that its night begins."""
    meetings = case.year.diary.meetings
    assert len(meetings) >= 12
    for one in meetings:
        rule = case.config.meetings[one.series]
        assert local(case, one.start_utc) == datetime.combine(one.day, rule.start)
        assert one.end_utc - one.start_utc == timedelta(minutes=rule.duration_min)
        assert one.night == one.day
    offsets = {local(case, one.start_utc) - one.start_utc.replace(tzinfo=None) for one in meetings}
    assert len(offsets) == 2


def test_the_moon_at_a_meeting_is_what_the_watch_sees(case: Any) -> None:
    """Each minute of each meeting is in a part with the Moon or is not, as the sky has it.

    Windows shorter than the club's shortest are none: the watch looks at hours on either side.
    """
    shortest_s = case.config.moon.shortest_window_min * MINUTE
    seen = 0
    for one in case.year.diary.meetings:
        wide = timedelta(seconds=shortest_s)
        utc_s = minutes(one.start_utc - wide, one.end_utc + wide)
        serves = moon_serves(case, utc_s)
        edges = np.flatnonzero(np.diff(np.concatenate(([0], serves.astype(int), [0]))))
        for first, last in edges.reshape(-1, 2):
            if (last - first) * MINUTE < shortest_s - EDGE_S:
                serves[first:last] = False
        parts = [(part.start_utc, part.end_utc) for part in one.moon]
        during = (utc_s > one.start_utc.timestamp()) & (utc_s < one.end_utc.timestamp())
        assert np.all(serves[during & inside(utc_s, parts, -EDGE_S)])
        assert not np.any(serves[during & ~inside(utc_s, parts, EDGE_S)])
        seen += len(parts)
    assert seen >= 4


def test_the_dark_part_of_a_meeting_is_dark(case: Any) -> None:
    """All of it, and no minute of the meeting is dark if it has none."""
    found = 0
    for one in case.year.diary.meetings:
        utc_s = minutes(one.start_utc, one.end_utc)
        dark = is_dark(case, utc_s)
        if one.dark is None:
            assert not dark.any()
            continue
        span = [(one.dark.start_utc, one.dark.end_utc)]
        assert np.all(dark[inside(utc_s, span, -EDGE_S)])
        found += 1
    assert found >= 2


def judgement(case: Any, start: datetime, end: datetime, needs: str) -> set[str]:
    """Judgements that the watch allows: two where the share is near a limit."""
    serves = (is_dark if needs == "dark" else moon_serves)(case, minutes(start, end))
    usable, length = serves.sum() * MINUTE, (end - start).total_seconds()
    least = case.config.moon.shortest_window_min * MINUTE
    return {
        "good" if at >= length / 2 else "fair" if at >= least else "poor"
        for at in (usable - EDGE_S, usable + EDGE_S)
    }


def test_meetings_are_judged_by_their_hours(case: Any) -> None:
    """Good, fair or poor as counting minutes has it; all three occur somewhere in each year."""
    outdoors = [one for one in case.year.diary.meetings if one.outdoors]
    for one in outdoors:
        assert one.judgement in judgement(case, one.start_utc, one.end_utc, one.needs)
    assert {"good", "poor"} <= {one.judgement for one in outdoors}


def poor(case: Any) -> Iterator[ClubMeeting]:
    """Up to eight of the meetings that fall badly."""
    found = [one for one in case.year.diary.meetings if one.judgement == "poor"]
    return iter(found[:: 1 + len(found) // 8])


def test_a_better_day_is_better_and_none_is_nearer(case: Any) -> None:
    """The same hours by the clock; every nearer day of the club's is no better by the watch."""
    zone, hours = ZoneInfo(case.site.timezone), case.config.moon.hours
    found = 0
    for one in poor(case):
        rule = case.config.meetings[one.series]
        for better, weekdays in (
            (one.better, {day for day in range(7) if hours[day] != ()}),
            (one.better_same_weekday, {one.day.weekday()}),
        ):
            if better is None:
                continue
            found += 1
            start = datetime.combine(better.day, rule.start, zone).astimezone(UTC)
            assert better.start_utc == start
            assert better.judgement in judgement(case, start, better.end_utc, one.needs)
            assert better.day.weekday() in weekdays
            away = abs((better.day - one.day).days)
            for days in range(-away + 1, away):
                day = one.day + timedelta(days=days)
                if day.weekday() in weekdays and day.year == 2027 and better.judgement == "good":
                    at = datetime.combine(day, rule.start, zone).astimezone(UTC)
                    end = at + timedelta(minutes=rule.duration_min)
                    assert judgement(case, at, end, one.needs) != {"good"}
    assert found >= 1


def test_chances_come_from_the_sites_own_months(case_of: CaseOf) -> None:
    """A meeting has its month's share; a site without figures has no chance at all."""
    north = case_of("north")
    for one in north.year.diary.meetings:
        assert one.clear_chance == north.site.clear_sky[one.day.month - 1]
    pit = case_of("pit").year.diary
    assert [outing.gaps for outing in pit.outings] == [()] * 4
    assert all(one.chance is None for outing in pit.outings for one in outing.proposals)


def club_hours(case: Any, evening: OutingDate) -> bool:
    """Whether an outing lies in the club's hours of its night, by the wall clock."""
    spans: tuple[HoursSpan, ...] | None = case.config.moon.hours[evening.date.weekday()]
    if spans is None:
        return True

    def on(clock: time, noon_is_late: bool) -> datetime:
        late = clock < time(12) or (noon_is_late and clock == time(12))
        return datetime.combine(evening.date + timedelta(days=late), clock)

    start, end = local(case, evening.start_utc), local(case, evening.end_utc)
    second = timedelta(seconds=1)
    return any(
        on(span.start, False) - second <= start and end <= on(span.end, True) + second
        for span in spans
    )


def test_every_evening_of_an_outing_keeps_its_rule(case: Any) -> None:
    """Weekday, hours, length, height, light, side of the month, star: each evening of each kind."""
    met = set()
    for outing in case.year.diary.outings:
        rule = outing.rule
        for one in outing.dates:
            met.add(rule.kind)
            night = next(night for night in case.year.nights if night.date == one.date)
            assert one.date.weekday() in rule.weekdays
            assert one.end_utc - one.start_utc >= timedelta(minutes=rule.shortest_min)
            assert club_hours(case, one)
            utc_s = minutes(one.start_utc + timedelta(minutes=1), one.end_utc)[:-1]
            if one.moon is None:
                assert np.all(is_dark(case, utc_s))
                continue
            window = night.windows[one.moon.window]
            assert window.start_utc <= one.start_utc <= one.best_utc <= one.end_utc
            assert one.end_utc <= window.end_utc
            look = case.observer.look(utc_s)
            assert np.all(look.moon > rule.lowest_altitude_deg)
            if rule.hours_after_dark:
                assert np.all(look.sun < case.config.stars.solve_below_sun_deg)
                length = one.end_utc - one.start_utc
                assert length <= timedelta(hours=rule.hours_after_dark, seconds=1)
            assert rule.lit[0] <= one.moon.illuminated_fraction <= rule.lit[1]
            ahead = case.observer.moon_ahead_of_sun(np.array([one.best_utc.timestamp()]))[0]
            assert one.moon.waxing == (ahead < 180)
            assert rule.moon in ("either", "waxing" if one.moon.waxing else "waning")
            assert (one.moon.landing_chance or 0) >= rule.least_landing_chance
    assert met >= {"moon_evening", "fine_detail", "dark_sky"}


def test_no_evening_that_fits_is_forgotten(case: Any) -> None:
    """Of the nights on the rule's weekdays that are not listed as dark, none has hours enough."""
    outing = next(one for one in case.year.diary.outings if one.rule.kind == "dark_sky")
    listed = {one.date for one in outing.dates}
    missing = [
        night
        for night in case.year.nights
        if night.date.weekday() in outing.rule.weekdays and night.date not in listed
    ]
    assert len(missing) > 20
    for night in missing[::9]:
        utc_s = minutes(night.start_utc, night.end_utc)
        dark = is_dark(case, utc_s)
        for row in np.flatnonzero(dark):
            at = datetime.fromtimestamp(utc_s[row], UTC)
            instant = replace(outing.dates[0], date=night.date, start_utc=at, end_utc=at)
            dark[row] = club_hours(case, instant)
        edges = np.flatnonzero(np.diff(np.concatenate(([0], dark.astype(int), [0]))))
        longest = max((last - first for first, last in edges.reshape(-1, 2)), default=0)
        assert longest <= outing.rule.shortest_min + 2


def test_proposals_keep_their_rule_and_reserves_follow(case: Any) -> None:
    """Spacing, most in a season, reserves within their days and none twice; chances in order."""
    for outing in case.year.diary.outings:
        rule, proposals = outing.rule, outing.proposals
        mains = [one.main.date for one in proposals]
        assert len(mains) <= rule.dates
        assert all((b - a).days >= rule.spacing_days for a, b in pairwise(mains))
        seasons = [one.main.season for one in proposals]
        assert all(seasons.count(season) <= rule.per_season for season in seasons)
        used = [one.date.date for proposal in proposals for one in proposal.backups]
        assert len({*used, *mains}) == len(used) + len(mains)
        for proposal in proposals:
            assert len(proposal.backups) <= rule.backups
            for backup in proposal.backups:
                assert 0 < backup.days <= rule.backup_days
                if proposal.chance is not None and proposal.main.clear_chance is not None:
                    assert proposal.main.clear_chance <= backup.chance <= proposal.chance


def test_a_taken_day_gives_way_to_one_as_good_and_to_no_worse(case_of: CaseOf) -> None:
    """As good is what prints the same; the day before a better one is not preferred to it."""
    found = next(o for o in case_of("north").year.diary.outings if o.rule.kind == "moon_evening")
    rule = replace(found.rule, backups=0)
    alike = [replace(one, value=30.0 + 0.01 * (n % 3)) for n, one in enumerate(found.dates)]
    best = {one.main.date for one in proposals_of(rule, alike, None, set())}
    taken = {min(best)}
    apart = {one.main.date for one in proposals_of(rule, alike, None, taken)}
    assert len(apart) == len(best)
    assert not apart & taken
    better = [replace(one, value=40.0 if one.date in taken else 30.0) for one in alike]
    kept = {one.main.date for one in proposals_of(rule, better, None, taken)}
    assert taken <= kept
