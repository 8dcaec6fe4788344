"""Which sites are compared: all of a few, neighbours of many, nobody alone."""

import math
from collections.abc import Callable
from itertools import pairwise

import pytest

from almanac.publish.neighbours import MOST_KM, MOST_TOGETHER, neighbourhoods
from almanac.records.config import Site

MakeSite = Callable[..., Site]


def grid(make_site: MakeSite, count: int, step_deg: float = 0.2) -> list[Site]:
    """Sites in rows of ten."""
    return [
        make_site(f"s{i:03d}", 50 + step_deg * (i // 10), 9 + step_deg * (i % 10), "Europe/Berlin")
        for i in range(count)
    ]


def apart_km(one: Site, other: Site) -> float:
    """By the haversine formula."""
    lat1, lon1, lat2, lon2 = (
        math.radians(x)
        for x in (one.latitude_deg, one.longitude_deg, other.latitude_deg, other.longitude_deg)
    )
    half = math.sin((lat2 - lat1) / 2) ** 2
    half += math.cos(lat1) * math.cos(lat2) * math.sin((lon2 - lon1) / 2) ** 2
    return 2 * 6371 * math.asin(math.sqrt(half))


def test_a_single_site_is_not_compared(make_site: MakeSite) -> None:
    """There is nothing to choose."""
    assert neighbourhoods(grid(make_site, 1)) == ()


@pytest.mark.parametrize("count", [2, 5, MOST_TOGETHER])
def test_few_sites_stand_together_however_far(count: int, make_site: MakeSite) -> None:
    """All of them, in the config's order, whatever the distance."""
    sites = grid(make_site, count, step_deg=15.0)
    (group,) = neighbourhoods(sites)
    assert group.key == ""
    assert [site.slug for site in group.sites] == [site.slug for site in sites]
    assert [site.name for site in group.sites] == [site.name for site in sites]


@pytest.mark.parametrize("count", [9, 17, 40, 100, 163])
def test_many_sites_are_grouped_evenly(count: int, make_site: MakeSite) -> None:
    """Every site is in one group at most, of two to eight sites, none far from its first."""
    sites = grid(make_site, count)
    by_slug = {site.slug: site for site in sites}
    groups = neighbourhoods(sites)
    grouped = [site.slug for group in groups for site in group.sites]
    assert len(grouped) == len(set(grouped))
    assert len(grouped) >= 0.9 * count
    for group in groups:
        assert 2 <= len(group.sites) <= MOST_TOGETHER
        assert group.key == group.sites[0].slug
        first, *others = (by_slug[site.slug] for site in group.sites)
        assert max(apart_km(first, other) for other in others) <= MOST_KM
        assert all(a.slug < b.slug for a, b in pairwise(group.sites))


def test_nine_sites_are_not_eight_and_one(make_site: MakeSite) -> None:
    """Groups are about as large as each other."""
    assert sorted(len(g.sites) for g in neighbourhoods(grid(make_site, 9))) == [4, 5]


def test_a_far_site_is_in_no_group(make_site: MakeSite) -> None:
    """Of many sites one without a neighbour stands alone."""
    island = make_site("island", -20.0, 57.5, "Indian/Mauritius")
    groups = neighbourhoods([island, *grid(make_site, 12)])
    assert all(site.slug != "island" for group in groups for site in group.sites)
    assert sum(len(group.sites) for group in groups) == 12


def test_neighbours_are_found_over_the_date_line(make_site: MakeSite) -> None:
    """Distance is along the globe: 179.9 east and 179.9 west are near."""
    east = [make_site(f"e{i}", -17 + i / 10, 179.9, "Pacific/Fiji") for i in range(5)]
    west = [make_site(f"w{i}", -17 + i / 10, -179.9, "Pacific/Fiji") for i in range(5)]
    groups = neighbourhoods([*east, *west])
    assert all({site.slug[0] for site in group.sites} == {"e", "w"} for group in groups)
    assert sum(len(group.sites) for group in groups) == 10
