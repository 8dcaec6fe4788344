"""The Moon of every night: rise, set, transit, and its looks at the night's moment."""

import numpy as np
from numpy.typing import NDArray

from almanac.plan.detail import moon_magnitude
from almanac.plan.nights import YearNights
from almanac.records.year import MoonNight, Transit
from almanac.site_year.instants import instant, instants
from almanac.sky.moon_globe import face, sunlight
from almanac.sky.moonlight import moonlight, pole_from_zenith_deg
from almanac.sky.phases import MoonEvents
from almanac.sky.site_events import SiteEvents

Floats = NDArray[np.float64]


def _inside(utc_s: Floats, night: Floats) -> Floats:
    return utc_s[(utc_s >= night[0]) & (utc_s < night[1])]


def night_moments(events: SiteEvents, nights: YearNights, best_s: Floats) -> Floats:
    """For each night the moment its Moon is described at: (n,) POSIX seconds.

    best_s holds the best moment of the best window or NaN; then the transit in the night, then
    local midnight.
    """
    transits = events.moon_transits
    moments = best_s.copy()
    for row in np.flatnonzero(np.isnan(best_s)):
        found = _inside(transits, nights.spans[row])
        moments[row] = np.rint(found[0]) if len(found) else nights.midnights[row]
    return moments


def _last(phases: MoonEvents, kind: str, utc_s: Floats) -> Floats:
    """The last phase of a kind before each instant."""
    found = phases.utc_s[np.array(phases.kinds) == kind]
    return found[np.searchsorted(found, utc_s) - 1]


def is_waxing(phases: MoonEvents, utc_s: Floats) -> NDArray[np.bool_]:
    """Whether the last new Moon came after the last full Moon; phases must begin before both."""
    return _last(phases, "new", utc_s) > _last(phases, "full", utc_s)


def moon_nights(
    events: SiteEvents, nights: YearNights, moments: Floats, phases: MoonEvents
) -> list[MoonNight]:
    """Records of every night's Moon; phases must begin before the first night."""
    sky = events.sky
    moon, sun = sky.body("moon", moments), sky.body("sun", moments)
    light = moonlight(moon, sun)
    turned, lit_from = face(sky, moments), sunlight(sky.sky, moments)
    pole = pole_from_zenith_deg(moon, sky.site.latitude_deg)
    magnitude = moon_magnitude(light.phase_angle_deg, sun.distance_km, moon.distance_km)
    last_new = _last(phases, "new", moments)
    waxing = is_waxing(phases, moments)
    rise_set = events.moon_rise_set
    transits = events.moon_transits
    heights = sky.refracted_deg(sky.body("moon", transits).altitude_deg)
    records = []
    for row, night in enumerate(nights.spans):
        crossed = (transits >= night[0]) & (transits < night[1])
        records.append(
            MoonNight(
                rises_utc=instants(_inside(rise_set.up(), night)),
                sets_utc=instants(_inside(rise_set.down(), night)),
                transits=tuple(
                    Transit(instant(at), float(height))
                    for at, height in zip(transits[crossed], heights[crossed], strict=True)
                ),
                at_utc=instant(moments[row]),
                illuminated_fraction=float(light.illuminated_fraction[row]),
                phase_angle_deg=float(light.phase_angle_deg[row]),
                age_days=float(moments[row] - last_new[row]) / 86400.0,
                distance_km=float(moon.distance_km[row]),
                angular_diameter_arcmin=float(light.diameter_arcmin[row]),
                magnitude=float(magnitude[row]),
                libration_longitude_deg=float(turned.libration_longitude_deg[row]),
                libration_latitude_deg=float(turned.libration_latitude_deg[row]),
                axis_position_angle_deg=float(turned.axis_position_angle_deg[row]),
                bright_limb_position_angle_deg=float(
                    (light.bright_limb_from_zenith_deg[row] - pole[row]) % 360.0
                ),
                colongitude_deg=float(lit_from.colongitude_deg[row]),
                subsolar_latitude_deg=float(lit_from.latitude_deg[row]),
                zenith_position_angle_deg=float(-pole[row] % 360.0),
                waxing=bool(waxing[row]),
            )
        )
    return records
