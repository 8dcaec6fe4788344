"""What a config may say of the telescope, the Moon, the stars and care with the Sun."""

from typing import Annotated, Any

from pydantic import (
    AfterValidator,
    ConfigDict,
    Field,
    PlainValidator,
    ValidationInfo,
    field_validator,
)

from almanac.inputs import dates, texts
from almanac.inputs.faults import found, near_match
from almanac.inputs.fields import Bounds, Table, around, number, switch, table
from almanac.inputs.horizon import AZIMUTH_DEG
from almanac.records.config import HoursSpan

SENSOR_PX = Bounds(16, 20_000)
PARK_ALTITUDE_DEG = Bounds(-90, 90)
PASSBAND_NM = Bounds(300, 1100)  # what a silicon sensor records
STAR_WORDS = "the name or the HIP number of a star in the almanac's catalogue"

Pixels = Annotated[int, SENSOR_PX.field()]
ParkAzimuth = Annotated[float, AZIMUTH_DEG.field()]
ParkAltitude = Annotated[float, PARK_ALTITUDE_DEG.field()]
Wavelength = Annotated[float, PASSBAND_NM.field()]
Evening = Annotated[tuple[HoursSpan, ...], PlainValidator(dates.evening)]


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
        around(info).highest_altitude_deg = highest
        return highest

    @field_validator("passband_nm")
    @classmethod
    def _shortest_first(cls, passband: tuple[float, float]) -> tuple[float, float]:
        if passband[0] >= passband[1]:
            raise found("the shortest wavelength first, then a longer one")
        return passband


def _below_the_mounts_highest(lowest: float, info: ValidationInfo) -> float:
    highest = around(info).highest_altitude_deg
    if highest is not None and lowest >= highest:
        raise found(f"less than telescope.highest_altitude_deg ({highest:g})")
    return lowest


LowestAltitude = Annotated[float, AfterValidator(_below_the_mounts_highest)]


def _hours() -> Any:
    return Field(None, description=dates.HOURS_WORDS)


class HoursTable(Table):
    """``[moon.hours]``."""

    model_config = ConfigDict(validate_default=False)

    monday: Evening | None = _hours()
    tuesday: Evening | None = _hours()
    wednesday: Evening | None = _hours()
    thursday: Evening | None = _hours()
    friday: Evening | None = _hours()
    saturday: Evening | None = _hours()
    sunday: Evening | None = _hours()
    every: Evening | None = _hours()

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
    daylight: bool = switch(False)
    hours: HoursTable = table("a table of weekdays")


def _hip(value: object, info: ValidationInfo) -> int:
    """The HIP number of a star given by its name or its number."""
    by_name = around(info).hip_by_name
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
