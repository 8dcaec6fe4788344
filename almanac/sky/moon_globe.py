"""The Moon as a globe: which way it is turned, which side faces a place, where the Sun stands.

Selenographic coordinates are of the mean-Earth / polar-axis frame, as in the IAU Gazetteer:
latitude north positive, longitude east positive (toward Mare Crisium). Directions are apparent:
with the aberration that Earth and Moon share, light is followed as it really leaves the Moon.
"""

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from almanac.sky.apparent import LIGHT_KM_PER_DAY
from almanac.sky.moonlight import from_zenith_deg, pole_from_zenith_deg
from almanac.sky.nodes import Times, times_of
from almanac.sky.site_sky import SiteSky
from almanac.sky.year_sky import YearSky

Floats = NDArray[np.float64]

ARGUMENTS_DEG = np.array(
    [
        (125.045, -0.0529921),
        (250.089, -0.1059842),
        (260.008, 13.0120009),
        (176.625, 13.3407154),
        (357.529, 0.9856003),
        (311.589, 26.4057084),
        (134.963, 13.0649930),
        (276.617, 0.3287146),
        (34.226, 1.7484877),
        (15.134, -0.1589763),
        (119.743, 0.0036096),
        (239.961, 0.1643573),
        (25.053, 12.9590088),
    ]
)
"""E1 to E13: value at J2000.0 and change in a day (Archinal et al., Report of the IAU Working Group
on Cartographic Coordinates and Rotational Elements: 2009, Celest. Mech. Dyn. Astr. 109 (2011) 101,
table 2), as are the four that follow."""
POLE_RA_SINES_DEG = np.array(
    [-3.8787, -0.1204, 0.0700, -0.0172, 0, 0.0072, 0, 0, 0, -0.0052, 0, 0, 0.0043]
)
POLE_DEC_COSINES_DEG = np.array(
    [1.5419, 0.0239, -0.0278, 0.0068, 0, -0.0029, 0.0009, 0, 0, 0.0008, 0, 0, -0.0009]
)
MERIDIAN_SINES_DEG = np.array(
    [
        *(3.5610, 0.1208, -0.0642, 0.0158, 0.0252, -0.0066, -0.0047),
        *(-0.0046, 0.0028, 0.0052, 0.0040, 0.0019, -0.0044),
    ]
)


def rotation(tt_days: Floats) -> Floats:
    """Rotation from ICRS to the Moon's axes at times (n,): shape (3, 3, n).

    The series stays within 0.003 degree of the lunar frame of JPL's integrated ephemeris.
    """
    centuries = tt_days / 36525.0
    turns = np.radians(ARGUMENTS_DEG[:, :1] + ARGUMENTS_DEG[:, 1:] * tt_days)
    sines = np.sin(turns)
    pole_ra = 269.9949 + 0.0031 * centuries + POLE_RA_SINES_DEG @ sines
    pole_dec = 66.5392 + 0.0130 * centuries + POLE_DEC_COSINES_DEG @ np.cos(turns)
    meridian = 38.3213 + 13.17635815 * tt_days - 1.4e-12 * tt_days**2 + MERIDIAN_SINES_DEG @ sines
    return _axes(np.radians(pole_ra), np.radians(pole_dec), np.radians(meridian))


def _axes(pole_ra: Floats, pole_dec: Floats, meridian: Floats) -> Floats:
    """Axes of a globe: node on the ICRS equator at pole_ra + 90 deg, then tilt, then spin."""
    node = np.stack([-np.sin(pole_ra), np.cos(pole_ra), np.zeros_like(pole_ra)])
    level = np.cos(pole_dec)
    pole = np.stack([level * np.cos(pole_ra), level * np.sin(pole_ra), np.sin(pole_dec)])
    across = np.cross(pole, node, axis=0)
    sine, cosine = np.sin(meridian), np.cos(meridian)
    return np.stack([node * cosine + across * sine, across * cosine - node * sine, pole])


def axes_of_date(sky: YearSky, tt_days: Times) -> Floats:
    """The Moon's three axes on the true equator of date: (3 components, 3 axes, n).

    Turned back by the light time, as seen from the Earth when light arrives at tt_days.
    """
    days = times_of(tt_days)
    seen = np.linalg.norm(sky.bodies["moon"].at(tt_days), axis=0) / LIGHT_KM_PER_DAY
    return np.einsum("ijn,kjn->ikn", sky.equator.at(tt_days), rotation(days - seen))


def place_deg(axes: Floats, toward: Floats) -> tuple[Floats, Floats]:
    """Selenographic longitude (-180 to 180) and latitude of a direction from the Moon's centre.

    axes (3, 3, n) and toward (3, n), of any length, stand on the same frame.
    """
    x, y, z = np.einsum("ikn,in->kn", axes, toward)
    return np.degrees(np.arctan2(y, x)), np.degrees(np.arctan2(z, np.hypot(x, y)))


class Sunlight(Struct, frozen=True):
    """The Sun over the Moon; arrays of one shape."""

    colongitude_deg: Floats
    """Longitude of the morning terminator, west positive: 90 less the subsolar longitude. 0 to
    360; about 0 at first quarter, 90 at full Moon."""
    latitude_deg: Floats
    """Subsolar latitude, within 1.6 of zero."""


def sunlight(sky: YearSky, utc_s: Times) -> Sunlight:
    """Where the Sun stands over the Moon, for light that reaches the Earth's centre at utc_s.

    For another place on Earth it is the same to 0.000004 degree.
    """
    tt_days = sky.clock.tt_times(utc_s)
    to_sun = sky.bodies["sun"].at(tt_days) - sky.bodies["moon"].at(tt_days)
    longitude, latitude = place_deg(axes_of_date(sky, tt_days), to_sun)
    return Sunlight((90.0 - longitude) % 360.0, latitude)


class Face(Struct, frozen=True):
    """The side of the Moon that faces a site; arrays of the shape of the times asked for."""

    libration_longitude_deg: Floats
    """Selenographic longitude of the disc's centre: positive shows more of the east limb."""
    libration_latitude_deg: Floats
    """Its latitude: positive shows more of the north."""
    axis_position_angle_deg: Floats
    """Of the Moon's north, from celestial north through east, 0 to 360."""
    axis_from_zenith_deg: Floats
    """Of the Moon's north, from the zenith counter-clockwise as seen, 0 to 360."""
    frame: Floats
    """Toward the observer, right and up on the sky with the zenith up, as unit vectors on the
    Moon's axes: (3 vectors, 3 components, n)."""


def face(sky: SiteSky, utc_s: Times) -> Face:
    """The Moon's face as seen from a site at POSIX seconds (n,)."""
    tt_days = sky.sky.clock.tt_times(utc_s)
    axes = sky.turned(axes_of_date(sky.sky, tt_days), tt_days)
    moon = sky.body("moon", utc_s)
    longitude, latitude = place_deg(axes, -moon.direction)
    tilt = from_zenith_deg(moon.direction, axes[:, 2])
    pole = pole_from_zenith_deg(moon, sky.site.latitude_deg)
    return Face(longitude, latitude, (tilt - pole) % 360.0, tilt, _frame(axes, moon.direction))


def _frame(axes: Floats, direction: Floats) -> Floats:
    """The three directions of Face.frame from the axes and the Moon's place, (east, north, up)."""
    zenith = np.zeros_like(direction)
    zenith[2] = 1.0
    right = np.cross(direction, zenith, axis=0)
    right /= np.linalg.norm(right, axis=0)
    views = np.stack([-direction, right, np.cross(right, direction, axis=0)])
    return np.einsum("vin,ikn->vkn", views, axes)
