"""The same records that the pages show, for other programs: ``year.json`` and its Schema."""

import json

from almanac.publish.forms import Json
from almanac.publish.schema import ABOUT, DIALECT, YEAR
from almanac.records.year import YearAlmanac


def year_json(almanac: YearAlmanac) -> str:
    """A site's year as JSON text by the contract of ``schema``, with a newline at its end.

    Instants are rounded to the second and figures to the decimals of their form. Each item of a
    top-level list stands on its own line. Raises ValueError for a number that is not finite or an
    instant without a zone: a record that breaks its own promise.
    """
    members = YEAR.encode(almanac).items()
    return "{\n" + ",\n".join(f"{_text(key)}:{_member(value)}" for key, value in members) + "\n}\n"


def year_schema() -> str:
    """The JSON Schema (draft 2020-12) of ``year.json``, as text with a newline at its end."""
    head = {"$schema": DIALECT, "title": "Almanac year", "description": ABOUT}
    return json.dumps({**head, **YEAR.schema}, ensure_ascii=False, indent=1) + "\n"


def _member(value: Json) -> str:
    """A top-level value: a list with its items on lines of their own, else one line."""
    if not isinstance(value, list) or not value:
        return _text(value)
    return "[\n" + ",\n".join(_text(item) for item in value) + "\n]"


def _text(value: Json) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))
