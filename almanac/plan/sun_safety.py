"""When the Sun is a danger: codes that the pages put first, and when to cover the telescope."""

from msgspec import Struct

CAUTIONS = (
    "sun_up_in_window",
    "sun_near_moon",
    "sun_near_slew",
    "window_withdrawn",
    "near_new_moon",
    "cap_before_sunrise",
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
    risen_separation_deg: float = float("inf")
    """Least distance from the Moon while both are up, window or not; infinite if they never are."""
    slew_clearance_deg: float = float("inf")
    """Least distance from a risen Sun of a move of an offered window; infinite if there is none."""
    window_withdrawn: bool = False
    """Whether a window by day is not offered because a move would pass too near the Sun."""


def cautions(
    facts: SunFacts, caution_deg: float, stop_deg: float, rises_deg: float
) -> tuple[str, ...]:
    """Codes of CAUTIONS that hold, in that order.

    rises_deg is the altitude of the Sun's centre at rise and set. On a day on which nobody is to
    look for the Moon, near_new_moon stands for sun_near_moon but for a window by day.
    """
    near_new_moon = facts.least_moon_separation_deg < stop_deg
    near_deg = min(
        facts.daylight_separation_deg,
        float("inf") if near_new_moon else facts.risen_separation_deg,
    )
    holds = {
        "sun_up_in_window": facts.daylight_separation_deg <= 180.0,
        "sun_near_moon": near_deg < caution_deg,
        "sun_near_slew": facts.slew_clearance_deg < caution_deg,
        "window_withdrawn": facts.window_withdrawn,
        "near_new_moon": near_new_moon,
        "cap_before_sunrise": facts.rises,
        "no_darkness": facts.lowest_altitude_deg > -18.0,
        "sun_never_sets": facts.lowest_altitude_deg > rises_deg,
        "sun_never_rises": facts.highest_altitude_deg < rises_deg,
    }
    return tuple(code for code in CAUTIONS if holds[code])
