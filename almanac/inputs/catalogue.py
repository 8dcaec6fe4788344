"""The tables that ship with the almanac: bright stars, chart stars, patterns, lunar features.

Each CSV in ``almanac/inputs/data`` names its sources in its head. ``tests/tools/make_tables.py``
makes the star tables again.
"""

import csv
from collections import Counter
from collections.abc import Iterable
from functools import cache
from importlib.resources import files

import numpy as np

from almanac.errors import AlmanacError
from almanac.records.catalogue import (
    BackgroundStars,
    Catalogue,
    Cluster,
    LunarFeature,
    Star,
    ZodiacStar,
)

Row = dict[str, str]
PLACE_KEYS = ("ra_deg", "dec_deg", "pm_ra_mas", "pm_dec_mas", "parallax_mas", "magnitude")


@cache
def load_catalogue() -> Catalogue:
    """Return all tables, read and checked on the first call.

    Stars and features stand in order of name, background stars in order of HIP number. Raises
    AlmanacError if a table of the installed package is damaged.
    """
    try:
        catalogue = Catalogue(
            stars=tuple(_star(row) for row in _rows("stars.csv")),
            background=_background(_rows("background.csv")),
            patterns=tuple(pair for pairs in pattern_names().values() for pair in pairs),
            features=tuple(_feature(row) for row in _rows("features.csv")),
            zodiac=tuple(_zodiac_star(row) for row in _rows("zodiac.csv")),
            clusters=tuple(_cluster(row) for row in _rows("clusters.csv")),
        )
    except (KeyError, TypeError, ValueError, OSError) as error:
        raise AlmanacError(f"A table of the installed almanac is damaged: {error!r}") from error
    check_catalogue(catalogue)
    return catalogue


def pattern_names() -> dict[str, tuple[tuple[int, int], ...]]:
    """Return the lines of each pattern, as pairs of HIP numbers, by its English name."""
    lines: dict[str, list[tuple[int, int]]] = {}
    for row in _rows("patterns.csv"):
        lines.setdefault(row["name"], []).append((int(row["hip_from"]), int(row["hip_to"])))
    return {name: tuple(pairs) for name, pairs in lines.items()}


def check_catalogue(catalogue: Catalogue) -> None:
    """Raise AlmanacError naming the first thing wrong: doubled, out of range, or not there."""
    drawn = set(catalogue.background.hip.tolist())
    _check_doubled("star", [star.hip for star in catalogue.stars])
    _check_doubled("star", [star.name for star in catalogue.stars])
    _check_doubled("zodiac star", [star.hip for star in catalogue.zodiac])
    _check_doubled("zodiac star", [star.name for star in catalogue.zodiac])
    _check_doubled("background star", catalogue.background.hip.tolist())
    _check_doubled("lunar feature", [feature.name for feature in catalogue.features])
    _check_missing({star.hip for star in catalogue.stars} - drawn)
    _check_missing({hip for pair in catalogue.patterns for hip in pair} - drawn)
    _check_places(catalogue)


def _check_doubled(kind: str, names: Iterable[object]) -> None:
    doubled = sorted(str(name) for name, times in Counter(names).items() if times > 1)
    if doubled:
        raise AlmanacError(f"Catalogue: {kind} listed twice: {', '.join(doubled)}")


def _check_missing(hips: set[int]) -> None:
    if hips:
        listed = ", ".join(f"HIP {hip}" for hip in sorted(hips))
        raise AlmanacError(f"Catalogue: not among the background stars: {listed}")


def _check_places(catalogue: Catalogue) -> None:
    sky = catalogue.background
    longitudes = [star.ra_deg for star in catalogue.stars] + sky.ra_deg.tolist()
    latitudes = [star.dec_deg for star in catalogue.stars] + sky.dec_deg.tolist()
    latitudes += [feature.latitude_deg for feature in catalogue.features]
    east = [feature.longitude_deg for feature in catalogue.features]
    if not (
        all(0.0 <= value < 360.0 for value in longitudes)
        and all(-90.0 <= value <= 90.0 for value in latitudes)
        and all(-180.0 <= value <= 180.0 for value in east)
    ):
        raise AlmanacError("Catalogue: a place is out of range")


def _rows(name: str) -> list[Row]:
    """Read a table of the package, leaving out the comment lines of its head."""
    text = files("almanac.inputs").joinpath("data", name).read_text(encoding="utf-8")
    return list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))


def _star(row: Row) -> Star:
    return Star(
        name=row["name"],
        hip=int(row["hip"]),
        ra_deg=float(row["ra_deg"]),
        dec_deg=float(row["dec_deg"]),
        pm_ra_mas=float(row["pm_ra_mas"]),
        pm_dec_mas=float(row["pm_dec_mas"]),
        parallax_mas=float(row["parallax_mas"]),
        magnitude=float(row["magnitude"]),
        note=row["note"],
        colour_bv=float(row["b_v"]) if "b_v" in row else None,
    )


def _zodiac_star(row: Row) -> ZodiacStar:
    return ZodiacStar(
        name=row["name"],
        hip=int(row["hip"]),
        **{key: float(row[key]) for key in PLACE_KEYS},
        note="",
        band=row["band"],
        group=row["group"],
    )


def _cluster(row: Row) -> Cluster:
    return Cluster(
        name=row["name"],
        hip=0,
        ra_deg=float(row["ra_deg"]),
        dec_deg=float(row["dec_deg"]),
        pm_ra_mas=0.0,
        pm_dec_mas=0.0,
        parallax_mas=0.0,
        magnitude=0.0,
        note="",
        diameter_arcmin=float(row["diameter_arcmin"]),
    )


def _feature(row: Row) -> LunarFeature:
    return LunarFeature(
        name=row["name"],
        latitude_deg=float(row["latitude_deg"]),
        longitude_deg=float(row["longitude_deg"]),
        diameter_km=float(row["diameter_km"]),
        kind=row["kind"],
    )


def _background(rows: Iterable[Row]) -> BackgroundStars:
    columns = zip(
        *((row["hip"], row["ra_deg"], row["dec_deg"], row["magnitude"]) for row in rows),
        strict=True,
    )
    hip, *places = (np.array(column, dtype=np.float64) for column in columns)
    ra_deg, dec_deg, magnitude = places
    return BackgroundStars(hip.astype(np.int64), ra_deg, dec_deg, magnitude)
