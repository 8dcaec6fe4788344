"""Forms of JSON values: how each stands in a file and, from the same place, its JSON Schema."""

from collections.abc import Callable, Mapping
from datetime import UTC, date, datetime, timedelta
from operator import attrgetter
from typing import Any, NamedTuple

from msgspec import Struct

HALF_SECOND = timedelta(milliseconds=500)
INSTANT = "%04d-%02d-%02dT%02d:%02d:%02dZ"
"""Filled in half the time of ``isoformat``: a year has 20,000."""
Json = Any
Encode = Callable[[Any], Json]


class Form(NamedTuple):
    """How a value stands in JSON: its Schema and the function that makes it."""

    schema: Mapping[str, Json]
    encode: Encode


class Field(Struct, frozen=True):
    """A key of a JSON object; ``take`` fetches its value from the record."""

    name: str
    form: Form
    meaning: str
    take: Encode | None = None

    @property
    def getter(self) -> Encode:
        """What fetches the field's value."""
        return self.take or attrgetter(self.name)


def utc_text(instant: datetime) -> str:
    """An aware instant as ``2027-03-21T19:04:11Z``, rounded to the nearest second, halves up."""
    if instant.tzinfo is None:
        raise ValueError(f"{instant} has no time zone")
    at = instant.astimezone(UTC) + HALF_SECOND
    parts = (at.year, at.month, at.day, at.hour, at.minute, at.second)
    return INSTANT % parts


def number(digits: int, least: float | None = None, most: float | None = None) -> Form:
    """A number rounded to a count of decimals, in a closed range; never a negative zero."""
    limits = {"type": "number", "minimum": least, "maximum": most}
    return Form(
        {key: limit for key, limit in limits.items() if limit is not None},
        lambda value: round(float(value), digits) + 0.0,
    )


def turn(digits: int, least: float = 0.0) -> Form:
    """An angle on the circle, from least to below 360 after rounding: 359.99999 becomes 0."""
    return Form(
        {"type": "number", "minimum": least, "exclusiveMaximum": 360},
        lambda value: 0.0 if (near := round(float(value), digits)) == 360.0 else near + 0.0,
    )


def choice(*words: str) -> Form:
    """One of a few words."""
    return Form({"enum": list(words)}, str)


def listed(form: Form, length: int | None = None) -> Form:
    """A list of values of one form, of any length or of a given one."""
    sizes = {} if length is None else {"minItems": length, "maxItems": length}
    return Form(
        {"type": "array", "items": form.schema} | sizes,
        lambda values: [form.encode(value) for value in values],
    )


def maybe(form: Form) -> Form:
    """A value, or null where the thing does not happen or is not computed yet."""
    return Form(
        {**form.schema, "type": [form.schema["type"], "null"]},
        lambda value: None if value is None else form.encode(value),
    )


def record(*fields: Field) -> Form:
    """An object with exactly these keys, in this order."""
    members = [(field.name, field.getter, field.form.encode) for field in fields]
    return Form(
        {
            "type": "object",
            "properties": {f.name: {**f.form.schema, "description": f.meaning} for f in fields},
            "required": [f.name for f in fields],
            "additionalProperties": False,
        },
        lambda value: {name: encode(take(value)) for name, take, encode in members},
    )


TEXT = Form({"type": "string"}, str)
CODE = Form({"type": "string", "pattern": "^[a-z][a-z0-9_]*$"}, str)
FLAG = Form({"type": "boolean"}, bool)
COUNT = Form({"type": "integer", "minimum": 0}, int)
PLACE_IN_ORDER = Form({"type": "integer", "minimum": 1}, int)
UTC_INSTANT = Form(
    {"type": "string", "pattern": r"^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}Z$"}, utc_text
)
DAY = Form({"type": "string", "format": "date"}, date.isoformat)
ALTITUDE = number(4, -90.0, 90.0)
AZIMUTH = turn(4)
POSITION_ANGLE = turn(3, least=-180.0)
SIGNED_ANGLE = number(3, -180.0, 180.0)
SEPARATION = number(3, 0.0, 180.0)
FRACTION = number(4, 0.0, 1.0)
DISTANCE_KM = number(2, 0.0)
