"""A site's year: the records that pages show and ``year.json`` carries, in the contract's order.

Instants are aware UTC datetimes. Angles are degrees, azimuth from north through east, altitudes
refracted. None stands where a thing does not happen or is not computed yet.
"""

from datetime import date, datetime

import numpy as np
from msgspec import Struct, field
from numpy.typing import NDArray

from almanac.records.config import Site
from almanac.records.diary import Diary
from almanac.records.events import Eclipse
from almanac.records.globe import FeatureYear, Framing, LightEffect, LimbLibration, LitFeature, Pick
from almanac.records.meetings import Meetings
from almanac.records.safety import SunYear
from almanac.records.stars import (
    Calibration,
    MoonPlace,
    StarEvents,
    StarPlace,
    StarsToLearn,
    UsableSpan,
)
from almanac.records.track import StarTrack, Track

Floats = NDArray[np.float64]


class Phase(Struct, frozen=True):
    """A principal phase: new, first_quarter, full or last_quarter."""

    kind: str
    at_utc: datetime
    distance_km: float
    """Geocentric, geometric."""


class Apsis(Struct, frozen=True):
    """perigee or apogee: the geocentric geometric distance is least or greatest."""

    kind: str
    at_utc: datetime
    distance_km: float


class SunNight(Struct, frozen=True):
    """The Sun's events from local noon to local noon; None where one does not happen."""

    set_utc: datetime | None
    civil_dusk_utc: datetime | None
    nautical_dusk_utc: datetime | None
    astronomical_dusk_utc: datetime | None
    astronomical_dawn_utc: datetime | None
    nautical_dawn_utc: datetime | None
    civil_dawn_utc: datetime | None
    rise_utc: datetime | None
    cap_by_utc: datetime | None
    """Cover the telescope by then if it stays out."""
    lowest_altitude_deg: float
    """Least altitude of the Sun's centre in the night, airless: polar day or white night."""
    highest_altitude_deg: float
    """Greatest altitude in the night's span, airless: below the horizon all day in polar night."""


class Transit(Struct, frozen=True):
    """The Moon on the upper meridian."""

    at_utc: datetime
    altitude_deg: float


class MoonNight(Struct, frozen=True):
    """The Moon of one night. From at_utc on: topocentric, at that instant.

    at_utc is the best window's best moment, else the transit in the night, else local midnight.
    """

    rises_utc: tuple[datetime, ...]
    sets_utc: tuple[datetime, ...]
    transits: tuple[Transit, ...]
    at_utc: datetime
    illuminated_fraction: float
    phase_angle_deg: float
    age_days: float
    """Since the last new Moon."""
    distance_km: float
    angular_diameter_arcmin: float
    magnitude: float
    libration_longitude_deg: float
    """Selenographic longitude of the disc's centre: positive shows more of the east limb."""
    libration_latitude_deg: float
    axis_position_angle_deg: float
    """Of the Moon's north, from celestial north through east, 0 to 360."""
    bright_limb_position_angle_deg: float
    colongitude_deg: float
    """Longitude of the morning terminator, west positive, 0 to 360."""
    subsolar_latitude_deg: float
    zenith_position_angle_deg: float
    """Parallactic angle: position angle of the zenith at the Moon, north through east."""
    waxing: bool


class Window(Struct, frozen=True):
    """An unbroken span in which the Moon can be used; figures hold at best_utc.

    best_utc is the moment of finest detail from the hop on, or from the start without a star, until
    the time to cap.
    """

    start_utc: datetime
    end_utc: datetime
    best_utc: datetime
    altitude_deg: float
    azimuth_deg: float
    airmass: float
    diffraction_arcsec: float
    seeing_arcsec: float
    dispersion_arcsec: float
    sampling_arcsec: float
    """One pixel. The blur is the root of the sum of the squares of these four."""
    finest_detail_km: float
    field_rotation_deg_per_hour: float
    longest_clip_s: float | None
    """None where the field does not rotate (equatorial mount)."""
    usual_clip_fits: bool
    """Whether a clip of the usual 20 s is no longer than that."""
    diameter_px: float
    """The Moon's diameter on the sensor."""
    framings: tuple[Framing, ...]
    exposure_stops: float
    """Relative to a full Moon at the zenith; positive needs more light."""
    daylight: bool
    """Whether the Sun is up at any instant of it."""
    sun_separation_deg: float
    """Least distance between Sun and Moon in the window."""
    features: tuple[LitFeature, ...]
    """Near the terminator, best first."""
    calibration: Calibration | None
    no_star: str | None
    """Why there is no star: a code of plan.star_choice.NO_STAR, else None."""
    slew_clearance_deg: float | None = None
    """Least distance from a risen Sun of the moves from and to the parked position."""


