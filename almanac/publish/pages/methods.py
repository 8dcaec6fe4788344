"""What the methods page tells from data: the settings in use, the agreement tested, the makers."""

from collections.abc import Iterator
from typing import NamedTuple

from almanac.publish import steps
from almanac.publish.pages.figure import Figure
from almanac.publish.terms import N_
from almanac.publish.wording import Wording
from almanac.records.config import ClubConfig
from almanac.records.year import Provenance


class Agreement(NamedTuple):
    """How near a figure must stay to an outside value for the tests to pass."""

    quantity: str
    compared_with: str
    held_to: str


AGREEMENTS = (
    Agreement(
        N_("Height and direction of Moon and Sun, without air"),
        N_("Skyfield called directly; astropy with the same ephemeris and clock"),
        N_("0.02″; 1″ (Moon) and 1.5″ (Sun)"),
    ),
    Agreement(
        N_("Height and direction of stars, without air"),
        N_("Skyfield called directly; astropy"),
        N_("0.06″; 1.5″"),
    ),
    Agreement(
        N_("Height of the Moon, lifted by the air"),
        N_("JPL Horizons, 10 °C and 1010 hPa"),
        N_("10″ above 5°, 30″ below"),
    ),
    Agreement(
        N_("Phases"),
        N_("US Naval Observatory, 2024 to 2026; astropy"),
        N_("60 s; 2 s"),
    ),
    Agreement(N_("Perigee and apogee"), N_("astropy"), N_("5 s, 0.1 km")),
    Agreement(
        N_("Rise and set"),
        N_("US Naval Observatory, up to 60° of latitude; astropy"),
        N_("60 s; 1 s"),
    ),
    Agreement(N_("Dusk and dawn"), N_("astropy"), N_("3 s")),
    Agreement(
        N_("Lit part of the disc, from the Earth's centre"),
        N_("NASA Scientific Visualization Studio, hourly tables"),
        N_("0.05%"),
    ),
    Agreement(
        N_("Libration and colongitude, from the Earth's centre"),
        N_("the same tables; JPL's lunar frame"),
        N_("0.005°; 0.01°"),
    ),
    Agreement(
        N_("Occultations: disappearance and reappearance, mean limb"),
        N_("Skyfield called directly, two places in 2027; a society's published table for 1999"),
        N_("1 s; 15 s"),
    ),
    Agreement(
        N_("Distance of a move's directions from the Sun"),
        N_("a fine mesh of the directions; 10 000 random moves"),
        N_("the mesh's width; none offered within the stop distance"),
    ),
    Agreement(
        N_("Eclipses of the Sun on Earth: greatest, gamma"),
        N_("Espenak and Meeus's catalogue, 2024 to 2040"),
        N_("1 s; 0.0001"),
    ),
    Agreement(
        N_("Eclipses of the Moon: greatest, magnitudes, durations"),
        N_("Espenak and Meeus's catalogue, 2025 to 2040"),
        N_("2 s; 0.0004; 0.2 min"),
    ),
    Agreement(
        N_("Eclipses of the Sun from a place: contacts, magnitude, obscuration"),
        N_("published circumstances of 1999, 2017 and 2024; Skyfield and SciPy at 18 cities"),
        N_("10 s, 0.001, 0.001; 0.5 s"),
    ),
    Agreement(
        N_("Spread of the colours"),
        N_("Filippenko's table"),
        N_("its last digit"),
    ),
    Agreement(
        N_("Landing chance"),
        N_("tilted mounts drawn at random, with full rotations"),
        N_("0.3% and four standard errors"),
    ),
)
"""What the tests hold; the tables' titles stand beside them there."""


class MethodsView(NamedTuple):
    """All that the page shows from data."""

    settings: tuple[Figure, ...]
    agreements: tuple[Agreement, ...]
    made_with: tuple[Figure, ...]


def methods_view(made_with: Provenance, config: ClubConfig, words: Wording) -> MethodsView:
    """The view for a club; what made the almanac is the same for all its sites and years."""
    return MethodsView(
        settings=tuple(_settings(config, words)),
        agreements=tuple(_translated(agreement, words) for agreement in AGREEMENTS),
        made_with=tuple(_made_with(made_with, words)),
    )


def _translated(agreement: Agreement, words: Wording) -> Agreement:
    return Agreement(
        words.gettext(agreement.quantity),
        words.gettext(agreement.compared_with),
        words.gettext(agreement.held_to),
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
