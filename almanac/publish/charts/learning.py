"""What each further star buys: the mean landing chance by the number of stars."""

from collections.abc import Iterator, Sequence

from markupsafe import Markup

from almanac.publish.charts.drawing import WIDTH, ink, svg, text
from almanac.publish.wording import Wording
from almanac.records.stars import CurvePoint

HEIGHT, LEFT, RIGHT, TOP, BOTTOM = 270, 84, 40, 30, 72
TICKS = (0.0, 0.5, 1.0)


def learning_chart(points: Sequence[CurvePoint], advised: int, words: Wording) -> Markup:
    """The curve as inline SVG; the point of ``advised`` further stars is filled and named."""
    places = [
        (_across(i, len(points)), _down(p.mean_landing_chance), p) for i, p in enumerate(points)
    ]
    path = "L".join(f"{x:.1f} {y:.1f}" for x, y, _ in places)
    body = [
        *_scale(words),
        f'<path fill="none" stroke="{ink("star")}" stroke-width="3" d="M{path}"/>',
        *(_mark(x, y, p.count == advised) for x, y, p in places),
        *(_figures(x, y, p, words) for x, y, p in places),
        text(WIDTH / 2, HEIGHT - 16, words.gettext("further stars"), "middle", "quiet"),
    ]
    title = words.gettext("Mean landing chance by the number of stars learnt")
    told = ", ".join(
        f"{p.count}{words.gap}: {words.percent(p.mean_landing_chance)}" for p in points
    )
    return svg("learning", title, told, HEIGHT, body)


def _across(index: int, count: int) -> float:
    return LEFT + 40 + (WIDTH - LEFT - RIGHT - 60) * index / max(count - 1, 1)


def _down(share: float) -> float:
    return TOP + (HEIGHT - TOP - BOTTOM) * (1 - share)


def _scale(words: Wording) -> Iterator[str]:
    for share in TICKS:
        y = _down(share)
        yield f'<path stroke="{ink("hairline")}" d="M{LEFT} {y:.1f}H{WIDTH - 10}"/>'
        yield text(LEFT - 8, y, words.percent(share), "end", "quiet")


def _mark(x: float, y: float, full: bool) -> str:
    fill = ink("star") if full else ink("paper")
    radius = 8 if full else 5
    return (
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{radius}" fill="{fill}" '
        f'stroke="{ink("star")}" stroke-width="3"/>'
    )


def _figures(x: float, y: float, point: CurvePoint, words: Wording) -> str:
    high = text(x, y + 22, words.percent(point.mean_landing_chance), "middle")
    return high + text(x, HEIGHT - BOTTOM + 22, words.number(point.count), "middle")
