"""The club's diary of a site's year: its meetings, the outings that the sky offers, the odds.

Instants are aware UTC datetimes, dates those of the evening on which a night begins. Angles are
degrees, altitudes refracted. A night's own facts are found by its date in ``YearAlmanac.nights``.
"""

from datetime import date, datetime

from msgspec import Struct

from almanac.records.config import OutingRule
from almanac.records.stars import Calibration

FIGURES = {
    "moon_evening": "altitude_deg",
    "fine_detail": "finest_detail_km",
    "thin_crescent": "illuminated_fraction",
    "dark_sky": "dark_hours",
}
"""Each kind of outing and the figure that ranks its evenings: no score is made up."""


class MeetingMoon(Struct, frozen=True):
    """A part of a meeting's hours in which the Moon can be used; figures hold at best_utc."""

    start_utc: datetime
    end_utc: datetime
    best_utc: datetime
    altitude_deg: float
    azimuth_deg: float
    illuminated_fraction: float
    finest_detail_km: float
    calibration: Calibration | None
    """The star to start on for this part; it may be due before the meeting begins."""
    no_star: str | None
    """Why there is none: a code of plan.star_choice.NO_STAR, else None."""


class DarkPart(Struct, frozen=True):
    """The longest part of a meeting's hours with the Sun below -18 degrees and no Moon up."""

    start_utc: datetime
    end_utc: datetime


class BetterDate(Struct, frozen=True):
    """The nearest day on which the same hours by the clock would fall better."""

    day: date
    """Local calendar date on which it would start."""
    night: date
    """Evening's date of the night that holds its start."""
    start_utc: datetime
    end_utc: datetime
    judgement: str
    """good or fair."""


class ClubMeeting(Struct, frozen=True):
    """One date of one of the club's ``[[meeting]]`` rules, laid on the sky."""

    series: int
    """Which rule: its place in ``ClubConfig.meetings``, from 0."""
    title: str
    day: date
    """Local calendar date on which it starts."""
    night: date | None
    """Evening's date of the night that holds its start; None if that is the year before's."""
    start_utc: datetime
    end_utc: datetime
    outdoors: bool
    needs: str
    """What an outdoor one is for: moon, dark or either."""
    judgement: str
    """good, fair or poor for what it needs; indoors for one under a roof."""
    reason: str
    """Why: a code of plan.diary.REASONS, or of plan.windows.NO_WINDOW if the night has none."""
    moon: tuple[MeetingMoon, ...]
    """In order of time, whatever the club's hours; empty if the Moon is of no use then."""
    dark: DarkPart | None
    better: BetterDate | None
    """For an outdoor one that falls poor, on one of the club's weekdays; None if none is near."""
    better_same_weekday: BetterDate | None
    """Likewise, on the weekday on which it is held."""
    clear_chance: float | None
    """That the sky is clear, by the site's figures."""


class OutingMoon(Struct, frozen=True):
    """The Moon of an outing at its best moment."""

    window: int
    """Index of the night's window that holds the outing."""
    altitude_deg: float
    azimuth_deg: float
    illuminated_fraction: float
    waxing: bool
    finest_detail_km: float
    landing_chance: float | None
    """Of the window's star; None without one."""


class OutingDate(Struct, frozen=True):
    """An evening that fits an outing's rule."""

    date: date
    start_utc: datetime
    end_utc: datetime
    """When to be out: inside the club's hours."""
    best_utc: datetime
    """Of the finest detail; without a Moon the middle."""
    season: str
    """winter, spring, summer or autumn, by plan.outings.season_of."""
    rank: int
    """1 is the best of its season."""
    year_rank: int
    """1 is the best of the year."""
    value: float
    """The figure that ranks, by FIGURES."""
    clear_chance: float | None
    """That the sky is clear, by the site's figures."""
    moon: OutingMoon | None
    """None for an outing without it."""


class Backup(Struct, frozen=True):
    """An evening in reserve."""

    date: OutingDate
    days: int
    """After the main evening."""
    chance: float | None
    """That this or the main evening, or both, are clear."""


class Proposal(Struct, frozen=True):
    """A main evening and those in reserve, in order of time."""

    main: OutingDate
    backups: tuple[Backup, ...]
    chance: float | None
    """That at least one of all of them is clear; None without the site's figures."""


class GapOdds(Struct, frozen=True):
    """What a reserve so many days after the main evening is worth."""

    days: int
    pairs: int
    """How many pairs of evenings that fit stand so far apart."""
    chance: float
    """That at least one of two so far apart is clear: the mean over all evenings that fit."""


class Outing(Struct, frozen=True):
    """An occasion chosen by the sky: the evenings that fit, and what is proposed."""

    rule: OutingRule
    dates: tuple[OutingDate, ...]
    """Every evening that fits, in order of time."""
    proposals: tuple[Proposal, ...]
    """In order of time: as many as can be, with most reserves, then the best in sum."""
    gaps: tuple[GapOdds, ...]
    """By days; empty without the site's figures."""


class Diary(Struct, frozen=True):
    """A year's."""

    meetings: tuple[ClubMeeting, ...] = ()
    """In order of their starts, then of the config."""
    outings: tuple[Outing, ...] = ()
    """In the config's order."""
    seasons: tuple[str, ...] = ("winter", "spring", "summer", "autumn")
    """Those of the four quarters of the calendar, in the order of the year."""
