"""Which of several sites is the best on a night, and why, in words."""

import math
from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

from msgspec import Struct

from almanac.publish.wording import Wording

AS_LONG_MIN = 10
"""Less than this between two sites' hours is no reason to drive (common practice, no source)."""
FEW_NAMES = 5


class NightDigest(Struct, frozen=True):
    """A night of a site as one of the lines that compare sites."""

    detail_km: float
    """The finest; infinite without a window."""
    open_min: int
    """All windows together."""
    cells: str
    """HTML of the line after the site's name."""
    why_not: str = ""
    """Why there is no window, in a few words."""

    @property
    def shown_km(self) -> float:
        """The finest, rounded as it is shown: sites that look alike count as alike."""
        return round(self.detail_km, 1)

    @property
    def open(self) -> bool:
        """Whether it has a window."""
        return math.isfinite(self.detail_km)


class Verdict(NamedTuple):
    """A night at several sites, which stand by their place in a list."""

    day: date
    order: tuple[int, ...]
    """Sites with a window, best first: by finest detail as it is shown, then by hours."""
    without: tuple[int, ...]
    """Sites without one; those that skipped the date are in neither."""
    best: int
    """How many of the first are as good as each other."""


def verdict(day: date, nights: Sequence[NightDigest | None]) -> Verdict:
    """The order of the sites on a night; None stands for a site that has no such date."""
    known = [(place, night) for place, night in enumerate(nights) if night]
    ranked = sorted((n.shown_km, -n.open_min, place) for place, n in known if n.open)
    alike = [
        detail_km == ranked[0][0] and minutes - ranked[0][1] < AS_LONG_MIN
        for detail_km, minutes, _ in ranked
    ]
    without = tuple(place for place, night in known if not night.open)
    return Verdict(day, tuple(place for *_, place in ranked), without, sum(alike))


def reason(
    found: Verdict, nights: Sequence[NightDigest | None], names: Sequence[str], words: Wording
) -> str:
    """Where to go on the night, and why, in a sentence."""
    best = [names[place] for place in found.order[: found.best]]
    if not best:
        return f"{words.gap}; ".join(why_not(found, nights))
    if len(found.order) == 1:
        return words.gettext("Only %(site)s has a window.", site=best[0])
    if len(best) > 1:
        return words.gettext("As good at %(sites)s.", sites=listed(best, words))
    first, second = (night for place in found.order[:2] if (night := nights[place]))
    more_min = first.open_min - second.open_min
    more = words.duration(60 * abs(more_min))
    if first.shown_km == second.shown_km:
        return words.gettext(
            "%(site)s: as fine, and open %(more)s longer.", site=best[0], more=more
        )
    finer = words.gettext(
        "%(site)s: finer, %(detail)s\u00a0km against %(other)s\u00a0km.",
        site=best[0],
        detail=words.number(first.detail_km, 1),
        other=words.number(second.detail_km, 1),
    )
    if abs(more_min) < AS_LONG_MIN:
        return finer
    longer = words.gettext("It is also open %(more)s longer.", more=more)
    shorter = words.gettext("But it is open %(less)s less.", less=more)
    return f"{finer} {longer if more_min > 0 else shorter}"


def why_not(found: Verdict, nights: Sequence[NightDigest | None]) -> tuple[str, ...]:
    """Why no site has a window, each reason once; empty if one has."""
    if found.order:
        return ()
    reasons = (night.why_not for place in found.without if (night := nights[place]))
    return tuple(dict.fromkeys(reasons))


def listed(names: Sequence[str], words: Wording, most: int = FEW_NAMES) -> str:
    """Names as a sentence has them; where there are too many, the first and how many more."""
    if len(names) > most:
        return words.gettext(
            "%(names)s and %(more)s more",
            names=", ".join(names[: most - 1]),
            more=len(names) - most + 1,
        )
    if len(names) < 2:
        return "".join(names)
    return words.gettext("%(names)s and %(last)s", names=", ".join(names[:-1]), last=names[-1])
