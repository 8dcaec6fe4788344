"""Words for the outings that the sky offers."""

from almanac.publish.terms import N_
from almanac.publish.wording import Wording
from almanac.records.config import OutingRule

OUTINGS = {
    "moon_evening": N_("Moon evening for beginners"),
    "fine_detail": N_("Fine detail on the Moon"),
    "thin_crescent": N_("Thin crescent"),
    "dark_sky": N_("Dark sky without the Moon"),
}
"""Names of their kinds, for rules to which the club gave none."""


def outing_title(rule: OutingRule, words: Wording) -> str:
    """The club's own title of an outing, or the name of its kind."""
    return rule.title or words.gettext(OUTINGS[rule.kind])
