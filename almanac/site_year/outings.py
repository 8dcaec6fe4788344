"""The outings of a site's year: evenings that the sky offers for each of the club's occasions."""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from functools import cached_property

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from almanac.plan import outings
from almanac.plan.intervals import intersect, longer
from almanac.plan.odds import Weather
from almanac.plan.proposals import gap_odds, proposed, reserves
from almanac.plan.windows import YearWindows
from almanac.records.config import OutingRule
from almanac.records.diary import FIGURES, Backup, GapOdds, Outing, OutingDate, OutingMoon, Proposal
from almanac.records.year import Window
from almanac.site_year.calibration import first_looks
from almanac.site_year.diary import OpenSky
from almanac.site_year.instants import instant
from almanac.site_year.moon import is_waxing
from almanac.site_year.windows import WindowFigures, window_figures
from almanac.sky.phases import MoonEvents
from almanac.sky.site_events import SUN_RISES_DEG

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

DARK = "dark_sky"
"""The kind of outing that is for the sky without the Moon."""


class Offer(Struct, frozen=True, dict=True):
    """The year that outings are chosen from."""

    sky: OpenSky
    found: YearWindows
    """Windows inside the club's hours."""
    windows: Sequence[Window]
    """Their records."""
    phases: MoonEvents

    @cached_property
    def _night_starts(self) -> list[float]:
        return self.sky.nights.spans[:, 0].tolist()

    @cached_property
    def _window_starts(self) -> list[float]:
        return self.found.spans[:, 0].tolist()

    @cached_property
    def _window_nights(self) -> list[int]:
        return self.found.night.tolist()

    def outings(self) -> tuple[Outing, ...]:
        """Every rule's evenings and proposals."""
        rules = self.sky.config.outings
        parts = [self._parts(rule) for rule in rules]
        evenings = self._moon_evenings(
            [(rule, mine) for rule, mine in zip(rules, parts, strict=True) if rule.kind != DARK]
        )
        found: list[Outing] = []
        for rule, mine in zip(rules, parts, strict=True):
            fit = map(self._evening, mine) if rule.kind == DARK else next(evenings)
            taken = {one.main.date for outing in found for one in outing.proposals}
            found.append(self._outing(rule, fit, taken))
        return tuple(found)

    def _moon_evenings(
        self, parts: Sequence[tuple[OutingRule, Floats]]
    ) -> Iterator[list[OutingDate]]:
        """For each rule its parts as evenings: the figures are computed once for equal parts."""
        if not parts:
            return
        spans = np.concatenate([mine for _, mine in parts])
        different, rows = np.unique(spans, axis=0, return_inverse=True)
        choices = [(self.windows[self._window_row(part)].calibration, None) for part in different]
        first_s = first_looks(different, choices)
        figures = window_figures(different, first_s, self.sky.events, self.sky.config)
        waxing = is_waxing(self.phases, figures.best_s)
        row = iter(rows.ravel().tolist())
        for rule, mine in parts:
            yield [self._moon_evening(rule, part, figures, waxing, next(row)) for part in mine]

    def _parts(self, rule: OutingRule) -> Floats:
        """The spans in which the rule's hours, height and length are kept, none crossing a noon."""
        nights, events = self.sky.nights, self.sky.events
        weekdays = np.array([day.weekday() for day in nights.dates])
        hours = outings.hours_for(
            nights.spans[np.isin(weekdays, rule.weekdays)],
            self.sky.limits.in_hours,
            events.sun_below(self.sky.config.stars.solve_below_sun_deg),
            rule,
        )
        serves = self.sky.dark if rule.kind == DARK else self._moon_up(rule)
        return longer(intersect(hours, serves), rule.shortest_min * 60)

    def _moon_up(self, rule: OutingRule) -> Floats:
        """Windows in which the Sun is down and the Moon as high as the rule has it."""
        events, moon = self.sky.events, self.sky.config.moon
        spans = self.found.spans
        if moon.daylight:
            spans = intersect(spans, events.sun_below(SUN_RISES_DEG))
        if rule.lowest_altitude_deg > moon.lowest_altitude_deg:
            spans = intersect(spans, events.moon_above(rule.lowest_altitude_deg))
        return spans

    def _window_row(self, part: Floats) -> int:
        """The window that holds a part of it."""
        return bisect_right(self._window_starts, float(part[0])) - 1

    def _evening(self, part: Floats) -> OutingDate:
        """A part as an evening that has no place yet, ranked by its length."""
        start, end = part.tolist()
        day = self.sky.nights.dates[bisect_right(self._night_starts, start) - 1]
        weather = self.sky.weather
        return OutingDate(
            date=day,
            start_utc=instant(start),
            end_utc=instant(end),
            best_utc=instant((start + end) / 2),
            season=outings.season_of(day, self.sky.events.sky.site.latitude_deg),
            rank=0,
            year_rank=0,
            value=(end - start) / 3600,
            clear_chance=weather.clear_chance(day) if weather else None,
            moon=None,
        )

    def _moon_evening(
        self, rule: OutingRule, part: Floats, figures: WindowFigures, waxing: Flags, row: int
    ) -> OutingDate:
        """The same with the Moon's figures, which are in a row of all, ranked by the rule's."""
        evening = self._evening(part)
        window = self._window_row(part)
        first = bisect_left(self._window_nights, self._window_nights[window])
        star = self.windows[window].calibration
        moon = OutingMoon(
            window=window - first,
            altitude_deg=float(figures.altitude_deg[row]),
            azimuth_deg=float(figures.azimuth_deg[row]),
            illuminated_fraction=float(figures.illuminated_fraction[row]),
            waxing=bool(waxing[row]),
            finest_detail_km=float(figures.finest_detail_km[row]),
            landing_chance=star.chosen.landing_chance if star else None,
        )
        return replace(
            evening,
            best_utc=instant(figures.best_s[row]),
            value=getattr(moon, FIGURES[rule.kind]),
            moon=moon,
        )

    def _outing(self, rule: OutingRule, evenings: Iterable[OutingDate], taken: set[date]) -> Outing:
        dates = outings.ranked(rule, evenings)
        proposals = proposals_of(rule, dates, self.sky.weather, taken)
        return Outing(rule, dates, proposals, self._gaps(rule, dates))

    def _gaps(self, rule: OutingRule, dates: Sequence[OutingDate]) -> tuple[GapOdds, ...]:
        if self.sky.weather is None:
            return ()
        days = [one.date for one in dates]
        return tuple(GapOdds(*gap) for gap in gap_odds(days, rule.backup_days, self.sky.weather))


