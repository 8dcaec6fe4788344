"""Parts of the data contract that tell of stars, planets and the Sun's danger: see ``schema``."""

from almanac.publish.forms import (
    ALTITUDE,
    AZIMUTH,
    CODE,
    COUNT,
    DAY,
    FLAG,
    FRACTION,
    SEPARATION,
    TEXT,
    UTC_INSTANT,
    Field,
    choice,
    listed,
    maybe,
    number,
    record,
    turn,
)

ANGLE = turn(2)
OFFSET = number(3, -90.0, 90.0)

CONTACT = record(
    Field("at_utc", UTC_INSTANT, "Of the star's or planet's centre at the Moon's mean limb."),
    Field("dark_limb", FLAG, "Whether that part of the limb is unlit."),
    Field("position_angle_deg", ANGLE, "On the limb, from celestial north through east."),
    Field("zenith_angle_deg", ANGLE, "On the limb, from the zenith, counter-clockwise as seen."),
    Field("bright_limb_zenith_angle_deg", ANGLE, "Of the middle of the lit limb, likewise."),
    Field("cusp", choice("north", "south"), "The nearer end of the terminator."),
    Field("cusp_angle_deg", number(2, -90.0, 90.0), "From that cusp: positive on the dark side."),
    Field("altitude_deg", ALTITUDE, "Of the star or planet, refracted."),
    Field("azimuth_deg", AZIMUTH, "Its azimuth."),
    Field("moon_altitude_deg", ALTITUDE, "Of the Moon's centre, refracted."),
    Field("sun_altitude_deg", ALTITUDE, "Of the Sun's centre, airless."),
    Field("hidden_by", maybe(CODE), "Why it cannot be seen; null if it can."),
)

GRAZE = record(
    Field("distance_km", number(2, 0.0), "Way on the ground to where the limb just touches it."),
    Field("bearing_deg", AZIMUTH, "Direction of that way."),
    Field("inside", FLAG, "Whether the mean limb hides it at the site itself."),
)

OCCULTATION = record(
    Field("name", TEXT, "Of the star, or a planet's code."),
    Field("hip", maybe(COUNT), "Hipparcos number; null for a planet."),
    Field("magnitude", maybe(number(2)), "Of the star; null for a planet."),
    Field("band", choice("V", "Hp", ""), "Of the magnitude."),
    Field("group", TEXT, "Pleiades, Hyades or empty."),
    Field("date", DAY, "The night's in which the middle lies."),
    Field("middle_utc", UTC_INSTANT, "Deepest behind the Moon, or nearest to its limb."),
    Field("least_separation_arcmin", number(3, 0.0), "Of the centres then, airless."),
    Field("disappearance", maybe(CONTACT), "null where it stays outside the mean limb."),
    Field("reappearance", maybe(CONTACT), "Likewise."),
    Field("illuminated_fraction", FRACTION, "Of the Moon."),
    Field("graze", maybe(GRAZE), "How near the site is to the limit, if within 10 km."),
    Field("seen", FLAG, "Whether any of it can be seen from the site."),
)

