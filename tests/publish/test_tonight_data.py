"""The front page's data: minutes of what can be done tonight, and what limits a fine night."""

import json
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from msgspec.structs import replace

from almanac.publish.pages.book import Book
from almanac.publish.pages.tonight import minute, tonight, usable_until
from almanac.publish.steps import set_up_utc
from almanac.publish.window_limits import window_limits
from almanac.publish.wording import Wording
from almanac.records.catalogue import Catalogue
from almanac.records.config import ClubConfig
from almanac.records.stars import Calibration
from almanac.records.year import Night, Window, YearAlmanac

WORDS = Wording("en", "Europe/Paris")


MakeRows = Callable[[YearAlmanac], list[list[Any]]]


@pytest.fixture(scope="module")
def make_rows(catalogue: Catalogue, make_config: Callable[..., ClubConfig]) -> MakeRows:
    """A year's rows: ``make_rows(almanac)``."""

    def make(almanac: YearAlmanac) -> list[list[Any]]:
        script = tonight(Book(almanac, make_config((almanac.site,)), catalogue, WORDS))
        return json.loads(script[script.index("[") : script.rindex("]") + 1])

    return make


def clock(at_minute: int) -> str:
    """Local time of a minute since 1970."""
    return WORDS.clock(datetime.fromtimestamp(60 * at_minute, UTC))


def test_minutes_are_those_of_the_clock_texts(north: YearAlmanac, make_rows: MakeRows) -> None:
    """Sunrise, cap, start, hop and end, read as local time, are the times that pages print."""
    for row, night in zip(make_rows(north), north.nights, strict=True):
        assert clock(row[1]) == WORDS.clock(night.sun.rise_utc or night.end_utc)
        assert (row[2] == 0) == (night.sun.cap_by_utc is None)
        if night.sun.cap_by_utc:
            assert clock(row[2]) == WORDS.clock(night.sun.cap_by_utc)
        for (start, hop, until, star, *own), window in zip(row[10], night.windows, strict=True):
            assert clock(start) == WORDS.clock(window.start_utc)
            assert clock(until) == WORDS.clock(usable_until(night, window))
            chosen = window.calibration and window.calibration.chosen
            assert star == (chosen.star if chosen else "")
            assert clock(hop) == WORDS.clock(chosen.hop_utc if chosen else window.start_utc)
            assert len(own) == (len(night.windows) > 1)


def test_the_suns_warning_stands_before_what_to_do(north: YearAlmanac, make_rows: MakeRows) -> None:
    """A crescent close to the Sun is not sought by someone who has not read of it."""
    night = next(n for n in north.nights if n.windows)
    warned = replace(night, cautions=("sun_near_moon", *night.cautions))
    (row,), (plain,) = (make_rows(replace(north, nights=(one,))) for one in (warned, night))
    assert row[3] == f"{WORDS.caution('sun_near_moon')} {plain[3]}"


def test_the_best_windows_sentence_begins_the_nights(
    north: YearAlmanac, make_rows: MakeRows
) -> None:
    """In a night of several windows each has its sentence; the best one's opens the night's."""
    index, night = next((i, n) for i, n in enumerate(north.nights) if n.windows)
    window, later = night.windows[0], timedelta(hours=5)
    finer = replace(
        window,
        start_utc=window.start_utc + later,
        end_utc=window.end_utc + later,
        finest_detail_km=window.finest_detail_km / 2,
        calibration=None,
        no_star="too_bright_to_solve",
    )
    two = replace(night, windows=(window, finer))
    almanac = replace(north, nights=(*north.nights[:index], two, *north.nights[index + 1 :]))
    row = make_rows(almanac)[index]
    evening, morning = (window[4] for window in row[10])
    assert row[3].startswith(morning)
    assert f"Another window opens at {WORDS.clock(window.start_utc)}." in row[3]
    assert WORDS.clock(set_up_utc(window)) in evening
    assert WORDS.clock(finer.start_utc) in morning


@pytest.mark.parametrize(("second", "rounded"), [(0, 0), (29, 0), (29.9, 0), (30, 1), (59.9, 1)])
def test_a_minute_is_rounded(second: float, rounded: int) -> None:
    """To the nearest, halves up, as the clock's text."""
    at = datetime(2027, 3, 1, 20, 0, tzinfo=UTC)
    assert minute(at + timedelta(seconds=second)) - minute(at) == rounded


def test_a_window_that_runs_to_sunrise_is_used_until_the_cap(north: YearAlmanac) -> None:
    """Never beyond the time to cover the telescope; a window of the evening is not touched."""
    night = next(n for n in north.nights if n.windows and n.sun.cap_by_utc)
    window, cap_by = night.windows[0], night.sun.cap_by_utc
    assert cap_by is not None
    hour = timedelta(hours=1)
    dawn = replace(window, start_utc=cap_by - hour, end_utc=cap_by + hour / 3)
    assert usable_until(night, dawn) == cap_by
    evening = replace(window, start_utc=cap_by - 9 * hour, end_utc=cap_by - 7 * hour)
    assert usable_until(night, evening) == evening.end_utc


def limited(night: Night, clip_s: float | None, chance: float) -> tuple[str, ...]:
    """What is said of the night's window with these figures."""
    window: Window = night.windows[0]
    star = window.calibration
    assert star is not None
    unsure = Calibration(replace(star.chosen, landing_chance=chance), star.spare)
    return window_limits(replace(window, longest_clip_s=clip_s, calibration=unsure), WORDS)


@pytest.mark.parametrize(
    ("clip_s", "chance", "said"),
    [
        (4.0, 0.9, ("clips up to 4\u00a0s",)),
        (9.9, 0.9, ("clips up to 10\u00a0s",)),
        (10.0, 0.6, ()),
        (None, 0.9, ()),
        (30.0, 0.55, ("may miss the frame, chance to land 55%",)),
        (4.2, 0.25, ("clips up to 4\u00a0s", "may miss the frame, chance to land 25%")),
    ],
)
def test_what_limits_a_window_is_said(
    north: YearAlmanac, clip_s: float | None, chance: float, said: tuple[str, ...]
) -> None:
    """Clips under half the usual, and a hop that lands in fewer than three of five."""
    night = next(n for n in north.nights if n.windows and n.windows[0].calibration)
    assert limited(night, clip_s, chance) == said
