"""Whole builds by the command: time, memory and bytes of a site-year, of further sites, of many."""

import compileall
import gzip
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import Any, NamedTuple

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
SEVERAL = 5
"""Sites from which the cost of a further one is taken."""
COMMAND = """
import resource, sys
{patch}
from almanac.cli import main
main(sys.argv[1:], prog_name="almanac", standalone_mode=False)
print(next(line.split()[1] for line in open("/proc/self/status") if line.startswith("VmHWM")))
print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)
"""
NO_PAPER = """
import typst
typst.compile = lambda *_, **__: b""
"""
"""Leaves the sheets to print apart, as the bar does with Matplotlib's charts."""


class Build(NamedTuple):
    """A build in a process of its own."""

    wall_s: float
    """From the start of Python to its end."""
    told: str
    """What the command printed."""
    peak_mib: float
    """Of the first process: Linux's VmHWM, since getrusage would hand down the benchmark's own."""
    largest_mib: float
    """Of the largest process that it started."""


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
    """Wall time of a Python process of this interpreter, and the lines that it printed."""
    begin = perf_counter()
    run = subprocess.run(
        [sys.executable, *words],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )
    return perf_counter() - begin, run.stdout.splitlines()


def built(path: Path, out: Path, jobs: int, paper: bool = True) -> Build:
    """The command's build, with the sheets to print or without."""
    code = COMMAND.format(patch="" if paper else NO_PAPER)
    options = [] if paper else ["--no-booklet"]
    words = ["build", str(path), "--out", str(out), "--jobs", str(jobs), *options]
    wall_s, (told, peak_kb, largest_kb) = python("-c", code, *words)
    return Build(wall_s, told, int(peak_kb) / 1024, int(largest_kb) / 1024)


def folder_bytes(files: list[Path]) -> str:
    """Their bytes on disk, and each file gzipped."""
    contents = [path.read_bytes() for path in files]
    size, packed = sum(map(len, contents)), sum(len(gzip.compress(data, 6)) for data in contents)
    return f"{size / 1e6:.1f} MB, {packed / 1e6:.2f} MB gzipped"


def measures(rounds: int) -> Iterator[dict[str, Any]]:
    """One site-year against imports, and a further site."""
    compileall.compile_dir(ROOT / "almanac", quiet=1)  # as an installer leaves a package
    with tempfile.TemporaryDirectory() as name:
        for jobs in (os.cpu_count() or 1, 1):
            yield from _times(Path(name), rounds, jobs)
        yield from _bytes(Path(name))


def _times(folder: Path, rounds: int, jobs: int) -> Iterator[dict[str, Any]]:
    one, several = config(folder, 1, 1), config(folder, SEVERAL, 1)
    ratios, walls, peaks, shares = [], [], [], []
    for turn in range(rounds):
        imports, _ = python("-c", IMPORTS)
        first = built(one, folder / f"one-{jobs}-{turn}", jobs, paper=False)
        more = built(several, folder / f"several-{jobs}-{turn}", jobs, paper=False)
        ratios.append(first.wall_s / imports)
        walls.append(first.wall_s)
        peaks.append(max(first.peak_mib, first.largest_mib))
        shares.append((more.wall_s - first.wall_s) / (SEVERAL - 1) / first.wall_s)
    how = f"{jobs} processes, as by default" if jobs > 1 else "one process"
    yield row(
        f"HTML of a site-year over importing the libraries, {how}",
        f"{_told(ratios)}x, build {median(walls):.2f} s, at most {max(peaks):.0f} MiB a process",
        ratio=median(ratios),
        peak_mib=max(peaks),
    )
    yield row(f"a further site over the first, {how}", _told(shares), ratio=median(shares))


def _told(figures: list[float]) -> str:
    return f"{median(figures):.2f} ({min(figures):.2f} to {max(figures):.2f})"


def _bytes(folder: Path) -> Iterator[dict[str, Any]]:
    one, cores = config(folder, 1, 1), os.cpu_count() or 1
    full = folder / "full"
    built(one, full, cores)
    again = built(one, full, cores)
    files = [path for path in full.rglob("*") if path.is_file()]
    lean = [path for path in files if not path.name.startswith("booklet")]
    yield row("a site-year on disk", folder_bytes(files))
    yield row("the same without the booklets", folder_bytes(lean))
    yield row("an unchanged rebuild", again.told.partition(": ")[2])


def growth(long: bool) -> Iterator[dict[str, Any]]:
    """Whole builds, sheets and booklets included, of more sites and years on all cores."""
    cores = os.cpu_count() or 1
    wall_s: dict[int, float] = {}
    for sites, years in (*GROWTH, *(LONG if long else ())):
        with tempfile.TemporaryDirectory() as name:
            found = built(config(Path(name), sites, years), Path(name) / "site", cores)
        wall_s[sites * years] = found.wall_s
        yield row(
            f"{sites} sites, {years} years on {cores} processes",
            f"{found.wall_s:.1f} s, {found.wall_s / sites / years:.2f} s a site-year; "
            f"{found.peak_mib:.0f} MiB in the first process, "
            f"{found.largest_mib:.0f} MiB at most in another",
            wall_s=found.wall_s,
            first_mib=found.peak_mib,
            largest_mib=found.largest_mib,
        )
    fewer, most = sorted(wall_s)[-2:]
    slope = (wall_s[most] - wall_s[fewer]) / (most - fewer)
    yield row(
        f"1,000 sites, from the slope between {fewer} and {most}",
        f"{(wall_s[most] + (1000 - most) * slope) / 60:.0f} minutes, {slope:.2f} s a site-year",
    )
