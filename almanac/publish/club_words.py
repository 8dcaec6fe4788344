"""Words for the club's meetings: how each falls, why, and what the sky gives in its hours."""

from almanac.publish import steps
from almanac.publish.terms import N_
from almanac.publish.wording import Wording
from almanac.records.diary import BetterDate, ClubMeeting, MeetingMoon

JUDGEMENTS = {
    "good": N_("falls well"),
    "fair": N_("falls fairly well"),
    "poor": N_("falls badly"),
    "indoors": N_("indoors"),
}
REASONS = {
    "moon_most": N_("The Moon can be used for most of the hours."),
    "moon_part": N_("The Moon can be used for a part of the hours."),
    "moon_other_hours": N_("The Moon can be used that night, but not in these hours."),
    "dark_most": N_("The sky is dark and moonless for most of the hours."),
    "dark_part": N_("The sky is dark and moonless for a part of the hours."),
    "moonlight": N_("The Moon lights the sky."),
    "twilight": N_("The Sun is not low enough for a dark sky."),
    "under_roof": N_("Under a roof no sky can spoil it."),
}
"""By the codes of a meeting's reason; the others are those of a night without a window."""


def judgement(code: str, words: Wording) -> str:
    """How a meeting falls, in a word or two."""
    return words.gettext(JUDGEMENTS[code])


def reason(meeting: ClubMeeting, words: Wording) -> str:
    """Why it falls so, as a sentence."""
    if meeting.reason in REASONS:
        return words.gettext(REASONS[meeting.reason])
    return words.no_window_reason(meeting.reason)


def hours(meeting: ClubMeeting | BetterDate, words: Wording) -> str:
    """Start and end."""
    return steps.span(meeting.start_utc, meeting.end_utc, words)


def moon_line(moon: MeetingMoon, words: Wording) -> str:
    """A part of the hours with the Moon: how it looks, where it stands, the star to start on."""
    looks = words.gettext(
        "Moon %(hours)s: %(lit)s lit, %(place)s.",
        hours=steps.span(moon.start_utc, moon.end_utc, words),
        lit=words.percent(moon.illuminated_fraction),
        place=steps.place(moon.altitude_deg, moon.azimuth_deg, words),
    )
    if moon.calibration is None:
        assert moon.no_star is not None
        why = words.gettext("Centre it by eye: %(reason)s.", reason=words.no_star(moon.no_star))
        return f"{looks} {why}"
    star = moon.calibration.chosen
    start = words.gettext(
        "Start on %(star)s at %(time)s.", star=star.star, time=words.clock(star.at_utc)
    )
    return f"{looks} {start}"


def dark_line(meeting: ClubMeeting, words: Wording) -> str:
    """The dark part of the hours; empty without one."""
    if meeting.dark is None:
        return ""
    span = steps.span(meeting.dark.start_utc, meeting.dark.end_utc, words)
    return words.gettext("Dark and moonless %(hours)s.", hours=span)


def meeting_mark(meeting: ClubMeeting, words: Wording) -> str:
    """A meeting in a few words, for the line of a night: title, start, and if it falls badly."""
    text = f"{meeting.title} {words.clock(meeting.start_utc)}"
    if meeting.judgement != "poor":
        return text
    return words.gettext("%(meeting)s, falls badly", meeting=text)
