"""A night in words: the sentence that sums it up and the steps at the telescope."""

from datetime import datetime, timedelta
from typing import NamedTuple

from almanac.publish.night_lines import cap_line
from almanac.publish.wording import Wording
from almanac.records.config import ClubConfig
from almanac.records.stars import StarHop
from almanac.records.year import Night, Window

SET_UP = timedelta(minutes=15)
"""To unpack, level and cool before the star (common practice, no source)."""

NEW_MOON = "near_new_moon"

DASH = "\u2060–\u2060"
"""An en dash between word joiners."""

LIKELY = 0.6
"""A landing chance below this is worth a word (common practice, no source)."""

LATE = timedelta(minutes=3)

LONG_CLEAR_MIN = 60.0
"""A star is followed no longer than this."""

USUAL_CLIP_S = 20.0
"""Common practice, no source."""


class Step(NamedTuple):
    """One thing to do, in order."""

    at: str
    """Local time, or empty."""
    title: str
    text: str
    note: str
    """What helps to do it, or empty."""
    danger: bool = False


def best_window(night: Night) -> Window:
    """The window of finest detail; ValueError if the night has none."""
    return min(night.windows, key=lambda window: window.finest_detail_km)


def star_utc(window: Window) -> datetime:
    """When work begins: on the star, or on the Moon itself if there is no star."""
    return window.calibration.chosen.at_utc if window.calibration else window.start_utc


def set_up_utc(window: Window) -> datetime:
    """When to be outside."""
    return star_utc(window) - SET_UP


def span(start: datetime, end: datetime, words: Wording) -> str:
    """Two local times with a dash between, not to be broken over lines."""
    return f"{words.clock(start)}{DASH}{words.clock(end)}"


def place(altitude_deg: float, azimuth_deg: float, words: Wording) -> str:
    """Where to look: 52° up in the west."""
    return words.gettext(
        "%(altitude)s up in the %(direction)s",
        altitude=words.degrees(altitude_deg),
        direction=words.compass(azimuth_deg),
    )


def sentence(night: Night, words: Wording) -> str:
    """The night in one or two sentences: when to go out, which star, which way to the Moon."""
    if not night.windows:
        return " ".join((_no_moon(night, words), dark_sentence(night, words))).strip()
    window = best_window(night)
    others = [words.clock(other.start_utc) for other in night.windows if other is not window]
    more = [words.gettext("Another window opens at %(time)s.", time=time) for time in others]
    return " ".join((window_sentence(window, words), *more))


def window_sentence(window: Window, words: Wording) -> str:
    """One window in a sentence or two: when to go out, which star, which way to the Moon."""
    out = words.gettext("Go out at %(time)s.", time=words.clock(set_up_utc(window)))
    then = _with_star(window, words) if window.calibration else _without_star(window, words)
    return f"{out} {then}"


def _with_star(window: Window, words: Wording) -> str:
    assert window.calibration is not None
    hop = window.calibration.chosen
    return words.gettext(
        "Start on %(star)s at %(time)s, %(place)s. Then %(hop)s: the Moon.",
        star=hop.star,
        time=words.clock(hop.at_utc),
        place=place(hop.altitude_deg, hop.azimuth_deg, words),
        hop=words.hop(hop.turn_deg, hop.climb_deg),
    )


def _without_star(window: Window, words: Wording) -> str:
    assert window.no_star is not None
    where = words.gettext(
        "From %(time)s the Moon can be used; at its best it stands %(place)s.",
        time=words.clock(window.start_utc),
        place=place(window.altitude_deg, window.azimuth_deg, words),
    )
    return f"{where} {words.no_star_reason(window.no_star)}"


def _no_moon(night: Night, words: Wording) -> str:
    assert night.no_window is not None
    if NEW_MOON in night.cautions:
        return words.caution(NEW_MOON)
    reason = words.no_window_reason(night.no_window)
    return words.gettext("No Moon for the telescope tonight. %(reason)s", reason=reason)


def dark_sentence(night: Night, words: Wording) -> str:
    """When the sky is dark without the Moon; empty if it never is."""
    if night.dark is None:
        return ""
    return words.gettext(
        "The sky is dark and moonless from %(start)s to %(end)s: a night for the stars.",
        start=words.clock(night.dark.start_utc),
        end=words.clock(night.dark.end_utc),
    )


def clip(window: Window, words: Wording) -> str:
    """How long a clip may be before the field's rotation smears it."""
    if window.longest_clip_s is None:
        return words.gettext("Clips of about %(usual)d\u00a0s.", usual=USUAL_CLIP_S)
    longest = words.number(window.longest_clip_s)
    if window.longest_clip_s < USUAL_CLIP_S:
        return words.gettext(
            "Clips of %(longest)s\u00a0s at most: the field turns too fast for the usual "
            "%(usual)d\u00a0s.",
            longest=longest,
            usual=USUAL_CLIP_S,
        )
    return words.gettext(
        "Clips of about %(usual)d\u00a0s; the turning field would allow %(longest)s\u00a0s.",
        longest=longest,
        usual=USUAL_CLIP_S,
    )


def steps(night: Night, window: Window, config: ClubConfig, words: Wording) -> tuple[Step, ...]:
    """What to do at the telescope in one window of a night, in order."""
    found = [_set_up(night, window, config, words)]
    if window.calibration:
        found += [_solve(window, words), _hop(window, words)]
    else:
        found.append(_by_eye(window, words))
    found.append(_record(night, window, words))
    return tuple(found)


