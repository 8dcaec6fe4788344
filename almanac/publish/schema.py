"""The data contract: every field of ``year.json`` in order, with its form and its meaning.

One table serves both ways: ``feeds`` writes the file by it and the JSON Schema (draft 2020-12)
is made from it, so that they cannot part. From the inside out.
"""

from operator import attrgetter

from msgspec.structs import replace

from almanac.publish.forms import (
    ALTITUDE,
    AZIMUTH,
    CODE,
    COUNT,
    DAY,
    DISTANCE_KM,
    FLAG,
    FRACTION,
    PLACE_IN_ORDER,
    POSITION_ANGLE,
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
)
from almanac.publish.schema_diary import DIARY_FIELDS
from almanac.publish.schema_events import ECLIPSE
from almanac.publish.schema_meetings import MEETING_FIELDS
from almanac.publish.schema_moon import (
    FEATURE,
    FEATURE_YEAR,
    FRAMING,
    LIBRATION,
    LIGHT_EFFECT,
    PICK,
)
from almanac.publish.schema_stars import MONTH_SKY, REASONS, STAR, STARS_TO_LEARN

SCHEMA_NAME = "year.schema.json"
"""File name of the Schema, beside each ``year.json``."""

SITE = record(
    Field("name", TEXT, "Name that the club gives the place."),
    Field("slug", TEXT, "Its folder in the published site: a to z, 0 to 9, hyphens."),
    Field("latitude_deg", number(6, -90.0, 90.0), "Geodetic latitude (WGS84), north positive."),
    Field("longitude_deg", number(6, -180.0, 180.0), "Longitude (WGS84), east positive."),
    Field("elevation_m", number(1), "Height above sea level, metres."),
    Field("timezone", TEXT, "IANA name of the zone that decides the dates of the nights."),
    Field("temperature_c", number(1), "Air temperature used for refraction, Celsius."),
    Field("pressure_hpa", number(1, 0.0), "Air pressure at the site used for refraction, hPa."),
)

MADE_WITH = record(
    Field("version", TEXT, "Version of the program."),
    Field("ephemeris", TEXT, "Ephemeris of Sun, Moon and planets."),
    Field("ephemeris_sha256", TEXT, "SHA-256 of the ephemeris file, hexadecimal."),
    Field("delta_t", TEXT, "Which table of Earth's rotation (Delta-T) was used."),
    Field("timezones", TEXT, "Release of the IANA time-zone database."),
    Field(
        "config_sha256",
        TEXT,
        "SHA-256 of the config and then each site's horizon file, hexadecimal.",
    ),
)

PHASE = record(
    Field(
        "kind",
        choice("new", "first_quarter", "full", "last_quarter"),
        "The Moon's apparent geocentric ecliptic longitude exceeds the Sun's by 0, 90, 180, 270.",
    ),
    Field("at_utc", UTC_INSTANT, "Instant of the phase."),
    Field("distance_km", DISTANCE_KM, "Geocentric geometric distance of the Moon, km."),
)

APSIS = record(
    Field("kind", choice("perigee", "apogee"), "Least or greatest distance of the orbit."),
    Field("at_utc", UTC_INSTANT, "Instant of the extreme of the geocentric geometric distance."),
    Field("distance_km", DISTANCE_KM, "That distance, km."),
)

SUN = record(
    Field("set_utc", maybe(UTC_INSTANT), "Sunset: centre at -50' (34' refraction, 16' radius)."),
    Field("civil_dusk_utc", maybe(UTC_INSTANT), "Sun's centre sinks through -6 deg, airless."),
    Field("nautical_dusk_utc", maybe(UTC_INSTANT), "Sun's centre sinks through -12 deg, airless."),
    Field("astronomical_dusk_utc", maybe(UTC_INSTANT), "Sun sinks through -18 deg, airless."),
    Field("astronomical_dawn_utc", maybe(UTC_INSTANT), "Sun rises through -18 deg, airless."),
    Field("nautical_dawn_utc", maybe(UTC_INSTANT), "Sun's centre rises through -12 deg, airless."),
    Field("civil_dawn_utc", maybe(UTC_INSTANT), "Sun's centre rises through -6 deg, airless."),
    Field("rise_utc", maybe(UTC_INSTANT), "Sunrise: centre at -50', as for sunset."),
    Field("cap_by_utc", maybe(UTC_INSTANT), "Cover the telescope by then if it stays out."),
    Field("lowest_altitude_deg", ALTITUDE, "Sun's least altitude in the night, centre, airless."),
    Field("highest_altitude_deg", ALTITUDE, "Sun's greatest altitude in the night's span."),
)

TRANSIT = record(
    Field("at_utc", UTC_INSTANT, "The Moon's centre crosses the upper meridian."),
    Field("altitude_deg", ALTITUDE, "Altitude of its centre then, refracted."),
)

