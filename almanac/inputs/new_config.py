"""A club's first config: answers as people type them, checked one by one, become a TOML file."""

import json
import re
from collections.abc import Callable
from importlib.resources import files
from string import Template
from typing import Any

from msgspec import Struct
from pydantic import ValidationError

from almanac.errors import AlmanacError
from almanac.inputs import coordinates
from almanac.inputs.faults import fault_of, shown
from almanac.inputs.fields import Surroundings
from almanac.inputs.schema import YEARS, ConfigTables
from almanac.inputs.texts import RESERVED_SLUGS, slug_of
from almanac.inputs.zones import Place, in_words

NO_LATIN_NAME = "place"
"""Folder of a site whose name has no letter or digit with a Latin form."""
YEARS_WORDS = f"years {YEARS}, such as 2027, or 2027-2029 for three of them"

_YEARS = re.compile(r"(\d{4})(?:-(\d{4}))?", re.ASCII)


class AnswerError(AlmanacError):
    """An answer that a config cannot hold; the message says what would be right."""

    exit_code = 2


class Answers(Struct, frozen=True):
    """What a config needs at least, checked."""

    club: str
    site: str
    latitude_deg: float
    longitude_deg: float
    timezone: str
    years: list[int]

    @property
    def place(self) -> Place:
        """Latitude and longitude."""
        return self.latitude_deg, self.longitude_deg


def club(text: str) -> str:
    """The club's name."""
    return _checked("club", "name", text.strip())


def site(text: str) -> str:
    """The name of the first place to observe from."""
    return _checked("site", "name", text.strip())


def latitude_deg(text: str) -> float:
    """Its latitude in degrees, north positive."""
    return _checked("site", "latitude_deg", coordinates.latitude_deg(text))


def longitude_deg(text: str) -> float:
    """Its longitude in degrees, east positive."""
    return _checked("site", "longitude_deg", coordinates.longitude_deg(text))


def timezone(text: str) -> str:
    """Its time zone's IANA name."""
    return _checked("site", "timezone", text.strip().replace(" ", "_"))


def years(text: str) -> list[int]:
    """The years to compute, from single ones and spans."""
    parts = re.split(r"[,;\s]+", re.sub(r"\s*[-–]\s*", "-", text.strip()))
    spans = [_YEARS.fullmatch(part) for part in parts]
    ends = [(int(span[1]), int(span[2] or span[1])) for span in spans if span]
    found = {year for first, last in ends for year in range(first, last + 1)}
    forward = all(first <= last for first, last in ends)
    if None in spans or not forward or not all(year in YEARS for year in found):
        raise AnswerError(f"{shown(text)} is not {YEARS_WORDS}")
    return sorted(found)


READERS: dict[str, Callable[[str], Any]] = {
    "club": club,
    "site": site,
    "latitude_deg": latitude_deg,
    "longitude_deg": longitude_deg,
    "timezone": timezone,
    "years": years,
}
"""For each field of Answers the way from what was typed; an AlmanacError says what is wrong."""


def _checked(table: str, key: str, value: Any) -> Any:
    """The value, if a config that is else without fault may hold it."""
    data: dict[str, Any] = {
        "club": {"name": "A club", "years": [2027]},
        "site": {"name": "A place", "latitude_deg": 0, "longitude_deg": 0, "timezone": "UTC"},
    }
    data[table][key] = value
    data["site"] = [{"slug": NO_LATIN_NAME, **data["site"]}]
    try:
        ConfigTables.model_validate(data, context=Surroundings({}))
    except ValidationError as error:
        fault = fault_of(error.errors(include_url=False)[0], ConfigTables, "")
        hint = f"; did you mean {fault.near!r}?" if fault.near else ""
        raise AnswerError(f"{fault.value} is not {fault.allowed}{hint}") from None
    return value


def config_text(answers: Answers) -> str:
    """A whole commented config; every key that it leaves out stands in it with its default."""
    template = files("almanac.inputs").joinpath("data", "new_config.toml")
    north, east = in_words(answers.place).split(", ")
    return Template(template.read_text(encoding="utf-8")).substitute(
        club=_toml(answers.club),
        years=answers.years,
        site=_toml(answers.site),
        slug=_toml(_slug(answers.site)),
        latitude_deg=_number(answers.latitude_deg),
        longitude_deg=_number(answers.longitude_deg),
        north=north,
        east=east,
        timezone=_toml(answers.timezone),
    )


def _slug(name: str) -> str:
    slug = slug_of(name)
    return NO_LATIN_NAME if slug in ("", *RESERVED_SLUGS) else slug


def _toml(text: str) -> str:
    """A TOML string: JSON's escapes are TOML's, and control characters have been refused before."""
    return json.dumps(text, ensure_ascii=False)


def _number(value: float) -> str:
    """A TOML number without an exponent, as many decimals as it needs."""
    return f"{value:.{coordinates.DECIMALS}f}".rstrip("0").rstrip(".")
