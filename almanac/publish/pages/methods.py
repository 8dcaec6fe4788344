"""What the methods page tells from data: the settings in use, the agreement tested, the makers."""

import re
from collections.abc import Iterator
from typing import NamedTuple

from almanac.publish import steps
from almanac.publish.agreements import AGREEMENTS, Agreement
from almanac.publish.pages.figure import Figure
from almanac.publish.window_limits import SHORT_CLIP_S
from almanac.publish.wording import Wording
from almanac.records.config import ClubConfig
from almanac.records.year import Provenance

BEFORE_UNIT = re.compile(r"(?<=\d) (?=(?:s|min|km)\b)")
"""A space at which no line may break."""


class MethodsView(NamedTuple):
    """All that the page shows from data."""

    short_clip: str
    """Seconds below which lists name the longest clip."""
    unsure_hop: str
    """Chance to land below which lists name it."""
    settings: tuple[Figure, ...]
    agreements: tuple[Agreement, ...]
    made_with: tuple[Figure, ...]


def methods_view(made_with: Provenance, config: ClubConfig, words: Wording) -> MethodsView:
    """The view for a club; what made the almanac is the same for all its sites and years."""
    return MethodsView(
        short_clip=words.number(SHORT_CLIP_S),
        unsure_hop=words.percent(steps.LIKELY),
        settings=tuple(_settings(config, words)),
        agreements=tuple(_translated(agreement, words) for agreement in AGREEMENTS),
        made_with=tuple(_made_with(made_with, words)),
    )


def _translated(agreement: Agreement, words: Wording) -> Agreement:
    return agreement._replace(
        quantity=words.gettext(agreement.quantity),
        compared_with=words.gettext(agreement.compared_with),
        held_to=BEFORE_UNIT.sub("\u00a0", words.gettext(agreement.held_to)),
    )


def _settings(config: ClubConfig, words: Wording) -> Iterator[Figure]:
    _, number, degrees = words.gettext, words.number, words.degrees
    telescope, moon, stars = config.telescope, config.moon, config.stars
    yield Figure(_("Aperture"), f"{number(telescope.aperture_mm)} mm")
    yield Figure(_("Focal length"), f"{number(telescope.focal_length_mm)} mm")
    across, up = telescope.sensor_px
    pixels = f"{number(across)} × {number(up)} × {number(telescope.pixel_um, 1)} µm"
    yield Figure(_("Sensor"), pixels, _("across, up, size of a pixel"))
    yield Figure(_("Highest reach of the mount"), degrees(telescope.highest_altitude_deg))
    yield Figure(
        _("Levelling error"),
        degrees(telescope.level_error_deg, 1),
        _("standard deviation of each of two tilts"),
    )
    shortest, longest = telescope.passband_nm
    yield Figure(_("Passband"), f"{number(shortest)}–{number(longest)} nm")
    yield Figure(_("Lowest useful altitude of the Moon"), degrees(moon.lowest_altitude_deg))
    yield Figure(_("Thinnest Moon"), _("%(part)s lit", part=words.percent(moon.thinnest_fraction)))
    yield Figure(_("Shortest window"), words.duration(60 * moon.shortest_window_min))
    low, high = degrees(stars.lowest_altitude_deg), degrees(stars.highest_altitude_deg)
    yield Figure(_("Stars between"), _("%(low)s and %(high)s", low=low, high=high))
    yield Figure(_("Faintest star"), _("magnitude %(m)s", m=number(stars.faintest_magnitude, 1)))
    yield Figure(
        _("Star from the Moon"), _("%(d)s at least", d=degrees(stars.least_moon_separation_deg))
    )
    below = degrees(abs(stars.solve_below_sun_deg))
    yield Figure(_("Stars show when the Sun is"), _("%(below)s below the horizon", below=below))
    before = words.duration(60 * config.safety.cap_before_sunrise_min)
    yield Figure(_("Telescope covered"), _("%(time)s before sunrise", time=before))
    yield from _hours(config, words)
    yield from _air(config, words)


def _hours(config: ClubConfig, words: Wording) -> Iterator[Figure]:
    """The club's hours, one line for each weekday."""
    _ = words.gettext
    for weekday, spans in enumerate(config.moon.hours):
        if spans is None:
            text = _("the whole night")
        else:
            times = (f"{span.start:%H:%M}{steps.DASH}{span.end:%H:%M}" for span in spans)
            text = ", ".join(times) or _("no observing")
        yield Figure(_("Hours, %(day)s", day=words.weekday(weekday)), text)


def _air(config: ClubConfig, words: Wording) -> Iterator[Figure]:
    """What each site assumes of its air."""
    _, number = words.gettext, words.number
    for site in config.sites:
        yield Figure(
            _("Seeing at the zenith, %(site)s", site=site.name), f"{number(site.seeing_arcsec, 1)}″"
        )


def _made_with(made: Provenance, words: Wording) -> Iterator[Figure]:
    _ = words.gettext
    yield Figure(_("Version"), made.version)
    yield Figure(_("Ephemeris"), made.ephemeris)
    yield Figure(_("Its SHA-256"), made.ephemeris_sha256)
    yield Figure(_("Earth rotation (Delta-T)"), made.delta_t)
    yield Figure(_("Time zones"), made.timezones)
    yield Figure(_("Config's SHA-256"), made.config_sha256)
