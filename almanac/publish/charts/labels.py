"""Places for labels: boxes that never overlap, chosen greedily from a few candidates."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import NamedTuple

from msgspec import Struct, field

from almanac.publish.charts.drawing import TEXT, ink, text_width

Spot = tuple[float, float, str]
"""Where a text could stand: x of its anchor, y of its middle, and the anchor."""

GAPS = (7.0, 30.0, 54.0, 84.0)
"""Between a point and its label, in units, nearest first."""
SHARES = {"start": 0.0, "middle": 0.5, "end": 1.0}
"""How much of a text lies left of its anchor."""
MARGIN = 0.1
"""Kept free round a text, as a share of its size."""
TOLERABLE, PATIENCE = 1.0, 8
"""A spot that costs less is taken without looking further; after so many spots, twice as much."""

FAR = 12.0
"""Units between a point and its label from which a line joins them."""

SIDES: dict[str, Spot] = {
    "n": (0, -1, "middle"),
    "s": (0, 1, "middle"),
    "e": (1, 0, "start"),
    "w": (-1, 0, "end"),
    "a": (-0.5, -1, "end"),
    "b": (0.5, -1, "start"),
    "c": (-0.5, 1, "end"),
    "d": (0.5, 1, "start"),
}
"""Ways from a point to its label, y downward; a, b are up left and right, c, d down."""


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

    def nearest(self, x: float, y: float) -> tuple[float, float]:
        """The point of the box next to a point."""
        return min(max(x, self.left), self.right), min(max(y, self.top), self.bottom)


class Place(NamedTuple):
    """Where a text goes: x by its anchor, y at its middle."""

    x: float
    y: float
    anchor: str
    box: Box


def text_box(content: str, spot: Spot, size: float = TEXT) -> Box:
    """The room a text takes at a spot, margin included."""
    x, y, anchor = spot
    width, margin, half = text_width(content, size), MARGIN * size, (0.5 + MARGIN) * size
    left = x - width * SHARES[anchor]
    return Box(left - margin, y - half, left + width + margin, y + half)


def apart(texts: list[tuple[float, str]], low: float, high: float) -> list[tuple[float, str]]:
    """Middles of at most two texts on one line, in order, moved so that they fit between limits."""
    halves = [text_width(content) / 2 + MARGIN * TEXT for _, content in texts]
    middles = [min(max(x, low + h), high - h) for (x, _), h in zip(texts, halves, strict=True)]
    if len(middles) == 2:
        lack = max(0.0, sum(halves) - (middles[1] - middles[0]))
        room = middles[0] - halves[0] - low
        left = min(lack / 2, room) if middles[1] + lack / 2 <= high - halves[1] else lack
        middles = [middles[0] - left, middles[1] + lack - left]
    return [(x, content) for x, (_, content) in zip(middles, texts, strict=True)]


def around(
    x: float, y: float, order: str, size: float = TEXT, gaps: Sequence[float] = GAPS
) -> Iterator[Spot]:
    """Spots about a point, nearest first; ``order`` is a string of SIDES."""
    for gap in gaps:
        high = gap + size / 2
        for letter in order:
            across, down, anchor = SIDES[letter]
            yield x + gap * across, y + high * down, anchor


class Labels(Struct):
    """The labels of one drawing as they find their places."""

    frame: Box
    """No label leaves it."""
    cost: Callable[[Box], float]
    """What a box would hide; 0 is free."""
    taken: list[Box] = field(default_factory=list)

    def place(self, content: str, spots: Iterable[Spot], size: float = TEXT) -> Place | None:
        """A spot that is free and cheap, the nearer the less cheap; None if every one is taken.

        A text that would leave the frame sideways is slid back into it.
        """
        best: Place | None = None
        least = float("inf")
        for tried, spot in enumerate(self._free(text_width(content, size), spots, size)):
            cost = self.cost(spot.box)
            if cost < least:
                best, least = spot, cost
            if least < TOLERABLE * (1 + tried / PATIENCE):
                break
        if best:
            self.taken.append(best.box)
        return best

    def _free(self, width: float, spots: Iterable[Spot], size: float) -> Iterator[Place]:
        margin, half = MARGIN * size, (0.5 + MARGIN) * size
        low, high = self.frame.left + margin, self.frame.right - margin - width
        highest, lowest = self.frame.top + half, self.frame.bottom - half
        for x, y, anchor in spots:
            if highest <= y <= lowest:
                before = width * SHARES[anchor]
                left = min(max(x - before, low), high)
                box = Box(left - margin, y - half, left + width + margin, y + half)
                if not any(map(box.meets, self.taken)):
                    yield Place(left + before, y, anchor, box)

    def leader(self, point: tuple[float, float], box: Box, ink_name: str, far: float = FAR) -> str:
        """A hairline to a label just placed that had to stand away from its point.

        It is left out where it would strike through another label, and keeps later ones off.
        """
        (x, y), (to_x, to_y) = point, box.nearest(*point)
        line = Box(min(x, to_x) - 2, min(y, to_y), max(x, to_x) + 2, max(y, to_y))
        struck = any(line.meets(other) for other in self.taken if other != box)
        if struck or max(abs(to_x - x), abs(to_y - y)) < far:
            return ""
        if line.right - line.left < far:
            self.taken.append(line)
        path = f"M{x:.1f} {y:.1f}L{to_x:.1f} {to_y:.1f}"
        return f'<path stroke="{ink(ink_name)}" stroke-width=".8" d="{path}"/>'
