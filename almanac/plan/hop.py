"""Will the Moon land in the frame? The error of a hop and the chance that follows from it.

A mount that has just solved on a star knows its pointing there exactly. What is left is the tilt
of its azimuth axis: two independent components t_x, t_y. A tilt moves the pointing by
t_x cos A + t_y sin A in altitude and by tan h (t_x sin A - t_y cos A) in azimuth; the error at the
Moon is the difference between there and the star.
"""

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from almanac.records.config import Telescope

Floats = NDArray[np.float64]

SOLVE_ERROR_DEG = 0.02
"""Standard deviation of a plate solution and of stopping, each way; common practice, no source."""
REACH_SIGMA = 8.0
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(48)


class HopError(Struct, frozen=True):
    """Covariance of the pointing error at the Moon, degrees squared; arrays of one shape."""

    across: Floats
    """Variance in azimuth x cos(altitude)."""
    along: Floats
    """Variance in altitude."""
    shared: Floats
    """Covariance of the two."""


def hop_error(
    star_azimuth_deg: Floats,
    star_altitude_deg: Floats,
    moon_azimuth_deg: Floats,
    moon_altitude_deg: Floats,
    level_error_deg: float,
) -> HopError:
    """Error at the Moon after solving on the star, for a tilt of level_error_deg each way."""
    a_star, h_star = np.radians(star_azimuth_deg), np.radians(star_altitude_deg)
    a_moon, h_moon = np.radians(moon_azimuth_deg), np.radians(moon_altitude_deg)
    up_x = np.cos(a_moon) - np.cos(a_star)
    up_y = np.sin(a_moon) - np.sin(a_star)
    steep_moon, steep_star = np.tan(h_moon), np.tan(h_star)
    side_x = np.cos(h_moon) * (steep_moon * np.sin(a_moon) - steep_star * np.sin(a_star))
    side_y = np.cos(h_moon) * (steep_star * np.cos(a_star) - steep_moon * np.cos(a_moon))
    tilt, solve = level_error_deg**2, SOLVE_ERROR_DEG**2
    return HopError(
        across=tilt * (side_x**2 + side_y**2) + solve,
        along=tilt * (up_x**2 + up_y**2) + solve,
        shared=tilt * (side_x * up_x + side_y * up_y),
    )


def half_frame_deg(telescope: Telescope) -> tuple[float, float]:
    """Half of the field of view (across in azimuth, up in altitude)."""
    across, up = (
        float(np.degrees(np.arctan(pixels * telescope.pixel_um / 2000 / telescope.focal_length_mm)))
        for pixels in telescope.sensor_px
    )
    return across, up


def _normal(z: Floats) -> Floats:
    """Cumulative normal distribution to 8e-8, by exponentials alone: SciPy's takes 0.15 s to load.

    Abramowitz & Stegun, Handbook of Mathematical Functions, eq. 7.1.26.
    """
    x = np.abs(z) * np.sqrt(0.5)
    t = 1 / (1 + 0.3275911 * x)
    series = t * (
        0.254829592 + t * (-0.284496736 + t * (1.421413741 + t * (-1.453152027 + t * 1.061405429)))
    )
    tail = 0.5 * series * np.exp(-x * x)
    return np.where(z > 0, 1 - tail, tail)


def landing_chance(error: HopError, half_frame: tuple[float, float]) -> Floats:
    """Probability, 0 to 1, that a centred two-dimensional normal error stays inside the frame.

    Gauss-Legendre quadrature over the error across of the conditional probability along; good to
    1e-4 between 15 and 85 degrees, to 3e-4 from the horizon up for a level error of 1 degree.
    """
    across, along = half_frame
    sigma = np.sqrt(error.across)[..., None]
    reach = np.minimum(across, REACH_SIGMA * sigma)
    x = reach * _NODES
    slope = (error.shared / error.across)[..., None]
    spread = np.sqrt(error.along - error.shared**2 / error.across)[..., None]
    inside = _normal((along - slope * x) / spread) - _normal((-along - slope * x) / spread)
    density = np.exp(-0.5 * (x / sigma) ** 2) / (sigma * np.sqrt(2 * np.pi))
    return np.clip(np.sum(_WEIGHTS * reach * density * inside, axis=-1), 0.0, 1.0)
