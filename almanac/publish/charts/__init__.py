"""Charts drawn from records as SVG text."""

from almanac.publish.charts.moon_disc import moon_disc, tiny_moon_disc
from almanac.publish.charts.night import night_chart
from almanac.publish.charts.night_scale import night_scale
from almanac.publish.charts.sky_disc import season_chart
from almanac.publish.charts.year import year_chart

__all__ = [
    "moon_disc",
    "night_chart",
    "night_scale",
    "season_chart",
    "tiny_moon_disc",
    "year_chart",
]
