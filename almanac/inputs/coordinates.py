"""Latitudes and longitudes as people type them: 51.43, 51,43, 51°25'48" N, N 51 25.8."""

import re

from almanac.errors import AlmanacError

LONGEST = 60
DECIMALS = 6
"""A tenth of a metre: what is typed in degrees, minutes and seconds needs no more."""

_NUMBER = r"\d{1,9}(?:[.,]\d{1,20})?"
_ANGLE = re.compile(
    rf"""(?P<before>[A-Z]*)\s*(?P<sign>[+-]?)\s*
    (?P<degrees>{_NUMBER})
    (?:(?:\s*[°:]\s*|\s+)(?P<minutes>{_NUMBER})
    (?:(?:\s*[':]\s*|\s+)(?P<seconds>{_NUMBER})\s*"?|\s*'?)|\s*°?)
    \s*(?P<after>[A-Z]*)""",
    re.VERBOSE | re.ASCII,
)
_SAME = str.maketrans({"º": "°", "˚": "°", "′": "'", "’": "'", "´": "'", "″": '"', "”": '"',
                       "−": "-", "–": "-", "\u00a0": " ", "\u202f": " "})  # fmt: skip
_WAYS = {
    "latitude": {"N": 1, "NORTH": 1, "S": -1, "SOUTH": -1},
    "longitude": {"E": 1, "EAST": 1, "W": -1, "WEST": -1},
}
_EXAMPLES = {
    "latitude": "51.43, 51 25 48 N or 51°25'48\" N; south is S or negative",
    "longitude": "17.62, 17 37 12 E or 17°37'12\" E; west is W or negative",
}


class CoordinateError(AlmanacError):
    """A text that is no latitude or no longitude."""

    exit_code = 2


def latitude_deg(text: str) -> float:
    """Degrees, north positive, from a latitude as people type it; CoordinateError says why not."""
    return _angle(text, "latitude")


def longitude_deg(text: str) -> float:
    """Degrees, east positive, from a longitude as people type it; CoordinateError says why not."""
    return _angle(text, "longitude")


def _angle(text: str, kind: str) -> float:
    plain = text.strip().translate(_SAME).replace("''", '"').upper()
    match = _ANGLE.fullmatch(plain) if len(plain) <= LONGEST else None
    if match is None:
        raise _wrong(kind, "one angle in degrees, or in degrees, minutes and seconds")
    given = [match[part] for part in ("degrees", "minutes", "seconds") if match[part]]
    numbers = [float(number.replace(",", ".")) for number in given]
    if any(number != int(number) for number in numbers[:-1]):
        raise _wrong(kind, "a fraction only in the last number")
    if any(number >= 60 for number in numbers[1:]):
        raise _wrong(kind, "minutes and seconds below 60")
    value = sum(number / 60**place for place, number in enumerate(numbers))
    return round(_way(match, kind) * value, DECIMALS) + 0.0


def _way(match: re.Match[str], kind: str) -> int:
    """1 or -1, from a sign or a direction, of which there may be one."""
    given = [word for word in (match["before"], match["after"]) if word]
    if kind == "longitude" and "O" in given:
        raise _wrong(kind, "E or W, for O is east in some languages and west in others")
    if len(given) + bool(match["sign"]) > 1:
        raise _wrong(kind, "a sign or a direction, not both")
    if not given:
        return -1 if match["sign"] == "-" else 1
    if given[0] not in _WAYS[kind]:
        raise _wrong(kind, f"no direction but {' or '.join(w for w in _WAYS[kind] if len(w) == 1)}")
    return _WAYS[kind][given[0]]


def _wrong(kind: str, wanted: str) -> CoordinateError:
    return CoordinateError(f"write {wanted}, such as {_EXAMPLES[kind]}")
