"""Parts of the data contract that tell of the Moon's meetings: see ``schema``."""

from almanac.publish.forms import (
    ALTITUDE,
    AZIMUTH,
    CODE,
    DAY,
    FLAG,
    FRACTION,
    UTC_INSTANT,
    Field,
    choice,
    listed,
    maybe,
    number,
    record,
    turn,
)

SMALL_ANGLE = number(4, -5.0, 5.0)
RADIUS = number(4, 0.0, 2.0)
SECONDS = number(1, 0.0)
MAGNITUDE = number(4)

ECLIPSE_MOMENT = record(
    Field(
        "code",
        CODE,
        "Contact: p1 u1 u2 greatest u3 u4 p4 (Moon), c1 c2 greatest c3 c4 (Sun); rise or set "
        "where the body clears or leaves the horizon in between; step: evenly spaced.",
    ),
    Field("at_utc", UTC_INSTANT, "When it is."),
    Field("altitude_deg", ALTITUDE, "Of the eclipsed body's centre, refracted."),
    Field("azimuth_deg", AZIMUTH, "Its azimuth, from north through east."),
    Field("visible", FLAG, "Whether some of its disc stands above the horizon and the profile."),
    Field("sun_altitude_deg", ALTITUDE, "Of the Sun's centre, airless."),
    Field("magnitude", MAGNITUDE, "Part of the diameter in the umbra, or covered, at the instant."),
    Field("obscuration", FRACTION, "Part of the area in the umbra, or covered, at the instant."),
    Field(
        "position_angle_deg",
        turn(2),
        "Of the point of the limb where the contact happens, from celestial north through east.",
    ),
    Field("zenith_angle_deg", turn(2), "The same from the zenith, counterclockwise as seen."),
    Field(
        "right_deg",
        SMALL_ANGLE,
        "Of the Moon's centre from the shadow's (Moon) or the Sun's (Sun); zenith up at the "
        "deepest visible moment (Moon) or at the instant (Sun).",
    ),
    Field("up_deg", SMALL_ANGLE, "Likewise, upward."),
)

SHOT = record(
    Field("phase", choice("penumbral", "partial", "total"), "Phase of the eclipse."),
    Field("start_utc", UTC_INSTANT, "From when it falls into a Moon window."),
    Field("end_utc", UTC_INSTANT, "Until when."),
)

LUNAR = record(
    Field("penumbral_magnitude", MAGNITUDE, "Part of the Moon's diameter in the penumbra."),
    Field("umbral_magnitude", MAGNITUDE, "Part in the umbra; negative when it stays outside."),
    Field("borderline", maybe(CODE), "The kind that another rule for the shadow could give."),
    Field("penumbra_radius_deg", RADIUS, "At greatest eclipse, geocentric; Danjon's shadow."),
    Field("umbra_radius_deg", RADIUS, "Likewise."),
    Field("moon_radius_deg", RADIUS, "Likewise."),
    Field("penumbral_duration_s", SECONDS, "From p1 to p4."),
    Field("partial_duration_s", maybe(SECONDS), "From u1 to u4."),
    Field("total_duration_s", maybe(SECONDS), "From u2 to u3."),
    Field("shots", listed(SHOT), "Phases inside the Moon windows, in order of time."),
)

SOLAR = record(
    Field("kind", choice("partial", "annular", "total"), "What happens at the site."),
    Field(
        "magnitude",
        MAGNITUDE,
        "Part of the Sun's diameter covered at the deepest visible moment: (rS + rM - d) / 2 rS.",
    ),
    Field("diameter_ratio", number(4, 0.0), "Moon's over Sun's diameter: the other 'magnitude'."),
    Field("obscuration", FRACTION, "Part of the Sun's area covered then."),
    Field("sun_radius_deg", RADIUS, "Apparent radius then."),
    Field("moon_radius_deg", RADIUS, "Its apparent radius then, by the mean limb."),
    Field("central_duration_s", maybe(SECONDS), "Of totality or annularity."),
    Field("rises_eclipsed", FLAG, "Whether the Sun clears the horizon during the eclipse."),
    Field("sets_eclipsed", FLAG, "Whether it goes behind it."),
    Field("looks", listed(ECLIPSE_MOMENT), "From the first to the last that can be seen."),
)

ECLIPSE = record(
    Field("body", choice("moon", "sun"), "Which is eclipsed."),
    Field(
        "kind",
        choice("penumbral", "partial", "total", "annular", "hybrid"),
        "Of the Moon's eclipse; of the Sun's, what happens anywhere on Earth.",
    ),
    Field("date", DAY, "Of the Moon's: the night's. Of the Sun's: local."),
    Field("greatest_utc", UTC_INSTANT, "Greatest eclipse, geocentric."),
    Field("gamma", number(4), "Least distance of axis and centre, Earth's equatorial radii."),
    Field(
        "magnitude",
        MAGNITUDE,
        "Moon: umbral, at greatest. Sun: at the ground nearest the axis at greatest, the ratio of "
        "diameters if central there, else the part of the Sun's diameter covered.",
    ),
    Field("visible", FLAG, "Whether any of it can be seen above this horizon."),
    Field("deepest_utc", maybe(UTC_INSTANT), "The visible instant of most eclipse."),
    Field("contacts", listed(ECLIPSE_MOMENT), "In order; empty for the Sun's if it misses here."),
    Field("lunar", maybe(LUNAR), "For an eclipse of the Moon."),
    Field("solar", maybe(SOLAR), "For an eclipse of the Sun that can be seen."),
)
