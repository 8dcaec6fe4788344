"""What the tests hold each figure to, in words for the methods page; the bounds are theirs."""

from typing import NamedTuple

from almanac.publish.terms import N_
from almanac.records import agreement as held


class Agreement(NamedTuple):
    """How near a figure must stay to an outside value for the tests to pass."""

    quantity: str
    compared_with: str
    held_to: str
    bounds: tuple[float, ...]
    """The numbers of held_to, in order; as percentages where it says so."""


AGREEMENTS = (
    Agreement(
        N_("Height and direction of Moon and Sun, without air"),
        N_("Skyfield called directly; astropy with the same ephemeris and clock"),
        N_("0.02″; 1″ (Moon) and 1.5″ (Sun)"),
        (held.BODY_SKYFIELD_ARCSEC, held.MOON_ASTROPY_ARCSEC, held.SUN_ASTROPY_ARCSEC),
    ),
    Agreement(
        N_("Height and direction of stars, without air"),
        N_("Skyfield called directly; astropy"),
        N_("0.06″; 1.5″"),
        (held.STAR_SKYFIELD_ARCSEC, held.STAR_ASTROPY_ARCSEC),
    ),
    Agreement(
        N_("Height of the Moon, lifted by the air"),
        N_("JPL Horizons, 10 °C and 1010 hPa"),
        N_("10″ above 5°, 30″ below"),
        (held.REFRACTED_HIGH_ARCSEC, held.REFRACTED_HIGH_DEG, held.REFRACTED_LOW_ARCSEC),
    ),
    Agreement(
        N_("Begin and end of windows"),
        N_("Skyfield called directly, minute by minute through whole nights"),
        N_("1 min"),
        (held.WINDOW_S / 60,),
    ),
    Agreement(
        N_("Phases"),
        N_("US Naval Observatory, 2024 to 2026; astropy"),
        N_("60 s; 2 s"),
        (held.PHASE_PUBLISHED_S, held.PHASE_ASTROPY_S),
    ),
    Agreement(
        N_("Perigee and apogee"),
        N_("astropy"),
        N_("5 s, 0.1 km"),
        (held.APSIS_S, held.APSIS_KM),
    ),
    Agreement(
        N_("Rise and set"),
        N_("US Naval Observatory, up to 60° of latitude; astropy"),
        N_("60 s; 1 s"),
        (held.RISE_SET_PUBLISHED_S, held.RISE_SET_ASTROPY_S),
    ),
    Agreement(N_("Dusk and dawn"), N_("astropy"), N_("3 s"), (held.TWILIGHT_S,)),
    Agreement(
        N_("Lit part of the disc, from the Earth's centre"),
        N_("NASA Scientific Visualization Studio, hourly tables"),
        N_("0.05%"),
        (100 * held.LIT_PART,),
    ),
    Agreement(
        N_("Libration and colongitude, from the Earth's centre"),
        N_("the same tables; JPL's lunar frame"),
        N_("0.005°; 0.01°"),
        (held.LIBRATION_PUBLISHED_DEG, held.LIBRATION_FRAME_DEG),
    ),
    Agreement(
        N_("Height of the Sun at features of the Moon"),
        N_("Meeus's formulas"),
        N_("0.05°"),
        (held.LIT_FEATURE_DEG,),
    ),
    Agreement(
        N_("Occultations: disappearance and reappearance, mean limb"),
        N_("Skyfield called directly, two places in 2027; a society's published table for 1999"),
        N_("1 s; 15 s"),
        (held.OCCULTATION_SKYFIELD_S, held.OCCULTATION_PUBLISHED_S),
    ),
    Agreement(
        N_("Distance of a move's directions from the Sun"),
        N_("a fine mesh of the directions; 10 000 random moves"),
        N_("the mesh's width; none offered within the stop distance"),
        (),
    ),
    Agreement(
        N_("Eclipses of the Sun on Earth: greatest, gamma"),
        N_("Espenak and Meeus's catalogue, 2024 to 2040"),
        N_("1 s; 0.0001"),
        (held.SOLAR_GREATEST_S, held.GAMMA),
    ),
    Agreement(
        N_("Eclipses of the Moon: greatest, magnitudes, durations"),
        N_("Espenak and Meeus's catalogue, 2025 to 2040"),
        N_("2 s; 0.0004; 0.2 min"),
        (held.LUNAR_GREATEST_S, held.LUNAR_MAGNITUDE, held.LUNAR_DURATION_MIN),
    ),
    Agreement(
        N_("Eclipses of the Sun from a place: contacts, magnitude, obscuration"),
        N_("published circumstances of 1999, 2017 and 2024; Skyfield and SciPy at 18 cities"),
        N_("10 s, 0.001, 0.001; 0.5 s"),
        (
            held.CONTACT_PUBLISHED_S,
            held.ECLIPSED_PART,
            held.ECLIPSED_PART,
            held.CONTACT_SKYFIELD_S,
        ),
    ),
    Agreement(N_("Spread of the colours"), N_("Filippenko's table"), N_("its last digit"), ()),
    Agreement(
        N_("Landing chance"),
        N_("tilted mounts drawn at random, with full rotations"),
        N_("0.3% and four standard errors"),
        (100 * held.LANDING_PART,),
    ),
)
"""The tables' titles stand beside the tests."""
