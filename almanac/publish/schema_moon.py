"""Parts of the data contract that tell of the Moon's globe: see ``schema``."""

from almanac.publish.forms import (
    ALTITUDE,
    AZIMUTH,
    CODE,
    DAY,
    FLAG,
    FRACTION,
    PLACE_IN_ORDER,
    SEPARATION,
    SIGNED_ANGLE,
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

FRAMING = record(
    Field("crop", PLACE_IN_ORDER, "The frame is the sensor's size divided by this."),
    Field("share", number(3, 0.0), "The Moon's diameter over the frame's short side."),
    Field("panels_across", PLACE_IN_ORDER, "Frames that cover it along azimuth, 20 % overlap."),
    Field("panels_up", PLACE_IN_ORDER, "Frames that cover it along altitude, 20 % overlap."),
)

FEATURE = record(
    Field("name", TEXT, "Name, by the IAU Gazetteer."),
    Field("sun_altitude_deg", number(2, -90.0, 90.0), "Of the Sun at the feature's centre."),
    Field("terminator", choice("morning", "evening"), "Whether the Sun climbs or sinks there."),
)

LOW_SUN = record(
    Field("date", DAY, "Date of the night."),
    Field("start_utc", UTC_INSTANT, "The Sun there is between 0 and 8 deg, in a window."),
    Field("end_utc", UTC_INSTANT, "End of that, at the latest when to cover the telescope."),
    Field("start_sun_altitude_deg", number(2, -90.0, 90.0), "Of the Sun there at start_utc."),
    Field("end_sun_altitude_deg", number(2, -90.0, 90.0), "Of the Sun there at end_utc."),
)

FEATURE_YEAR = record(
    Field("name", TEXT, "Name, by the IAU Gazetteer."),
    Field("kind", TEXT, "Crater, mountains, rille and the like."),
    Field("latitude_deg", number(2, -90.0, 90.0), "Selenographic, north positive."),
    Field("longitude_deg", number(2, -180.0, 180.0), "Selenographic, east positive."),
    Field("diameter_km", number(2, 0.0), "Longest extent."),
    Field("sunrises", listed(LOW_SUN), "Times of low morning Sun, in order."),
    Field("sunsets", listed(LOW_SUN), "Times of low evening Sun, in order."),
)

LIGHT_EFFECT = record(
    Field("name", TEXT, "What it is called."),
    Field("feature", TEXT, "The feature at which it is seen."),
    Field("date", DAY, "Date of the night."),
    Field("start_utc", UTC_INSTANT, "Start of the part inside a window."),
    Field("end_utc", UTC_INSTANT, "End of that part, at the latest when to cover the telescope."),
    Field("middle_utc", UTC_INSTANT, "Instant of the published colongitude, seen or not."),
    Field("colongitude_deg", turn(3), "Published colongitude."),
    Field("tolerance_deg", number(3, 0.0), "Half the span of colongitude that is counted in."),
    Field("sun_altitude_deg", number(2, -90.0, 90.0), "At the feature, in the part's middle."),
    Field("source", TEXT, "Who published the colongitude."),
)

LIBRATION = record(
    Field("limb", choice("north", "south", "east", "west"), "Selenographic side of the disc."),
    Field("date", DAY, "Date of the night."),
    Field("at_utc", UTC_INSTANT, "When the lit limb is turned to the site the most in the year."),
    Field("libration_longitude_deg", SIGNED_ANGLE, "Topocentric; east positive."),
    Field("libration_latitude_deg", SIGNED_ANGLE, "Topocentric; north positive."),
    Field("features", listed(TEXT), "Lit features that it brings into view, most gain first."),
)

PICK = record(
    Field("code", CODE, "What the moment stands out for."),
    Field("stage", maybe(CODE), "Stage of the month for best_of_stage, else null."),
    Field("rank", PLACE_IN_ORDER, "Place among the picks of its code."),
    Field("date", DAY, "Date of the night."),
    Field("at_utc", UTC_INSTANT, "The moment."),
    Field("in_window", FLAG, "Whether it lies in a window."),
    Field("value", number(4), "The deciding figure: km of detail, deg, km away, lit fraction."),
    Field("altitude_deg", ALTITUDE, "Altitude of the Moon's centre, refracted."),
    Field("azimuth_deg", AZIMUTH, "Azimuth of the Moon's centre, from north through east."),
    Field("illuminated_fraction", FRACTION, "Lit fraction of the disc, topocentric."),
    Field("waxing", FLAG, "Whether the lit part grows."),
    Field("angular_diameter_arcmin", number(3, 0.0), "Apparent diameter from the site."),
    Field("sun_altitude_deg", ALTITUDE, "Altitude of the Sun's centre, airless."),
    Field("sun_separation_deg", SEPARATION, "Between the centres of Sun and Moon."),
)
