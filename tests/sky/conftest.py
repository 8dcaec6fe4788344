"""Skies, sites and independent libraries that the checks of the sky room share."""

import csv
import warnings
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import pytest
from astropy import units
from astropy.coordinates import (
    AltAz,
    EarthLocation,
    GeocentricTrueEcliptic,
    SkyCoord,
    get_body,
    get_body_barycentric,
    solar_system_ephemeris,
)
from astropy.time import Time
from astropy.utils import iers
from numpy.typing import NDArray
from skyfield.api import load, load_file, wgs84

from almanac.inputs.catalogue import load_catalogue
from almanac.records.catalogue import Catalogue
from almanac.records.config import Horizon, Site
from almanac.sky.kernel import DE421_PATH, Kernel, open_kernel
from almanac.sky.year_sky import YearSky, build_year_sky

Floats = NDArray[np.float64]
DATA = Path(__file__).parent / "data"
FLAT = Horizon((0.0,), (0.0,))


def posix_s(text: str) -> float:
    """POSIX seconds of an ISO instant in UTC."""
    return datetime.fromisoformat(text).replace(tzinfo=UTC).timestamp()


def site(
    latitude_deg: float,
    longitude_deg: float,
    elevation_m: float = 0.0,
    horizon: Horizon = FLAT,
    **more: Any,
) -> Site:
    """A made-up site with a flat horizon in standard air, unless told otherwise."""
    settings: dict[str, Any] = {
        "name": "Made-up Field",
        "slug": "made-up-field",
        "timezone": "UTC",
        "temperature_c": 10.0,
        "pressure_hpa": 1010.0,
        "seeing_arcsec": 2.0,
        "clear_sky": None,
    }
    return Site(
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        elevation_m=elevation_m,
        horizon=horizon,
        **(settings | more),
    )


@pytest.fixture(scope="session")
def make_site() -> Callable[..., Site]:
    """Makes a site from latitude, longitude, elevation and what else differs."""
    return site


@pytest.fixture(scope="session")
def at_utc() -> Callable[[str], float]:
    """POSIX seconds of an ISO text."""
    return posix_s


@pytest.fixture(scope="session")
def kernel() -> Kernel:
    """The ephemeris of the almanac."""
    return open_kernel()


@pytest.fixture(scope="session")
def catalogue() -> Catalogue:
    """The tables that ship."""
    return load_catalogue()


@pytest.fixture(scope="session")
def sky_of(kernel: Kernel, catalogue: Catalogue) -> Callable[[int], YearSky]:
    """The sky of a year, computed once a session."""
    return cache(lambda year: build_year_sky(kernel, year, catalogue.stars))


@pytest.fixture(scope="session")
def tt_of() -> Callable[[float], float]:
    """Days of TT since J2000.0 for a Julian date in TT."""
    return lambda julian_date: julian_date - 2451545.0


@pytest.fixture(scope="session")
def published() -> Callable[[str], list[dict[str, str]]]:
    """Rows of a table in the data folder; its head names author, title and place."""

    def rows(name: str) -> list[dict[str, str]]:
        lines = (DATA / name).read_text(encoding="utf-8").splitlines()
        return list(csv.DictReader(line for line in lines if not line.startswith("#")))

    return rows


class Seen(NamedTuple):
    """Airless altitude and azimuth in degrees, distance in km."""

    altitude_deg: Floats
    azimuth_deg: Floats
    distance_km: Floats


@pytest.fixture(scope="session")
def apart_arcsec() -> Callable[[Any, Any], Floats]:
    """Angle on the sky between two places given by altitude_deg and azimuth_deg."""

    def between(one: Any, other: Any) -> Floats:
        h, k = np.radians(one.altitude_deg), np.radians(other.altitude_deg)
        turn = np.radians(one.azimuth_deg - other.azimuth_deg)
        square = np.sin((h - k) / 2) ** 2 + np.cos(h) * np.cos(k) * np.sin(turn / 2) ** 2
        return np.degrees(2 * np.arcsin(np.sqrt(square))) * 3600

    return between


