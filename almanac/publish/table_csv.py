"""The year's nights as a table for a spreadsheet: CSV by RFC 4180, in the reader's language."""

import csv
import io
from collections.abc import Callable, Iterator
from datetime import UTC, datetime

from msgspec import Struct

from almanac.publish import steps
from almanac.publish.calendar import minute
from almanac.publish.night_lines import CAP, caution_lines
from almanac.publish.terms import N_
from almanac.publish.wording import Wording
from almanac.records.stars import StarHop
from almanac.records.year import Night, Window, YearAlmanac

NIGHTS_FILE = "nights.csv"
BYTE_ORDER_MARK = "\ufeff"
"""Without it some spreadsheets take UTF-8 for an older code (allowed by RFC 3629, section 6)."""
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
"""Text that begins so may be run as a formula (OWASP Foundation, CSV Injection)."""

Cell = str | float


class Row(Struct, frozen=True):
    """A window of a night, or a night without one."""

    site: str
    words: Wording
    night: Night
    window: Window | None

    @property
    def hop(self) -> StarHop | None:
        """The chosen star's."""
        star = self.window.calibration if self.window else None
        return star.chosen if star else None

    def local(self, instant: datetime | None) -> Cell:
        """Local date and time to the minute, as the pages round it."""
        return _moment(self.words.local(minute(instant))) if instant else ""


def nights_csv(almanac: YearAlmanac, words: Wording) -> str:
    """A row for each window and one for each night without: what, when, where, why not."""
    text = io.StringIO(newline="")
    table = csv.writer(text)  # CRLF, quotes where needed
    table.writerow([safe(words.gettext(head)) for head in COLUMNS])
    for row in _rows(almanac, words):
        table.writerow([safe(cell(row)) for cell in COLUMNS.values()])
    return BYTE_ORDER_MARK + text.getvalue()


def safe(cell: Cell) -> Cell:
    """The cell, text made harmless to a spreadsheet; numbers may begin with their sign."""
    if isinstance(cell, str) and cell.startswith(FORMULA_STARTS):
        return f"'{cell}"
    return cell


def _rows(almanac: YearAlmanac, words: Wording) -> Iterator[Row]:
    for night in almanac.nights:
        for window in night.windows or (None,):
            yield Row(almanac.site.name, words, night, window)


def _moment(at: datetime) -> str:
    return at.replace(tzinfo=None).isoformat(" ", "minutes")


def _of_window(take: Callable[[Row, Window], Cell]) -> Callable[[Row], Cell]:
    """Empty in a night without a window."""
    return lambda row: take(row, row.window) if row.window else ""


def _of_hop(take: Callable[[Row, StarHop], Cell]) -> Callable[[Row], Cell]:
    """Empty in a window without a star."""
    return lambda row: take(row, row.hop) if row.hop else ""


def _utc(instant: datetime) -> str:
    return _moment(minute(instant).astimezone(UTC))


def _minutes(window: Window) -> int:
    return int((minute(window.end_utc) - minute(window.start_utc)).total_seconds()) // 60


def _spare(window: Window) -> str:
    spare = window.calibration.spare if window.calibration else None
    return spare.star if spare else ""


def _clip_s(window: Window) -> Cell:
    return "" if window.longest_clip_s is None else round(window.longest_clip_s, 1)


def _why_none(row: Row) -> str:
    return row.words.no_window(row.night.no_window) if row.night.no_window else ""


def _shape(row: Row) -> str:
    moon = row.night.moon
    return row.words.moon_shape(moon.illuminated_fraction, moon.waxing)


def _cautions(row: Row) -> str:
    """All but the time to cap, which has a column."""
    codes = (code for code in row.night.cautions if code != CAP)
    return " ".join(caution_lines(row.night, codes, row.words))


COLUMNS: dict[str, Callable[[Row], Cell]] = {
    N_("Site"): lambda row: row.site,
    N_("Evening"): lambda row: row.night.date.isoformat(),
    N_("Weekday"): lambda row: row.words.weekday(row.night.date.weekday()),
    N_("Window opens (local time)"): _of_window(lambda row, w: row.local(w.start_utc)),
    N_("Window closes (local time)"): _of_window(lambda row, w: row.local(w.end_utc)),
    N_("Window opens (UTC)"): _of_window(lambda _, w: _utc(w.start_utc)),
    N_("Window closes (UTC)"): _of_window(lambda _, w: _utc(w.end_utc)),
    N_("Length (min)"): _of_window(lambda _, w: _minutes(w)),
    N_("Why no window"): _why_none,
    N_("Rank of the night by finest detail"): lambda row: row.night.rank or "",
    N_("Finest detail (km)"): _of_window(lambda _, w: round(w.finest_detail_km, 2)),
    N_("Best moment (local time)"): _of_window(lambda row, w: row.local(w.best_utc)),
    N_("Moon's altitude then (°)"): _of_window(lambda _, w: round(w.altitude_deg, 1)),
    N_("Moon's azimuth then (°)"): _of_window(lambda _, w: round(w.azimuth_deg, 1) % 360),
    N_("Shape of the Moon"): _shape,
    N_("Lit (%)"): lambda row: round(100 * row.night.moon.illuminated_fraction, 1),
    N_("Moon's diameter (arcmin)"): lambda row: round(row.night.moon.angular_diameter_arcmin, 2),
    N_("Moon's distance (km)"): lambda row: round(row.night.moon.distance_km),
    N_("Longest clip (s)"): _of_window(lambda _, w: _clip_s(w)),
    N_("Set up by (local time)"): _of_window(lambda row, w: row.local(steps.set_up_utc(w))),
    N_("Star to start on"): _of_hop(lambda _, hop: hop.star),
    N_("Star at (local time)"): _of_hop(lambda row, hop: row.local(hop.at_utc)),
    N_("Star's altitude (°)"): _of_hop(lambda _, hop: round(hop.altitude_deg, 1)),
    N_("Star's azimuth (°)"): _of_hop(lambda _, hop: round(hop.azimuth_deg, 1) % 360),
    N_("Hop at (local time)"): _of_hop(lambda row, hop: row.local(hop.hop_utc)),
    N_("Hop sideways (°, right is positive)"): _of_hop(lambda _, hop: round(hop.turn_deg, 1)),
    N_("Hop in height (°, up is positive)"): _of_hop(lambda _, hop: round(hop.climb_deg, 1)),
    N_("Chance to land in the frame (%)"): _of_hop(lambda _, hop: round(100 * hop.landing_chance)),
    N_("Star in reserve"): _of_window(lambda _, w: _spare(w)),
    N_("Why no star"): _of_window(lambda row, w: row.words.no_star(w.no_star) if w.no_star else ""),
    N_("Sunset (local time)"): lambda row: row.local(row.night.sun.set_utc),
    N_("Cap by (local time)"): lambda row: row.local(row.night.sun.cap_by_utc),
    N_("Sunrise (local time)"): lambda row: row.local(row.night.sun.rise_utc),
    N_("Dark and moonless from (local time)"): lambda row: row.local(
        row.night.dark.start_utc if row.night.dark else None
    ),
    N_("Dark and moonless to (local time)"): lambda row: row.local(
        row.night.dark.end_utc if row.night.dark else None
    ),
    N_("Cautions"): _cautions,
}
"""Heads with their units, and what stands under each; local times are those of the site."""
