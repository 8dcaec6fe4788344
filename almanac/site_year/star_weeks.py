"""When each star can be solved on, all night long, through the year."""

import numpy as np
from numpy.typing import NDArray

from almanac.plan.intervals import overlaps
from almanac.plan.nights import YearNights
from almanac.records.config import ClubConfig
from almanac.records.stars import UsableSpan
from almanac.site_year.instants import instant
from almanac.sky.site_events import SiteEvents
from almanac.sky.site_sky import Horizontal, SiteSky

Bools = NDArray[np.bool_]

WEEK = 7
"""Nights from one that is looked at to the next."""
STEP_S = 900.0


def usable_stars(sky: SiteSky, seen: Horizontal, config: ClubConfig) -> Bools:
    """Stars between the limits and above the profile, (samples, stars); brightness apart."""
    altitude = sky.refracted_deg(seen.altitude_deg)
    highest = min(config.stars.highest_altitude_deg, config.telescope.highest_altitude_deg)
    reach = (altitude >= config.stars.lowest_altitude_deg) & (altitude <= highest)
    return reach & (altitude > sky.ground_deg(seen.azimuth_deg))


def usable_weeks(
    events: SiteEvents, nights: YearNights, config: ClubConfig, stars: int
) -> list[tuple[UsableSpan, ...]]:
    """For each star its spans on every seventh night, in order of time.

    A span is made of quarters of an hour from dusk on, each judged by its middle; the Sun is low
    enough to solve in all of it. The Moon's glare is left out: it goes round in a month.
    """
    rows, dark = overlaps(nights.spans[::WEEK], events.sun_below(config.stars.solve_below_sun_deg))
    found: list[list[UsableSpan]] = [[] for _ in range(stars)]
    if not len(rows):
        return [() for _ in range(stars)]
    edges = [np.append(np.arange(start, end, STEP_S), end) for start, end in dark]
    middles = np.concatenate([(edge[1:] + edge[:-1]) / 2 for edge in edges])
    usable = usable_stars(events.sky, events.sky.stars(middles), config)
    first = 0
    for row, edge in zip(rows.tolist(), edges, strict=True):
        part = usable[first : first + len(edge) - 1]
        first += len(part)
        for star, start, end in zip(*_runs(part), strict=True):
            span = UsableSpan(nights.dates[row * WEEK], instant(edge[start]), instant(edge[end]))
            found[star].append(span)
    return [tuple(spans) for spans in found]


def _runs(usable: Bools) -> tuple[list[int], list[int], list[int]]:
    """Star, first sample and the sample after the last of each unbroken run, star by star."""
    padded = np.zeros((usable.shape[1], len(usable) + 2), dtype=np.int8)
    padded[:, 1:-1] = usable.T
    turn = np.diff(padded, axis=1)
    star, start = np.nonzero(turn == 1)
    _, end = np.nonzero(turn == -1)
    return star.tolist(), start.tolist(), end.tolist()
