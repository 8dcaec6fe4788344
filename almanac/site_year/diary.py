"""The club's meetings of a site's year, each laid on the sky of its own hours."""

from collections import defaultdict
from collections.abc import Callable
from datetime import date, timedelta
from functools import cached_property
from zoneinfo import ZoneInfo

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from almanac.plan import diary
from almanac.plan.diary import JUDGEMENTS
from almanac.plan.intervals import intersect, overlaps, rows_of
from almanac.plan.nights import YearNights
from almanac.plan.odds import Weather
from almanac.plan.recurrence import days_of, meeting_days, start_of
from almanac.plan.windows import Conditions, YearWindows
from almanac.records.config import ClubConfig, Meeting
from almanac.records.diary import BetterDate, ClubMeeting, DarkPart, MeetingMoon
from almanac.site_year.calibration import Choice, first_looks
from almanac.site_year.instants import instant
from almanac.site_year.safety import safe_windows
from almanac.site_year.windows import WindowFigures, window_figures, year_windows
from almanac.sky.site_events import TWILIGHTS_DEG, SiteEvents

Floats = NDArray[np.float64]
Rows = NDArray[np.int64]
Choose = Callable[[Floats], list[Choice]]
"""The stars of windows (n, 2)."""

DAY = timedelta(days=1)


class OpenSky(Struct, frozen=True, dict=True):
    """When the Moon can be used and when it is dark, whatever the club's hours."""

    events: SiteEvents
    nights: YearNights
    config: ClubConfig
    limits: Conditions

    @property
    def weather(self) -> Weather | None:
        """The site's clear evenings; None if the club has no figures."""
        site = self.events.sky.site
        return Weather(site.clear_sky, site.persistence) if site.clear_sky else None

    @cached_property
    def wider(self) -> YearNights:
        """The year's nights and the one before, to which the first morning belongs."""
        nights, noon = self.nights, self.nights.spans[0, 0]
        return YearNights(
            dates=(nights.dates[0] - DAY, *nights.dates),
            spans=np.vstack([[noon - DAY.total_seconds(), noon], nights.spans]),
            midnights=nights.midnights,
        )

    @cached_property
    def windows(self) -> YearWindows:
        """Moon windows as if the club had all hours."""
        always = replace(self.limits, in_hours=self.wider.spans)
        offered = year_windows(self.wider.spans, always, self.config.moon)
        return safe_windows(offered, self.events, self.wider, self.config)[0]

    @cached_property
    def deep_night(self) -> Floats:
        """Spans with the Sun below -18 degrees."""
        return self.events.sun_below(TWILIGHTS_DEG["astronomical"])

    @cached_property
    def dark(self) -> Floats:
        """Those of them without the Moon."""
        return intersect(self.deep_night, self.events.moon_down())


class Hours(Struct, frozen=True, dict=True):
    """The hours of one meeting rule on every day of the year, held or not, and how they fall."""

    sky: OpenSky
    meeting: Meeting
    days: tuple[date, ...]

    @cached_property
    def spans(self) -> Floats:
        """Start and end of each day's, (n, 2)."""
        zone = ZoneInfo(self.sky.events.sky.site.timezone)
        starts = [start_of(day, self.meeting.start, zone).timestamp() for day in self.days]
        return np.array(starts)[:, None] + np.array([0.0, self.meeting.duration_min * 60])

    @cached_property
    def held(self) -> list[int]:
        """Rows of the days on which the meeting is held."""
        sky = self.sky.events.sky
        days = meeting_days(self.meeting, sky.sky.year, ZoneInfo(sky.site.timezone))
        return [row for row, day in enumerate(self.days) if day in days]

    def _judged(self, spans: Floats) -> Rows:
        least_s = self.sky.config.moon.shortest_window_min * 60
        return diary.judged(diary.seconds_in(self.spans, spans), self.spans, least_s)

    @cached_property
    def by_moon(self) -> Rows:
        """Index into JUDGEMENTS of each day's for the Moon."""
        return self._judged(self.sky.windows.spans)

    @cached_property
    def by_dark(self) -> Rows:
        """The same for the dark."""
        return self._judged(self.sky.dark)

    @cached_property
    def judgements(self) -> Rows:
        """The same for what the meeting needs."""
        needs = {"moon": self.by_moon, "dark": self.by_dark}
        return needs.get(self.meeting.needs, np.maximum(self.by_moon, self.by_dark))

    @cached_property
    def nights(self) -> Rows:
        """Row of the night, in the wider nights, that holds each day's start."""
        return rows_of(self.spans, self.sky.wider.spans)

    @cached_property
    def dark_parts(self) -> dict[int, tuple[float, float]]:
        """The longest dark part of each day's that has one."""
        return diary.longest_in(self.spans, self.sky.dark)

    def reason(self, row: int) -> str:
        """Why a day's fall as they do."""
        if not self.meeting.outdoors:
            return "under_roof"
        by_moon, by_dark = int(self.by_moon[row]), int(self.by_dark[row])
        if self.meeting.needs == "dark" or (self.meeting.needs == "either" and by_dark > by_moon):
            low = diary.seconds_in(self.spans[row : row + 1], self.sky.deep_night)[0] > 0
            return diary.dark_reason(by_dark, bool(low))
        return diary.moon_reason(by_moon, self.sky.windows.no_window[int(self.nights[row])])

    def better(self, row: int, weekdays: tuple[int, ...]) -> BetterDate | None:
        """The nearest day of these weekdays that would fall better."""
        found = diary.better_day(self.days, self.judgements, row, weekdays)
        if found is None:
            return None
        start, end = self.spans[found].tolist()
        judgement = JUDGEMENTS[int(self.judgements[found])]
        night = self.sky.wider.dates[int(self.nights[found])]
        return BetterDate(self.days[found], night, instant(start), instant(end), judgement)

    def moon_parts(self) -> tuple[list[int], Floats]:
        """For each part of a held meeting in which the Moon can be used its day's row, and it."""
        rows, parts = overlaps(self.spans[self.held], self.sky.windows.spans)
        return [self.held[row] for row in rows.tolist()], parts


