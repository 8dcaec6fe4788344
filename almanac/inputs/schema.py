"""What a config file may say: a model for each table; keys, bounds and defaults stand only here.

A field's description says what would be right; it becomes the wording of a fault.
"""

from dataclasses import dataclass, field
from datetime import time
from typing import Annotated, Any, cast

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    PlainValidator,
    ValidationInfo,
    field_validator,
)

from almanac.inputs import dates, texts
from almanac.inputs.atmosphere import standard_pressure_hpa
from almanac.inputs.bounds import Bounds
from almanac.inputs.faults import found, near_match
from almanac.inputs.horizon import AZIMUTH_DEG
from almanac.records.config import HoursSpan

YEARS = Bounds(1900, 2052)
"""Whole years inside the ephemeris DE421, 1899-07-29 to 2053-10-08."""
SENSOR_PX = Bounds(16, 20_000)
FRACTION = Bounds(0, 1)
PARK_ALTITUDE_DEG = Bounds(-90, 90)
PASSBAND_NM = Bounds(300, 1100)  # what a silicon sensor records
MOST_SITES = 2000
MOST_MEETINGS = 200
STAR_WORDS = "the name or the HIP number of a star in the almanac's catalogue"


@dataclass
class Surroundings:
    """What a value must agree with outside its own table; filled while tables are checked."""

    hip_by_name: dict[str, int]
    slugs: set[str] = field(default_factory=set)
    highest_altitude_deg: float | None = None
    """The mount's, once the telescope's table has been read."""


def _around(info: ValidationInfo) -> Surroundings:
    return cast(Surroundings, info.context)


def number(low: float, high: float, default: Any = ...) -> Any:
    """A field for a number with inclusive bounds."""
    return Field(default, ge=low, le=high, description=f"a number {Bounds(low, high)}")


def text(most: int, default: Any = ..., least: int = 1) -> Any:
    """A field for a text of bounded length."""
    words = f"a text of {least} to {most} characters"
    return Field(default, min_length=least, max_length=most, description=words)


def table() -> Any:
    """A field for a table that may be left out: an empty one is checked in its place."""
    return Field(default_factory=dict, description="a table")


class Table(BaseModel):
    """No unknown keys, no other type turned into the right one, no infinity, no not-a-number."""

    model_config = ConfigDict(
        extra="forbid", strict=True, frozen=True, allow_inf_nan=False, validate_default=True
    )


Line = Annotated[str, AfterValidator(texts.one_line)]
Year = Annotated[int, YEARS.field()]
Fraction = Annotated[float, FRACTION.field()]
Pixels = Annotated[int, SENSOR_PX.field()]
ParkAzimuth = Annotated[float, AZIMUTH_DEG.field()]
ParkAltitude = Annotated[float, PARK_ALTITUDE_DEG.field()]
Wavelength = Annotated[float, PASSBAND_NM.field()]
Evening = Annotated[tuple[HoursSpan, ...], PlainValidator(dates.evening)]


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

    @field_validator("slug")
    @classmethod
    def _own_folder(cls, given: str | None, info: ValidationInfo) -> str | None:
        if given is None and "name" not in info.data:
            return None  # the name's own fault is enough
        slug = texts.slug_of(info.data["name"]) if given is None else texts.slug(given)
        if not slug:
            raise found(f"{texts.SLUG_WORDS} (none can be made from the site's name)")
        if slug in _around(info).slugs:
            raise found(f'a folder name of its own: an earlier site has "{slug}"')
        _around(info).slugs.add(slug)
        return slug

    @field_validator("pressure_hpa")
    @classmethod
    def _standard(cls, given: float | None, info: ValidationInfo) -> float | None:
        if given is None and "elevation_m" in info.data:
            return standard_pressure_hpa(info.data["elevation_m"])
        return given


class TelescopeTable(Table):
    """``[telescope]``."""

    aperture_mm: float = number(10, 2000, 60.0)
    focal_length_mm: float = number(20, 20_000, 300.0)
    pixel_um: float = number(0.5, 50, 2.9)
    sensor_px: tuple[Pixels, Pixels] = Field(
        (1080, 1920),
        strict=False,
        description=f"two whole numbers {SENSOR_PX}: across in azimuth, up in altitude",
    )
    mount: Annotated[str, AfterValidator(texts.mount)] = Field(
        "altaz", description=f"one of: {', '.join(texts.MOUNTS)}"
    )
    highest_altitude_deg: float = number(10, 90, 85.0)
    park: tuple[ParkAzimuth, ParkAltitude] = Field(
        (0.0, 0.0),
        strict=False,
        description=f"two numbers: azimuth_deg {AZIMUTH_DEG}, altitude_deg {PARK_ALTITUDE_DEG}",
    )
    level_error_deg: float = number(0.01, 10, 0.3)
    passband_nm: tuple[Wavelength, Wavelength] = Field(
        (450.0, 650.0),
        strict=False,
        description=f"two numbers {PASSBAND_NM}: the shortest wavelength, then the longest",
    )

    @field_validator("highest_altitude_deg")
    @classmethod
    def _remembered(cls, highest: float, info: ValidationInfo) -> float:
        _around(info).highest_altitude_deg = highest
        return highest

    @field_validator("passband_nm")
    @classmethod
    def _shortest_first(cls, passband: tuple[float, float]) -> tuple[float, float]:
        if passband[0] >= passband[1]:
            raise found("the shortest wavelength first, then a longer one")
        return passband


