"""POSIX seconds to datetimes."""

from datetime import UTC, datetime, timedelta

import numpy as np
from numpy.typing import NDArray

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def instant(utc_s: float) -> datetime:
    """The aware UTC datetime of POSIX seconds, before 1970 too."""
    return EPOCH + timedelta(seconds=float(utc_s))


def instants(utc_s: NDArray[np.float64]) -> tuple[datetime, ...]:
    """All of them, in order."""
    return tuple(instant(second) for second in utc_s)