def club_meetings(sky: OpenSky, choose: Choose) -> tuple[ClubMeeting, ...]:
    """All meetings of the year at the site, in order of time."""
    site = sky.events.sky.site
    days = days_of(sky.events.sky.sky.year, ZoneInfo(site.timezone))
    rules = [
        (series, Hours(sky, meeting, days))
        for series, meeting in enumerate(sky.config.meetings)
        if meeting.site in (None, site.slug)
    ]
    if not rules:
        return ()
    moons = _moons(sky, [hours for _, hours in rules], choose)
    found = [
        _record(series, hours, row, mine[row])
        for (series, hours), mine in zip(rules, moons, strict=True)
        for row in hours.held
    ]
    return tuple(sorted(found, key=lambda one: (one.start_utc, one.series)))


Moons = dict[int, list[MeetingMoon]]
"""By a day's row."""


def _moons(sky: OpenSky, rules: list[Hours], choose: Choose) -> list[Moons]:
    """The Moon at every meeting of every rule: computed for all in one go."""
    parts = [hours.moon_parts() for hours in rules]
    spans = np.concatenate([spans for _, spans in parts])
    choices = choose(spans)
    figures = window_figures(spans, first_looks(spans, choices), sky.events, sky.config)
    moons: list[Moons] = []
    part = 0
    for rows, _ in parts:
        moons.append(defaultdict(list))
        for row in rows:
            moons[-1][row].append(_moon(spans[part], figures, part, choices[part]))
            part += 1
    return moons


def _moon(span: Floats, figures: WindowFigures, part: int, choice: Choice) -> MeetingMoon:
    return MeetingMoon(
        start_utc=instant(span[0]),
        end_utc=instant(span[1]),
        best_utc=instant(figures.best_s[part]),
        altitude_deg=float(figures.altitude_deg[part]),
        azimuth_deg=float(figures.azimuth_deg[part]),
        illuminated_fraction=float(figures.illuminated_fraction[part]),
        finest_detail_km=float(figures.finest_detail_km[part]),
        calibration=choice[0],
        no_star=choice[1],
    )


def _record(series: int, hours: Hours, row: int, moon: list[MeetingMoon]) -> ClubMeeting:
    meeting, sky = hours.meeting, hours.sky
    judgement = JUDGEMENTS[int(hours.judgements[row])]
    start, end = hours.spans[row].tolist()
    night = sky.wider.dates[int(hours.nights[row])]
    dark = hours.dark_parts.get(row)
    poor = meeting.outdoors and judgement == "poor"
    club = tuple(day for day, spans in enumerate(sky.config.moon.hours) if spans != ())
    return ClubMeeting(
        series=series,
        title=meeting.title,
        day=hours.days[row],
        night=night if int(hours.nights[row]) else None,
        start_utc=instant(start),
        end_utc=instant(end),
        outdoors=meeting.outdoors,
        needs=meeting.needs,
        judgement=judgement if meeting.outdoors else "indoors",
        reason=hours.reason(row),
        moon=tuple(moon),
        dark=DarkPart(instant(dark[0]), instant(dark[1])) if dark else None,
        better=hours.better(row, club) if poor else None,
        better_same_weekday=hours.better(row, (hours.days[row].weekday(),)) if poor else None,
        clear_chance=sky.weather.clear_chance(night) if sky.weather else None,
    )
