"""When the Sun is a danger: codes that the pages put first, and when to cover the telescope."""

from msgspec import Struct

CAUTIONS = (
    "sun_up_in_window",
    "sun_near_moon",
    "sun_near_slew",
    "window_withdrawn",
    "cap_before_sunrise",
    "near_new_moon",
    "no_darkness",
    "sun_never_sets",
    "sun_never_rises",
)


class SunFacts(Struct, frozen=True):
    """What is known of the Sun in one night."""

    lowest_altitude_deg: float
    highest_altitude_deg: float
    rises: bool
    least_moon_separation_deg: float
    daylight_separation_deg: float
    """Least distance from the Moon while the Sun is up inside a window; infinite if it never is."""
    slew_clearance_deg: float = float("inf")
    """Least distance from a risen Sun of a move of an offered window; infinite if there is none."""
    window_withdrawn: bool = False
    """Whether a window by day is not offered because a move would pass too near the Sun."""


def cautions(
    facts: SunFacts, caution_deg: float, stop_deg: float, rises_deg: float
) -> tuple[str, ...]:
    """Codes of CAUTIONS that hold, in that order.

    rises_deg is the altitude of the Sun's centre at rise and set.
    """
    holds = {
        "sun_up_in_window": facts.daylight_separation_deg <= 180.0,
        "sun_near_moon": facts.daylight_separation_deg < caution_deg,
        "sun_near_slew": facts.slew_clearance_deg < caution_deg,
        "window_withdrawn": facts.window_withdrawn,
        "cap_before_sunrise": facts.rises,
        "near_new_moon": facts.least_moon_separation_deg < stop_deg,
        "no_darkness": facts.lowest_altitude_deg > -18.0,
        "sun_never_sets": facts.lowest_altitude_deg > rises_deg,
        "sun_never_rises": facts.highest_altitude_deg < rises_deg,
    }
    return tuple(code for code in CAUTIONS if holds[code])
