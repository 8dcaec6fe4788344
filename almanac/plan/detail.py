"""How fine a detail the air and the telescope allow, and how to expose for the Moon."""

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from almanac.records.config import Site, Telescope

Floats = NDArray[np.float64]

ARCSEC = 180 / np.pi * 3600
SIDEREAL_ARCSEC_PER_S = 15.041
DAY_S = 86400.0
"""360 degrees in a sidereal day of 86164.09 s (Explanatory Supplement, 3rd ed., ch. 3)."""
WATER_VAPOUR_MMHG = 8.0
"""Typical partial pressure of water vapour (Filippenko 1982, table I)."""
LAST_PHASE_DEG = 155.0
EXTINCTION_MAG = 0.20
"""Visual extinction for each airmass at a low site; common practice, no source."""


def airmass(altitude_deg: Floats) -> Floats:
    """Relative airmass at apparent altitudes 0 to 90: Kasten & Young, Appl. Opt. 28 (1989) 4735."""
    altitude = np.asarray(altitude_deg, dtype=float)
    return 1 / (np.sin(np.radians(altitude)) + 0.50572 * (altitude + 6.07995) ** -1.6364)


def _refractivity(wavelength_um: float, pressure_mmhg: float, temperature_c: float) -> float:
    """n - 1 of moist air: Filippenko, PASP 94 (1982) 715, eq. 1 to 3 (Edlen 1953, Barrell 1951)."""
    square = wavelength_um**-2
    sea = 64.328 + 29498.1 / (146 - square) + 255.4 / (41 - square)
    warmth = 1 + 0.003661 * temperature_c
    pressure = 1 + (1.049 - 0.0157 * temperature_c) * 1e-6 * pressure_mmhg
    dry = sea * pressure_mmhg * pressure / (720.883 * warmth)
    return (dry - WATER_VAPOUR_MMHG * (0.0624 - 0.000680 * square) / warmth) * 1e-6


def dispersion_arcsec(altitude_deg: Floats, passband_nm: tuple[float, float], site: Site) -> Floats:
    """Length of the vertical spectrum that air draws of a point (Filippenko 1982, eq. 4)."""
    pressure = site.pressure_hpa / 1.33322387415
    short, long = (_refractivity(edge / 1000, pressure, site.temperature_c) for edge in passband_nm)
    return ARCSEC * (short - long) / np.tan(np.radians(altitude_deg))


class Blur(Struct, frozen=True):
    """The parts of the blur of a point, in arcseconds, and their sum in quadrature."""

    diffraction: float
    seeing: Floats
    dispersion: Floats
    sampling: float

    @property
    def total(self) -> Floats:
        """Full width of the whole blur."""
        return np.sqrt(self.diffraction**2 + self.seeing**2 + self.dispersion**2 + self.sampling**2)


def pixel_arcsec(telescope: Telescope) -> float:
    """Angle of one pixel."""
    return float(ARCSEC * telescope.pixel_um / (telescope.focal_length_mm * 1000))


def blur(altitude_deg: Floats, telescope: Telescope, site: Site) -> Blur:
    """Blur budget at apparent altitudes.

    Diffraction: full width at half maximum 1.03 wavelength / aperture (Schroeder, Astronomical
    Optics, 2nd ed., ch. 10, from memory). Seeing grows as airmass to 0.6 (Fried, J. Opt. Soc. Am.
    56 (1966) 1372). Sampling: one pixel's angle.
    """
    wavelength_mm = sum(telescope.passband_nm) / 2 * 1e-6
    return Blur(
        diffraction=float(ARCSEC * 1.03 * wavelength_mm / telescope.aperture_mm),
        seeing=site.seeing_arcsec * airmass(altitude_deg) ** 0.6,
        dispersion=dispersion_arcsec(altitude_deg, telescope.passband_nm, site),
        sampling=pixel_arcsec(telescope),
    )


def detail_km(blur_arcsec: Floats, distance_km: Floats) -> Floats:
    """Size at the Moon of the blur."""
    return blur_arcsec / ARCSEC * distance_km


def field_rotation_deg_per_hour(
    altitude_deg: Floats, azimuth_deg: Floats, latitude_deg: float, mount: str
) -> Floats:
    """Rate at which an alt-azimuth frame turns, without sign; zero on an equatorial mount.

    15.041 arcsec/s x cos(latitude) cos(azimuth) / cos(altitude) (time derivative of the
    parallactic angle; Meeus, Astronomical Algorithms, 2nd ed., ch. 14).
    """
    if mount == "equatorial":
        return np.zeros_like(np.asarray(altitude_deg, dtype=float))
    turn = np.cos(np.radians(latitude_deg)) * np.cos(np.radians(azimuth_deg))
    return np.abs(SIDEREAL_ARCSEC_PER_S * turn / np.cos(np.radians(altitude_deg)))


def longest_clip_s(
    rotation_deg_per_hour: float, diameter_arcmin: float, telescope: Telescope
) -> float | None:
    """Seconds until rotation smears the limb by one pixel; None where the field stands still.

    So it does on an equatorial mount, and at a pole but for rounding: beyond a day.
    """
    radius_px = diameter_arcmin * 60 / 2 / pixel_arcsec(telescope)
    smear_px_per_s = radius_px * np.radians(rotation_deg_per_hour) / 3600
    return float(1 / smear_px_per_s) if smear_px_per_s > 1 / DAY_S else None


def phase_dimming_mag(phase_angle_deg: Floats) -> Floats:
    """Magnitudes lost since full.

    Allen, Astrophysical Quantities, as quoted in Krisciunas & Schaefer, PASP 103 (1991) 1033,
    eq. 9. Too bright by 0.7 mag at 160 degrees.
    """
    angle = np.abs(phase_angle_deg)
    return 0.026 * angle + 4e-9 * angle**4


def moon_magnitude(
    phase_angle_deg: Floats, sun_distance_km: Floats, moon_distance_km: Floats
) -> Floats:
    """Visual magnitude of the Moon, no extinction (Allen, the same place)."""
    au = 149597870.7
    far = (sun_distance_km / au) * (moon_distance_km / au) / 0.00257
    return -12.73 + phase_dimming_mag(phase_angle_deg) + 5 * np.log10(far)


def exposure_stops(phase_angle_deg: Floats, altitude_deg: Floats) -> Floats:
    """Stops more than a full Moon at the zenith needs, for equal brightness of the lit surface.

    The phase law gives the whole Moon's light; it is spread over the lit fraction only. Held from
    155 degrees on, where the law is too bright and the sum would turn round.
    """
    phase = np.minimum(np.abs(phase_angle_deg), LAST_PHASE_DEG)
    fraction = (1 + np.cos(np.radians(phase))) / 2
    lost = phase_dimming_mag(phase)
    lost = lost + EXTINCTION_MAG * (airmass(altitude_deg) - airmass(np.array(90.0)))
    return lost * np.log2(10) / 2.5 + np.log2(fraction)