APPROACH = record(
    Field("kind", choice("planet", "star", "cluster"), "What the Moon comes near to."),
    Field("name", TEXT, "Its name, or a planet's code."),
    Field("hip", maybe(COUNT), "Hipparcos number of a star."),
    Field("diameter_arcmin", number(1, 0.0), "Of a cluster; 0 for the others."),
    Field("date", DAY, "The night's."),
    Field("at_utc", UTC_INSTANT, "Nearest while both are up in the dark."),
    Field("separation_deg", SEPARATION, "From the Moon's centre, as seen (refracted)."),
    Field("moon_altitude_deg", ALTITUDE, "Of the Moon's centre, refracted."),
    Field("moon_azimuth_deg", AZIMUTH, "Its azimuth."),
    Field("altitude_deg", ALTITUDE, "Of what it comes near to, refracted."),
    Field("azimuth_deg", AZIMUTH, "Its azimuth."),
    Field("right_deg", OFFSET, "Place from the Moon's centre, zenith up."),
    Field("up_deg", OFFSET, "Likewise, upward."),
    Field("sun_altitude_deg", ALTITUDE, "Of the Sun's centre, airless."),
    Field("illuminated_fraction", FRACTION, "Of the Moon."),
    Field("bright_limb_zenith_angle_deg", ANGLE, "From the zenith, counter-clockwise as seen."),
    Field("moon_diameter_arcmin", number(3, 0.0), "Apparent, from the site."),
    Field("frame_deg", listed(number(4, 0.0), 2), "Of the telescope: across in azimuth, and up."),
    Field("fits_frame", FLAG, "Whether both fit whole into the telescope's frame."),
    Field("hop", maybe(CODE), "For a star to solve on: easier, or glare if it is too near."),
)

SLEW = record(
    Field("move", choice("to_moon", "to_park"), "From or to the parked position."),
    Field("at_utc", UTC_INSTANT, "At the window's start or end."),
    Field("clearance_deg", SEPARATION, "Least distance of its box from the Sun."),
)

WITHDRAWN = record(
    Field("date", DAY, "The night's."),
    Field("start_utc", UTC_INSTANT, "Of the window that is not offered."),
    Field("end_utc", UTC_INSTANT, "Likewise."),
    Field("slew", SLEW, "The move that comes nearest to the Sun."),
)

NEAR_SLEW = record(
    Field("date", DAY, "The night's.", lambda pair: pair[0]),
    Field("slew", SLEW, "The move that comes nearest to the Sun.", lambda pair: pair[1]),
)

NEW_MOON_DAY = record(
    Field("date", DAY, "The night's, noon to noon."),
    Field("nearest_utc", UTC_INSTANT, "Of the least distance, to five minutes."),
    Field("separation_deg", SEPARATION, "Between the Moon and the Sun, least."),
)

SUN_RETURN = record(
    Field("date", DAY, "The night's."),
    Field("window_end_utc", UTC_INSTANT, "End of its last window."),
    Field("over_profile_utc", UTC_INSTANT, "The Sun's refracted upper limb clears the profile."),
    Field("rise_utc", maybe(UTC_INSTANT), "Sunrise of a flat horizon in the night."),
)

NOON = record(
    Field("date", DAY, "Middle day of a month."),
    Field("at_utc", UTC_INSTANT, "The Sun is highest."),
    Field("altitude_deg", ALTITUDE, "Then, refracted."),
    Field("azimuth_deg", AZIMUTH, "Its azimuth."),
    Field("ground_deg", ALTITUDE, "The horizon profile there."),
    Field("in_reach", FLAG, "Whether the mount can point as high."),
)

SUN_DANGER = record(
    Field("new_moon_days", listed(NEW_MOON_DAY), "Nights without a look for the Moon."),
    Field("withdrawn", listed(WITHDRAWN), "Windows not offered: a move would pass the Sun."),
    Field("slews", listed(NEAR_SLEW), "Moves of offered windows under the caution distance."),
    Field("returns", listed(SUN_RETURN), "When the Sun clears the profile after a window."),
    Field("noons", listed(NOON), "The Sun's highest, month by month."),
)

MEETING_FIELDS = (
    Field(
        "occultations",
        listed(OCCULTATION),
        "Stars to magnitude 4.5 and planets hidden by the Moon above the horizon, seen or not.",
        lambda year: year.meetings.occultations,
    ),
    Field(
        "approaches",
        listed(APPROACH),
        "The Moon within 5 degrees of a planet, a bright star or a cluster, both up in the dark.",
        lambda year: year.meetings.approaches,
    ),
    Field(
        "sun_danger",
        maybe(SUN_DANGER),
        "The Sun's danger in the year.",
        lambda year: year.danger,
    ),
)
