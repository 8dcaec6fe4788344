"""The Moon as a globe in a site's year: its features in low light, its limbs, the year's picks."""

from datetime import date, datetime

from msgspec import Struct


class Framing(Struct, frozen=True):
    """How the Moon fits into a frame that is the sensor's size divided by crop."""

    crop: int
    share: float
    """The Moon's diameter as a part of the frame's short side; above 1 it does not fit."""
    panels_across: int
    """Overlapping frames that cover the disc, along azimuth and along altitude."""
    panels_up: int


class LitFeature(Struct, frozen=True):
    """A named feature near the terminator, as it looks at a window's best moment."""

    name: str
    kind: str
    latitude_deg: float
    longitude_deg: float
    """East positive, -180 to 180."""
    sun_altitude_deg: float
    """Of the Sun's centre, at the feature's centre."""
    terminator: str
    """morning or evening: whether the Sun climbs or sinks there."""
    from_centre_deg: float
    """Angle from the disc's centre on the globe; its cosine is the foreshortening."""
    right: float
    """Place on the disc with the zenith up, in the Moon's radii from its centre."""
    up: float


class LowSun(Struct, frozen=True):
    """A part of a window, before the cap, in which the Sun at a feature is from 0 to 8 degrees."""

    date: date
    """The night's."""
    start_utc: datetime
    end_utc: datetime
    start_sun_altitude_deg: float
    end_sun_altitude_deg: float


class FeatureYear(Struct, frozen=True):
    """When a feature of the Moon can be watched in low light from this site."""

    name: str
    kind: str
    latitude_deg: float
    longitude_deg: float
    diameter_km: float
    sunrises: tuple[LowSun, ...]
    sunsets: tuple[LowSun, ...]


class LightEffect(Struct, frozen=True):
    """The part of a light effect's span that falls into a window, before the cap."""

    name: str
    feature: str
    date: date
    """The night's."""
    start_utc: datetime
    end_utc: datetime
    middle_utc: datetime
    """Instant of the published colongitude; it may lie outside the window."""
    colongitude_deg: float
    tolerance_deg: float
    sun_altitude_deg: float
    """At the feature's centre in the middle of the visible part."""
    source: str


class LimbLibration(Struct, frozen=True):
    """The instant inside a window at which a lit limb is turned to us the most in the year."""

    limb: str
    """north, south, east or west, selenographic."""
    date: date
    at_utc: datetime
    libration_longitude_deg: float
    libration_latitude_deg: float
    features: tuple[str, ...]
    """Lit limb features that it brings into view, the greatest gain first."""


class Pick(Struct, frozen=True):
    """A moment of the year that stands out."""

    code: str
    """What for: a code of plan.picks.PICKS."""
    stage: str | None
    """For best_of_stage, a stage of plan.picks.STAGES."""
    rank: int
    date: date
    at_utc: datetime
    in_window: bool
    value: float
    """The figure that decides, by plan.picks.PICKS; a full Moon's distance is geocentric."""
    altitude_deg: float
    azimuth_deg: float
    illuminated_fraction: float
    waxing: bool
    angular_diameter_arcmin: float
    sun_altitude_deg: float
    """Airless."""
    sun_separation_deg: float
