"""Words for the outings that the sky offers."""

from collections.abc import Iterator

from almanac.publish import steps
from almanac.publish.terms import N_
from almanac.publish.wording import Wording
from almanac.records.config import MoonLimits, OutingRule
from almanac.records.diary import OutingDate

OUTINGS = {
    "moon_evening": N_("Moon evening for beginners"),
    "fine_detail": N_("Fine detail on the Moon"),
    "thin_crescent": N_("Thin crescent"),
    "dark_sky": N_("Dark sky without the Moon"),
}
"""Names of their kinds, for rules to which the club gave none."""
RANKED_BY = {
    "moon_evening": N_("The higher the Moon, the better."),
    "fine_detail": N_("The finer the detail, the better."),
    "thin_crescent": N_("The thinner the crescent, the better."),
    "dark_sky": N_("The longer the dark, the better."),
}
SIDES = {
    "waxing": N_("The Moon waxing, %(least)s to %(most)s lit."),
    "waning": N_("The Moon waning, %(least)s to %(most)s lit."),
    "either": N_("The Moon %(least)s to %(most)s lit."),
}
QUARTERS = (
    N_("January to March"),
    N_("April to June"),
    N_("July to September"),
    N_("October to December"),
)
"""The months of the seasons, in the order of the year."""


def outing_title(rule: OutingRule, words: Wording) -> str:
    """The club's own title of an outing, or the name of its kind."""
    return rule.title or words.gettext(OUTINGS[rule.kind])


def rule_lines(rule: OutingRule, moon: MoonLimits, words: Wording) -> Iterator[str]:
    """What an outing asks of an evening, in short sentences, with the club's own limits."""
    if len(rule.weekdays) < 7:
        days = ", ".join(words.weekday(day) for day in rule.weekdays)
        yield words.gettext("Evenings of: %(days)s.", days=days)
    if rule.kind == "dark_sky":
        yield words.gettext("The Sun is more than 18° down and the Moon has set or not yet risen.")
    else:
        least, most = max(rule.lit[0], moon.thinnest_fraction), rule.lit[1]
        lit = {"least": words.percent(least), "most": words.percent(most)}
        yield words.gettext(SIDES[rule.moon], **lit)
        height = words.degrees(max(rule.lowest_altitude_deg, moon.lowest_altitude_deg))
        yield words.gettext("It stands at least %(height)s up.", height=height)
    if rule.hours_after_dark:
        dark = words.duration(rule.hours_after_dark * 3600)
        yield words.gettext("In the first %(hours)s in which stars show.", hours=dark)
    if rule.least_landing_chance and rule.kind != "dark_sky":
        chance = words.percent(rule.least_landing_chance)
        yield words.gettext("The hop lands with at least %(chance)s.", chance=chance)
    length = words.duration(rule.shortest_min * 60)
    yield words.gettext("At least %(length)s long.", length=length)
    yield words.gettext(RANKED_BY[rule.kind])


def figure(kind: str, evening: OutingDate, words: Wording) -> str:
    """The figure that ranks an evening, with its unit."""
    if kind == "moon_evening":
        return words.gettext("%(height)s up", height=words.degrees(evening.value))
    if kind == "fine_detail":
        return words.gettext("%(size)s\u00a0km", size=words.number(evening.value, 1))
    if kind == "thin_crescent":
        return words.gettext("%(lit)s lit", lit=words.percent(evening.value))
    return words.duration(evening.value * 3600)


def evening_hours(evening: OutingDate, words: Wording) -> str:
    """From when to when to be out; what begins after midnight names its day."""
    span = steps.span(evening.start_utc, evening.end_utc, words)
    day = words.day(evening.start_utc)
    if day == evening.date:
        return span
    return f"{words.date(day, 'weekday_number')} {span}"


def evening_line(evening: OutingDate, words: Wording) -> str:
    """What an evening has to show, as a sentence."""
    moon = evening.moon
    if moon is None:
        dark = words.duration(evening.value * 3600)
        return words.gettext("Dark and moonless for %(length)s.", length=dark)
    return words.gettext(
        "%(shape)s, %(lit)s lit, %(place)s at %(time)s; detail down to %(size)s\u00a0km.",
        shape=words.moon_shape(moon.illuminated_fraction, moon.waxing),
        lit=words.percent(moon.illuminated_fraction),
        place=steps.place(moon.altitude_deg, moon.azimuth_deg, words),
        time=words.clock(evening.best_utc),
        size=words.number(moon.finest_detail_km, 1),
    )
