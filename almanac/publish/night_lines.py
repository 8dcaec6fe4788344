"""Lines that every view of a night shares: its cautions, its cap, its time zone."""

from collections.abc import Iterable
from datetime import datetime

from almanac.publish.wording import Wording
from almanac.records.year import Night

CAP = "cap_before_sunrise"
"""The caution that has a time of its own."""
DANGERS = {
    "sun_up_in_window",
    "sun_near_moon",
    "sun_near_slew",
    "window_withdrawn",
    "near_new_moon",
    "cap_before_sunrise",
    "sun_never_sets",
}
"""Cautions about the Sun's danger; the others tell of the night."""


SUN_NEAR = "sun_near_moon"
BESIDE_SUN = {SUN_NEAR, "near_new_moon"}
"""Cautions of nights on which nobody is to look for the Moon while the Sun is up."""


def sun_up(night: Night, at_utc: datetime) -> bool:
    """Whether the Sun is up at an instant of the night."""
    sun = night.sun
    return (
        "sun_never_sets" in night.cautions
        or (sun.set_utc is not None and at_utc < sun.set_utc)
        or (sun.rise_utc is not None and at_utc > sun.rise_utc)
    )


def beside_sun(night: Night, at_utc: datetime) -> bool:
    """Whether the Moon stands close to a risen Sun at an instant: never told without a warning."""
    return not BESIDE_SUN.isdisjoint(night.cautions) and sun_up(night, at_utc)


def moon_by_day(at_utc: datetime, words: Wording) -> str:
    """Names the Moon of an instant by day, and that nobody is to look for it."""
    return words.gettext(
        "The Moon at %(time)s, by day: do not look for it beside the Sun.",
        time=words.clock(at_utc),
    )


def cap_line(night: Night, words: Wording) -> str:
    """By when to cover the telescope, with the time of sunrise if the Sun rises."""
    assert night.sun.cap_by_utc is not None
    cap_by = words.clock(night.sun.cap_by_utc)
    if night.sun.rise_utc is None:
        return words.gettext("Cover a telescope that stays out by %(cap)s.", cap=cap_by)
    return words.gettext(
        "Cover a telescope that stays out by %(cap)s: the Sun rises at %(rise)s.",
        cap=cap_by,
        rise=words.clock(night.sun.rise_utc),
    )


def moment(at: datetime, night: Night, words: Wording) -> str:
    """Local time, with the weekday if it is no longer the evening's date."""
    day, clock = words.day(at), words.clock(at)
    if day == night.date:
        return clock
    return f"{words.date(day, 'weekday_number')} {clock}".replace(" ", "\u00a0")


def caution_lines(night: Night, codes: Iterable[str], words: Wording) -> tuple[str, ...]:
    """Cautions of the night as short sentences, with the time to cap where it is known."""
    timed = night.sun.cap_by_utc is not None
    return tuple(
        cap_line(night, words) if code == CAP and timed else words.caution(code) for code in codes
    )


def zone_line(night: Night, words: Wording) -> str:
    """The zone of the night's times, with both offsets where the clocks change."""
    before, after = words.offset(night.start_utc), words.offset(night.end_utc)
    if before == after:
        zone = words.zone_name_at(night.start_utc)
        return words.gettext("Times: %(zone)s (%(at)s).", zone=zone, at=before)
    return words.gettext(
        "Times: %(zone)s; the clocks change tonight, from %(before)s to %(after)s.",
        zone=words.zone_name,
        before=before,
        after=after,
    )


def zone_at(at_utc: datetime, words: Wording) -> str:
    """The zone of times around an instant."""
    return words.gettext(
        "Times: %(zone)s, %(offset)s.", zone=words.zone_name_at(at_utc), offset=words.offset(at_utc)
    )
