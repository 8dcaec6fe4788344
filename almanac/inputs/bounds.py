"""The range of a number: one definition for the check and for the wording of a fault."""

from typing import Any, NamedTuple

from pydantic import Field


class Bounds(NamedTuple):
    """Inclusive lowest and highest value; prints as ``from 0 to 90``."""

    low: float
    high: float

    def __str__(self) -> str:
        """The range in words."""
        return f"from {self.low} to {self.high}"

    def __contains__(self, value: object) -> bool:
        """Whether a number lies in the range; not-a-number does not."""
        return isinstance(value, int | float) and self.low <= value <= self.high

    def field(self) -> Any:
        """The constraint for a number inside a list."""
        return Field(ge=self.low, le=self.high)