class Dark(Struct, frozen=True):
    """The longest span with the Sun's centre below -18 degrees and the Moon's below the horizon."""

    start_utc: datetime
    end_utc: datetime


class Night(Struct, frozen=True):
    """Local noon to local noon, named by the evening's date."""

    date: date
    start_utc: datetime
    end_utc: datetime
    sun: SunNight
    moon: MoonNight
    windows: tuple[Window, ...]
    """In order of time."""
    no_window: str | None
    """Why there is none: a code of plan.windows.NO_WINDOW."""
    dark: Dark | None
    cautions: tuple[str, ...]
    """Codes of plan.sun_safety.CAUTIONS."""
    rank: int | None
    """1 is the year's finest night; None without a window."""


class StarMonth(Struct, frozen=True):
    """How well a star serves the evenings of a month."""

    evening_hours: float
    """Mean hours an evening, from dark enough to solve until local midnight, that it is usable."""
    best_date: date | None
    """The evening of the month with most hours; None if it never is."""
    events: StarEvents | None = None
    """On the night of the 15th."""


class StarYear(Struct, frozen=True):
    """A star of the catalogue over the year at this site."""

    name: str
    hip: int
    ra_deg: float
    """ICRS with proper motion to mid-year."""
    dec_deg: float
    magnitude: float
    note: str
    months: tuple[StarMonth, ...]
    windows_served: int
    """Windows of the year for which it is the chosen star."""
    colour_bv: float | None = None
    """Colour index B-V of Hipparcos 1997; None where it is not known."""
    weeks: tuple[UsableSpan, ...] = ()
    """Every seventh night, all night long: when it can be solved on."""


class SeasonSky(Struct, frozen=True):
    """The whole sky at one local hour, for a season's star-choice chart.

    Star arrays share the order of the catalogue; altitudes are refracted.
    """

    season: str
    """winter, spring, summer or autumn, as the hemisphere has it."""
    date: date
    at_utc: datetime | None
    """None where the Sun never goes low enough on that date: then all arrays are empty."""
    star_altitude_deg: Floats
    star_azimuth_deg: Floats
    usable: NDArray[np.bool_]
    background_altitude_deg: Floats
    background_azimuth_deg: Floats


class MonthSky(Struct, frozen=True):
    """The whole sky on a month's 15th, the stars to learn some hours on, and the Moon's road."""

    month: int
    sky: SeasonSky
    later: tuple[StarPlace, ...]
    """Every star to learn two and four hours later, star by star."""
    moon: tuple[MoonPlace, ...]
    """One for each window of the month's nights, in order of time."""


class Provenance(Struct, frozen=True):
    """What made the figures."""

    version: str
    ephemeris: str
    ephemeris_sha256: str
    delta_t: str
    timezones: str
    config_sha256: str


class YearAlmanac(Struct, frozen=True):
    """Everything about one site in one year."""

    site: Site
    year: int
    made_with: Provenance
    phases: tuple[Phase, ...]
    apsides: tuple[Apsis, ...]
    nights: tuple[Night, ...]
    stars: tuple[StarYear, ...]
    seasons: tuple[SeasonSky, ...]
    track: Track
    star_tracks: dict[tuple[date, int], StarTrack]
    """By evening date and index of the window."""
    feature_years: tuple[FeatureYear, ...]
    """In the catalogue's order."""
    light_effects: tuple[LightEffect, ...]
    librations: tuple[LimbLibration, ...]
    picks: tuple[Pick, ...]
    eclipses: tuple[Eclipse, ...] = ()
    """All on Earth, seen from the site or not, in order of time."""
    stars_to_learn: StarsToLearn | None = None
    months: tuple[MonthSky, ...] = ()
    meetings: Meetings = field(default_factory=Meetings)
    danger: SunYear | None = None
    diary: Diary = field(default_factory=Diary)
