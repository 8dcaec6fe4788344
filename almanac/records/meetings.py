"""The Moon's meetings with stars and planets as a site has them.

Instants are aware UTC datetimes. Angles are degrees, altitudes refracted unless said otherwise.
"""

from datetime import date, datetime

from msgspec import Struct


class LimbContact(Struct, frozen=True):
    """A star or planet vanishing behind the Moon's limb, or coming out; its centre, mean limb."""

    at_utc: datetime
    dark_limb: bool
    position_angle_deg: float
    """On the limb from celestial north through east, 0 to 360."""
    zenith_angle_deg: float
    """On the limb from the zenith, counter-clockwise as seen, 0 to 360."""
    bright_limb_zenith_angle_deg: float
    """Of the middle of the lit limb, likewise."""
    cusp: str
    """The nearer end of the terminator: north or south."""
    cusp_angle_deg: float
    """Along the limb from that cusp: positive on the dark side, 0 to 90."""
    altitude_deg: float
    """Of the star or planet."""
    azimuth_deg: float
    moon_altitude_deg: float
    """Of the Moon's centre."""
    sun_altitude_deg: float
    """Airless."""
    hidden_by: str | None
    """Why it cannot be seen: a code of plan.meetings.HIDDEN_BY; None if it can."""


class Graze(Struct, frozen=True):
    """How near the site is to the line on the ground where the limb only touches the star."""

    distance_km: float
    bearing_deg: float
    """Way to the line, from north through east."""
    inside: bool
    """Whether the star is hidden at the site itself, by the mean limb."""


class Occultation(Struct, frozen=True):
    """A star or planet hidden by the Moon, or a graze that misses the site by a few km."""

    name: str
    """Of the star; a planet's is its code, such as venus."""
    hip: int | None
    """None for a planet."""
    magnitude: float | None
    """None for a planet, whose light varies."""
    band: str
    """Of the magnitude: V or Hp; empty for a planet."""
    group: str
    """The cluster it belongs to, or empty."""
    date: date
    """The night's in which the middle lies."""
    middle_utc: datetime
    """Deepest behind the Moon, or nearest to its limb."""
    least_separation_arcmin: float
    """Of the centres then, airless."""
    disappearance: LimbContact | None
    """None where the star stays outside the mean limb."""
    reappearance: LimbContact | None
    illuminated_fraction: float
    graze: Graze | None

    @property
    def seen(self) -> bool:
        """Whether any of it can be seen from the site."""
        return any(c is not None and c.hidden_by is None for c in self.contacts)

    @property
    def contacts(self) -> tuple[LimbContact | None, LimbContact | None]:
        """Disappearance and reappearance."""
        return self.disappearance, self.reappearance


class Approach(Struct, frozen=True):
    """The Moon at its closest to a planet, star or cluster while both are up in the dark."""

    kind: str
    """planet, star or cluster."""
    name: str
    hip: int | None
    """Of a star."""
    diameter_arcmin: float
    """Of a cluster; 0 for the others."""
    date: date
    """The night's."""
    at_utc: datetime
    separation_deg: float
    """From the Moon's centre, as seen (refracted)."""
    moon_altitude_deg: float
    moon_azimuth_deg: float
    altitude_deg: float
    """Of the planet, star or cluster."""
    azimuth_deg: float
    right_deg: float
    """Its place from the Moon's centre as the frame shows it."""
    up_deg: float
    sun_altitude_deg: float
    """Airless."""
    illuminated_fraction: float
    bright_limb_zenith_angle_deg: float
    """Of the middle of the lit limb from the zenith, counter-clockwise as seen, 0 to 360."""
    moon_diameter_arcmin: float
    frame_deg: tuple[float, float]
    """Of the telescope, across in azimuth and up in altitude."""
    fits_frame: bool
    """Whether both fit whole into the telescope's frame at once."""
    hop: str | None
    """For a star to solve on, easier or glare; None for the others and for stars too faint."""


class Meetings(Struct, frozen=True):
    """A year's, each in order of time."""

    occultations: tuple[Occultation, ...] = ()
    """Above the horizon, whether they can be seen or not."""
    approaches: tuple[Approach, ...] = ()
