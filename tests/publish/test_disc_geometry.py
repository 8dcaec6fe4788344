"""The disc of computed nights against the sky's own geometry, in both hemispheres."""

import math
from pathlib import Path

import ephem
import pytest
from msgspec.structs import replace

from almanac.almanac import compute, year_sky
from almanac.inputs.catalogue import load_catalogue
from almanac.inputs.config import load_config
from almanac.publish.charts.moon_disc import bright_limb_from_zenith_deg
from almanac.publish.steps import best_window
from almanac.records.year import Night, YearAlmanac

CONFIG = Path(__file__).parents[2] / "site_config" / "minimal.toml"
PLACE_RADII = 0.003
"""The site's parallax turns the face by less than this between the series compared."""
BEARING_DEG = 0.5


@pytest.fixture(scope="module", params=[44.6, -34.0], ids=["north", "south"])
def year(request: pytest.FixtureRequest) -> YearAlmanac:
    """A computed year of a site and of its twin in the south."""
    config, catalogue = load_config(CONFIG), load_catalogue()
    site = replace(config.sites[0], latitude_deg=request.param)
    return compute(config, site, year_sky(2027, catalogue), catalogue)


def usable(year: YearAlmanac) -> list[Night]:
    """Nights with a window."""
    return [night for night in year.nights if night.windows]


def test_features_stand_where_libration_and_tilt_put_them(year: YearAlmanac) -> None:
    """Orthographic view of a sphere from libration, axis and parallactic angle (Meeus, ch. 53)."""
    compared = 0
    for night in usable(year):
        moon = night.moon
        east, north = (
            math.radians(angle)
            for angle in (moon.libration_longitude_deg, moon.libration_latitude_deg)
        )
        tilt = math.radians(moon.axis_position_angle_deg - moon.zenith_position_angle_deg)
        for feature in best_window(night).features:
            lat, lon = math.radians(feature.latitude_deg), math.radians(feature.longitude_deg)
            x = math.cos(lat) * math.sin(lon - east)
            y = math.sin(lat) * math.cos(north)
            y -= math.cos(lat) * math.sin(north) * math.cos(lon - east)
            right = x * math.cos(tilt) - y * math.sin(tilt)
            up = x * math.sin(tilt) + y * math.cos(tilt)
            assert (feature.right, feature.up) == pytest.approx((right, up), abs=PLACE_RADII)
            compared += 1
    assert compared > 500


def bearing_deg(lon0: float, lat0: float, lon1: float, lat1: float) -> float:
    """Direction at the first point to the second, from the pole toward growing longitude."""
    across = math.cos(lat1) * math.sin(lon1 - lon0)
    up = math.sin(lat1) * math.cos(lat0) - math.cos(lat1) * math.sin(lat0) * math.cos(lon1 - lon0)
    return math.degrees(math.atan2(across, up))


def test_the_lit_side_faces_the_sun(year: YearAlmanac) -> None:
    """Every night's bright limb points along the great circle to the Sun (ephem's alt-azimuth)."""
    observer = ephem.Observer()
    observer.lat, observer.lon = str(year.site.latitude_deg), str(year.site.longitude_deg)
    observer.pressure = 0
    sides = set()
    for night in usable(year):
        if not 0.05 < night.moon.illuminated_fraction < 0.95:
            continue
        observer.date = night.moon.at_utc.replace(tzinfo=None)
        moon, sun = ephem.Moon(observer), ephem.Sun(observer)
        to_sun = bearing_deg(moon.az, moon.alt, sun.az, sun.alt)
        found = bright_limb_from_zenith_deg(night.moon)
        assert (found + to_sun + 180) % 360 - 180 == pytest.approx(0, abs=BEARING_DEG)
        sides.add((night.moon.waxing, to_sun % 360 < 180))
    evening, morning = ((True, True), (False, False))
    if year.site.latitude_deg < 0:
        evening, morning = ((True, False), (False, True))
    assert {evening, morning} <= sides


def test_low_light_lies_by_the_terminator(year: YearAlmanac) -> None:
    """A feature in low light is on the lit side, near the drawn terminator."""
    for night in usable(year):
        limb = math.radians(bright_limb_from_zenith_deg(night.moon))
        phase = math.radians(night.moon.phase_angle_deg)
        sun_right, sun_up = -math.sin(limb) * math.sin(phase), math.cos(limb) * math.sin(phase)
        for feature in best_window(night).features:
            toward = math.sqrt(max(0.0, 1 - feature.right**2 - feature.up**2))
            sine = feature.right * sun_right + feature.up * sun_up + toward * math.cos(phase)
            height = math.degrees(math.asin(sine))
            assert height == pytest.approx(feature.sun_altitude_deg, abs=0.5)
