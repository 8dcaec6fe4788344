"""The odds of a clear evening, and of at least one among several.

Evenings are a Markov chain of two states, clear and cloudy (for daily weather: Gabriel & Neumann,
Quart. J. R. Met. Soc. 88 (1962) 90, cited from memory). The club gives each month's share of clear
evenings p and one persistence r, the correlation of an evening with the next, so that within a
month P(clear after clear) = p + r (1 - p) and P(clear after cloudy) = p (1 - r). Every evening
keeps its own month's p. Of two neighbours in months with shares p and q the correlation is r too,
or as much of it as the two shares allow; evenings farther apart multiply the correlations between.
"""

from collections.abc import Sequence
from datetime import date, timedelta
from itertools import pairwise
from math import sqrt

from msgspec import Struct


class Weather(Struct, frozen=True):
    """A site's clear evenings."""

    clear: tuple[float, ...]
    """Share by month, January first, 0 to 1."""
    persistence: float
    """0 to below 1."""

    def clear_chance(self, evening: date) -> float:
        """That an evening is clear, knowing nothing of those before."""
        return self.clear[evening.month - 1]

    def any_clear(self, evenings: Sequence[date]) -> float:
        """That at least one is clear; in any order, each counts once."""
        ordered = sorted(set(evenings))
        if not ordered:
            return 0.0
        cloudy = 1.0 - self.clear_chance(ordered[0])
        for one, next_one in pairwise(ordered):
            cloudy *= self._cloudy_after_cloudy(one, next_one)
        return 1.0 - cloudy

    def best_reserves(self, main: date, evenings: Sequence[date], count: int) -> tuple[int, ...]:
        """Which of some later evenings, in order of time, raise any_clear of the main one most.

        At most count of them, as their places in the sequence. Exact: the chance that all are
        cloudy is a product along the chain, so that the best way to each evening is kept for every
        number of evenings before it.
        """
        steps_from = (*evenings, main)
        layer: dict[int, tuple[float, tuple[int, ...]]] = {-1: (1.0, ())}
        for taken in range(min(count, len(evenings))):
            layer = {
                place: min(
                    (
                        cloudy * self._cloudy_after_cloudy(steps_from[last], evenings[place]),
                        (*way, place),
                    )
                    for last, (cloudy, way) in layer.items()
                    if last < place
                )
                for place in range(taken, len(evenings))
            }
        return min(layer.values())[1]

    def _cloudy_after_cloudy(self, one: date, later: date) -> float:
        p, q = self.clear_chance(one), self.clear_chance(later)
        if p == 1.0:
            return 1.0 - q
        tied = self._correlation(one, later) * sqrt(p * (1 - p) * q * (1 - q))
        return 1.0 - q + tied / (1.0 - p)

    def _correlation(self, one: date, later: date) -> float:
        """Of two evenings: the product of those between neighbours."""
        months = _month_ends(one, later)
        found = self.persistence ** ((later - one).days - len(months))
        for end in months:
            p, q = self.clear_chance(end), self.clear_chance(end + timedelta(days=1))
            found *= min(self.persistence, _most(p, q))
        return found


def _most(p: float, q: float) -> float:
    """The greatest correlation of two evenings that are clear with chances p and q."""
    spread = sqrt(p * (1 - p) * q * (1 - q))
    return (min(p, q) - p * q) / spread if spread else 0.0


def _month_ends(one: date, later: date) -> list[date]:
    """The last day of every month that ends between two dates."""
    ends = []
    first = date(one.year + one.month // 12, one.month % 12 + 1, 1)
    while first <= later:
        ends.append(first - timedelta(days=1))
        first = date(first.year + first.month // 12, first.month % 12 + 1, 1)
    return ends
