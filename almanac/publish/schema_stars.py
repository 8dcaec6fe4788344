"""The part of the data contract that tells of stars: their year, the choice, which to learn."""

from almanac.publish.forms import (
    ALTITUDE,
    CODE,
    COUNT,
    DAY,
    FLAG,
    FRACTION,
    SEPARATION,
    TEXT,
    UTC_INSTANT,
    Field,
    listed,
    maybe,
    number,
    record,
    turn,
)

ABOVE_GROUND = number(4, -180.0, 180.0)

PASSED_OVER = record(
    Field("star", TEXT, "The brightest star of the catalogue above the ideal horizon at at_utc."),
    Field("hip", COUNT, "Its Hipparcos number."),
    Field(
        "reason",
        CODE,
        "Why it was not chosen, the first that holds: too_low or too_high (altitude_deg), "
        "behind_horizon (above_ground_deg), not_clear_long (clear_min: not for the lead), "
        "near_moon (separation_deg), lands_less (landing_chance falls short of the best usable "
        "star's by more than 0.02), not_to_learn (a star to learn was as good).",
    ),
    Field("altitude_deg", ALTITUDE, "Its altitude at at_utc, refracted."),
    Field("above_ground_deg", ABOVE_GROUND, "That less the horizon profile at its azimuth."),
    Field("separation_deg", SEPARATION, "Between it and the Moon's centre, as seen (refracted)."),
    Field("landing_chance", FRACTION, "Probability that a hop from it lands in the frame."),
    Field("clear_min", number(1, 0.0), "Minutes from at_utc for which it stays usable."),
)

REASONS = record(
    Field("above_ground_deg", ABOVE_GROUND, "The star's altitude less the horizon profile there."),
    Field("sun_altitude_deg", ALTITUDE, "Altitude of the Sun's centre at at_utc, airless."),
    Field(
        "passed_over",
        maybe(PASSED_OVER),
        "The brightest star in the sky and why it was not chosen; null where it was.",
    ),
)

CURVE_POINT = record(
    Field("count", COUNT, "Stars beyond those that the club knows."),
    Field("stars", listed(TEXT), "Names: the known ones, then the best so many others."),
    Field("windows_served", COUNT, "Windows in which at least one of them is usable."),
    Field(
        "mean_landing_chance",
        FRACTION,
        "Mean over the windows served, each by the one of these stars that lands most likely.",
    ),
)

UNSERVED = record(
    Field("start_utc", UTC_INSTANT, "Start of the window."),
    Field("no_star", CODE, "Code of why no star can serve it."),
)

STARS_TO_LEARN = record(
    Field("known", listed(TEXT), "Stars that the club knows already: they stand in every list."),
    Field(
        "fewest",
        listed(TEXT),
        "The known stars and the fewest others with which every window that any star can serve "
        "is served; of equally few the set with the highest sum of landing chances.",
    ),
    Field(
        "curve",
        listed(CURVE_POINT),
        "The best 1, 2, 3, ... others, at most 8: most windows served, then the highest mean "
        "landing chance. Ends where further stars would not raise the mean by 0.001.",
    ),
    Field("unserved", listed(UNSERVED), "Windows that no star can serve, in order of time."),
    Field(
        "trade_rule",
        CURVE_POINT,
        "Betelgeuse, Aldebaran, Capella, Vega and Deneb, said to serve every evening near 50 N "
        "(common practice, no source): how they do here; count is 5.",
        lambda found: found.trade_rule,
    ),
    Field(
        "advised",
        listed(TEXT),
        "What the charts teach: the known stars and those of the curve, four at most, while one "
        "more serves more windows or raises the mean landing chance by at least 0.02.",
    ),
    Field(
        "proven",
        FLAG,
        "Whether it is proven that no better sets exist; false where the search was cut short.",
    ),
)

USABLE_SPAN = record(
    Field("date", DAY, "Date of the evening."),
    Field("start_utc", UTC_INSTANT, "Start, to a quarter of an hour from dusk."),
    Field("end_utc", UTC_INSTANT, "End, likewise."),
)

STAR_PLACE = record(
    Field("star", TEXT, "A star to learn."),
    Field("hip", COUNT, "Its Hipparcos number."),
    Field("at_utc", UTC_INSTANT, "Two or four hours after the chart's instant."),
    Field("altitude_deg", ALTITUDE, "Altitude then, refracted."),
    Field("azimuth_deg", turn(4), "Azimuth then, from north through east."),
)

MOON_PLACE = record(
    Field("date", DAY, "Date of the evening."),
    Field("altitude_deg", ALTITUDE, "Airless altitude of that place at the chart's instant."),
    Field("azimuth_deg", turn(4), "Azimuth of that place at the chart's instant."),
)

MONTH_SKY = record(
    Field("month", COUNT, "The month, 1 to 12."),
    Field("date", DAY, "The evening shown.", lambda month: month.sky.date),
    Field(
        "at_utc",
        maybe(UTC_INSTANT),
        "The first of the evening's half hours that is dark enough to solve; null if none is.",
        lambda month: month.sky.at_utc,
    ),
    Field("later", listed(STAR_PLACE), "The stars to learn some hours after at_utc."),
    Field(
        "moon",
        listed(MOON_PLACE),
        "Where among the stars, as they stand at at_utc, the Moon is at the best moment of each "
        "window of the month, seen from the Earth's centre.",
    ),
)

STAR_EVENTS = record(
    Field("rise_utc", maybe(UTC_INSTANT), "Rise: ideal horizon, 34' of refraction."),
    Field("transit_utc", maybe(UTC_INSTANT), "Upper transit, below the horizon too."),
    Field("set_utc", maybe(UTC_INSTANT), "Set, as for rise."),
)

STAR_MONTH = record(
    Field("evening_hours", number(2, 0.0), "Mean usable hours from dark to local midnight."),
    Field("best_date", maybe(DAY), "Evening of the month with most such hours; null if none."),
    Field(
        "events",
        maybe(STAR_EVENTS),
        "First of each from local noon of the 15th to the next; null where one does not happen.",
    ),
)

STAR = record(
    Field("name", TEXT, "Proper name."),
    Field("hip", COUNT, "Hipparcos number."),
    Field("ra_deg", turn(6), "Right ascension, ICRS, proper motion applied to mid-year."),
    Field("dec_deg", number(6, -90.0, 90.0), "Declination, likewise."),
    Field("magnitude", number(2), "V, Hipparcos 1997."),
    Field("note", TEXT, "Double or variable, in a few words, or empty."),
    Field("colour_bv", maybe(number(3)), "Colour index B-V, Hipparcos 1997; null if unknown."),
    Field("months", listed(STAR_MONTH, 12), "January to December."),
    Field(
        "weeks",
        listed(USABLE_SPAN),
        "Every seventh night of the year: the spans in which it stands within the limits and "
        "above the profile while the Sun is low enough to solve.",
    ),
    Field("windows_served", COUNT, "Windows of the year for which it is the chosen star."),
)
