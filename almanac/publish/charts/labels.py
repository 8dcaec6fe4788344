"""Places for labels: boxes that never overlap, chosen greedily from a few candidates."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import NamedTuple

from almanac.publish.charts.drawing import TEXT, text_width

NEAR = (7.0, 30.0, 54.0)
"""Gaps between a point and its label, in units, nearest first."""


class Box(NamedTuple):
    """A rectangle, y downward."""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: "Box") -> bool:
        """Whether the two share any area."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def slid(self, shift: float) -> "Box":
        """The box moved sideways."""
        return Box(self.left + shift, self.top, self.right + shift, self.bottom)

    def nearest(self, x: float, y: float) -> tuple[float, float]:
        """The point of the box next to a point."""
        return min(max(x, self.left), self.right), min(max(y, self.top), self.bottom)

    def inside(self, other: "Box") -> bool:
        """Whether it lies within the other, edges included."""
        return (
            self.left >= other.left
            and self.right <= other.right
            and self.top >= other.top
            and self.bottom <= other.bottom
        )


class Place(NamedTuple):
    """Where a text goes: x by its anchor, y at its middle."""

    x: float
    y: float
    anchor: str
    box: Box


def text_box(x: float, y: float, anchor: str, content: str, size: float = TEXT) -> Box:
    """The room a text takes, with a margin of a tenth of its size all round."""
    width = text_width(content, size)
    left = {"start": x, "middle": x - width / 2, "end": x - width}[anchor]
    margin = 0.1 * size
    return Box(left - margin, y - size / 2 - margin, left + width + margin, y + size / 2 + margin)


def around(
    x: float, y: float, order: str, size: float = TEXT
) -> Iterable[tuple[float, float, str]]:
    """Candidate (x, y, anchor) about a point, nearest first.

    ``order`` is a string of directions: n, s, e, w and the lower-case corners a (up left),
    b (up right), c (down left), d (down right).
    """
    for gap in NEAR:
        high = gap + size / 2
        spots = {
            "n": (x, y - high, "middle"),
            "s": (x, y + high, "middle"),
            "e": (x + gap, y, "start"),
            "w": (x - gap, y, "end"),
            "a": (x - gap / 2, y - high, "end"),
            "b": (x + gap / 2, y - high, "start"),
            "c": (x - gap / 2, y + high, "end"),
            "d": (x + gap / 2, y + high, "start"),
        }
        yield from (spots[letter] for letter in order)


@dataclass
class Labels:
    """The labels of one drawing as they find their places."""

    frame: Box
    """No label leaves it."""
    cost: Callable[[Box], float]
    """What a box would hide; 0 is free, infinity forbidden."""
    taken: list[Box] = field(default_factory=list)

    def place(
        self, content: str, spots: Iterable[tuple[float, float, str]], size: float = TEXT
    ) -> Place | None:
        """The cheapest free spot, the first free of cost at once; None if every one is taken.

        A text that would leave the frame sideways is slid back into it.
        """
        best: Place | None = None
        least = float("inf")
        for wish, y, anchor in spots:
            box = text_box(wish, y, anchor, content, size)
            shift = max(0, self.frame.left - box.left) - max(0, box.right - self.frame.right)
            x, box = wish + shift, box.slid(shift)
            if not box.inside(self.frame) or any(box.meets(other) for other in self.taken):
                continue
            cost = self.cost(box)
            if cost < least:
                best, least = Place(x, y, anchor, box), cost
            if cost <= 0:
                break
        if best:
            self.taken.append(best.box)
        return best