def proposals_of(
    rule: OutingRule, dates: Sequence[OutingDate], weather: Weather | None, taken: set[date]
) -> tuple[Proposal, ...]:
    """Not on the days that are taken by other outings, if others are as good as printed."""
    best = _best(rule, dates, weather)
    if taken.isdisjoint(one.main.date for one in best):
        return best
    apart = _best(rule, [one for one in dates if one.date not in taken], weather)
    return apart if _standing(rule, apart) >= _standing(rule, best) else best


def _standing(rule: OutingRule, proposals: Sequence[Proposal]) -> tuple[int, int, float]:
    """How many, with how many reserves, and the sum of their worth as it is printed."""
    reserved = sum(len(one.backups) for one in proposals)
    digits = outings.PRINTED_DIGITS[rule.kind]
    worth = sum(round(outings.worth(rule.kind, one.main), digits) for one in proposals)
    return len(proposals), reserved, round(worth, digits)


def _best(
    rule: OutingRule, dates: Sequence[OutingDate], weather: Weather | None
) -> tuple[Proposal, ...]:
    days = [one.date for one in dates]
    worth = np.array([outings.worth(rule.kind, one) for one in dates])
    mains = proposed(days, [one.season for one in dates], worth, rule)
    spare = reserves(days, worth, mains, rule, weather)
    return tuple(
        _proposal(dates[main], [dates[row] for row in rows], weather)
        for main, rows in zip(mains, spare, strict=True)
    )


def _proposal(main: OutingDate, spare: Sequence[OutingDate], weather: Weather | None) -> Proposal:
    return Proposal(
        main=main,
        backups=tuple(
            Backup(
                date=one,
                days=(one.date - main.date).days,
                chance=weather.any_clear((main.date, one.date)) if weather else None,
            )
            for one in spare
        ),
        chance=weather.any_clear((main.date, *(one.date for one in spare))) if weather else None,
    )