def _below_the_mounts_highest(lowest: float, info: ValidationInfo) -> float:
    highest = _around(info).highest_altitude_deg
    if highest is not None and lowest >= highest:
        raise found(f"less than telescope.highest_altitude_deg ({highest:g})")
    return lowest


LowestAltitude = Annotated[float, AfterValidator(_below_the_mounts_highest)]


class HoursTable(Table):
    """``[moon.hours]``."""

    model_config = ConfigDict(validate_default=False)

    monday: Evening | None = Field(None, description=dates.HOURS_WORDS)
    tuesday: Evening | None = Field(None, description=dates.HOURS_WORDS)
    wednesday: Evening | None = Field(None, description=dates.HOURS_WORDS)
    thursday: Evening | None = Field(None, description=dates.HOURS_WORDS)
    friday: Evening | None = Field(None, description=dates.HOURS_WORDS)
    saturday: Evening | None = Field(None, description=dates.HOURS_WORDS)
    sunday: Evening | None = Field(None, description=dates.HOURS_WORDS)
    every: Evening | None = Field(None, description=dates.HOURS_WORDS)

    def by_weekday(self) -> tuple[tuple[HoursSpan, ...] | None, ...]:
        """Seven evenings, Monday first; None is the whole night."""
        days = (
            self.monday, self.tuesday, self.wednesday, self.thursday,
            self.friday, self.saturday, self.sunday,
        )  # fmt: skip
        return tuple(self.every if day is None else day for day in days)


class MoonTable(Table):
    """``[moon]``."""

    lowest_altitude_deg: LowestAltitude = number(0, 89, 15.0)
    thinnest_fraction: float = number(0, 1, 0.03)
    shortest_window_min: float = number(1, 720, 20.0)
    daylight: bool = Field(False, description="true or false")
    hours: HoursTable = table()


def _hip(value: object, info: ValidationInfo) -> int:
    """The HIP number of a star given by its name or its number."""
    by_name = _around(info).hip_by_name
    if isinstance(value, str):
        hip = {name.casefold(): hip for name, hip in by_name.items()}.get(value.casefold())
        if hip is None:
            raise found(STAR_WORDS, lambda: near_match(value, by_name))
        return hip
    if isinstance(value, int) and value in by_name.values():
        return value
    raise found(STAR_WORDS)


class StarsTable(Table):
    """``[stars]``."""

    faintest_magnitude: float = number(-1, 6, 2.0)
    lowest_altitude_deg: LowestAltitude = number(0, 89, 15.0)
    highest_altitude_deg: float = number(1, 90, 80.0)
    least_moon_separation_deg: float = number(0, 90, 8.0)
    solve_below_sun_deg: float = number(-18, 0, -7.0)
    lead_min: float = number(0, 180, 15.0)
    known: list[Annotated[int, PlainValidator(_hip)]] = Field(
        [], max_length=100, description=STAR_WORDS
    )

    @field_validator("highest_altitude_deg")
    @classmethod
    def _above_lowest(cls, highest: float, info: ValidationInfo) -> float:
        lowest = info.data.get("lowest_altitude_deg")
        if lowest is not None and highest <= lowest:
            raise found(f"more than stars.lowest_altitude_deg ({lowest:g})")
        return highest


class SafetyTable(Table):
    """``[safety]``; the lower bounds are common practice, no source, and cannot be switched off."""

    sun_caution_deg: float = number(10, 180, 30.0)
    sun_stop_deg: float = number(5, 90, 15.0)
    cap_before_sunrise_min: float = number(5, 240, 20.0)

    @field_validator("sun_stop_deg")
    @classmethod
    def _inside_caution(cls, stop: float, info: ValidationInfo) -> float:
        caution = info.data.get("sun_caution_deg")
        if caution is not None and stop > caution:
            raise found(f"at most safety.sun_caution_deg ({caution:g})")
        return stop


class MeetingTable(Table):
    """``[[meeting]]``."""

    title: Line = text(120)
    rule: Annotated[str, AfterValidator(dates.rule)] = Field(
        max_length=300, description=dates.RULE_WORDS
    )
    start: Annotated[time, PlainValidator(dates.clock)] = Field(description=dates.CLOCK_WORDS)
    duration: float = number(5, 1440, 120.0)
    outdoors: bool = Field(False, description="true or false")


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
