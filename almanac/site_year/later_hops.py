"""The hop once more for who comes later: star and Moon move on, and with them the move."""

from collections.abc import Sequence

import numpy as np
from msgspec.structs import replace
from numpy.typing import NDArray

from almanac.records.catalogue import Star
from almanac.records.config import ClubConfig
from almanac.records.stars import LaterHop, StarHop
from almanac.site_year.calibration import Choice, turn_deg
from almanac.site_year.instants import instant
from almanac.site_year.star_weeks import usable_stars
from almanac.sky.site_sky import SiteSky

Floats = NDArray[np.float64]

AFTER_S = 60.0 * np.array([30.0, 60.0, 120.0])
"""After the hop: the half hour shows how fast it changes."""


def with_later_hops(
    choices: Sequence[Choice],
    windows: Floats,
    sky: SiteSky,
    config: ClubConfig,
    stars: tuple[Star, ...],
) -> list[Choice]:
    """Each window's choice, its star's hop also given for later moments; windows (n, 2)."""
    rows = [row for row, (calibration, _) in enumerate(choices) if calibration]
    hops = [calibration.chosen for calibration, _ in choices if calibration]
    found = list(choices)
    if hops:
        latest_s = windows[rows, 1] - config.moon.shortest_window_min * 60
        for row, later in zip(rows, _later(hops, latest_s, sky, config, stars), strict=True):
            calibration, code = choices[row]
            assert calibration is not None
            chosen = replace(calibration.chosen, later=later)
            found[row] = replace(calibration, chosen=chosen), code
    return found


def _later(
    hops: Sequence[StarHop],
    latest_s: Floats,
    sky: SiteSky,
    config: ClubConfig,
    stars: tuple[Star, ...],
) -> list[tuple[LaterHop, ...]]:
    """For each hop those while the window is worth it, the sky dark and the star in its limits."""
    column = {star.hip: index for index, star in enumerate(stars)}
    at_s = np.array([hop.hop_utc.timestamp() for hop in hops])[:, None] + AFTER_S
    row, _ = np.nonzero(at_s <= latest_s[:, None])
    at_s = at_s[at_s <= latest_s[:, None]]
    star = sky.star_pairs(np.array([column[hop.hip] for hop in hops])[row], at_s)
    moon, sun = sky.body("moon", at_s), sky.body("sun", at_s)
    height = sky.refracted_deg(star.altitude_deg)
    dark = sun.altitude_deg <= config.stars.solve_below_sun_deg
    holds = usable_stars(sky, star, config) & dark
    turn = turn_deg(moon.azimuth_deg - star.azimuth_deg)
    climb = sky.refracted_deg(moon.altitude_deg) - height
    later: list[list[LaterHop]] = [[] for _ in hops]
    for k in np.flatnonzero(holds).tolist():
        later[row[k]].append(LaterHop(instant(at_s[k]), float(turn[k]), float(climb[k])))
    return [tuple(one) for one in later]
