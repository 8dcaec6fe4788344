"""The star to solve on, why it was chosen, and which stars to learn."""

from datetime import date, datetime

from msgspec import Struct


class LaterHop(Struct, frozen=True):
    """The move from the star to the Moon at a later moment."""

    at_utc: datetime
    turn_deg: float
    """-180 to 180: positive turns right."""
    climb_deg: float
    """Positive goes up."""


class StarHop(Struct, frozen=True):
    """A star to solve on, and the move from it to the Moon."""

    star: str
    hip: int
    at_utc: datetime
    altitude_deg: float
    azimuth_deg: float
    separation_deg: float
    """Between star and Moon, as seen (refracted)."""
    hop_azimuth_deg: float
    """Moon minus star at at_utc, -180 to 180: positive turns right."""
    hop_altitude_deg: float
    """Moon minus star at at_utc: positive goes up."""
    hop_utc: datetime
    """When the move is made: solved, levelled and focused."""
    turn_deg: float
    """The move at hop_utc as the handset shows it, -180 to 180: positive turns right."""
    climb_deg: float
    """The same in altitude: positive goes up."""
    moon_altitude_deg: float
    """Where the Moon stands at hop_utc, refracted."""
    moon_azimuth_deg: float
    landing_chance: float
    """Probability, 0 to 1, that the Moon's centre is inside the frame after the hop."""
    sun_clearance_deg: float | None
    """Least distance from the Sun during the hop; None with the Sun below the horizon."""
    clear_min: float
    """Minutes from at_utc for which the star stays usable, counted up to an hour."""
    later: tuple[LaterHop, ...] = ()
    """The move at later moments of the window, in order, while the star can be solved on."""


class CurvePoint(Struct, frozen=True):
    """The best stars that a number of further ones can be."""

    count: int
    """How many stars beyond those the club knows."""
    stars: tuple[str, ...]
    """Names: known ones first."""
    windows_served: int
    mean_landing_chance: float
    """Over the windows served, each by its best star of these."""


class UnservedWindow(Struct, frozen=True):
    """A window that no star of the catalogue can serve."""

    start_utc: datetime
    no_star: str
    """A code of plan.star_choice.NO_STAR."""


class StarsToLearn(Struct, frozen=True):
    """The fewest stars that serve every window that can be served, and what more would buy."""

    known: tuple[str, ...]
    """What the club knows already: these stand first in every list and count for nothing."""
    fewest: tuple[str, ...]
    curve: tuple[CurvePoint, ...]
    """One star more each; ends where no further star would change anything."""
    unserved: tuple[UnservedWindow, ...]
    trade_rule: CurvePoint
    """How the five stars that the trade names for 50 N serve here, the known ones left out."""
    advised: tuple[str, ...] = ()
    """What pages and charts teach: the known ones and few others, as plan.star_list advises."""
    proven: bool = True
    """Whether no better sets can exist; False where the search for them was cut short."""


class UsableSpan(Struct, frozen=True):
    """When a star can be solved on in a night, to the quarter of an hour."""

    date: date
    start_utc: datetime
    end_utc: datetime


class StarPlace(Struct, frozen=True):
    """A star to learn at one of the hours of a month's chart."""

    star: str
    hip: int
    at_utc: datetime
    altitude_deg: float
    azimuth_deg: float


class MoonPlace(Struct, frozen=True):
    """Where among a chart's stars the Moon stands in one of the month's windows."""

    date: date
    """Of the evening."""
    altitude_deg: float
    """At the chart's instant, from the Earth's centre; below 0 under the horizon."""
    azimuth_deg: float


class StarEvents(Struct, frozen=True):
    """A star on the 15th of a month, noon to noon; None where a thing does not happen."""

    rise_utc: datetime | None
    """Ideal horizon, 34' of refraction."""
    transit_utc: datetime | None
    """Upper transit; of a star that never rises it is below the horizon."""
    set_utc: datetime | None


class PassedOver(Struct, frozen=True):
    """The brightest star above the ideal horizon, which was not chosen; at the hop's instant."""

    star: str
    hip: int
    altitude_deg: float
    above_ground_deg: float
    """Less than 0 behind the horizon profile."""
    separation_deg: float
    """From the Moon."""
    landing_chance: float
    clear_min: float
    reason: str
    """A code of plan.star_choice.PASSED_OVER, which says which of the figures tells."""


class StarReasons(Struct, frozen=True):
    """What speaks for the chosen star at its instant."""

    above_ground_deg: float
    """Its height above the horizon profile."""
    sun_altitude_deg: float
    """Airless: how dark the twilight is that it must stand out from."""
    passed_over: PassedOver | None
    """None where the chosen star is itself the brightest."""


class Calibration(Struct, frozen=True):
    """The chosen star and one in reserve."""

    chosen: StarHop
    spare: StarHop | None
    reasons: StarReasons | None = None
    """Why the chosen one."""
