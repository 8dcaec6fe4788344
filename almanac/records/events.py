"""The Moon's meetings in a site's year: eclipses first.

Instants are aware UTC datetimes. Angles are degrees, azimuth from north through east; altitudes
are of a body's centre and refracted unless said otherwise.
"""

from datetime import date, datetime

from msgspec import Struct


class EclipseMoment(Struct, frozen=True):
    """An instant of an eclipse as this site has it."""

    code: str
    """A contact: p1 u1 u2 greatest u3 u4 p4 of a lunar eclipse, c1 c2 greatest c3 c4 of a solar
    one; rise or set where the body clears or leaves the horizon in between; step otherwise."""
    at_utc: datetime
    altitude_deg: float
    """Of the eclipsed body."""
    azimuth_deg: float
    visible: bool
    """Whether some of the eclipsed body's disc stands above the horizon and the profile."""
    sun_altitude_deg: float
    """Airless."""
    magnitude: float
    """Lunar: the part of the Moon's diameter in the umbra, negative outside. Solar: the part of
    the Sun's diameter covered."""
    obscuration: float
    """Solar: the part of the Sun's area covered. Lunar: of the Moon's area inside the umbra."""
    position_angle_deg: float
    """Of the point of the eclipsed disc's limb where the contact happens, from celestial north
    through east, 0 to 360; elsewhere of the limb nearest the middle of the shadow or the Moon."""
    zenith_angle_deg: float
    """The same from the zenith, counterclockwise as seen, 0 to 360."""
    right_deg: float
    """Of the Moon's centre from the shadow's (lunar) or the Sun's (solar), as seen. Zenith up: at
    the deepest moment of a lunar eclipse, at this instant of a solar one."""
    up_deg: float


class EclipseSpan(Struct, frozen=True):
    """A phase of a lunar eclipse inside one of the night's Moon windows."""

    phase: str
    """penumbral, partial or total."""
    start_utc: datetime
    end_utc: datetime


class LunarShadow(Struct, frozen=True):
    """A lunar eclipse, the same for every site; radii at greatest eclipse, geocentric."""

    penumbral_magnitude: float
    umbral_magnitude: float
    borderline: str | None
    """A type that another rule for the shadow could give: none, penumbral, partial or total."""
    penumbra_radius_deg: float
    umbra_radius_deg: float
    moon_radius_deg: float
    penumbral_duration_s: float
    partial_duration_s: float | None
    """From u1 to u4."""
    total_duration_s: float | None
    shots: tuple[EclipseSpan, ...]
    """What can be photographed when, in order of time."""


class SolarView(Struct, frozen=True):
    """A solar eclipse as this site has it."""

    kind: str
    """partial, annular or total: what happens here."""
    magnitude: float
    """Part of the Sun's diameter covered at the deepest visible moment, (rS + rM - d) / 2 rS."""
    diameter_ratio: float
    """Moon's apparent diameter over the Sun's then: the other quantity called magnitude."""
    obscuration: float
    sun_radius_deg: float
    moon_radius_deg: float
    central_duration_s: float | None
    """Of totality or annularity, c2 to c3."""
    rises_eclipsed: bool
    sets_eclipsed: bool
    looks: tuple[EclipseMoment, ...]
    """Evenly spaced, for the picture."""


class Eclipse(Struct, frozen=True):
    """An eclipse of the Moon or the Sun, seen from the site or not."""

    body: str
    """moon or sun: which is eclipsed."""
    kind: str
    """moon: penumbral, partial, total. sun, anywhere on Earth: partial, annular, total, hybrid."""
    date: date
    """moon: of the night it belongs to. sun: the local date."""
    greatest_utc: datetime
    """Geocentric: Moon's centre nearest the shadow's axis, or the axis nearest Earth's centre."""
    gamma: float
    """That least distance in Earth's equatorial radii, north positive."""
    magnitude: float
    """moon: umbral, at greatest. sun: at the ground nearest the axis at greatest: the ratio of the
    diameters if central there, else the part of the Sun's diameter covered."""
    visible: bool
    """Whether any of it can be seen above this horizon."""
    deepest_utc: datetime | None
    """The visible instant of most eclipse; None if not visible."""
    contacts: tuple[EclipseMoment, ...]
    """In order of time; empty for a solar eclipse that misses the site, be the Sun up or not."""
    lunar: LunarShadow | None
    solar: SolarView | None
    """None too where the eclipse cannot be seen from the site."""

    @property
    def slug(self) -> str:
        """Its name by the date of greatest eclipse in UTC, such as 2028-01-12-lunar."""
        return f"{self.greatest_utc.date()}-{'lunar' if self.body == 'moon' else 'solar'}"
