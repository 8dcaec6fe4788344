"""Horizon profiles: how high trees, roofs and hills stand, from a text file or from the config."""

import re
from collections.abc import Iterable
from pathlib import Path

from almanac.errors import ConfigError, Fault
from almanac.inputs.faults import shown
from almanac.inputs.fields import Bounds
from almanac.inputs.source import decoded, file_error, read_source
from almanac.records.config import Horizon

AZIMUTH_DEG = Bounds(0, 360)
ALTITUDE_DEG = Bounds(-5, 90)
"""Below 0 from a hill top or a cliff."""
MOST_POINTS = 10_000
"""Every 0.036 degrees, a fifteenth of the Moon; so many teeth take the build 4 times as long."""
MOST_BYTES = 1024 * 1024

LONGEST_WORD = 20
"""Shown of a word that is no number: it may be a file that was named by mistake, or by malice."""

FLAT = Horizon(azimuth_deg=(0.0,), altitude_deg=(0.0,))

_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?", re.ASCII)
_SEPARATORS = re.compile(r"[\s,;]+")
_COUNT = f"{Bounds(1, MOST_POINTS)} points"
_POINT = f"two numbers: azimuth_deg {AZIMUTH_DEG}, altitude_deg {ALTITUDE_DEG}"

Point = tuple[float, float]


def profile(points: Iterable[Point]) -> Horizon:
    """A profile from (azimuth_deg, altitude_deg) points in any order.

    Points are sorted by azimuth. Equal azimuths keep their order, so that a vertical step can be
    written as its two ends. 360 becomes 0 and goes before the points given at 0, being the end
    of the round from the west. A point given twice in a row counts once.
    """
    ordered = sorted(points, key=lambda point: (point[0] % 360.0, point[0] != 360.0))
    folded = [(azimuth % 360.0, altitude) for azimuth, altitude in ordered]
    kept = [point for index, point in enumerate(folded) if index == 0 or point != folded[index - 1]]
    return Horizon(
        azimuth_deg=tuple(azimuth for azimuth, _ in kept),
        altitude_deg=tuple(altitude for _, altitude in kept),
    )


def read_horizon(path: Path) -> tuple[Horizon, bytes]:
    """The profile in a text file, and the file's bytes.

    Each line holds azimuth and altitude in degrees, parted by spaces, a comma or a semicolon;
    ``#`` starts a comment. Raises ConfigError with every wrong line, named ``file:line``.
    """
    source = read_source(path, MOST_BYTES)
    points: list[Point] = []
    faults: list[Fault] = []
    for number, line in enumerate(decoded(source, path).split("\n"), start=1):
        text = line.partition("#")[0].strip()
        columns = [word for word in _SEPARATORS.split(text) if word]
        if not columns:
            continue
        odd = [word for word in columns if not _NUMBER.fullmatch(word)]
        point = None if odd else _checked([float(word) for word in columns])
        if point is None:
            value = shown(odd[0][:LONGEST_WORD] if odd else text)
            faults.append(Fault(f"{path}:{number}", "point", value, _POINT))
        else:
            points.append(point)
    if faults:
        raise ConfigError(faults)
    if not 1 <= len(points) <= MOST_POINTS:
        raise file_error(path, f"{len(points)} points", _COUNT)
    return profile(points), source


def inline_horizon(points: list[object], file: str, key: str) -> Horizon:
    """The profile written in the config as a list of points; raises ConfigError with each fault."""
    if not 1 <= len(points) <= MOST_POINTS:
        raise ConfigError([Fault(file, key, f"{len(points)} points", _COUNT)])
    checked = [_checked(point) for point in points]
    faults = [
        Fault(file, f"{key}[{index}]", shown(points[index]), _POINT)
        for index, point in enumerate(checked)
        if point is None
    ]
    if faults:
        raise ConfigError(faults)
    return profile(point for point in checked if point is not None)


def _checked(point: object) -> Point | None:
    """The point if it is two numbers in range."""
    if not isinstance(point, list) or len(point) != 2:
        return None
    azimuth, altitude = point
    if azimuth not in AZIMUTH_DEG or altitude not in ALTITUDE_DEG:
        return None
    return float(azimuth), float(altitude)
