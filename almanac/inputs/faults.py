"""Turns what pydantic finds wrong into faults that a club secretary can act on."""

import difflib
import re
import reprlib
from collections.abc import Callable, Iterable
from datetime import date, time
from typing import Any, get_args

from pydantic import BaseModel
from pydantic_core import ErrorDetails, PydanticCustomError

from almanac.errors import Fault

MOST_FAULTS = 200
"""More than a person reads at once."""

_LONGEST_COMPARED = 80
_LONGEST_SHOWN = 100
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]{1,40}")
_FOUND = "found"
"""Error type of a fault whose wording stands in the error itself."""

Loc = tuple[int | str, ...]
Near = Callable[[], str | None]


def found(allowed: str, near: Near = lambda: None) -> PydanticCustomError:
    """The error for a validator to raise: what would be right, and how to find a near match.

    The search waits until the fault is listed: there may be a hundred thousand.
    """
    return PydanticCustomError(_FOUND, "{allowed}", {"allowed": allowed, "near": near})


def near_match(word: object, choices: Iterable[str]) -> str | None:
    """The choice most like the word, letter case aside; None if none is like it."""
    if not isinstance(word, str) or len(word) > _LONGEST_COMPARED:
        return None
    by_lower = {choice.lower(): choice for choice in choices}
    closest = difflib.get_close_matches(word.lower(), by_lower, n=1)
    return by_lower[closest[0]] if closest else None


class _Shortener(reprlib.Repr):
    """Shows a TOML value on one short line."""

    def repr_bool(self, value: bool, _level: int) -> str:
        return "true" if value else "false"

    def repr_int(self, value: int, level: int) -> str:
        if value.bit_length() > 128:  # Python refuses to print very long integers
            return f"a whole number of {value.bit_length()} bits"
        return super().repr_int(value, level)

    def repr_time(self, value: time, _level: int) -> str:
        return value.isoformat()

    def repr_date(self, value: date, _level: int) -> str:
        return value.isoformat()

    repr_datetime = repr_date


_SHORTENER = _Shortener()
_SHORTENER.maxstring = 60
_SHORTENER.maxother = 60
_SHORTENER.maxlevel = 3


def shown(value: object) -> str:
    """The value as text of at most a line, with control characters escaped."""
    text = _SHORTENER.repr(value)
    return text if len(text) <= _LONGEST_SHOWN else f"{text[: _LONGEST_SHOWN - 3]}..."


def dotted(loc: Loc) -> str:
    """A key with list indices: ``site[1].latitude_deg``."""
    text = ""
    for part in loc:
        if isinstance(part, int):
            text += f"[{part}]"
        else:
            name = part if _BARE_KEY.fullmatch(part) else shown(part)
            text += f".{name}" if text else name
    return text


def fault_of(error: ErrorDetails, model: type[BaseModel], file: str) -> Fault:
    """One pydantic error as a fault; wording comes from the model's field descriptions."""
    loc = error["loc"]
    if error["type"] == "extra_forbidden":
        keys = _keys_at(model, loc[:-1])
        near = near_match(loc[-1], keys)
        allowed = "no such key; known here: " + ", ".join(keys)
        return Fault(file, dotted(loc), shown(error["input"]), allowed, near)
    missing = error["type"] == "missing" or error["input"] is None  # TOML has no null
    value = "missing" if missing else shown(error["input"])
    if error["type"] == _FOUND:
        return Fault(file, dotted(loc), value, error["ctx"]["allowed"], error["ctx"]["near"]())
    return Fault(file, dotted(loc), value, _description_at(model, loc))


def capped(faults: list[Fault]) -> list[Fault]:
    """As many faults as a person reads, and a last one in the place of the rest."""
    if len(faults) <= MOST_FAULTS:
        return faults
    rest = Fault(faults[0].file, "more faults", "not listed", "mend the ones above first")
    return [*faults[:MOST_FAULTS], rest]


def _keys_at(model: type[BaseModel], loc: Loc) -> list[str]:
    for part in loc:
        if isinstance(part, str):
            model = _table_of(model.model_fields[part].annotation)
    return list(model.model_fields)


def _description_at(model: type[BaseModel], loc: Loc) -> str:
    """The description of the deepest field that the location names."""
    description = "a table"
    for part in loc:
        if isinstance(part, str) and part in model.model_fields:
            field = model.model_fields[part]
            description = field.description or description
            model = _table_of(field.annotation)
    return description


def _table_of(annotation: Any) -> type[BaseModel]:
    """The model inside ``Model`` or ``list[Model]``; a bare BaseModel where there is none."""
    for candidate in (annotation, *get_args(annotation)):
        if isinstance(candidate, type) and issubclass(candidate, BaseModel):
            return candidate
    return BaseModel