MOON = record(
    Field("rises_utc", listed(UTC_INSTANT), "Moonrises: upper limb, own radius, 34' refraction."),
    Field("sets_utc", listed(UTC_INSTANT), "Moonsets, as for moonrise."),
    Field("transits", listed(TRANSIT), "Upper transits in the night."),
    Field(
        "at_utc",
        UTC_INSTANT,
        "Instant of the figures below: the best moment of the best window, else the transit in "
        "the night, else local midnight.",
    ),
    Field("illuminated_fraction", FRACTION, "Lit fraction of the disc, topocentric."),
    Field("phase_angle_deg", number(3, 0.0, 180.0), "Angle Sun-Moon-observer."),
    Field("age_days", number(4, 0.0), "Days since the last new Moon."),
    Field("distance_km", DISTANCE_KM, "Topocentric geometric distance of the centre, km."),
    Field("angular_diameter_arcmin", number(3, 0.0), "Apparent diameter from the site."),
    Field("magnitude", number(2), "Visual magnitude of the disc outside the air."),
    Field(
        "libration_longitude_deg",
        SIGNED_ANGLE,
        "Selenographic longitude of the disc's centre from the site, east positive.",
    ),
    Field("libration_latitude_deg", SIGNED_ANGLE, "Its latitude, north positive."),
    Field("axis_position_angle_deg", POSITION_ANGLE, "Of the Moon's north, through east."),
    Field(
        "bright_limb_position_angle_deg",
        POSITION_ANGLE,
        "Of the middle of the lit limb, from celestial north through east.",
    ),
    Field("colongitude_deg", POSITION_ANGLE, "Selenographic colongitude of the Sun."),
    Field("subsolar_latitude_deg", SIGNED_ANGLE, "Selenographic latitude of the Sun."),
    Field(
        "zenith_position_angle_deg",
        POSITION_ANGLE,
        "Parallactic angle: position angle of the zenith at the Moon, north through east.",
    ),
    Field("waxing", FLAG, "Whether the lit part grows."),
)

HOP_FIELDS = (
    Field("star", TEXT, "Name of the star to solve and focus on."),
    Field("hip", COUNT, "Its Hipparcos number."),
    Field(
        "at_utc",
        UTC_INSTANT,
        "When to start on it; the angles below hold then unless they name another instant.",
    ),
    Field("altitude_deg", ALTITUDE, "Altitude of the star, refracted."),
    Field("azimuth_deg", AZIMUTH, "Azimuth of the star, from north through east."),
    Field("separation_deg", SEPARATION, "Between star and Moon's centre, as seen (refracted)."),
    Field(
        "hop_azimuth_deg",
        number(4, -180.0, 180.0),
        "Moon minus star at at_utc, the shorter way: positive turns right (clockwise from above).",
    ),
    Field(
        "hop_altitude_deg",
        number(4, -180.0, 180.0),
        "Moon minus star at at_utc, refracted: positive goes up.",
    ),
    Field("hop_utc", UTC_INSTANT, "When to hop, after levelling and focusing on the star."),
    Field("turn_deg", number(4, -180.0, 180.0), "The move at hop_utc: positive turns right."),
    Field("climb_deg", number(4, -180.0, 180.0), "The move at hop_utc: positive goes up."),
    Field("moon_altitude_deg", ALTITUDE, "Altitude of the Moon at hop_utc, refracted."),
    Field("moon_azimuth_deg", AZIMUTH, "Azimuth of the Moon at hop_utc."),
    Field(
        "landing_chance",
        FRACTION,
        "Probability that the Moon's centre lands in the frame if the hop is made at at_utc.",
    ),
    Field(
        "sun_clearance_deg",
        maybe(SEPARATION),
        "Least distance from the Sun during the hop; null with the Sun below the horizon.",
    ),
    Field("clear_min", number(1, 0.0), "Minutes from at_utc for which the star stays usable."),
)

HOP = record(*HOP_FIELDS)
CALIBRATION = record(
    *(replace(field, take=attrgetter(f"chosen.{field.name}")) for field in HOP_FIELDS),
    Field("spare", maybe(HOP), "A star in reserve, with the same fields; null when none."),
    Field("reasons", maybe(REASONS), "Why the star was chosen."),
)

