"""What the finest detail leaves out: a window's short clips, a hop that may well miss the frame.

Nights rank by detail alone, so every list that ranks them says these two.
"""

from almanac.publish.steps import LIKELY, USUAL_CLIP_S
from almanac.publish.wording import Wording
from almanac.records.year import Window

SHORT_CLIP_S = USUAL_CLIP_S / 2
"""Two clips in place of the usual one are a trifle; more are worth a word (common practice, no
source)."""


def window_limits(window: Window, words: Wording) -> tuple[str, ...]:
    """What limits a window for all its detail, in a few words each; empty for most."""
    return tuple(filter(None, (short_clips(window, words), unsure_hop(window, words))))


def short_clips(window: Window, words: Wording) -> str:
    """How short clips have to be where the field turns fast, or empty."""
    clip_s = window.longest_clip_s
    if clip_s is None or clip_s >= SHORT_CLIP_S:
        return ""
    return words.gettext("clips up to %(longest)s\u00a0s", longest=words.number(clip_s))


def unsure_hop(window: Window, words: Wording) -> str:
    """How likely a hop lands that may well miss, or empty."""
    star = window.calibration
    if star is None or star.chosen.landing_chance >= LIKELY:
        return ""
    chance = words.chance(star.chosen.landing_chance)
    return words.gettext("may miss the frame, chance to land %(chance)s", chance=chance)