class Direct:
    """Skyfield itself, body by body and instant by instant, on the same kernel."""

    def __init__(self, kernel: Kernel) -> None:
        """Open the almanac's ephemeris file a second time."""
        self.ephemeris = load_file(str(DE421_PATH))
        self.timescale = load.timescale(builtin=True)
        self.times = cache(self._times)

    def _times(self, *utc_s: float) -> Any:
        """Skyfield times of POSIX seconds, kept; clocks before 1972 kept UT1."""
        if utc_s[0] < posix_s("1972-01-01"):
            return self.timescale.ut1_jd(2440587.5 + np.array(utc_s) / 86400)
        return self.timescale.from_datetimes([datetime.fromtimestamp(s, UTC) for s in utc_s])

    def observer(self, where: Site) -> Any:
        """The site as Skyfield knows it."""
        place = wgs84.latlon(where.latitude_deg, where.longitude_deg, where.elevation_m)
        return self.ephemeris["earth"] + place

    def seen(self, target: Any, where: Site, times: Any) -> Seen:
        """Apparent topocentric place of a Skyfield target."""
        apparent = self.observer(where).at(times).observe(target).apparent()
        altitude, azimuth, distance = apparent.altaz()
        return Seen(altitude.degrees, azimuth.degrees, distance.km)


@pytest.fixture(scope="session")
def direct(kernel: Kernel) -> Iterator[Direct]:
    """Skyfield called directly."""
    skyfield = Direct(kernel)
    yield skyfield
    skyfield.ephemeris.close()


class Astropy:
    """Astropy and ERFA on the same DE421 file, with the same UT1 and no polar motion."""

    def __init__(self) -> None:
        """Take Delta-T from the table that the almanac names: Skyfield's own."""
        self.timescale = load.timescale(builtin=True)

    def times(self, utc_s: Floats) -> Time:
        """Times of POSIX seconds from 1972 on."""
        with warnings.catch_warnings():
            warnings.filterwarnings("ignore", ".*dubious year.*")  # leap seconds not announced yet
            days = np.datetime64(0, "ns") + np.round(utc_s * 1e9).astype("timedelta64[ns]")
            times = Time(days, scale="utc")
            tt_days = (times.tt.jd1 - 2451545.0) + times.tt.jd2
            tt_minus_utc = tt_days * 86400 - (utc_s - posix_s("2000-01-01T12:00"))
            delta_t = self.timescale.tt_jd(2451545.0, tt_days).delta_t
            times.delta_ut1_utc = tt_minus_utc - delta_t
        return times

    def location(self, where: Site) -> EarthLocation:
        """The site on WGS84."""
        return EarthLocation.from_geodetic(
            where.longitude_deg * units.deg,
            where.latitude_deg * units.deg,
            where.elevation_m * units.m,
        )

    def body(self, body: str, where: Site, utc_s: Floats) -> Seen:
        """Apparent topocentric place of a body."""
        times = self.times(utc_s)
        place = self.location(where)
        return self._seen(get_body(body, times, place), times, place)

    def stars(self, icrs: SkyCoord, where: Site, utc_s: float) -> Seen:
        """Apparent topocentric places of stars at one instant."""
        times = self.times(utc_s)
        return self._seen(icrs.apply_space_motion(new_obstime=times), times, self.location(where))

    def ecliptic_longitude_deg(self, body: str, times: Time) -> Floats:
        """Apparent geocentric longitude on the true ecliptic of date."""
        frame = GeocentricTrueEcliptic(equinox=times, obstime=times)
        return get_body(body, times).transform_to(frame).lon.deg

    def geometric_km(self, times: Time) -> Floats:
        """Distance of the centres of Earth and Moon at one instant."""
        apart = get_body_barycentric("moon", times) - get_body_barycentric("earth", times)
        return apart.norm().to_value("km")

    @staticmethod
    def _seen(target: SkyCoord, times: Time, place: EarthLocation) -> Seen:
        frame = AltAz(obstime=times, location=place, pressure=0 * units.hPa)
        seen = target.transform_to(frame)
        return Seen(seen.alt.deg, seen.az.deg, seen.distance.to_value("km"))


def still_pole() -> iers.IERS:
    """An Earth-orientation table without polar motion, so that no file or network is asked."""
    days = np.array([10000.0, 80000.0]) * units.d
    nothing = np.zeros(2) * units.arcsec
    columns = dict.fromkeys(("PM_x", "PM_y", "dX_2000A", "dY_2000A"), nothing)
    return iers.IERS({"MJD": days, "UT1_UTC": np.zeros(2) * units.s, **columns})


@pytest.fixture(scope="session")
def astropy_sky(kernel: Kernel) -> Iterator[Astropy]:
    """Astropy on the almanac's kernel, cut off from the network."""
    with (
        iers.conf.set_temp("auto_download", False),
        iers.earth_orientation_table.set(still_pole()),
        solar_system_ephemeris.set(str(DE421_PATH)),
    ):
        yield Astropy()
        solar_system_ephemeris.get_kernel(str(DE421_PATH)).close()