WINDOW = record(
    Field("start_utc", UTC_INSTANT, "First instant at which every condition holds."),
    Field("end_utc", UTC_INSTANT, "Last instant at which every condition holds."),
    Field(
        "best_utc",
        UTC_INSTANT,
        "Instant of the finest detail between the hop (without a star the start) and the time to "
        "cap; the figures below hold then.",
    ),
    Field("altitude_deg", ALTITUDE, "Altitude of the Moon's centre, refracted."),
    Field("azimuth_deg", AZIMUTH, "Azimuth of the Moon's centre, from north through east."),
    Field("airmass", number(4, 0.9), "Kasten & Young 1989; 1 at the zenith."),
    Field("diffraction_arcsec", number(3, 0.0), "Blur by the aperture, full width at half."),
    Field("seeing_arcsec", number(3, 0.0), "Blur by the air at this airmass, likewise."),
    Field("dispersion_arcsec", number(3), "Differential refraction across the passband."),
    Field("sampling_arcsec", number(3, 0.0), "One pixel; the blur adds these four in quadrature."),
    Field("finest_detail_km", number(4, 0.0), "Total blur (air, optics, pixels) at the Moon, km."),
    Field("field_rotation_deg_per_hour", number(3), "Rotation rate of the image in the frame."),
    Field(
        "longest_clip_s",
        maybe(number(1, 0.0)),
        "Longest recording before rotation smears the limb by a pixel; null without rotation.",
    ),
    Field("usual_clip_fits", FLAG, "Whether that allows the usual clip of 20 s."),
    Field("diameter_px", number(1, 0.0), "The Moon's diameter on the sensor, pixels."),
    Field("framings", listed(FRAMING), "How it fits into the frame at each crop."),
    Field(
        "exposure_stops",
        number(2),
        "Against a full Moon at the zenith; positive needs more light.",
    ),
    Field("daylight", FLAG, "Whether the Sun is up at any instant of the window."),
    Field("sun_separation_deg", SEPARATION, "Least distance between Sun and Moon in the window."),
    Field("features", listed(FEATURE), "Features of the Moon in low light, best first."),
    Field("calibration", maybe(CALIBRATION), "The star to start on; null when there is none."),
    Field("no_star", maybe(CODE), "Code of why there is no star; null when there is one."),
    Field(
        "slew_clearance_deg",
        maybe(SEPARATION),
        "Least distance from a risen Sun of the moves from and to the parked position.",
    ),
)

DARK = record(
    Field("start_utc", UTC_INSTANT, "Start of the dark span."),
    Field("end_utc", UTC_INSTANT, "End of the dark span."),
)

NIGHT = record(
    Field("date", DAY, "Date of the evening; the night runs from local noon to local noon."),
    Field("start_utc", UTC_INSTANT, "Local noon of the date."),
    Field("end_utc", UTC_INSTANT, "Local noon of the next day."),
    Field("sun", SUN, "The Sun's events; null where one does not happen in the night."),
    Field("moon", MOON, "The Moon's events, and its figures at one instant."),
    Field("windows", listed(WINDOW), "Spans in which the Moon can be used, in order of time."),
    Field("no_window", maybe(CODE), "Code of why there is no window; null when there is one."),
    Field(
        "dark",
        maybe(DARK),
        "The longest span with the Sun's centre below -18 deg between moonset and moonrise; null "
        "when there is none.",
    ),
    Field("cautions", listed(CODE), "Codes of the cautions that apply to the night."),
    Field("rank", maybe(PLACE_IN_ORDER), "1 is the year's finest night; null without a window."),
)

YEAR = record(
    Field(
        "schema",
        choice(SCHEMA_NAME),
        "Name of the JSON Schema beside this file.",
        lambda _: SCHEMA_NAME,
    ),
    Field("site", SITE, "Where the almanac holds."),
    Field("year", COUNT, "A night belongs to the year of its evening's date."),
    Field("made_with", MADE_WITH, "What made the figures."),
    Field("phases", listed(PHASE), "Principal phases of the Moon, in order of time."),
    Field("apsides", listed(APSIS), "Perigees and apogees, in order of time."),
    Field("nights", listed(NIGHT), "Every night of the year, in order."),
    Field("stars", listed(STAR), "The bright stars of the catalogue over the year."),
    Field("feature_years", listed(FEATURE_YEAR), "When each feature of the Moon is in low light."),
    Field("light_effects", listed(LIGHT_EFFECT), "Light effects that can be seen, in order."),
    Field("librations", listed(LIBRATION), "Best libration of the year for each lit limb."),
    Field("picks", listed(PICK), "The moments of the year that stand out."),
    Field(
        "stars_to_learn",
        maybe(STARS_TO_LEARN),
        "Which stars serve all windows, and what each further one buys.",
    ),
    Field(
        "month_skies",
        listed(MONTH_SKY),
        "The star-choice chart of each month, in order.",
        lambda year: year.months,
    ),
    Field("eclipses", listed(ECLIPSE), "Every eclipse of the year, seen from the site or not."),
    *MEETING_FIELDS,
    *DIARY_FIELDS,
)

DIALECT = "https://json-schema.org/draft/2020-12/schema"
ABOUT = (
    "A site's observing year for the Moon. Instants are UTC, rounded to the second. Angles are "
    "degrees, azimuth from north through east; altitudes are refracted unless said otherwise. "
    "Distances are of centres: geocentric for phases and apsides, from the site elsewhere. "
    "null stands where a thing does not happen or is not computed."
)
