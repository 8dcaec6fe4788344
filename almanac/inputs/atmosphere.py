"""The pressure to expect at a site for which the club gives none."""

EARTH_RADIUS_M = 6_356_766.0
"""Effective, for geopotential height."""
SEA_LEVEL_PRESSURE_HPA = 1013.25
SEA_LEVEL_TEMPERATURE_K = 288.15
LAPSE_K_PER_M = 0.0065
"""In the lowest layer, up to 11 km."""
PRESSURE_EXPONENT = 9.80665 * 28.9644 / (8314.32 * LAPSE_K_PER_M)
"""Gravity times the molar mass of air, over the gas constant times the lapse rate."""


def standard_pressure_hpa(elevation_m: float) -> float:
    """Mean pressure at a height above sea level, valid from -5000 to 11000 m.

    Source: U.S. Standard Atmosphere, 1976 (NOAA, NASA and USAF, NOAA-S/T 76-1562), equations 18
    and 33a with its table 2 of constants; the ICAO Standard Atmosphere is the same here.
    """
    geopotential_m = EARTH_RADIUS_M * elevation_m / (EARTH_RADIUS_M + elevation_m)
    cooling = 1.0 - LAPSE_K_PER_M * geopotential_m / SEA_LEVEL_TEMPERATURE_K
    return float(SEA_LEVEL_PRESSURE_HPA * cooling**PRESSURE_EXPONENT)
