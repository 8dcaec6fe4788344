"""The words on a night's drawing, and the drawing told in words."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import numpy as np

from almanac.publish.charts.drawing import text
from almanac.publish.charts.labels import GAPS, Box, Labels, apart, around, text_box
from almanac.publish.charts.night_scale import EARTH, FLOOR, LEFT, RIGHT, TOP, View
from almanac.publish.terms import N_
from almanac.publish.wording import Wording
from almanac.records.stars import StarHop
from almanac.records.year import Night, Window

COLUMN = 8
"""Units between the points that stand for a line when labels look for a place."""
NARROW = 110
"""Units of a window below which its two times become one label."""
SUN_EDGE_DEG = -0.833
"""Altitude of the Sun's centre at rise and set."""


class Hop(NamedTuple):
    """A star and the way from it to the Moon, in units of the drawing."""

    at: tuple[float, float]
    """Where the star stands when the telescope starts on it."""
    line: list[tuple[float, float]]
    """Its path until the hop."""
    moon_y: float
    """The Moon's height at the hop, straight above or below the line's end."""
    shaft: Box
    """What the arrow covers."""
    around: Box
    """What the path covers, the star's disc included."""

    def crosses(self, box: Box) -> int:
        """How many points of the path, and the arrow as one more, a box would cover."""
        if not box.meets(self.around):
            return int(box.meets(self.shaft))
        left, top, right, bottom = box.left - 4, box.top - 4, box.right + 4, box.bottom + 4
        inside = [left < x < right and top < y < bottom for x, y in [self.at, *self.line]]
        return sum(inside) + box.meets(self.shaft)


class Notes:
    """The labels of one night, placed so that none overlaps and few hide a line."""

    def __init__(
        self, view: View, night: Night, words: Wording, hops: Sequence[Hop | None]
    ) -> None:
        """Take the lines that labels should not hide."""
        self.view, self.night, self.words, self.hops = view, night, words, hops
        columns = np.arange(10 * LEFT, 10 * RIGHT, 10 * COLUMN)
        self.moon = (np.interp(columns, view.moon_x, view.moon_y) / 10).tolist()
        self.ground = (np.interp(columns, view.ground_x, view.ground_y) / 10).tolist()
        self.labels = Labels(Box(LEFT + 2, 0, RIGHT + 4, FLOOR + EARTH), self.hides)

    def hides(self, box: Box) -> float:
        """How much of the Moon's line, of the arrows and of the sky's edge a box would cover."""
        first, last = int(box.left - LEFT) // COLUMN, int(box.right - LEFT) // COLUMN + 1
        top, bottom = box.top - 6, box.bottom + 6
        covered = sum([top < y < bottom for y in self.moon[first:last]])
        buried = sum([y < bottom for y in self.ground[first:last]])
        crossed = sum([hop.crosses(box) for hop in self.hops if hop])
        return covered + buried / 3 + 4 * crossed

    def texts(self) -> Iterator[str]:
        """All labels that found a place, most needed first."""
        yield from self._sun()
        windows = self.night.windows
        for window in windows:
            yield from self._times(window)
        for window, hop in zip(windows, self.hops, strict=True):
            if window.calibration and hop:
                yield from self._star(window.calibration.chosen, hop)
        if not windows:
            yield from self._without_window()

    def _put(
        self,
        content: str,
        point: tuple[float, float],
        order: str,
        ink_name: str = "ink",
        gaps: Sequence[float] = GAPS,
    ) -> Iterator[str]:
        place = self.labels.place(content, around(*point, order, gaps=gaps))
        if place:
            yield self.labels.leader(point, place.box, ink_name)
            yield text(place.x, place.y, content, place.anchor, ink_name)

    def _sun(self) -> Iterator[str]:
        """Sunset and sunrise over the top edge, pushed apart in a short night."""
        sun, y = self.night.sun, TOP - 15
        events = ((sun.set_utc, N_("sunset %(time)s")), (sun.rise_utc, N_("sunrise %(time)s")))
        shown = [
            (self.view.x(t.timestamp()), self.words.gettext(message, time=self.words.clock(t)))
            for t, message in events
            if t and self.view.shows(t)
        ]
        for x, content in apart(sorted(shown), LEFT, RIGHT + 4):
            self.labels.taken.append(text_box(content, (x, y, "middle")))
            yield text(round(x, 1), y, content, "middle", "quiet")

    def _times(self, window: Window) -> Iterator[str]:
        """The window's times at its two ends, or in one label over a short one; its best moment."""
        (start_x, start_y), (end_x, end_y) = map(
            self.view.moon_at, (window.start_utc, window.end_utc)
        )
        clock, gettext = self.words.clock, self.words.gettext
        start, end, best = map(clock, (window.start_utc, window.end_utc, window.best_utc))
        height = self.words.degrees(window.altitude_deg)
        if end_x - start_x < NARROW:
            both = gettext("%(start)s to %(end)s", start=start, end=end)
            yield from self._put(both, ((start_x + end_x) / 2, (start_y + end_y) / 2), "sndbcaew")
        else:
            opens, closes = (
                gettext("from %(time)s", time=start),
                gettext("until %(time)s", time=end),
            )
            peak = gettext("best, %(height)s", height=height)
            opens, closes = (
                f"{label}, {peak}" if time == best else label
                for label, time in ((opens, start), (closes, end))
            )
            yield from self._put(opens, (start_x, start_y), "wacsnebd")
            yield from self._put(closes, (end_x, end_y), "ebdsncaw")
            if best in (start, end):
                return
        peak = gettext("best %(time)s, %(height)s", time=best, height=height)
        yield from self._put(peak, self.view.moon_at(window.best_utc), "nbaesdcw")

    def _star(self, star: StarHop, hop: Hop) -> Iterator[str]:
        content = f"{star.star} {self.words.clock(star.at_utc)}"
        yield from self._put(content, hop.at, "wabencds", "star")

    def _without_window(self) -> Iterator[str]:
        """Rise and set on the Moon's line where no window tells its times."""
        moon, gettext = self.night.moon, self.words.gettext
        for instants, message, order in (
            (moon.rises_utc, N_("Moon rises %(time)s"), "absnewcd"),
            (moon.sets_utc, N_("Moon sets %(time)s"), "basnwecd"),
        ):
            for instant in filter(self.view.shows, instants):
                content = gettext(message, time=self.words.clock(instant))
                point = self.view.moon_at(instant)
                # The Moon rises out of the ground, and its label stands above that.
                yield from self._put(content, point, order, gaps=GAPS[1:])


