"""What of a meeting can be seen, where on the limb it happens, and what fits into the frame."""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

HIDDEN_BY = (
    "below_horizon",
    "behind_skyline",
    "sun_up",
    "twilight",
    "bright_limb",
    "moon_glare",
)
"""Why a disappearance or reappearance cannot be seen, in the order in which it is asked."""
TWILIGHT_MAGNITUDES = (-4.0, 0.0, 2.0, 4.5)
TWILIGHT_SUN_DEG = (-2.0, -5.0, -8.0, -11.0)
"""How low the Sun must be for a star of each magnitude at a dark limb; common practice, no
source."""
BRIGHT_LIMB_MAGNITUDE = 1.5
"""A fainter star drowns at the bright limb in a small telescope; common practice, no source."""
GLARE_FRACTIONS = (0.90, 1.0)
GLARE_MAGNITUDES = (4.7, 2.5)
"""Faintest at the dark limb by the lit fraction; common practice, no source."""


def hidden_by(
    magnitude: float,
    altitude_deg: float,
    ground_deg: float,
    sun_altitude_deg: float,
    sun_rises_deg: float,
    dark_limb: bool,
    illuminated_fraction: float,
) -> str | None:
    """The first of HIDDEN_BY that holds, or None if the event can be seen."""
    sun_limit = np.interp(magnitude, TWILIGHT_MAGNITUDES, TWILIGHT_SUN_DEG)
    glare = np.interp(illuminated_fraction, GLARE_FRACTIONS, GLARE_MAGNITUDES)
    holds = {
        "below_horizon": altitude_deg <= 0.0,
        "behind_skyline": altitude_deg <= ground_deg,
        "sun_up": sun_altitude_deg > sun_rises_deg,
        "twilight": sun_altitude_deg > sun_limit,
        "bright_limb": not dark_limb and magnitude > BRIGHT_LIMB_MAGNITUDE,
        "moon_glare": dark_limb and magnitude > glare,
    }
    return next((code for code in HIDDEN_BY if holds[code]), None)


def cusp_angle(position_angle_deg: float, bright_limb_deg: float) -> tuple[str, float]:
    """The nearer cusp, north or south, and the angle along the limb from it.

    Cusps lie a quarter turn either side of the middle of the lit limb; the northern one is nearer
    to position angle 0. Positive on the dark limb, negative on the bright one, -90 to 90.
    """
    from_bright = abs((position_angle_deg - bright_limb_deg + 180.0) % 360.0 - 180.0)
    ends = [(bright_limb_deg + side) % 360.0 for side in (90.0, -90.0)]
    nearer = min(ends, key=lambda end: abs((position_angle_deg - end + 180.0) % 360.0 - 180.0))
    north = np.cos(np.radians(nearer)) >= 0
    return ("north" if north else "south"), from_bright - 90.0


def fits_frame(
    right_deg: float, up_deg: float, radii_deg: tuple[float, float], half_frame: tuple[float, float]
) -> bool:
    """Whether two discs, the second off by (right, up) from the first, fit into one frame."""
    margins = sum(radii_deg)
    sizes = (abs(right_deg) + margins, abs(up_deg) + margins)
    largest = 2 * max(radii_deg)
    return all(max(size, largest) <= 2 * half for size, half in zip(sizes, half_frame, strict=True))


def hop_code(
    separation_deg: float, magnitude: float, faintest_magnitude: float, least_deg: float
) -> str | None:
    """easier or glare for a star that can be solved on, None for one too faint."""
    if magnitude > faintest_magnitude:
        return None
    return "glare" if separation_deg < least_deg else "easier"
