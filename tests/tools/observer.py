"""A site under plain Skyfield: nothing here comes from the almanac's own sky."""

from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray
from skyfield.api import Star, load, load_file, wgs84
from skyfield.nutationlib import iau2000b_radians

from almanac.records.catalogue import Catalogue
from almanac.records.config import Site

Floats = NDArray[np.float64]
UTC_BEGINS_S = 63072000.0
"""1972-01-01."""


class Look(Struct, frozen=True):
    """Moon and Sun at instants, in degrees."""

    utc_s: Floats
    moon_true: Floats
    """Airless altitude of the centre."""
    moon: Floats
    """Refracted."""
    moon_azimuth: Floats
    moon_km: Floats
    """Geometric: the length of Skyfield's apparent vector is 40 km off by the Earth's motion."""
    moon_hour_angle: Floats
    moon_declination: Floats
    sun: Floats
    """Airless."""
    separation: Floats
    fraction: Floats
    phase_angle: Floats


class Stars(Struct, frozen=True):
    """All stars of the catalogue at instants, in degrees: arrays of shape (n, stars)."""

    altitude: Floats
    """Refracted."""
    azimuth: Floats
    true_altitude: Floats
    hour_angle: Floats
    declination: Floats


class Observer:
    """A site under plain Skyfield: nothing here comes from the almanac's own sky."""

    def __init__(self, site: Site, ephemeris: Any, timescale: Any) -> None:
        """Stand at the site."""
        self.site, self.ephemeris, self.timescale = site, ephemeris, timescale
        self.place = ephemeris["earth"] + wgs84.latlon(
            site.latitude_deg, site.longitude_deg, elevation_m=site.elevation_m
        )

    def _times(self, utc_s: Floats) -> Any:
        """Times with the short nutation series, good to a milliarcsecond (McCarthy & Luzum,
        Celest. Mech. Dyn. Astr. 85 (2003) 37). Before 1972 the clock keeps UT1."""
        day, second = np.divmod(utc_s, 86400.0)  # POSIX seconds know no leap seconds
        times = self.timescale.utc(1970, 1, 1 + day, 0, 0, second)
        if np.any(early := utc_s < UTC_BEGINS_S):
            old = self.timescale.ut1(1970, 1, 1 + day, 0, 0, second)
            times = self.timescale.tt_jd(
                np.where(early, old.whole, times.whole),
                np.where(early, old.tt_fraction, times.tt_fraction),
            )
        times._nutation_angles_radians = iau2000b_radians(times)
        return times

    def refracted(self, altitude: Floats) -> Floats:
        """Saemundsson's formula with pressure and temperature (Meeus, 2nd ed., ch. 16)."""
        held = np.clip(altitude, -1.0, None)
        arcmin = 1.02 / np.tan(np.radians(held + 10.3 / (held + 5.11)))
        air = self.site.pressure_hpa / 1010 * 283 / (273 + self.site.temperature_c)
        return altitude + np.clip(arcmin, 0, None) * air / 60

    def ground(self, azimuth: Floats) -> Floats:
        """The profile, walked three times round so that no azimuth lies outside."""
        around = np.array(self.site.horizon.azimuth_deg)
        turns = np.concatenate([around - 360, around, around + 360])
        return np.interp(azimuth, turns, np.tile(self.site.horizon.altitude_deg, 3))

    def look(self, utc_s: Floats) -> Look:
        """Everything about Moon and Sun at POSIX seconds of shape (n,)."""
        utc_s = np.asarray(utc_s, dtype=float)
        times = self._times(utc_s)
        here = self.place.at(times)
        apart = self.ephemeris["moon"].at(times).position.km - here.position.km
        moon = here.observe(self.ephemeris["moon"]).apparent()
        sun = here.observe(self.ephemeris["sun"]).apparent()
        altitude, azimuth, _ = moon.altaz()
        hour_angle, declination, _ = moon.hadec()
        to_observer, to_sun = -moon.position.km, sun.position.km - moon.position.km
        lengths = np.linalg.norm(to_observer, axis=0) * np.linalg.norm(to_sun, axis=0)
        phase = np.arccos(np.sum(to_observer * to_sun, axis=0) / lengths)
        return Look(
            utc_s=utc_s,
            moon_true=altitude.degrees,
            moon=self.refracted(altitude.degrees),
            moon_azimuth=azimuth.degrees,
            moon_km=np.linalg.norm(apart, axis=0),
            moon_hour_angle=hour_angle.hours * 15,
            moon_declination=declination.degrees,
            sun=sun.altaz()[0].degrees,
            separation=moon.separation_from(sun).degrees,
            fraction=(1 + np.cos(phase)) / 2,
            phase_angle=np.degrees(phase),
        )

    def stars(self, catalogue: Catalogue, utc_s: Floats) -> "Stars":
        """All stars at POSIX seconds of shape (n,)."""
        here = self.place.at(self._times(np.asarray(utc_s, dtype=float)))
        rows = []
        for row in catalogue.stars:
            star = Star(
                ra_hours=row.ra_deg / 15,
                dec_degrees=row.dec_deg,
                ra_mas_per_year=row.pm_ra_mas,
                dec_mas_per_year=row.pm_dec_mas,
                parallax_mas=row.parallax_mas,
                epoch=2448349.0625,  # J1991.25
            )
            seen = here.observe(star).apparent()
            altitude, azimuth, _ = seen.altaz()
            hour_angle, declination, _ = seen.hadec()
            places = (azimuth.degrees, altitude.degrees, hour_angle.hours * 15, declination.degrees)
            rows.append(places)
        azimuth, true, hour_angle, declination = np.moveaxis(np.array(rows), 0, -1)
        return Stars(self.refracted(true), azimuth, true, hour_angle, declination)

    def moon_ahead_of_sun(self, utc_s: Floats) -> Floats:
        """Excess of the Moon's geocentric ecliptic longitude over the Sun's, 0 to 360."""
        earth = self.ephemeris["earth"].at(self._times(utc_s))
        moon, sun = (
            earth.observe(self.ephemeris[body]).apparent().ecliptic_latlon("date")[1].degrees
            for body in ("moon", "sun")
        )
        return (moon - sun) % 360


@cache
def ephemeris() -> Any:
    """DE421, opened once a process."""
    return load_file(str(Path(str(files("skyfield_data"))) / "data" / "de421.bsp"))


def observer(site: Site) -> Observer:
    """An observer at a site; close ``ephemeris()`` in the end."""
    return Observer(site, ephemeris(), load.timescale(builtin=True))
