"""What a config file may say: a model for each table; keys, bounds and defaults stand here alone.

A field's description says what would be right; it becomes the wording of a fault.
"""

from datetime import date, time
from typing import Annotated, Any

from pydantic import AfterValidator, Field, PlainValidator, ValidationInfo, field_validator

from almanac.inputs import dates, texts
from almanac.inputs.atmosphere import standard_pressure_hpa
from almanac.inputs.faults import found, near_match
from almanac.inputs.fields import Bounds, Table, around, number, switch, table, text
from almanac.inputs.limits import MoonTable, SafetyTable, StarsTable, TelescopeTable
from almanac.inputs.outings import OutingTable
from almanac.records.config import PERSISTENCE

YEARS = Bounds(1900, 2052)
"""Whole years inside the ephemeris DE421, 1899-07-29 to 2053-10-08."""
FRACTION = Bounds(0, 1)
MOST_SITES = 2000
MOST_MEETINGS = 200
MOST_OUTINGS = 24

Line = Annotated[str, AfterValidator(texts.one_line)]
Year = Annotated[int, YEARS.field()]
Fraction = Annotated[float, FRACTION.field()]


class ClubTable(Table):
    """``[club]``."""

    name: Line = text(120)
    years: list[Year] = Field(
        min_length=1,
        max_length=200,
        description=f"a list of whole years {YEARS}, each once",
    )
    language: Annotated[str, AfterValidator(texts.language)] = Field(
        "en", description=f"one of: {', '.join(texts.LANGUAGES)}"
    )
    url: Annotated[str, AfterValidator(texts.url)] | None = Field(
        None, max_length=300, description=texts.URL_WORDS
    )
    notes: Annotated[str, AfterValidator(texts.prose)] = text(4000, "", least=0)

    @field_validator("years")
    @classmethod
    def _each_once(cls, years: list[int]) -> list[int]:
        if len(set(years)) < len(years):
            raise found("each year once")
        return sorted(years)


class SiteTable(Table):
    """``[[site]]``."""

    name: Line = text(120)
    slug: str | None = Field(None, description=texts.SLUG_WORDS)
    latitude_deg: float = number(-90, 90)
    longitude_deg: float = number(-180, 180)
    elevation_m: float = number(-450, 9000, 0.0)  # from the Dead Sea's shore to the highest peaks
    timezone: Annotated[str, AfterValidator(texts.timezone)] = Field(
        description=texts.TIMEZONE_WORDS
    )
    horizon: Any = Field(None, description="checked with its file")
    temperature_c: float = number(-90, 60, 10.0)
    pressure_hpa: float | None = number(300, 1100, None)
    seeing_arcsec: float = number(0.2, 20, 2.0)
    clear_sky: list[Fraction] | None = Field(
        None,
        min_length=12,
        max_length=12,
        description=f"12 numbers {FRACTION}, January to December",
    )
    persistence: float = number(0, 0.95, PERSISTENCE)

    @field_validator("slug")
    @classmethod
    def _own_folder(cls, given: str | None, info: ValidationInfo) -> str | None:
        if given is None and "name" not in info.data:
            return None  # the name's own fault is enough
        slug = texts.slug_of(info.data["name"]) if given is None else texts.slug(given)
        if not slug:
            raise found(f"{texts.SLUG_WORDS} (none can be made from the site's name)")
        texts.unreserved(slug)
        if slug in around(info).slugs:
            raise found(f'a folder name of its own: an earlier site has "{slug}"')
        around(info).slugs.add(slug)
        return slug

    @field_validator("pressure_hpa")
    @classmethod
    def _standard(cls, given: float | None, info: ValidationInfo) -> float | None:
        if given is None and "elevation_m" in info.data:
            return standard_pressure_hpa(info.data["elevation_m"])
        return given


class MeetingTable(Table):
    """``[[meeting]]``."""

    title: Line = text(120)
    rule: Annotated[str, AfterValidator(dates.rule)] = Field(
        max_length=300, description=dates.RULE_WORDS
    )
    start: Annotated[time, PlainValidator(dates.clock)] = Field(description=dates.CLOCK_WORDS)
    duration: float = number(5, 1440, 120.0)
    outdoors: bool = switch(False)
    first: date | None = Field(
        None, ge=dates.FIRST_DATES[0], le=dates.FIRST_DATES[1], description=dates.DATE_WORDS
    )
    needs: Annotated[str, AfterValidator(texts.need)] = Field(
        "moon", description=f"one of: {', '.join(texts.NEEDS)}"
    )
    site: str | None = Field(None, description=texts.MEETING_SITE_WORDS)

    @field_validator("site")
    @classmethod
    def _of_the_config(cls, given: str | None, info: ValidationInfo) -> str | None:
        slugs = around(info).slugs
        if given is not None and given not in slugs:
            raise found(texts.MEETING_SITE_WORDS, lambda: near_match(given, sorted(slugs)))
        return given


class ConfigTables(Table):
    """A whole config file. The telescope stands before the tables that its mount limits."""

    club: ClubTable = Field(description="a table")
    site: list[SiteTable] = Field(
        min_length=1,
        max_length=MOST_SITES,
        description=f"a list of tables [[site]], {Bounds(1, MOST_SITES)} of them",
    )
    telescope: TelescopeTable = table()
    moon: MoonTable = table()
    stars: StarsTable = table()
    safety: SafetyTable = table()
    meeting: list[MeetingTable] = Field(
        [],
        max_length=MOST_MEETINGS,
        description=f"a list of tables [[meeting]], at most {MOST_MEETINGS}",
    )
    outing: list[OutingTable] = Field(
        [],
        max_length=MOST_OUTINGS,
        description=f"a list of tables [[outing]], at most {MOST_OUTINGS}",
    )
