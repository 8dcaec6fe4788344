"""The card of a night, as plain text."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest
from msgspec.structs import replace

from almanac.publish.card import CardRow, card_of
from almanac.publish.card_text import card_text, night_card
from almanac.publish.steps import steps
from almanac.publish.window_hours import spans
from almanac.publish.wording import Wording
from almanac.records.config import ClubConfig
from almanac.records.stars import Calibration, LaterHop
from almanac.records.year import Night, YearAlmanac

WORDS = Wording("en", "Europe/Paris")


@pytest.fixture(scope="module")
def cards(north: YearAlmanac, make_config: Callable[..., ClubConfig]) -> list[tuple[Night, str]]:
    """Every card of the made-up year."""
    config = make_config((north.site,))
    return [(night, night_card(north, night, config, WORDS)) for night in north.nights]


def test_a_card_fits_a_terminal(cards: list[tuple[Night, str]]) -> None:
    """No line is longer than 72 columns, none ends in a blank, one newline ends the card."""
    for _, card in cards:
        assert card.endswith("\n")
        assert not card.endswith("\n\n")
        for line in card.splitlines():
            assert len(line) <= 72
            assert line == line.rstrip()


def test_a_long_label_keeps_clear_of_its_time(
    north: YearAlmanac, make_config: Callable[..., ClubConfig]
) -> None:
    """A language with longer words gets a wider column."""
    card = card_of(north, north.nights[0], make_config((north.site,)), WORDS)
    rows = (CardRow("Cover it before", "06:49", ""), CardRow("Sunrise", "07:09", ""))
    text = card_text(replace(card, end=rows))
    assert "Cover it before 06:49\nSunrise         07:09" in text


def test_a_card_is_plain(cards: list[tuple[Night, str]]) -> None:
    """Beyond ASCII there is only the degree sign."""
    for _, card in cards:
        assert set(card) - {"°"} <= set(map(chr, range(128)))


def test_a_card_holds_what_is_done_in_order(cards: list[tuple[Night, str]]) -> None:
    """Set up, star, hop, window, best, clip, cap: from top to bottom with their times."""
    night, card = next((n, c) for n, c in cards if len(n.windows) == 1 and n.windows[0].calibration)
    labels = ["Set up by", "Star at", "Hop at", "Window", "Best", "Clip", "Cap by"]
    places = [card.index(f"\n{label}") for label in labels]
    assert places == sorted(places)
    window = night.windows[0]
    assert window.calibration is not None
    hop = window.calibration.chosen
    assert f"{WORDS.clock(hop.at_utc)}  {hop.star}" in card
    assert WORDS.hop(hop.turn_deg, hop.climb_deg) in card
    assert f"{WORDS.clock(window.start_utc)}-{WORDS.clock(window.end_utc)}" in card


def test_who_comes_later_finds_the_hop_of_then(
    north: YearAlmanac, make_config: Callable[..., ClubConfig]
) -> None:
    """On the card and in the plan, and the reserve's own hop beside it; without it only the word
    that the hop holds for its minute."""
    night = next(n for n in north.nights if n.windows and n.windows[0].calibration)
    config, window = make_config((north.site,)), night.windows[0]
    assert window.calibration
    chosen = window.calibration.chosen
    later = LaterHop(chosen.hop_utc + timedelta(minutes=30), -21.6, 4.4)
    for moves, told in ((later,), f"{WORDS.clock(later.at_utc)}: 22° left, 4° up"), ((), ""):
        star = Calibration(replace(chosen, later=moves), replace(chosen, star="Mira"))
        windows = (replace(window, calibration=star), *night.windows[1:])
        changed = replace(night, windows=windows)
        card = " ".join(night_card(north, changed, config, WORDS).split())
        assert ("Or at" in card) == bool(moves)
        assert told in card
        move = WORDS.hop(chosen.turn_deg, chosen.climb_deg)
        assert card.split("Mira, ")[1].split("; ")[1].startswith(move)
        (hop,) = (s for s in steps(changed, windows[0], config, WORDS) if s.title == "Hop")
        assert f"minute only{'; later: ' if moves else '.'}{told}" in " ".join(hop.note.split())


def test_a_card_without_a_window_gives_the_reason(cards: list[tuple[Night, str]]) -> None:
    """And still says by when to cover a telescope that stays out."""
    night, card = next((n, c) for n, c in cards if n.no_window)
    assert night.no_window is not None
    assert " ".join(card.split()).count(WORDS.no_window_reason(night.no_window)) == 1
    assert "! Cover a telescope that stays out by" in card


def test_cautions_come_before_the_plan(
    north: YearAlmanac, make_config: Callable[..., ClubConfig]
) -> None:
    """A night that never gets dark says so above its window."""
    night = next(night for night in north.nights if night.windows)
    night = replace(night, cautions=("cap_before_sunrise", "no_darkness"))
    card = night_card(north, night, make_config((north.site,)), WORDS)
    assert card.index("! The night never becomes fully dark.") < card.index("Set up by")
    assert "! Cover" not in card, "its time has a row of its own"


def test_hours_after_midnight_name_their_day_once(north: YearAlmanac) -> None:
    """With its number: the short name of a Sunday alone would be read as the Sun."""
    night = next(n for n in north.nights if n.windows and n.date.weekday() == 5)
    words = Wording("en", "UTC")
    day = night.date.toordinal() + 1

    def window(on: int, start: int, end: int) -> object:
        first, last = (
            datetime.combine(datetime.fromordinal(on), datetime.min.time(), UTC).replace(hour=h)
            for h in (start, end)
        )
        return replace(night.windows[0], start_utc=first, end_utc=last)

    windows = (window(day - 1, 20, 22), window(day, 1, 2), window(day, 4, 5))
    told = spans(replace(night, windows=windows), words).replace("\u2060", "")
    number = datetime.fromordinal(day).day
    assert told == f"20:00–22:00, Sun {number} 01:00–02:00, 04:00–05:00"


def test_hours_that_go_on_to_sunrise_never_stand_without_the_cap(north: YearAlmanac) -> None:
    """The end that a list prints is not read as the time until which a telescope may be open."""
    night = next(n for n in north.nights if n.windows and n.sun.rise_utc)
    words = Wording("en", "UTC")
    assert night.sun.rise_utc
    late = replace(night.windows[0], end_utc=night.sun.rise_utc)
    cap_by = night.sun.rise_utc - timedelta(minutes=20)
    told = spans(replace(night, windows=(late,), sun=replace(night.sun, cap_by_utc=cap_by)), words)
    assert told.endswith(f", cap by {words.clock(cap_by)}")


def test_a_card_keeps_the_tube_covered_until_sunset(
    north: YearAlmanac, make_config: Callable[..., ClubConfig]
) -> None:
    """Whoever carries only the card is told so when setting up comes before sunset."""
    night = next(n for n in north.nights if n.windows and n.windows[0].calibration)
    window = replace(night.windows[0], calibration=None, no_star="none_clear_of_sun")
    for minutes, told in ((1, True), (-120, False)):
        sun = replace(night.sun, set_utc=window.start_utc + timedelta(minutes=minutes))
        plan = replace(night, sun=sun, windows=(window,))
        card = " ".join(night_card(north, plan, make_config((north.site,)), WORDS).split())
        assert ("Keep everything covered until the Sun has set" in card) == told
