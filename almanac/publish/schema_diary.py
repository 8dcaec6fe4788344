"""The part of the data contract that tells of the club's own dates: meetings, outings, odds."""

from collections.abc import Callable

from almanac.publish.forms import (
    ALTITUDE,
    AZIMUTH,
    CODE,
    COUNT,
    DAY,
    FLAG,
    FRACTION,
    PLACE_IN_ORDER,
    TEXT,
    UTC_INSTANT,
    Field,
    choice,
    listed,
    maybe,
    number,
    record,
)
from almanac.records.diary import FIGURES, MeetingMoon
from almanac.records.stars import StarHop


def _of_star(get: Callable[[StarHop], object]) -> Callable[[MeetingMoon], object]:
    """Something of the star to start on; None without one."""
    return lambda moon: get(moon.calibration.chosen) if moon.calibration else None


MEETING_MOON = record(
    Field("start_utc", UTC_INSTANT, "From then on the Moon can be used, inside the meeting."),
    Field("end_utc", UTC_INSTANT, "Until then."),
    Field("best_utc", UTC_INSTANT, "Instant of the finest detail; the figures hold then."),
    Field("altitude_deg", ALTITUDE, "Altitude of the Moon's centre, refracted."),
    Field("azimuth_deg", AZIMUTH, "Its azimuth."),
    Field("illuminated_fraction", FRACTION, "Lit fraction of the disc."),
    Field("finest_detail_km", number(4, 0.0), "Total blur at the Moon, km."),
    Field(
        "star", maybe(TEXT), "The star to start on; null without one.", _of_star(lambda s: s.star)
    ),
    Field("hip", maybe(COUNT), "Its Hipparcos number.", _of_star(lambda s: s.hip)),
    Field(
        "star_utc",
        maybe(UTC_INSTANT),
        "When to start on it; it may be before the meeting begins.",
        _of_star(lambda s: s.at_utc),
    ),
    Field("no_star", maybe(CODE), "Code of why there is no star; null when there is one."),
)

SPAN = record(
    Field("start_utc", UTC_INSTANT, "When it starts."),
    Field("end_utc", UTC_INSTANT, "When it ends."),
)

BETTER = record(
    Field("day", DAY, "Local calendar date of the start."),
    Field("night", DAY, "Evening's date of the night that holds it."),
    Field("start_utc", UTC_INSTANT, "The same time by the clock."),
    Field("end_utc", UTC_INSTANT, "As long after."),
    Field("judgement", choice("good", "fair"), "How it would fall."),
)

CLUB_MEETING = record(
    Field("series", COUNT, "Which [[meeting]] of the config, from 0."),
    Field("title", TEXT, "Its title."),
    Field("day", DAY, "Local calendar date of its start, in the year."),
    Field("night", maybe(DAY), "Evening's date of its night; null if that is the year before's."),
    Field("start_utc", UTC_INSTANT, "When it starts."),
    Field("end_utc", UTC_INSTANT, "When it ends."),
    Field("outdoors", FLAG, "Whether a poor sky spoils it."),
    Field("needs", choice("moon", "dark", "either"), "What an outdoor one is for."),
    Field(
        "judgement",
        choice("good", "fair", "poor", "indoors"),
        "good: what it needs is there for half of its hours; fair: for a shortest window.",
    ),
    Field("reason", CODE, "Code of why, or the code of why the night has no window."),
    Field("moon", listed(MEETING_MOON), "When in its hours the Moon can be used."),
    Field("dark", maybe(SPAN), "The longest part with the Sun below -18 deg and no Moon up."),
    Field("better", maybe(BETTER), "For a poor one the nearest better day that the club comes on."),
    Field("better_same_weekday", maybe(BETTER), "Likewise, on the same weekday."),
    Field("clear_chance", maybe(FRACTION), "That the sky is clear; null without figures."),
)

OUTING_MOON = record(
    Field("window", COUNT, "Which of the night's windows holds the outing, from 0."),
    Field("altitude_deg", ALTITUDE, "Altitude of the Moon's centre at best_utc, refracted."),
    Field("azimuth_deg", AZIMUTH, "Its azimuth."),
    Field("illuminated_fraction", FRACTION, "Lit fraction of the disc."),
    Field("waxing", FLAG, "Whether the lit part grows."),
    Field("finest_detail_km", number(4, 0.0), "Total blur at the Moon, km."),
    Field("landing_chance", maybe(FRACTION), "Of the hop from the window's star; null: no star."),
)

