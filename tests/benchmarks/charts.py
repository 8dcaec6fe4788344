"""366 night charts against Matplotlib drawing the same: sky bands, Moon, ground, star, window."""

import io
from collections.abc import Iterator
from pathlib import Path
from time import perf_counter
from typing import Any

import numpy as np
from timing import ratio_row

from almanac.almanac import compute, year_sky
from almanac.inputs.catalogue import load_catalogue
from almanac.inputs.config import load_config
from almanac.publish.charts.night import night_chart
from almanac.publish.charts.night_scale import night_scale
from almanac.publish.wording import Wording
from almanac.records.year import Night, YearAlmanac

ROOT = Path(__file__).parents[2]
EVERY = 12
"""Matplotlib draws each twelfth night of a round; its time is scaled."""


def matplotlib_svg(almanac: YearAlmanac, night: Night, words: Wording) -> str:
    """The night as a new Matplotlib figure, text left as text."""
    from matplotlib.backends.backend_svg import FigureCanvasSVG
    from matplotlib.figure import Figure

    track = almanac.track
    rows = slice(
        *np.searchsorted(track.utc_s, [night.start_utc.timestamp(), night.end_utc.timestamp()])
    )
    hours = (track.utc_s[rows] - night.start_utc.timestamp()) / 3600
    figure = Figure(figsize=(7.2, 3.4))
    FigureCanvasSVG(figure)
    axes = figure.add_subplot()
    for limit, tone in ((-0.8, "0.95"), (-6.0, "0.9"), (-12.0, "0.85"), (-18.0, "0.8")):
        axes.fill_between(hours, 0, 90, where=track.sun_altitude_deg[rows] < limit, color=tone)
    axes.plot(hours, track.moon_altitude_deg[rows], color="black", lw=1)
    axes.fill_between(hours, 0, track.ground_deg[rows], color="0.5")
    for index, window in enumerate(night.windows):
        edges = [
            (at - night.start_utc).total_seconds() / 3600
            for at in (window.start_utc, window.end_utc)
        ]
        inside = (hours >= edges[0]) & (hours <= edges[1])
        axes.plot(hours[inside], track.moon_altitude_deg[rows][inside], color="black", lw=4)
        axes.text(edges[0], window.altitude_deg, words.clock(window.start_utc))
        axes.text(edges[1], window.altitude_deg, words.clock(window.end_utc))
        star = almanac.star_tracks.get((night.date, index))
        if star is not None and window.calibration:
            at = (star.utc_s - night.start_utc.timestamp()) / 3600
            axes.plot(at, star.altitude_deg, "--", color="black")
            axes.text(at[-1], star.altitude_deg[-1], window.calibration.chosen.star)
    axes.set(ylim=(0, 90), xlim=(0, 24), yticks=(0, 30, 60, 90), xticks=range(0, 25, 2))
    out = io.StringIO()
    figure.savefig(out, format="svg")
    return out.getvalue()


def measures(rounds: int) -> Iterator[dict[str, Any]]:
    """Time and bytes of a year's night charts."""
    import matplotlib

    matplotlib.rcParams["svg.fonttype"] = "none"
    config, catalogue = load_config(ROOT / "site_config/demo.toml"), load_catalogue()
    almanac = compute(config, config.sites[0], year_sky(2027, catalogue), catalogue)
    words = Wording("en", almanac.site.timezone)
    pairs: list[tuple[float, float]] = []
    sizes = [0, 0]
    for turn in range(rounds):
        begin = perf_counter()
        scale = night_scale(almanac)
        ours = [night_chart(almanac, night, words, scale) for night in almanac.nights]
        middle = perf_counter()
        theirs = [matplotlib_svg(almanac, night, words) for night in almanac.nights[turn::EVERY]]
        scaled = (perf_counter() - middle) * len(ours) / len(theirs)
        pairs.append((scaled, middle - begin))
        sizes = [sum(map(len, ours)) // len(ours), sum(map(len, theirs)) // len(theirs)]
    note = f"{sizes[0] / 1000:.1f} kB a chart against {sizes[1] / 1000:.1f} kB"
    yield ratio_row("a year's night charts against Matplotlib figures", pairs, note)
