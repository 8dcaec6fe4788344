"""Words for eclipses: names, contacts, and what of one can be seen from a site."""

from datetime import datetime, timedelta

from almanac.publish import steps
from almanac.publish.terms import N_
from almanac.publish.wording import Wording
from almanac.records.events import Eclipse, EclipseMoment, SolarView

HALF_SECOND = timedelta(milliseconds=500)
RISEN_DEG = -0.83
"""Airless: the Sun's upper limb shows above a flat horizon."""

NAMES = {
    ("moon", "penumbral"): N_("Penumbral eclipse of the Moon"),
    ("moon", "partial"): N_("Partial eclipse of the Moon"),
    ("moon", "total"): N_("Total eclipse of the Moon"),
    ("sun", "partial"): N_("Partial eclipse of the Sun"),
    ("sun", "annular"): N_("Annular eclipse of the Sun"),
    ("sun", "total"): N_("Total eclipse of the Sun"),
    ("sun", "hybrid"): N_("Eclipse of the Sun, annular and total"),
}

CONTACTS = {
    "p1": N_("The Moon enters the penumbra"),
    "u1": N_("It enters the umbra: the partial phase begins"),
    "u2": N_("Wholly inside the umbra: totality begins"),
    "u3": N_("Totality ends"),
    "u4": N_("It leaves the umbra: the partial phase ends"),
    "p4": N_("It leaves the penumbra"),
    "c1": N_("The Moon touches the Sun: the eclipse begins"),
    "c4": N_("The eclipse ends"),
    "greatest": N_("Greatest eclipse here"),
    "rise": N_("Comes into sight above this skyline"),
    "set": N_("Goes behind this skyline"),
}
CENTRAL = {
    ("total", "c2"): N_("Totality begins"),
    ("total", "c3"): N_("Totality ends"),
    ("annular", "c2"): N_("The ring closes: annularity begins"),
    ("annular", "c3"): N_("The ring opens: annularity ends"),
}
GREATEST_OF_MOON = N_("Greatest eclipse")

PHASES = {
    "penumbral": N_("Penumbral phase"),
    "partial": N_("Partial phase"),
    "total": N_("Totality"),
}
ADVICE = {
    "penumbral": N_("A full Moon with one side faintly shaded: expose as for the full Moon."),
    "partial": N_(
        "The sunlit part keeps a full Moon's exposure and the shadow then stays black; to show "
        "the shadow, the bright part must burn out. Take both (common practice, no source)."
    ),
    "total": N_(
        "The Moon is dim and reddish: expose hundreds to thousands of times longer than for the "
        "full Moon, and look at the first clip before the next (common practice, no source)."
    ),
}

SUN_RULES = (
    N_(
        "Never look at the Sun, and never let a telescope, finder or camera see it, without a "
        "filter made for it over the whole front."
    ),
    N_(
        "Eclipse viewers are for eyes alone: never look into an instrument while wearing them "
        "(ISO 12312-2 covers no instrument)."
    ),
)
"""Of every eclipse of the Sun."""
ONLY_TOTALITY = N_(
    "Only totality itself is safe without a filter. Put it back on before the first light returns."
)
NO_MOMENT = N_("Here no moment of it is safe without a filter, however little of the Sun is left.")

BORDERLINE = {
    "none": N_(
        "A borderline case. By Danjon's rule for the size of the Earth's shadow, used here, the "
        "Moon just touches the penumbra; with a shadow a little smaller there is no eclipse."
    ),
    "penumbral": N_(
        "A borderline case. By Danjon's rule for the size of the Earth's shadow, used here, the "
        "Moon just touches the umbra; with a shadow a little smaller it stays penumbral."
    ),
    "partial": N_(
        "A borderline case. By another rule for the size of the Earth's shadow than Danjon's, "
        "which is used here, this eclipse is partial."
    ),
    "total": N_(
        "A borderline case. By another rule for the size of the Earth's shadow than Danjon's, "
        "which is used here, this eclipse is total."
    ),
}


def eclipse_name(eclipse: Eclipse, words: Wording) -> str:
    """What it is called: of the Moon by its kind, of the Sun by the kind on Earth."""
    return words.gettext(NAMES[eclipse.body, eclipse.kind])


def here_name(eclipse: Eclipse, words: Wording) -> str:
    """What it is at the site."""
    kind = eclipse.solar.kind if eclipse.solar else eclipse.kind
    return words.gettext(NAMES[eclipse.body, kind])


def contact_name(eclipse: Eclipse, moment: EclipseMoment, words: Wording) -> str:
    """What happens at a moment."""
    if moment.code == "greatest" and eclipse.body == "moon":
        return words.gettext(GREATEST_OF_MOON)
    if moment.code in ("c2", "c3") and eclipse.solar:
        central = "annular" if eclipse.solar.diameter_ratio < 1 else "total"
        return words.gettext(CENTRAL[central, moment.code])
    return words.gettext(CONTACTS[moment.code])


def clock_seconds(instant: datetime, words: Wording) -> str:
    """Local time as HH:MM:SS, rounded to the nearest second."""
    return f"{words.local(instant + HALF_SECOND):%H:%M:%S}"


def sun_cautions(view: SolarView, words: Wording) -> tuple[str, ...]:
    """What comes before anything else about an eclipse of the Sun."""
    last = ONLY_TOTALITY if view.kind == "total" else NO_MOMENT
    return tuple(words.gettext(text) for text in (*SUN_RULES, last))


def deepest(eclipse: Eclipse) -> EclipseMoment:
    """The visible moment of most eclipse."""
    return next(one for one in eclipse.contacts if one.at_utc == eclipse.deepest_utc)


def seen_from(eclipse: Eclipse, words: Wording) -> str:
    """When and where it is deepest, or why it cannot be seen."""
    if not eclipse.visible:
        return unseen(eclipse, words)
    at = deepest(eclipse)
    return words.gettext(
        "deepest in sight at %(time)s, %(place)s",
        time=words.clock(at.at_utc),
        place=steps.place(at.altitude_deg, at.azimuth_deg, words),
    )


def unseen(eclipse: Eclipse, words: Wording) -> str:
    """Why none of it can be seen."""
    if not eclipse.contacts:
        return words.gettext("Not visible from here: the Moon's shadow does not reach this place.")
    if max(one.altitude_deg for one in eclipse.contacts) > 0:
        return words.gettext("Not visible from here: it stays behind this skyline.")
    if eclipse.body == "moon":
        return words.gettext("Not visible from here: the Moon is below the horizon.")
    return words.gettext("Not visible from here: the Sun is below the horizon.")


def mark(eclipse: Eclipse, words: Wording) -> str:
    """The eclipse as a mark of its night: its name here and its hour in sight."""
    return f"{here_name(eclipse, words)} {words.clock(deepest(eclipse).at_utc)}"
