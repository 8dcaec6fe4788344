"""Checks of clock times, a club's hours and the rules of its meetings."""

import re
from datetime import date, datetime, time

from almanac.inputs.faults import found, near_match, shown
from almanac.records.config import HoursSpan

CLOCK_WORDS = 'a time from "00:00" to "23:59"'
HOURS_WORDS = (
    'pairs of times such as [["21:00", "23:30"]], each ending after it starts, in order and '
    "without overlap; times before noon belong to the morning after; [] for no hours"
)
FIRST_DATES = date(1800, 1, 1), date(2052, 12, 31)
"""Of a meeting; a rule is counted day by day, so that one from the year 1 would take seconds."""
DATE_WORDS = f"a date without quotes such as 2027-01-08, from {FIRST_DATES[0]} to {FIRST_DATES[1]}"
RULE_WORDS = 'an RFC 5545 recurrence rule such as "FREQ=MONTHLY;BYDAY=2FR"'

_CLOCK = re.compile(r"([01]\d|2[0-3]):[0-5]\d", re.ASCII)
_COUNT = r"[1-9]\d{0,3}"
_WEEKDAY = "(MO|TU|WE|TH|FR|SA|SU)"
_BARE_WEEKDAYS = rf"{_WEEKDAY}(,{_WEEKDAY})*"
_NUMBERED_WEEKDAYS = rf"[+-]?[1-9]\d?{_WEEKDAY}(,[+-]?[1-9]\d?{_WEEKDAY})*"
_FREQUENCIES = ("DAILY", "WEEKLY", "MONTHLY", "YEARLY")


def _numbers(most: int, sign: str = "[+-]?") -> str:
    """A pattern for a list of whole numbers from 1 to most, also negative ones."""
    one = "|".join(str(number) for number in range(most, 0, -1))
    return rf"{sign}({one})(,{sign}({one}))*"


_RULE_PARTS = {
    "FREQ": "|".join(_FREQUENCIES),
    "UNTIL": r"\d{8}(T\d{6}Z?)?",
    "COUNT": _COUNT,
    "INTERVAL": _COUNT,
    "BYDAY": f"{_BARE_WEEKDAYS}|{_NUMBERED_WEEKDAYS}",
    "BYMONTHDAY": _numbers(31),
    "BYYEARDAY": _numbers(366),
    "BYWEEKNO": _numbers(53),
    "BYMONTH": _numbers(12, sign=""),
    "BYSETPOS": _numbers(366),
    "WKST": _WEEKDAY,
}
"""RFC 5545 section 3.3.10, without the parts for a time of day: a meeting's start has it. Weekdays
have all a number or none: dateutil reads a mixture as if both had to hold."""
_FITS = {
    "BYMONTHDAY": ("DAILY", "MONTHLY", "YEARLY"),
    "BYYEARDAY": ("YEARLY",),
    "BYWEEKNO": ("YEARLY",),
}
"""Frequencies with which a part may stand (the same section)."""
_UNTIL_FORMS = {8: "%Y%m%d", 15: "%Y%m%dT%H%M%S", 16: "%Y%m%dT%H%M%SZ"}
"""By length."""


def clock(value: object) -> time:
    """A wall-clock time, written "HH:MM" or as a TOML local time."""
    if isinstance(value, time):
        return value
    if isinstance(value, str) and _CLOCK.fullmatch(value):
        return time.fromisoformat(value)
    raise found(CLOCK_WORDS)


def evening(value: object) -> tuple[HoursSpan, ...]:
    """The spans of one evening: a list of [start, end] pairs, or a single pair."""
    if not isinstance(value, list):
        raise found(HOURS_WORDS)
    pairs = value if all(isinstance(item, list) for item in value) else [value]
    if not all(len(pair) == 2 for pair in pairs):
        raise found(HOURS_WORDS)
    instants = [clock(instant) for pair in pairs for instant in pair]
    seconds = [_seconds_after_noon(instant) for instant in instants]
    starts, ends = seconds[::2], seconds[1::2]
    forward = all(start < end for start, end in zip(starts, ends, strict=True))
    if not forward or not all(end <= start for end, start in zip(ends, starts[1:], strict=False)):
        raise found(HOURS_WORDS)
    return tuple(HoursSpan(*span) for span in zip(instants[::2], instants[1::2], strict=True))


def _seconds_after_noon(instant: time) -> float:
    seconds = instant.hour * 3600 + instant.minute * 60 + instant.second
    return (seconds - 12 * 3600) % (24 * 3600)


def rule(text: str) -> str:
    """A recurrence rule in capitals, its parts known, each with a value that fits the others."""
    parts = [part.partition("=") for part in text.upper().split(";")]
    for name, _, value in parts:
        _check_part(name, value)
    values = {name: value for name, _, value in parts}
    if "FREQ" not in values:
        raise found(f"{RULE_WORDS}; FREQ is missing")
    if len(values) < len(parts):
        raise found(f"{RULE_WORDS}; each part once")
    if {"COUNT", "UNTIL"} <= set(values):
        raise found(f"{RULE_WORDS}; COUNT or UNTIL, not both")
    _check_together(values)
    return text.upper()


def _check_part(name: str, value: str) -> None:
    if name not in _RULE_PARTS:
        words = f"{RULE_WORDS}, of the parts {', '.join(_RULE_PARTS)}"
        raise found(words, lambda: near_match(name, _RULE_PARTS))
    if not re.fullmatch(_RULE_PARTS[name], value, re.ASCII) or not _exists(name, value):
        words = f"{RULE_WORDS}; {name} cannot be {shown(value)}"
        raise found(words, lambda: near_match(value, _FREQUENCIES))


def _exists(name: str, value: str) -> bool:
    """Whether the date of an UNTIL is in the calendar."""
    if name != "UNTIL":
        return True
    try:
        datetime.strptime(value, _UNTIL_FORMS[len(value)])
    except ValueError:
        return False
    return True


def _check_together(values: dict[str, str]) -> None:
    """What RFC 5545 forbids beside each other, because no one could say what it means."""
    frequency = values["FREQ"]
    for name, frequencies in _FITS.items():
        if name in values and frequency not in frequencies:
            raise found(f"{RULE_WORDS}; {name} only with FREQ={' or '.join(frequencies)}")
    numbered = re.search(r"\d", values.get("BYDAY", ""))
    if numbered and (frequency not in ("MONTHLY", "YEARLY") or "BYWEEKNO" in values):
        words = "a number before a weekday only with FREQ=MONTHLY, or YEARLY without BYWEEKNO"
        raise found(f"{RULE_WORDS}; {words}")
    others = [name for name in values if name.startswith("BY") and name != "BYSETPOS"]
    if "BYSETPOS" in values and not others:
        raise found(f"{RULE_WORDS}; BYSETPOS only with another BY part")
