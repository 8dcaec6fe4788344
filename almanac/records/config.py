"""What a club configures, after checking: every value lies in its stated range."""

from dataclasses import dataclass
from datetime import time


@dataclass(frozen=True)
class Club:
    """The people the almanac is for."""

    name: str
    years: tuple[int, ...]
    language: str
    url: str | None
    """Where the site will be published; used in feeds, never fetched."""
    notes: str


@dataclass(frozen=True)
class Horizon:
    """Altitude of trees, roofs and hills by azimuth; linear between points, closed over north."""

    azimuth_deg: tuple[float, ...]
    """Rising from 0 to below 360. Two equal neighbours make a vertical step."""
    altitude_deg: tuple[float, ...]
    """Same length, -5 to 90."""


@dataclass(frozen=True)
class Site:
    """A place to observe from."""

    name: str
    slug: str
    """Folder name in the published site: a to z, 0 to 9 and hyphens."""
    latitude_deg: float
    """Geodetic (WGS84), north positive."""
    longitude_deg: float
    """East positive."""
    elevation_m: float
    timezone: str
    """IANA name."""
    horizon: Horizon
    temperature_c: float
    pressure_hpa: float
    seeing_arcsec: float
    """Full width at half maximum at the zenith."""
    clear_sky: tuple[float, ...] | None
    """Fraction of clear evenings, January to December, or None if the club has no figures."""


@dataclass(frozen=True)
class Telescope:
    """The instrument that members use."""

    aperture_mm: float
    focal_length_mm: float
    pixel_um: float
    sensor_px: tuple[int, int]
    """(across in azimuth, up in altitude)."""
    mount: str
    """``altaz`` or ``equatorial``."""
    highest_altitude_deg: float
    park: tuple[float, float]
    """(azimuth_deg, altitude_deg) of the parked tube."""
    level_error_deg: float
    """Standard deviation of each of the two tilt components of the azimuth axis."""
    passband_nm: tuple[float, float]
    """(shortest, longest) wavelength recorded."""


@dataclass(frozen=True)
class HoursSpan:
    """Wall-clock hours of one evening; times before noon belong to the morning after."""

    start: time
    end: time


@dataclass(frozen=True)
class MoonLimits:
    """When the Moon is worth going out for."""

    lowest_altitude_deg: float
    thinnest_fraction: float
    """Lit fraction of the disc, 0 to 1."""
    shortest_window_min: float
    daylight: bool
    hours: tuple[tuple[HoursSpan, ...] | None, ...]
    """Seven entries, Monday first: the evening's spans, or None for the whole night."""


@dataclass(frozen=True)
class StarLimits:
    """Which stars may serve to calibrate on."""

    faintest_magnitude: float
    lowest_altitude_deg: float
    highest_altitude_deg: float
    least_moon_separation_deg: float
    solve_below_sun_deg: float
    """The Sun must be lower than this (negative) for the telescope to see stars."""
    lead_min: float
    """Minutes between starting on the star and hopping to the Moon."""
    known: tuple[int, ...]
    """HIP numbers of stars the club already knows."""


@dataclass(frozen=True)
class SafetyLimits:
    """Distances from the Sun; common practice, no source."""

    sun_caution_deg: float
    sun_stop_deg: float
    cap_before_sunrise_min: float


@dataclass(frozen=True)
class Meeting:
    """A recurring date of the club."""

    title: str
    rule: str
    """RFC 5545 RRULE."""
    start: time
    duration_min: float
    outdoors: bool


@dataclass(frozen=True)
class ClubConfig:
    """A whole config file, checked, with every default filled in."""

    club: Club
    sites: tuple[Site, ...]
    telescope: Telescope
    moon: MoonLimits
    stars: StarLimits
    safety: SafetyLimits
    meetings: tuple[Meeting, ...]
    source_sha256: str
    """Digest of the config file and the horizon files it names: names the input in the output."""
