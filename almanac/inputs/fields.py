"""The kinds of field in a config: one definition for the check and for the wording of a fault."""

from typing import Any, NamedTuple, cast

from msgspec import Struct, field
from pydantic import BaseModel, ConfigDict, Field, ValidationInfo


class Bounds(NamedTuple):
    """Inclusive lowest and highest value; prints as ``from 0 to 90``."""

    low: float
    high: float

    def __str__(self) -> str:
        """The range in words."""
        return f"from {self.low} to {self.high}"

    def __contains__(self, value: object) -> bool:
        """Whether it is a number in the range; not-a-number and a bool are not."""
        number = isinstance(value, int | float) and not isinstance(value, bool)
        return number and self.low <= value <= self.high  # type: ignore[operator]

    def field(self) -> Any:
        """The constraint for a number inside a list."""
        return Field(ge=self.low, le=self.high)


class Surroundings(Struct):
    """What a value must agree with outside its own table; filled while tables are checked."""

    hip_by_name: dict[str, int]
    slugs: set[str] = field(default_factory=set)
    highest_altitude_deg: float | None = None
    """The mount's, once the telescope's table has been read."""


def around(info: ValidationInfo) -> Surroundings:
    """The surroundings that the check was started with."""
    return cast(Surroundings, info.context)


class Table(BaseModel):
    """No unknown keys, no other type turned into the right one, no infinity, no not-a-number."""

    model_config = ConfigDict(
        extra="forbid", strict=True, frozen=True, allow_inf_nan=False, validate_default=True
    )


def number(low: float, high: float, default: Any = ...) -> Any:
    """A field for a number with inclusive bounds."""
    return Field(default, ge=low, le=high, description=f"a number {Bounds(low, high)}")


def text(most: int, default: Any = ..., least: int = 1) -> Any:
    """A field for a text of bounded length."""
    words = f"a text of {least} to {most} characters"
    return Field(default, min_length=least, max_length=most, description=words)


def switch(default: bool) -> Any:
    """A field for yes or no."""
    return Field(default, description="true or false")


def table(note: str = "a table") -> Any:
    """A field for a table that may be left out: an empty one is checked in its place."""
    return Field(default_factory=dict, description=note)
