"""Random site-years, as many as asked for, each computed once and kept till the next."""

from collections.abc import Callable, Iterator
from functools import lru_cache

import numpy as np
import pytest
from invariants import SiteYear
from observer import ephemeris, observer
from random_configs import Draw, config_text

from almanac.almanac import compute, year_sky
from almanac.inputs.catalogue import load_catalogue
from almanac.inputs.config import load_config

Drawn = tuple[int, int]
"""Seed and number."""


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """A test of a drawn site-year runs once for each of them."""
    if "drawn" in metafunc.fixturenames:
        seed, count = (metafunc.config.getoption(name) for name in ("--seed", "--site-years"))
        cases = [(seed, number) for number in range(count)]
        metafunc.parametrize("drawn", cases, ids=lambda drawn: "-".join(map(str, drawn)))


@pytest.fixture(scope="session")
def site_year_of(
    tmp_path_factory: pytest.TempPathFactory,
) -> Iterator[Callable[[str, Drawn], SiteYear]]:
    """Compute the first year and site of a config text; the draw seeds what is looked at."""
    path = tmp_path_factory.mktemp("drawn") / "club.toml"

    @lru_cache(maxsize=2)
    def site_year(text: str, drawn: Drawn) -> SiteYear:
        path.write_text(text, encoding="utf-8")
        config = load_config(path)
        site, year = config.sites[0], config.club.years[0]
        almanac = compute(config, site, year_sky(year, load_catalogue()), load_catalogue())
        return SiteYear(config, site, almanac, observer(site), np.random.default_rng(drawn))

    yield site_year
    ephemeris().close()
    ephemeris.cache_clear()


@pytest.fixture
def drawn_year(site_year_of: Callable[[str, Drawn], SiteYear], drawn: Drawn) -> SiteYear:
    """The site-year of a seed and a number."""
    return site_year_of(config_text(Draw(*drawn)), drawn)
