"""A club's sites in groups small enough to stand side by side, each of sites near each other."""

from collections.abc import Iterator, Sequence
from math import ceil

import numpy as np
from numpy.typing import NDArray

from almanac.records.config import Site
from almanac.records.neighbours import Neighbour, Neighbourhood

MOST_TOGETHER = 8
"""Sites of one comparison: as many lines a night as a phone shows at once."""
MOST_KM = 150.0
"""From a group's first site: further than members drive for an evening (common practice, no
source)."""
EARTH_RADIUS_KM = 6371.0

Floats = NDArray[np.float64]


def neighbourhoods(sites: Sequence[Site]) -> tuple[Neighbourhood, ...]:
    """Groups of at least two sites; one of all if they are few, whatever their distance.

    Of many, each group is a site not yet in one with those nearest to it, so many that all groups
    are about as large; a site without a neighbour is in none.
    """
    if len(sites) <= MOST_TOGETHER:
        return (_together("", sites),) if len(sites) > 1 else ()
    most = ceil(len(sites) / ceil(len(sites) / MOST_TOGETHER))
    groups = ([sites[index] for index in group] for group in _near(_places(sites), most))
    return tuple(_together(group[0].slug, group) for group in groups)


def _near(places: Floats, most: int) -> Iterator[list[int]]:
    """Indices of each group of at most so many, in order."""
    free = np.ones(len(places), dtype=bool)
    for first in range(len(places)):
        if not free[first]:
            continue
        apart_km = EARTH_RADIUS_KM * np.arccos(np.clip(places @ places[first], -1.0, 1.0))
        near = np.flatnonzero(free & (apart_km <= MOST_KM))
        group = near[np.argsort(apart_km[near], kind="stable")][:most]
        free[group] = False
        if len(group) > 1:
            yield sorted(group.tolist())


def _places(sites: Sequence[Site]) -> Floats:
    """Unit vectors, (n, 3)."""
    latitude, longitude = np.radians([(s.latitude_deg, s.longitude_deg) for s in sites]).T
    across = np.cos(latitude)
    return np.stack(
        [across * np.cos(longitude), across * np.sin(longitude), np.sin(latitude)], axis=1
    )


def _together(key: str, sites: Sequence[Site]) -> Neighbourhood:
    return Neighbourhood(key, tuple(Neighbour(s.slug, s.name, s.timezone) for s in sites))
