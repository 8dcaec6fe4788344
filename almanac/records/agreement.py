"""How near figures stay to outside values. Tests fail beyond, the methods page tells it.

The outside sources stand beside the tests and in ``publish/agreements.py``. A bound only ever
tightens.
"""

BODY_SKYFIELD_ARCSEC = 0.02
"""Direction of Moon and Sun without air."""
MOON_ASTROPY_ARCSEC, SUN_ASTROPY_ARCSEC = 1.0, 1.5
STAR_SKYFIELD_ARCSEC = 0.06
STAR_ASTROPY_ARCSEC = 1.5
REFRACTED_HIGH_ARCSEC, REFRACTED_HIGH_DEG, REFRACTED_LOW_ARCSEC = 10.0, 5.0, 30.0
"""Height of the Moon lifted by the air: above so many degrees, and below."""
PHASE_PUBLISHED_S, PHASE_ASTROPY_S = 60.0, 2.0
APSIS_S, APSIS_KM = 5.0, 0.1
RISE_SET_PUBLISHED_S, RISE_SET_ASTROPY_S = 60.0, 1.0
TWILIGHT_S = 3.0
LIT_PART = 0.0005
LIBRATION_PUBLISHED_DEG, LIBRATION_FRAME_DEG = 0.005, 0.01
OCCULTATION_SKYFIELD_S, OCCULTATION_PUBLISHED_S = 1.0, 15.0
SOLAR_GREATEST_S, GAMMA = 1.0, 0.0001
LUNAR_GREATEST_S, LUNAR_MAGNITUDE, LUNAR_DURATION_MIN = 2.0, 0.0004, 0.2
CONTACT_PUBLISHED_S, ECLIPSED_PART, CONTACT_SKYFIELD_S = 10.0, 0.001, 0.5
LANDING_PART = 0.003
"""Besides four standard errors of the draws."""
WINDOW_S = 60.0
"""Begin and end of a window: each minute is watched."""
LIT_FEATURE_DEG = 0.05
"""Height of the Sun at a feature of the Moon."""