OUTING_DATE = record(
    Field("date", DAY, "Date of the evening."),
    Field("start_utc", UTC_INSTANT, "When to be out."),
    Field("end_utc", UTC_INSTANT, "Until when."),
    Field("best_utc", UTC_INSTANT, "Of the finest detail, else the middle; figures hold then."),
    Field(
        "season",
        choice("winter", "spring", "summer", "autumn"),
        "By quarters of the calendar: January to March is the northern winter.",
    ),
    Field("rank", PLACE_IN_ORDER, "1 is the best of its season."),
    Field("year_rank", PLACE_IN_ORDER, "1 is the best of the year."),
    Field("value", number(4), "The figure that ranks: see the outing's ranked_by."),
    Field("clear_chance", maybe(FRACTION), "That the sky is clear; null without figures."),
    Field("moon", maybe(OUTING_MOON), "The Moon then; null for an outing without it."),
)

RESERVE = record(
    Field("date", DAY, "Of the evening, one of the outing's dates.", lambda one: one.date.date),
    Field("days", PLACE_IN_ORDER, "After the main evening."),
    Field("chance", maybe(FRACTION), "That this or the main evening is clear; null: no figures."),
)

PROPOSAL = record(
    Field("date", DAY, "Of the main evening.", lambda one: one.main.date),
    Field("backups", listed(RESERVE), "Evenings in reserve, in order of time."),
    Field("chance", maybe(FRACTION), "That at least one is clear; null without figures."),
)

GAP = record(
    Field("days", PLACE_IN_ORDER, "Between two evenings."),
    Field("pairs", PLACE_IN_ORDER, "How many pairs of the outing's dates stand so far apart."),
    Field("chance", FRACTION, "That at least one of two is clear: the mean over its dates."),
)

RULE = record(
    Field("weekdays", listed(COUNT), "0 is Monday."),
    Field("lit", listed(FRACTION, 2), "Least and greatest lit fraction."),
    Field("moon", choice("waxing", "waning", "either"), "Which half of the month."),
    Field("lowest_altitude_deg", ALTITUDE, "The Moon is higher all the time."),
    Field("hours_after_dark", number(2, 0.0), "So many hours of the dark alone; 0: no limit."),
    Field("shortest_min", number(1, 0.0), "Least length."),
    Field("least_landing_chance", FRACTION, "Of the hop; above 0 there is a star."),
    Field("dates", PLACE_IN_ORDER, "How many evenings to propose."),
    Field("per_season", PLACE_IN_ORDER, "At most so many of them in a season."),
    Field("spacing_days", PLACE_IN_ORDER, "At least so many days between two."),
    Field("backups", COUNT, "Evenings in reserve for each."),
    Field("backup_days", PLACE_IN_ORDER, "They follow within so many days."),
)

OUTING = record(
    Field("kind", choice(*FIGURES), "What it is for.", lambda one: one.rule.kind),
    Field("title", TEXT, "The club's own; empty for the kind's.", lambda one: one.rule.title),
    Field(
        "ranked_by",
        choice(*dict.fromkeys(FIGURES.values())),
        "The figure that ranks its evenings.",
        lambda one: FIGURES[one.rule.kind],
    ),
    Field("rule", RULE, "Which evenings fit, and how many to propose."),
    Field("dates", listed(OUTING_DATE), "Every evening that fits, in order."),
    Field("proposals", listed(PROPOSAL), "What is proposed, in order."),
    Field("gaps", listed(GAP), "What a reserve is worth by its days; empty without figures."),
)

DIARY_FIELDS = (
    Field(
        "club_meetings",
        listed(CLUB_MEETING),
        "The club's meetings on the sky of their own hours, in order.",
        lambda year: year.diary.meetings,
    ),
    Field(
        "outings",
        listed(OUTING),
        "Evenings chosen by the sky for the club's occasions.",
        lambda year: year.diary.outings,
    ),
)
