"""Whole builds: time, memory and bytes of a site-year, of further sites, and of many."""

import gzip
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import Any

from timing import row

ROOT = Path(__file__).parents[2]
IMPORTS = "import numpy, skyfield.api, jinja2, matplotlib.pyplot"
SITE = """
[[site]]
name = "Field {number}"
latitude_deg = {latitude}
longitude_deg = {longitude}
timezone = "Europe/Paris"
"""
GROWTH, LONG = ((1, 1), (1, 10), (10, 1)), ((100, 1),)
"""Sites and years; the long ones take some minutes."""
BUILD = """
import resource, sys, time
from pathlib import Path
{patch}
from almanac.build import Choice, build
begin = time.perf_counter()
choice = Choice(booklet={booklet})
done = build(Path(sys.argv[1]), Path(sys.argv[2]), choice, int(sys.argv[3]), lambda count: None)
print(time.perf_counter() - begin)
print(next(line.split()[1] for line in open("/proc/self/status") if line.startswith("VmHWM")))
print(done.written)
print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)
"""
NO_PAPER = """
import typst
typst.compile = lambda *_, **__: b""
"""
"""Leaves the sheets to print apart, as the bar does with Matplotlib's charts."""


def config(folder: Path, sites: int, years: int) -> Path:
    """A config of many sites and years."""
    head = f'[club]\nname = "Benchmark Fields"\nyears = {[2027 + k for k in range(years)]}\n'
    places = [
        SITE.format(number=k, latitude=44.0 + k % 10 * 0.5, longitude=1.0 + k // 10 * 0.3)
        for k in range(sites)
    ]
    path = folder / f"{sites}x{years}.toml"
    path.write_text(head + "".join(places), encoding="utf-8")
    return path


def python(*words: str) -> tuple[float, list[str]]:
    """Wall time of a Python process of this interpreter, and what it printed."""
    begin = perf_counter()
    run = subprocess.run(
        [sys.executable, *words],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    return perf_counter() - begin, run.stdout.split()


def built(path: Path, out: Path, jobs: int, paper: bool = True) -> tuple[float, list[str]]:
    """A build in a process of its own: its wall time; inner seconds, peak kB, files written, and
    the peak kB of the largest process that it started.

    The peak is Linux's VmHWM: getrusage would hand down the benchmark's own.
    """
    code = BUILD.format(patch="" if paper else NO_PAPER, booklet=paper)
    return python("-c", code, str(path), str(out), str(jobs))


def folder_bytes(folder: Path) -> tuple[int, int]:
    """Bytes on disk, and each file gzipped."""
    files = [path.read_bytes() for path in folder.rglob("*") if path.is_file()]
    return sum(map(len, files)), sum(len(gzip.compress(data, 6)) for data in files)


def measures(rounds: int) -> Iterator[dict[str, Any]]:
    """One site-year against imports, and a further site."""
    with tempfile.TemporaryDirectory() as name:
        yield from _one(Path(name), rounds)


def _one(folder: Path, rounds: int) -> Iterator[dict[str, Any]]:
    one, two = config(folder, 1, 1), config(folder, 2, 1)
    pairs, shares, peaks, shared = [], [], [], []
    for turn in range(rounds):
        imports, _ = python("-c", IMPORTS)
        wall, found = built(one, folder / f"one-{turn}", 1, paper=False)
        shared.append(built(one, folder / f"shared-{turn}", 2, paper=False)[0] / imports)
        _, both = built(two, folder / f"two-{turn}", 1, paper=False)
        pairs.append((wall, imports))
        peaks.append(int(found[1]))
        shares.append(float(both[0]) / float(found[0]) - 1)
    ratios = sorted(wall / imports for wall, imports in pairs)
    yield row(
        "HTML build of a site-year over importing the libraries, one process",
        f"{median(ratios):.2f}x ({ratios[0]:.2f} to {ratios[-1]:.2f}), "
        f"build {median(wall for wall, _ in pairs):.2f} s",
        ratio=median(ratios),
    )
    yield row(
        "the same on two processes",
        f"{median(shared):.2f}x ({min(shared):.2f} to {max(shared):.2f})",
        ratio=median(shared),
    )
    yield row("peak memory of that build", f"{max(peaks) / 1024:.0f} MiB")
    yield row(
        "a further site over the first",
        f"{median(shares):.2f} ({min(shares):.2f} to {max(shares):.2f})",
    )
    _, first = built(one, folder / "full", 1)
    _, again = built(one, folder / "full", 1)
    size, packed = folder_bytes(folder / "full")
    yield row(
        "a site-year on disk, sheets included",
        f"{size / 1e6:.1f} MB, {packed / 1e6:.1f} MB gzipped",
    )
    yield row("files written by an unchanged rebuild", f"{again[2]} of {first[2]}")


def growth(long: bool) -> Iterator[dict[str, Any]]:
    """Whole builds, sheets and booklets included, of more sites and years on all cores."""
    cores = os.cpu_count() or 1
    wall_s: dict[int, float] = {}
    for sites, years in (*GROWTH, *(LONG if long else ())):
        with tempfile.TemporaryDirectory() as name:
            path = config(Path(name), sites, years)
            wall, found = built(path, Path(name) / "site", cores)
        wall_s[sites * years] = wall
        first, largest = int(found[1]) / 1024, int(found[3]) / 1024
        yield row(
            f"{sites} sites, {years} years on {cores} processes",
            f"{wall:.1f} s, {wall / sites / years:.2f} s a site-year; "
            f"{first:.0f} MiB in the first process, {largest:.0f} MiB at most in another",
            wall_s=wall,
            first_mib=first,
            largest_mib=largest,
        )
    fewer, most = sorted(wall_s)[-2:]
    slope = (wall_s[most] - wall_s[fewer]) / (most - fewer)
    yield row(
        f"1,000 sites, from the slope between {fewer} and {most}",
        f"{(wall_s[most] + (1000 - most) * slope) / 60:.0f} minutes, {slope:.2f} s a site-year",
    )