def _set_up(night: Night, window: Window, config: ClubConfig, words: Wording) -> Step:
    if config.telescope.mount == "equatorial":
        text = words.gettext("Align the mount on the pole and let the tube cool.")
    else:
        text = words.gettext(
            "Level the tripod with care, point the tube %(direction)s and let it cool.",
            direction=words.compass(config.telescope.park[0]),
        )
    note = covered(night, window, words)
    return Step(words.clock(set_up_utc(window)), words.gettext("Set up"), text, note)


def covered(night: Night, window: Window, words: Wording) -> str:
    """What holds while the Sun is still up when the telescope is set up, if it is."""
    sunset = night.sun.set_utc
    if sunset is None or not set_up_utc(window) < sunset < window.end_utc:
        return ""
    return words.gettext(
        "Keep everything covered until the Sun has set at %(time)s.", time=words.clock(sunset)
    )


def star_place(hop: StarHop, words: Wording) -> str:
    """A star and where it stands."""
    where = place(hop.altitude_deg, hop.azimuth_deg, words)
    return words.gettext("%(star)s, %(place)s", star=hop.star, place=where)


def _solve(window: Window, words: Wording) -> Step:
    assert window.calibration is not None
    hop, spare = window.calibration.chosen, window.calibration.spare
    text = words.gettext("Solve and focus on %(star)s.", star=star_place(hop, words))
    note = words.gettext("It can be used for an hour or more.")
    if hop.clear_min < LONG_CLEAR_MIN:
        clear = words.duration(hop.clear_min * 60)
        note = words.gettext("It can be used for %(clear)s.", clear=clear)
    if spare:
        move = words.hop(spare.turn_deg, spare.climb_deg)
        reserve = words.gettext(
            "In reserve: %(star)s; from it %(hop)s.", star=star_place(spare, words), hop=move
        )
        note = f"{note} {reserve}"
    return Step(words.clock(hop.at_utc), words.gettext("Star"), text, note)


def _hop(window: Window, words: Wording) -> Step:
    assert window.calibration is not None
    hop = window.calibration.chosen
    move = words.hop(hop.turn_deg, hop.climb_deg)
    return Step(
        words.clock(hop.hop_utc),
        words.gettext("Hop"),
        words.gettext(
            "%(hop)s: the Moon, then %(place)s.",
            hop=move,
            place=place(hop.moon_altitude_deg, hop.moon_azimuth_deg, words),
        ),
        " ".join(filter(None, (_holds(hop, words), _chance(hop, words), _late(window, words)))),
    )


def later_hops(hop: StarHop, words: Wording) -> str:
    """The move at later moments, each with its time; empty if it can no longer be made."""
    return f"{words.gap}; ".join(
        f"{words.clock(later.at_utc)}{words.gap}:\u00a0{words.hop(later.turn_deg, later.climb_deg)}"
        for later in hop.later
    )


def _holds(hop: StarHop, words: Wording) -> str:
    """That the move holds for its minute, and what it is later."""
    if not hop.later:
        return words.gettext("This holds for that minute only.")
    return words.gettext(
        "This holds for that minute only; later: %(hops)s.", hops=later_hops(hop, words)
    )


def _chance(hop: StarHop, words: Wording) -> str:
    """How likely the Moon is in the frame, and what to do if it may well not be."""
    text = words.gettext(
        "Chance that it lands in the frame: %(chance)s.", chance=words.chance(hop.landing_chance)
    )
    if hop.landing_chance >= LIKELY:
        return text
    more = words.gettext(
        "If it does not, search in small moves around the place, first the longer way of the hop."
    )
    return f"{text} {more}"


def _late(window: Window, words: Wording) -> str:
    """Why the hop comes well after the window's start."""
    assert window.calibration is not None
    hop = window.calibration.chosen
    if hop.hop_utc - window.start_utc < LATE:
        return ""
    return words.gettext(
        "The window has been open since %(open)s, but before %(star)s the sky is too bright to "
        "solve on a star.",
        open=words.clock(window.start_utc),
        star=words.clock(hop.at_utc),
    )


def _by_eye(window: Window, words: Wording) -> Step:
    assert window.no_star is not None
    reason = words.no_star_reason(window.no_star)
    return Step(words.clock(window.start_utc), words.gettext("Moon"), reason, "")


def _record(night: Night, window: Window, words: Wording) -> Step:
    return Step("", words.gettext("Record"), clip(window, words), open_line(night, window, words))


def open_line(night: Night, window: Window, words: Wording) -> str:
    """When a window is open and finest, and by when to stop in it."""
    note = words.gettext(
        "The window is open from %(start)s to %(end)s and finest at %(best)s, "
        "the Moon then %(place)s.",
        start=words.clock(window.start_utc),
        end=words.clock(window.end_utc),
        best=words.clock(window.best_utc),
        place=place(window.altitude_deg, window.azimuth_deg, words),
    )
    cap_by = night.sun.cap_by_utc
    if cap_by and window.start_utc < cap_by < window.end_utc:
        stop = words.gettext("Stop in time to cap at %(time)s.", time=words.clock(cap_by))
        note = f"{note} {stop}"
    return note


def cap_step(night: Night, words: Wording) -> Step | None:
    """The night's last step, or None if the Sun does not rise."""
    if night.sun.cap_by_utc is None:
        return None
    text = cap_line(night, words)
    return Step(words.clock(night.sun.cap_by_utc), words.gettext("Cap"), text, "", danger=True)
