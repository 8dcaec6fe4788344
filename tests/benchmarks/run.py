"""The benchmark: ratios against plain Skyfield and Matplotlib doing the same work in the same run.

    python tests/benchmarks/run.py [--rounds N] [--only SUITE] [--long] [--json FILE]

Rounds are interleaved: in each, ours and theirs run one after the other, so that a busy machine
slows both. Plain Skyfield is timed on ten-day slices spread over the year and scaled to the year,
as the whole needs minutes and gigabytes. Needs the test and bench extras.
"""

import argparse
import json
import os
import platform
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import Any

import charts
import numpy as np
import positions
import sites

Rows = Iterator[dict[str, Any]]


def suites(rounds: int, long: bool) -> dict[str, Callable[[], Rows]]:
    """What can be measured, by name."""
    return {
        "positions": partial(positions.measures, rounds),
        "charts": partial(charts.measures, rounds),
        "sites": partial(sites.measures, rounds),
        "growth": partial(sites.growth, long),
    }


def machine() -> str:
    """What matters of this machine: vector units decide the cost of arctangents."""
    features = np.lib.introspect.opt_func_info(func_name="arctan2", signature="float64")
    target = next(iter(next(iter(features.values())).values()))["current"]
    wide = "with AVX-512" if "AVX512" in target else "without AVX-512"
    return (
        f"{platform.machine()} {wide} (arctan2 on {target}), {os.cpu_count()} cores, "
        f"Python {platform.python_version()}, NumPy {np.__version__}"
    )


def main() -> None:
    """Run every suite and print its table."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=5, help="interleaved rounds (default 5)")
    parser.add_argument("--json", type=Path, help="also write the figures here")
    parser.add_argument("--only", choices=list(suites(0, False)), help="run one suite alone")
    parser.add_argument("--long", action="store_true", help="build 100 sites too: some minutes")
    options = parser.parse_args()
    print(machine())
    rows: list[dict[str, Any]] = []
    for name, suite in suites(options.rounds, options.long).items():
        for row in suite() if options.only in (None, name) else ():
            rows.append(row)
            print(f"{row['measure']:<58} {row['result']}", flush=True)
    if options.json:
        options.json.write_text(json.dumps({"machine": machine(), "rows": rows}, indent=1))


if __name__ == "__main__":
    main()