def description(night: Night, words: Wording) -> str:
    """The drawing in words, for those who do not see it."""
    sentences = [_sun_sentence(night, words)]
    for window in night.windows:
        sentences += [_window_sentence(window, words), _star_sentence(window, words)]
    if not night.windows:
        sentences.append(words.gettext("The Moon cannot be used this night."))
    return " ".join(filter(None, sentences))


def _sun_sentence(night: Night, words: Wording) -> str:
    sun = night.sun
    if sun.set_utc and sun.rise_utc:
        return words.gettext(
            "The Sun sets at %(set)s and rises at %(rise)s.",
            set=words.clock(sun.set_utc),
            rise=words.clock(sun.rise_utc),
        )
    if sun.highest_altitude_deg < SUN_EDGE_DEG:
        return words.gettext("The Sun stays below the horizon.")
    if sun.lowest_altitude_deg > SUN_EDGE_DEG:
        return words.gettext("The Sun stays above the horizon.")
    return ""


def _window_sentence(window: Window, words: Wording) -> str:
    return words.gettext(
        "The Moon can be used from %(start)s to %(end)s, best at %(best)s,"
        " %(height)s high in the %(direction)s.",
        start=words.clock(window.start_utc),
        end=words.clock(window.end_utc),
        best=words.clock(window.best_utc),
        height=words.degrees(window.altitude_deg),
        direction=words.compass(window.azimuth_deg),
    )


def _star_sentence(window: Window, words: Wording) -> str:
    if window.calibration is None:
        return ""
    star = window.calibration.chosen
    return words.gettext(
        "Start on %(star)s at %(time)s, %(height)s high in the %(direction)s.",
        star=star.star,
        time=words.clock(star.at_utc),
        height=words.degrees(star.altitude_deg),
        direction=words.compass(star.azimuth_deg),
    )
