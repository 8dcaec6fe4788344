"""When the Sun is a danger: codes that the pages put first, and when to cover the telescope."""

from dataclasses import dataclass

CAUTIONS = (
    "sun_up_in_window",
    "sun_near_moon",
    "cap_before_sunrise",
    "near_new_moon",
    "no_darkness",
    "sun_never_sets",
    "sun_never_rises",
)


@dataclass(frozen=True)
class SunFacts:
    """What is known of the Sun in one night."""

    lowest_altitude_deg: float
    highest_altitude_deg: float
    rises: bool
    least_moon_separation_deg: float
    daylight_separation_deg: float
    """Least distance from the Moon while the Sun is up inside a window; infinite if it never is."""


def cautions(
    facts: SunFacts, caution_deg: float, stop_deg: float, rises_deg: float
) -> tuple[str, ...]:
    """Codes of CAUTIONS that hold, in that order.

    rises_deg is the altitude of the Sun's centre at rise and set.
    """
    holds = {
        "sun_up_in_window": facts.daylight_separation_deg <= 180.0,
        "sun_near_moon": facts.daylight_separation_deg < caution_deg,
        "cap_before_sunrise": facts.rises,
        "near_new_moon": facts.least_moon_separation_deg < stop_deg,
        "no_darkness": facts.lowest_altitude_deg > -18.0,
        "sun_never_sets": facts.lowest_altitude_deg > rises_deg,
        "sun_never_rises": facts.highest_altitude_deg < rises_deg,
    }
    return tuple(code for code in CAUTIONS if holds[code])
