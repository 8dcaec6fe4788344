"""What a config may say of outings: which evenings suit an occasion, and how many to propose."""

from functools import partial
from typing import Annotated, Any, NamedTuple

from pydantic import AfterValidator, Field, PlainValidator, ValidationInfo, field_validator

from almanac.inputs import texts
from almanac.inputs.faults import found, near_match
from almanac.inputs.fields import Bounds, Table, number
from almanac.records.config import MoonLimits, OutingRule

WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
MOONS = ("waxing", "waning", "either")
FRACTION = Bounds(0, 1)
WEEKDAY_WORDS = 'a list of weekdays such as ["friday", "saturday"]'
LIT_WORDS = f"two numbers {FRACTION}: the least lit fraction, then the greatest"


class Kind(NamedTuple):
    """What a kind of outing asks unless the club says otherwise; common practice, no source."""

    lit: tuple[float, float] = (0.0, 1.0)
    moon: str = "either"
    lowest_altitude_deg: float = 0.0
    hours_after_dark: float = 0.0
    shortest_min: float = 30.0
    least_landing_chance: float = 0.0
    dates: int = 4
    per_season: int = 1
    spacing_days: int = 28
    backups: int = 2
    backup_days: int = 10


KINDS = {
    "moon_evening": Kind(
        lit=(0.45, 0.95),
        moon="waxing",
        lowest_altitude_deg=20.0,
        hours_after_dark=2.0,
        shortest_min=45.0,
    ),
    "fine_detail": Kind(
        lit=(0.15, 0.9), least_landing_chance=0.5, dates=6, per_season=2, spacing_days=14
    ),
    "thin_crescent": Kind(lit=(0.0, 0.12), moon="waxing", shortest_min=20.0, spacing_days=25),
    "dark_sky": Kind(shortest_min=90.0, dates=6, per_season=2, spacing_days=21),
}


def _kind(word: str) -> str:
    if word not in KINDS:
        raise found(f"one of: {', '.join(KINDS)}", lambda: near_match(word, KINDS))
    return word


def _moon(word: str) -> str:
    if word not in MOONS:
        raise found(f"one of: {', '.join(MOONS)}", lambda: near_match(word, MOONS))
    return word


def _weekdays(value: object) -> tuple[int, ...]:
    """Numbers of weekdays, Monday first, from their names."""
    if not isinstance(value, list) or not value:
        raise found(WEEKDAY_WORDS)
    for word in value:
        if word not in WEEKDAYS:
            raise found(WEEKDAY_WORDS, partial(near_match, word, WEEKDAYS))
    return tuple(sorted({WEEKDAYS.index(word) for word in value}))


def _whole(low: int, high: int) -> Any:
    return Field(None, ge=low, le=high, description=f"a whole number {Bounds(low, high)}")


class OutingTable(Table):
    """``[[outing]]``; what is left out is the kind's own."""

    kind: Annotated[str, AfterValidator(_kind)] = Field(description=f"one of: {', '.join(KINDS)}")
    title: Annotated[str, AfterValidator(texts.one_line)] | None = Field(
        None, min_length=1, max_length=120, description="a text of 1 to 120 characters"
    )
    weekdays: Annotated[tuple[int, ...], PlainValidator(_weekdays)] | None = Field(
        None, description=WEEKDAY_WORDS
    )
    lit: tuple[Annotated[float, FRACTION.field()], Annotated[float, FRACTION.field()]] | None = (
        Field(None, strict=False, description=LIT_WORDS)
    )
    moon: Annotated[str, AfterValidator(_moon)] | None = Field(
        None, description=f"one of: {', '.join(MOONS)}"
    )
    lowest_altitude_deg: float | None = number(0, 89, None)
    hours_after_dark: float | None = number(0, 24, None)
    shortest_min: float | None = number(1, 720, None)
    least_landing_chance: float | None = number(0, 1, None)
    dates: int | None = _whole(1, 60)
    per_season: int | None = _whole(1, 60)
    spacing_days: int | None = _whole(1, 183)
    backups: int | None = _whole(0, 5)
    backup_days: int | None = _whole(1, 60)

    @field_validator("lit")
    @classmethod
    def _least_first(
        cls, lit: tuple[float, float] | None, _: ValidationInfo
    ) -> tuple[float, float] | None:
        if lit is not None and lit[0] > lit[1]:
            raise found(LIT_WORDS)
        return lit


def outing_rule(table: OutingTable, moon: MoonLimits) -> OutingRule:
    """The rule with the kind's defaults; by default on every weekday on which the club comes."""
    club = tuple(day for day, spans in enumerate(moon.hours) if spans != ())
    given = {key: value for key, value in table.model_dump().items() if value is not None}
    usual = {**KINDS[table.kind]._asdict(), "title": "", "weekdays": club}
    return OutingRule(**{**usual, **given})


def usual_rules(moon: MoonLimits) -> tuple[OutingRule, ...]:
    """One rule of each kind, for a club that has set none."""
    tables = (OutingTable.model_validate({"kind": kind}) for kind in KINDS)
    return tuple(outing_rule(table, moon) for table in tables)
