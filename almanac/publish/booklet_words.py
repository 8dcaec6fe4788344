"""What the booklet says of itself, in English, ready for a catalogue."""

from almanac.publish.terms import N_

RULE = N_(
    "Never let a telescope, finder or camera see the Sun without a filter made for it over the "
    "whole front. Read the chapter on Sun safety first."
)
OPENING = N_(
    "Every night of the year stands in the tables by month. A night is named by its evening: what "
    "happens after midnight belongs to the evening before. Times are those of the clock on the "
    "wall, summer time included."
)
CLOSING = N_(
    "Below a night stand its further windows, the club's dates and the events of the sky. For one "
    "night's whole plan, with its chart, see its page or print its card."
)

COLUMNS = (
    (N_("Night"), ""),
    (
        N_("Lit"),
        N_("How much of the Moon's disc is lit; the disc beside it stands as the frame shows it."),
    ),
    (
        N_("Window"),
        N_(
            "An unbroken span in which the Moon can be used. Bold nights are the finest third of "
            "the year, grey ones the weakest; without a window the table says why."
        ),
    ),
    (
        N_("Star"),
        N_(
            "Be outside a quarter of an hour before the time given. Then solve, level and focus "
            "on this star."
        ),
    ),
    (
        N_("Hop"),
        N_(
            "The move from the star to the Moon as the handset makes it: so far left or right, so "
            "far up or down."
        ),
    ),
    (N_("In frame"), N_("The chance that the Moon is in the frame after the hop.")),
    (
        N_("Detail"),
        N_(
            "The smallest thing on the Moon that air, telescope and sensor leave apart: the less, "
            "the finer the night."
        ),
    ),
    (N_("Cap by"), N_("When to cover a telescope that stays out, before the Sun rises.")),
    (N_("Dark"), N_("Hours with the Sun 18° down and no Moon up, for the stars.")),
)
"""Heads of the months' tables and what each column holds; the first needs no words."""
