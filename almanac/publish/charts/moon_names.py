"""Names of features beside the Moon's disc, each joined to its place by a line.

Names stand off the disc, in a column on either side of it, so that they hide nothing of it.
"""

from collections.abc import Iterable, Iterator, Sequence
from itertools import permutations
from typing import NamedTuple

from markupsafe import escape

from almanac.publish.charts.drawing import ink, text_width
from almanac.publish.charts.labels import MARGIN, SHARES, Box
from almanac.records.globe import LitFeature

TEXT_SIZE = 18
LINE = 1.15 * TEXT_SIZE
GAP = 9.0
"""Between the disc's edge and a name."""
DOT = 3.5
LONGEST = 12
"""Letters from which a name of several words is written in two lines."""


class Named(NamedTuple):
    """A name and where it stands; y downward, the disc's centre at the origin."""

    lines: tuple[str, ...]
    anchor: str
    x: float
    y: float
    """Of its middle."""
    point: tuple[float, float]
    """The feature's place."""

    @property
    def box(self) -> Box:
        """The room that the name takes, margin included."""
        width, margin = max(text_width(line, TEXT_SIZE) for line in self.lines), MARGIN * TEXT_SIZE
        left, half = self.x - width * SHARES[self.anchor], height(self.lines) / 2
        return Box(left - margin, self.y - half, left + width + margin, self.y + half)


def height(lines: Sequence[str]) -> float:
    """What a name takes of a column."""
    return len(lines) * LINE


def broken(name: str) -> tuple[str, ...]:
    """The name in one line, or a long one of several words in two."""
    head, _, tail = name.rpartition(" ")
    return (head, tail) if head and len(name) > LONGEST else (name,)


def spread(middles: Sequence[float], heights: Sequence[float], limit: float) -> list[float]:
    """Middles in order, moved as little as needed to be apart and within limit of 0."""
    found, edge = list(middles), -limit
    for i, room in enumerate(heights):
        found[i] = max(found[i], edge + room / 2)
        edge = found[i] + room / 2
    edge = limit
    for i in reversed(range(len(found))):
        found[i] = min(found[i], edge - heights[i] / 2)
        edge = found[i] - heights[i] / 2
    return found


def named(
    features: Sequence[LitFeature], radius: float, half_width: float, half_height: float
) -> list[Named]:
    """Where the names go: the features farther left in the left column, the others in the right."""
    across = sorted(features, key=lambda feature: feature.right)
    middle = len(across) // 2
    columns = (across[:middle], -1), (across[middle:], 1)
    return [
        name
        for column, side in columns
        for name in _column(column, side, radius, half_width, half_height)
    ]


def _column(
    features: Sequence[LitFeature], side: int, radius: float, half_width: float, half_height: float
) -> list[Named]:
    """One column: from top to bottom, or in the order whose lines are shortest if those cross."""
    ordered = sorted(features, key=lambda feature: -feature.up)
    found = _stacked(ordered, side, radius, half_width, half_height)
    if not crossings(found):
        return found
    tries = (
        _stacked(order, side, radius, half_width, half_height) for order in permutations(ordered)
    )
    return min(tries, key=lambda names: (crossings(names), sum(map(_reach, names))))


def _stacked(
    features: Sequence[LitFeature], side: int, radius: float, half_width: float, half_height: float
) -> list[Named]:
    texts = [broken(feature.name) for feature in features]
    middles = spread([-radius * f.up for f in features], list(map(height, texts)), half_height)
    return [
        _beside(feature, lines, side, y, radius, half_width)
        for feature, lines, y in zip(features, texts, middles, strict=True)
    ]


def _beside(
    feature: LitFeature, lines: tuple[str, ...], side: int, y: float, radius: float, limit: float
) -> Named:
    """A name at the disc's edge at a height, moved inward where it would leave the drawing."""
    near = max(abs(y) - height(lines) / 2, 0.0)
    edge = max(radius**2 - near**2, 0.0) ** 0.5 + GAP
    width = max(text_width(line, TEXT_SIZE) for line in lines) + MARGIN * TEXT_SIZE
    x = side * min(edge, limit - width)
    point = radius * feature.right, -radius * feature.up
    return Named(lines, "start" if side > 0 else "end", x, y, point)


def _reach(name: Named) -> float:
    return abs(complex(name.x - name.point[0], name.y - name.point[1]))


def crossings(names: Sequence[Named]) -> int:
    """How many pairs of the names' lines cross."""
    pairs = ((one, two) for i, one in enumerate(names) for two in names[:i])
    return sum(_cross(one, two) for one, two in pairs)


def _cross(one: Named, two: Named) -> bool:
    ends = (one.point, (one.x, one.y)), (two.point, (two.x, two.y))
    return all(
        _side(*line, other[0]) * _side(*line, other[1]) < 0 for line, other in (ends, ends[::-1])
    )


def _side(start: tuple[float, float], end: tuple[float, float], at: tuple[float, float]) -> float:
    """Positive on one side of a line, negative on the other."""
    return (end[0] - start[0]) * (at[1] - start[1]) - (end[1] - start[1]) * (at[0] - start[0])


def drawn(names: Sequence[Named]) -> Iterator[str]:
    """Lines and dots edged with paper, so that they show on the lit and on the dark part; names."""
    if not names:
        return
    path = "".join(f"M{n.point[0]:.0f} {n.point[1]:.0f}L{n.x:.0f} {n.y:.0f}" for n in names)
    for name, width in (("paper", 3.5), ("ink", 1)):
        yield f'<path fill="none" stroke="{ink(name)}" stroke-width="{width}" d="{path}"/>'
    dots = (f'<circle cx="{n.point[0]:.1f}" cy="{n.point[1]:.1f}" r="{DOT}"/>' for n in names)
    yield f'<g fill="{ink("ink")}" stroke="{ink("paper")}" stroke-width="1.5">{"".join(dots)}</g>'
    for anchor in ("end", "start"):
        side = "".join(_texts(name for name in names if name.anchor == anchor))
        yield f'<g fill="{ink("ink")}" text-anchor="{anchor}">{side}</g>' if side else ""


def _texts(names: Iterable[Named]) -> Iterator[str]:
    for name in names:
        shift = 4 if name.anchor == "start" else -4
        first = name.y - (len(name.lines) - 1) * LINE / 2
        for row, line in enumerate(name.lines):
            y = first + row * LINE
            yield f'<text x="{name.x + shift:.0f}" y="{y:.0f}" dy=".35em">{escape(line)}</text>'
