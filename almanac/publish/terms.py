"""Names and sentences that stand for the codes of the records, in English, ready for a catalogue.

``N_`` marks a text for extraction; ``Wording`` translates it.
"""

from typing import NamedTuple


def N_(message: str) -> str:
    """Mark a message for extraction and leave it as it is."""
    return message


class Reason(NamedTuple):
    """A code in a few words and as sentences."""

    label: str
    sentence: str


COMPASS = (
    N_("north"),
    N_("north-east"),
    N_("east"),
    N_("south-east"),
    N_("south"),
    N_("south-west"),
    N_("west"),
    N_("north-west"),
)
COMPASS_SHORT = (
    N_("N"),
    N_("NNE"),
    N_("NE"),
    N_("ENE"),
    N_("E"),
    N_("ESE"),
    N_("SE"),
    N_("SSE"),
    N_("S"),
    N_("SSW"),
    N_("SW"),
    N_("WSW"),
    N_("W"),
    N_("WNW"),
    N_("NW"),
    N_("NNW"),
)

PHASES = {
    "new": N_("New Moon"),
    "first_quarter": N_("First quarter"),
    "full": N_("Full Moon"),
    "last_quarter": N_("Last quarter"),
}

THIN = 0.01
"""Below this lit fraction the Moon is called new, above its complement full."""
HALF = (0.45, 0.55)
"""Lit fractions between which the Moon looks half."""


def moon_shape(fraction: float, waxing: bool) -> str:
    """The English name of the Moon's shape by lit fraction 0 to 1 and whether it grows."""
    if fraction < THIN:
        return N_("New Moon")
    if fraction > 1 - THIN:
        return N_("Full Moon")
    if fraction < HALF[0]:
        return N_("Waxing crescent") if waxing else N_("Waning crescent")
    if fraction > HALF[1]:
        return N_("Waxing gibbous") if waxing else N_("Waning gibbous")
    return N_("Waxing half Moon") if waxing else N_("Waning half Moon")


APSIDES = {
    "perigee": N_("Moon nearest"),
    "apogee": N_("Moon farthest"),
}

QUALITIES = {
    "good": N_("a good night"),
    "fair": N_("a fair night"),
    "poor": N_("a poor night"),
    "none": N_("no window"),
}

SEASONS = {
    "winter": N_("Winter"),
    "spring": N_("Spring"),
    "summer": N_("Summer"),
    "autumn": N_("Autumn"),
}
SEASON_SKIES = {
    "winter": N_("The winter sky"),
    "spring": N_("The spring sky"),
    "summer": N_("The summer sky"),
    "autumn": N_("The autumn sky"),
}
"""Whole, for languages in which the season's word changes with the sky's."""

PICKS = {
    "highest_moon": N_("Highest Moon"),
    "lowest_moon": N_("Lowest Moon"),
    "largest_full_moon": N_("Largest full Moon"),
    "smallest_full_moon": N_("Smallest full Moon"),
    "thinnest_waxing": N_("Thinnest evening crescent"),
    "thinnest_waning": N_("Thinnest morning crescent"),
    "thin_crescent_waxing": N_("Finest thin evening crescent"),
    "crescent_waxing": N_("Finest evening crescent"),
    "first_quarter": N_("Finest first quarter"),
    "gibbous_waxing": N_("Finest waxing gibbous"),
    "full": N_("Finest full Moon"),
    "gibbous_waning": N_("Finest waning gibbous"),
    "last_quarter": N_("Finest last quarter"),
    "crescent_waning": N_("Finest morning crescent"),
    "thin_crescent_waning": N_("Finest thin morning crescent"),
}
"""What stands out in the year, and the finest of each stage of the month."""

LIGHT_EFFECTS = (N_("Werner X"), N_("Pitatus floor ray"), N_("Hesiodus sunrise ray"))
"""The names of the Moon's light effects, as their records have them."""

FEATURE_KINDS = {
    "crater": N_("crater"),
    "mare": N_("sea of lava"),
    "mountains": N_("mountains"),
    "mountain": N_("mountain"),
    "rille": N_("rille"),
    "valley": N_("valley"),
    "scarp": N_("scarp"),
    "cape": N_("cape"),
    "bay": N_("bay"),
    "landing site": N_("landing site"),
    "bright patch": N_("bright patch"),
}
DISC_PLACES = (
    N_("right"),
    N_("upper right"),
    N_("top"),
    N_("upper left"),
    N_("left"),
    N_("lower left"),
    N_("bottom"),
    N_("lower right"),
)
"""By eighths of a turn from the right, as the frame shows the disc."""
NEAR_CENTRE = N_("near the middle")

TERMINATORS = {"morning": N_("morning"), "evening": N_("evening")}

NO_WINDOW = {
    "moon_below_limit": Reason(
        N_("Moon too low"),
        N_("The Moon never stands above both the lowest useful altitude and this horizon."),
    ),
    "moon_too_high": Reason(
        N_("Moon too high for the mount"),
        N_("The Moon is above the horizon limit only while it is higher than the mount can point."),
    ),
    "sun_up": Reason(
        N_("Only while the Sun is up"),
        N_("The Moon is high enough only while the Sun is up."),
    ),
    "outside_hours": Reason(
        N_("Outside the club's hours"),
        N_("The Moon is high enough only outside the hours that the club has set."),
    ),
    "too_thin": Reason(
        N_("Moon too thin"),
        N_("So little of the Moon's disc is lit that there is nothing to work on."),
    ),
    "too_short": Reason(
        N_("Too short"),
        N_("The Moon can be used for so few minutes that setting up is not worth it."),
    ),
    "sun_too_close": Reason(
        N_("Sun too close"),
        N_("A daylight window is withdrawn: the Sun is too close to the Moon or to the hop."),
    ),
}

NO_STAR = {
    "none_clear_of_sun": Reason(
        N_("moves too near the Sun"),
        N_(
            "Every move by way of a bright star would pass too near the Sun: wait until it is down."
        ),
    ),
    "too_bright_to_solve": Reason(
        N_("sky too bright for stars"),
        N_(
            "The sky is too bright to solve on a star: centre the Moon by eye, or in "
            "the evening wait for stars."
        ),
    ),
    "none_above_horizon": Reason(
        N_("no star above this horizon"),
        N_("No bright star stands clear of this horizon: centre the Moon by eye."),
    ),
    "none_clear_of_moon": Reason(
        N_("stars lost in the Moon's glare"),
        N_("Every bright star that is up stands too near the Moon's glare: centre by eye."),
    ),
    "none_in_reach": Reason(
        N_("stars too low or too high"),
        N_("Every bright star that is up stands too low or too high to solve on: centre by eye."),
    ),
}

CAUTIONS = {
    "sun_up_in_window": N_("The Sun is up during a window. Never sweep the telescope across it."),
    "sun_near_moon": N_(
        "By day the Sun stands close to the Moon. Keep the tube capped from sunrise to sunset."
    ),
    "sun_near_slew": N_(
        "The way between the parked position and the Moon passes near the Sun. Keep the tube "
        "capped until it points at the Moon, and cap it again before it moves back."
    ),
    "window_withdrawn": N_(
        "A window by day is withdrawn: a move of the telescope would pass too near the Sun."
    ),
    "cap_before_sunrise": N_("Cover a telescope that stays out before the Sun rises."),
    "no_darkness": N_("The night never becomes fully dark."),
    "sun_never_sets": N_("The Sun does not set. Treat the whole night as day."),
    "sun_never_rises": N_("The Sun does not rise."),
    "near_new_moon": N_("The Moon is close to the Sun in the sky. Do not look for it."),
}
