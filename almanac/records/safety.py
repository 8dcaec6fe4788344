"""The Sun's danger in a site's year."""

from datetime import date, datetime

from msgspec import Struct


class Slew(Struct, frozen=True):
    """A move of the telescope while the Sun is up."""

    move: str
    """to_moon: parked tube to Moon at a window's start; to_park: back at its end."""
    at_utc: datetime
    clearance_deg: float
    """Least distance between the Sun and the move's azimuth-altitude box (plan.sun_box)."""


class WithdrawnWindow(Struct, frozen=True):
    """A window by day that is not offered because a move passes too near the Sun."""

    date: date
    start_utc: datetime
    end_utc: datetime
    slew: Slew
    """The move that comes nearest."""


class SunReturn(Struct, frozen=True):
    """When the Sun next comes over the site's horizon profile after a night's last window."""

    date: date
    window_end_utc: datetime
    over_profile_utc: datetime
    """Upper limb, refracted, above the profile."""
    rise_utc: datetime | None
    """Of a flat horizon, in the same night."""


class NewMoonDay(Struct, frozen=True):
    """A night, noon to noon, in which the Moon comes too near the Sun to be looked for."""

    date: date
    nearest_utc: datetime
    """Of the least distance within the noons, to five minutes."""
    separation_deg: float


class SolarNoon(Struct, frozen=True):
    """The Sun's highest on the middle day of a month."""

    date: date
    at_utc: datetime
    altitude_deg: float
    """Refracted, centre."""
    azimuth_deg: float
    ground_deg: float
    """The horizon profile's altitude there."""
    in_reach: bool
    """Whether the mount can point as high: then a wrong command can reach it."""


class SunYear(Struct, frozen=True):
    """Everything about the Sun's danger in the year."""

    new_moon_days: tuple[NewMoonDay, ...]
    withdrawn: tuple[WithdrawnWindow, ...]
    slews: tuple[tuple[date, Slew], ...]
    """Moves of offered windows that come under the caution distance, with their nights."""
    returns: tuple[SunReturn, ...]
    noons: tuple[SolarNoon, ...]
