"""Words for occultations and close approaches: names, marks, and what of them can be seen."""

from collections.abc import Iterator

from almanac.publish import steps
from almanac.publish.eclipse_words import clock_seconds
from almanac.publish.terms import N_
from almanac.publish.wording import Wording
from almanac.records.meetings import Approach, Graze, LimbContact, Occultation

PLANETS = {
    "mercury": N_("Mercury"),
    "venus": N_("Venus"),
    "mars": N_("Mars"),
    "jupiter": N_("Jupiter"),
    "saturn": N_("Saturn"),
    "uranus": N_("Uranus"),
    "neptune": N_("Neptune"),
}

CLUSTERS = {"Pleiades": N_("the Pleiades"), "Hyades": N_("the Hyades")}
"""Those that take an article."""

HIDDEN_BY = {
    "below_horizon": N_("below the horizon"),
    "behind_skyline": N_("behind the skyline"),
    "sun_up": N_("the Sun is up"),
    "twilight": N_("the sky is too bright"),
    "bright_limb": N_("drowns at the bright limb"),
    "moon_glare": N_("drowns in the Moon's glare"),
}
CUSPS = {"north": N_("northern"), "south": N_("southern")}


def body_name(meeting: Occultation | Approach, words: Wording) -> str:
    """The star's, cluster's or planet's name inside a sentence."""
    named = PLANETS | CLUSTERS
    return words.gettext(named[meeting.name]) if meeting.name in named else meeting.name


def occultation_name(one: Occultation, words: Wording) -> str:
    """What happens."""
    name = body_name(one, words)
    if one.disappearance is None:
        return words.gettext("The Moon's limb passes by %(star)s", star=name)
    return words.gettext("The Moon hides %(star)s", star=name)


def approach_name(one: Approach, words: Wording) -> str:
    """What happens."""
    return words.gettext("The Moon near %(body)s", body=body_name(one, words))


def seen_contacts(one: Occultation) -> tuple[LimbContact, ...]:
    """Those that can be seen, in order."""
    return tuple(c for c in one.contacts if c is not None and c.hidden_by is None)


def limb_text(contact: LimbContact, words: Wording) -> str:
    """Dark or bright limb."""
    _ = words.gettext
    return _("dark limb") if contact.dark_limb else _("bright limb")


def occultation_here(one: Occultation, words: Wording) -> str:
    """What of it can be seen, and when; or why nothing can."""
    parts = list(_contact_parts(one, words))
    if one.graze:
        parts.append(graze_text(one.graze, words))
    return f"{words.gap}; ".join(parts)


def _contact_parts(one: Occultation, words: Wording) -> Iterator[str]:
    if one.seen:
        for contact in seen_contacts(one):
            pattern = (
                words.gettext("vanishes at %(time)s at the %(limb)s")
                if contact is one.disappearance
                else words.gettext("comes out at %(time)s at the %(limb)s")
            )
            time, limb = words.clock(contact.at_utc), limb_text(contact, words)
            yield words.agreed(pattern % {"time": time, "limb": limb})
        return
    reasons = dict.fromkeys(c.hidden_by for c in one.contacts if c is not None and c.hidden_by)
    if reasons:
        why = ", ".join(words.gettext(HIDDEN_BY[code]) for code in reasons)
        yield words.gettext("not to be seen: %(why)s", why=why)


def graze_text(graze: Graze, words: Wording) -> str:
    """How far the limit is."""
    return words.gettext(
        "a graze %(distance)s\u00a0km to the %(direction)s of here",
        distance=words.number(graze.distance_km, 1),
        direction=words.compass(graze.bearing_deg),
    )


def approach_here(one: Approach, words: Wording) -> str:
    """How near, when and where."""
    return words.gettext(
        "%(angle)s apart at %(time)s, the Moon %(place)s",
        angle=words.degrees(one.separation_deg, 1),
        time=words.clock(one.at_utc),
        place=steps.place(one.moon_altitude_deg, one.moon_azimuth_deg, words),
    )


def capital(text: str) -> str:
    """The text with a capital at its start."""
    return text[:1].upper() + text[1:]


def occultation_mark(one: Occultation, words: Wording) -> str:
    """The occultation as a mark of its night."""
    name, contact = body_name(one, words), seen_contacts(one)[0]
    time = words.clock(contact.at_utc)
    if contact is one.disappearance:
        return words.gettext("%(star)s vanishes %(time)s", star=name, time=time)
    return words.gettext("%(star)s comes out %(time)s", star=name, time=time)


def approach_mark(one: Approach, words: Wording) -> str:
    """The approach as a mark of its night."""
    return words.gettext(
        "%(body)s %(angle)s away %(time)s",
        body=capital(body_name(one, words)),
        angle=words.degrees(one.separation_deg, 1),
        time=words.clock(one.at_utc),
    )


def contact_sentence(one: Occultation, contact: LimbContact, words: Wording) -> str:
    """A contact to the second, with the place in the sky."""
    values = {
        "star": body_name(one, words),
        "time": clock_seconds(contact.at_utc, words),
        "limb": limb_text(contact, words),
        "place": steps.place(contact.altitude_deg, contact.azimuth_deg, words),
    }
    if contact is one.disappearance:
        return words.gettext("%(star)s vanishes at %(time)s at the %(limb)s, %(place)s.", **values)
    return words.gettext("%(star)s comes out at %(time)s at the %(limb)s, %(place)s.", **values)
