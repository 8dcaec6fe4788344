"""A made-up site, telescope and star list for decisions that need no ephemeris."""

from collections.abc import Callable
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import settings

from almanac.records.config import Horizon, Site, Telescope

settings.register_profile("steady", deadline=None, derandomize=True, max_examples=40)
settings.load_profile("steady")

SITE = {
    "name": "Heron Bank",
    "slug": "heron-bank",
    "latitude_deg": 52.0,
    "longitude_deg": 0.0,
    "elevation_m": 0.0,
    "timezone": "Europe/London",
    "horizon": Horizon((0.0,), (0.0,)),
    "temperature_c": 10.0,
    "pressure_hpa": 1013.25,
    "seeing_arcsec": 2.0,
    "clear_sky": None,
}
TELESCOPE = {
    "aperture_mm": 60.0,
    "focal_length_mm": 300.0,
    "pixel_um": 2.9,
    "sensor_px": (1080, 1920),
    "mount": "altaz",
    "highest_altitude_deg": 85.0,
    "park": (0.0, 0.0),
    "level_error_deg": 0.3,
    "passband_nm": (450.0, 650.0),
}


@pytest.fixture(scope="session")
def make_site() -> Callable[..., Site]:
    """A site at sea level with anything changed that is named."""

    def make(**changes: Any) -> Site:
        return Site(**{**SITE, **changes})

    return make


@pytest.fixture(scope="session")
def make_telescope() -> Callable[..., Telescope]:
    """The default telescope with anything changed that is named."""

    def make(**changes: Any) -> Telescope:
        return Telescope(**{**TELESCOPE, **changes})

    return make


@pytest.fixture(scope="session")
def wall_clock() -> Callable[[float, str], str]:
    """What a clock in a zone shows at POSIX seconds: ``2027-03-27 12:00``."""

    def show(utc_s: float, zone: str) -> str:
        return f"{datetime.fromtimestamp(utc_s, ZoneInfo(zone)):%Y-%m-%d %H:%M}"

    return show
