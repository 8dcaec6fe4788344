"""Why a window starts on its star, in sentences."""

from collections.abc import Iterator, Mapping

from almanac.publish.terms import N_
from almanac.publish.wording import Wording
from almanac.records.stars import Calibration, PassedOver
from almanac.records.year import Window

PASSED_OVER: Mapping[str, str] = {
    "too_low": N_("it stands only %(altitude)s up, below the lowest that can be used"),
    "too_high": N_("it stands %(altitude)s up, too near overhead"),
    "behind_horizon": N_("it is behind the skyline, %(below)s below its edge"),
    "not_clear_long": N_("it can be used for %(clear)s only, less than the start takes"),
    "near_moon": N_("it is %(separation)s from the Moon, in its glare"),
    "lands_less": N_("from it the hop lands in %(chance)s of tries only"),
    "not_to_learn": N_("it lands no better (%(chance)s) than a star to learn"),
}
"""By the codes of plan.star_choice.PASSED_OVER."""


def star_reasons(window: Window, words: Wording) -> Iterator[str]:
    """What speaks for the window's star and what was wrong with the brightest; none without one."""
    calibration = window.calibration
    if calibration is None or calibration.reasons is None:
        return
    yield _for(calibration, words)
    if calibration.reasons.passed_over:
        yield against(calibration.reasons.passed_over, words)


def _for(calibration: Calibration, words: Wording) -> str:
    hop, reasons = calibration.chosen, calibration.reasons
    assert reasons is not None
    return words.gettext(
        "%(star)s at %(time)s: %(above)s above the skyline and clear for %(clear)s, the Sun "
        "%(sun)s below the horizon, the Moon %(separation)s away. The hop lands in the frame in "
        "%(chance)s of tries.",
        star=hop.star,
        time=words.clock(hop.at_utc),
        above=words.degrees(reasons.above_ground_deg),
        clear=words.duration(60 * hop.clear_min),
        sun=words.degrees(-reasons.sun_altitude_deg),
        separation=words.degrees(hop.separation_deg),
        chance=words.chance(hop.landing_chance),
    )


def against(star: PassedOver, words: Wording) -> str:
    """Why the brightest star in the sky was not chosen."""
    figures = {
        "altitude": words.degrees(star.altitude_deg),
        "below": words.degrees(-star.above_ground_deg),
        "clear": words.duration(60 * star.clear_min),
        "separation": words.degrees(star.separation_deg),
        "chance": words.chance(star.landing_chance),
    }
    why = words.gettext(PASSED_OVER[star.reason], **figures)
    return words.gettext("Not %(star)s, the brightest up: %(why)s.", star=star.star, why=why)
