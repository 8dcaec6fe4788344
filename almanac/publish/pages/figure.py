"""A figure as pages list it."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Figure:
    """A value with its name."""

    term: str
    value: str
    meaning: str = ""
