"""The errors the almanac raises on purpose.

AlmanacError
├── ConfigError      the club's files say something impossible (all faults at once)
├── OutputError      the site cannot be written safely
└── EphemerisError   the year or body lies outside the ephemeris
"""

from typing import NamedTuple


class AlmanacError(Exception):
    """Base of every error with a message meant for the person at the keyboard."""

    exit_code = 1


class Fault(NamedTuple):
    """One thing wrong in a file that a club wrote."""

    file: str
    """Path as the user gave it."""
    key: str
    """Dotted key with list indices, such as ``site[1].latitude_deg``."""
    value: str
    """The value found, as text, shortened."""
    allowed: str
    """What would be right, with the range or the choices."""
    near: str | None = None
    """A near match for a misspelled key or choice."""

    def __str__(self) -> str:
        """One line: file, key, value, allowed range and near match."""
        hint = f"; did you mean {self.near!r}?" if self.near else ""
        return f"{self.file}: {self.key} = {self.value}: {self.allowed}{hint}"


class ConfigError(AlmanacError):
    """The config or a file that it names is wrong; carries every fault found."""

    exit_code = 2

    def __init__(self, faults: list[Fault]) -> None:
        """Keep the faults in the order in which they are to be shown."""
        self.faults = faults
        super().__init__("\n".join(str(fault) for fault in faults))


class OutputError(AlmanacError):
    """The output folder cannot be used; the old site is left as it was."""


class EphemerisError(AlmanacError):
    """A date or a body outside what the ephemeris holds."""

    exit_code = 2
