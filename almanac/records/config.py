"""What a club configures, after checking: every value lies in its stated range."""

from datetime import date, time

from msgspec import Struct

PERSISTENCE = 0.4
"""For want of a club's own: of two days' rain at Tel Aviv, 0.66 after rain less 0.25 after none
(Gabriel & Neumann, Quart. J. R. Met. Soc. 88 (1962) 90; both figures from memory)."""


class Club(Struct, frozen=True):
    """The people the almanac is for."""

    name: str
    years: tuple[int, ...]
    language: str
    url: str | None
    """Where the site will be published; used in feeds, never fetched."""
    notes: str


class Horizon(Struct, frozen=True):
    """Altitude of trees, roofs and hills by azimuth; linear between points, closed over north."""

    azimuth_deg: tuple[float, ...]
    """Rising from 0 to below 360. Two equal neighbours make a vertical step."""
    altitude_deg: tuple[float, ...]
    """Same length, -5 to 90."""


class Site(Struct, frozen=True):
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
    persistence: float = PERSISTENCE
    """How far a clear or cloudy evening lasts into the next: correlation of neighbours, 0 to 1."""


class Telescope(Struct, frozen=True):
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


class HoursSpan(Struct, frozen=True):
    """Wall-clock hours of one evening; times before noon belong to the morning after."""

    start: time
    end: time


class MoonLimits(Struct, frozen=True):
    """When the Moon is worth going out for."""

    lowest_altitude_deg: float
    thinnest_fraction: float
    """Lit fraction of the disc, 0 to 1."""
    shortest_window_min: float
    daylight: bool
    hours: tuple[tuple[HoursSpan, ...] | None, ...]
    """Seven entries, Monday first: the evening's spans, or None for the whole night."""


class StarLimits(Struct, frozen=True):
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


class SafetyLimits(Struct, frozen=True):
    """Distances from the Sun; common practice, no source."""

    sun_caution_deg: float
    sun_stop_deg: float
    cap_before_sunrise_min: float


class Meeting(Struct, frozen=True):
    """A recurring date of the club."""

    title: str
    rule: str
    """RFC 5545 RRULE."""
    start: time
    duration_min: float
    outdoors: bool
    first: date
    """The rule is counted from this date, its DTSTART; none is held before it."""
    needs: str = "moon"
    """What an outdoor one is for: moon, dark or either."""
    site: str | None = None
    """Slug of the site at which it is held; None is any."""


class OutingRule(Struct, frozen=True):
    """Which evenings suit an occasion, and how many of them to propose."""

    kind: str
    """moon_evening, fine_detail, thin_crescent or dark_sky."""
    title: str
    """Empty for the kind's own."""
    weekdays: tuple[int, ...]
    """0 is Monday."""
    lit: tuple[float, float]
    """Least and greatest lit fraction of the Moon, 0 to 1; nothing to dark_sky."""
    moon: str
    """waxing, waning or either."""
    lowest_altitude_deg: float
    """The Moon stands above it all the time."""
    hours_after_dark: float
    """Only so many hours from dusk, or from the club's own first hour if that is later."""
    shortest_min: float
    least_landing_chance: float
    """Above 0 there has to be a calibration star."""
    dates: int
    """How many evenings to propose in a year."""
    per_season: int
    """At most so many of them in a season."""
    spacing_days: int
    """At least so many days between two of them."""
    backups: int
    """Evenings in reserve for each."""
    backup_days: int
    """These follow within so many days."""


class ClubConfig(Struct, frozen=True):
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
    outings: tuple[OutingRule, ...] = ()
