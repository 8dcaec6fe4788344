"""Site years computed once, and an observer that recomputes them with plain Skyfield."""

from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from msgspec import Struct
from msgspec.structs import replace
from observer import Observer, ephemeris, observer

from almanac.almanac import compute, year_sky
from almanac.inputs.catalogue import load_catalogue
from almanac.inputs.config import load_config
from almanac.records.catalogue import Catalogue
from almanac.records.config import ClubConfig, Horizon, Site
from almanac.records.year import Window, YearAlmanac

CONFIGS = Path(__file__).parents[2] / "site_config"


class Case(Struct, frozen=True):
    """A site's computed year with what it was computed from."""

    name: str
    config: ClubConfig
    site: Site
    year: YearAlmanac
    observer: Observer
    catalogue: Catalogue

    @property
    def windows(self) -> list[Window]:
        """All windows in order of time."""
        return [window for night in self.year.nights for window in night.windows]


def _open_site(**changes: Any) -> Site:
    site = Site(
        name="Made up",
        slug="made-up",
        latitude_deg=47.0,
        longitude_deg=8.0,
        elevation_m=400.0,
        timezone="Europe/Zurich",
        horizon=Horizon((0.0,), (0.0,)),
        temperature_c=10.0,
        pressure_hpa=966.0,
        seeing_arcsec=2.0,
        clear_sky=None,
    )
    return replace(site, **changes)


def _setups() -> dict[str, tuple[int, ClubConfig, Site]]:
    """Year, config and site of each case."""
    demo, southern, plain = (
        load_config(CONFIGS / f"{name}.toml") for name in ("demo", "southern", "minimal")
    )
    free = replace(plain.moon, hours=(None,) * 7)
    late = replace(demo.moon, hours=demo.moon.hours[4:5] * 7)  # 18:30 to 01:30
    wall = Horizon((0.0, 90.0, 90.0, 270.0, 270.0), (0.0, 0.0, 60.0, 60.0, 0.0))
    return {
        "north": (2027, demo, demo.sites[0]),
        "south": (2027, southern, southern.sites[0]),
        "zenith": (
            2031,
            replace(
                plain,
                moon=replace(free, lowest_altitude_deg=5.0),
                telescope=replace(plain.telescope, highest_altitude_deg=88.0),
            ),
            _open_site(latitude_deg=21.3, longitude_deg=77.1, timezone="Asia/Kolkata"),
        ),
        "daylight": (
            2029,
            replace(
                plain,
                moon=replace(free, daylight=True),
                safety=replace(plain.safety, sun_stop_deg=40.0, sun_caution_deg=60.0),
            ),
            _open_site(),
        ),
        "latitude 69": (
            2030,
            replace(plain, moon=free),
            _open_site(latitude_deg=69.4, longitude_deg=19.0, timezone="Europe/Oslo"),
        ),
        "latitude 78": (
            2030,
            replace(plain, moon=replace(free, lowest_altitude_deg=2.0)),
            _open_site(latitude_deg=78.2, longitude_deg=15.6, timezone="Arctic/Longyearbyen"),
        ),
        "wall": (2027, replace(plain, moon=free), _open_site(horizon=wall)),
        "equatorial": (
            2028,
            replace(
                plain,
                moon=late,
                telescope=replace(plain.telescope, mount="equatorial"),
                stars=replace(plain.stars, lead_min=30.0),
            ),
            _open_site(latitude_deg=-41.0, longitude_deg=-68.0, timezone="America/Chicago"),
        ),
        "pole": (
            2027,
            replace(plain, moon=replace(free, daylight=True)),
            _open_site(latitude_deg=90.0, timezone="UTC"),
        ),
        "pit": (2027, plain, _open_site(horizon=Horizon((0.0,), (90.0,)))),
    }


@pytest.fixture(scope="session")
def case_of() -> Iterator[Callable[[str], Case]]:
    """A case by name, computed when first asked for."""
    catalogue, setups = load_catalogue(), _setups()
    sky = cache(lambda year: year_sky(year, catalogue))

    @cache
    def case(name: str) -> Case:
        year, config, site = setups[name]
        computed = compute(config, site, sky(year), catalogue)
        return Case(name, config, site, computed, observer(site), catalogue)

    yield case
    ephemeris().close()


@pytest.fixture(scope="session")
def seconds() -> Callable[[datetime], float]:
    """POSIX seconds of an instant that must be aware and UTC."""

    def of(instant: datetime) -> float:
        assert instant.tzinfo is UTC
        return instant.timestamp()

    return of
