"""A site's year of occultations and close approaches."""

import numpy as np
from numpy.typing import NDArray

from almanac.plan.hop import half_frame_deg
from almanac.plan.meetings import cusp_angle, fits_frame, hidden_by, hop_code
from almanac.plan.nights import YearNights
from almanac.records.catalogue import Catalogue, Cluster, Star, ZodiacStar
from almanac.records.config import ClubConfig
from almanac.records.meetings import Approach, Graze, LimbContact, Meetings, Occultation
from almanac.site_year.instants import instant
from almanac.sky.approaches import Pairs, closest
from almanac.sky.conjunctions import PLANETS, Conjunctions, conjunctions
from almanac.sky.occultations import FARTHEST_DEG, Limb, Passages, limb_places, passages
from almanac.sky.site_events import SUN_RISES_DEG, Places, SiteEvents

Floats = NDArray[np.float64]
Rows = NDArray[np.int64]

CLOSE_DEG = 5.0
"""Between the Moon's centre and what it approaches; common practice, no source."""
PARALLAX_DEG = 1.1
WITH_EYES = PLANETS[:5]
PLANET_MAGNITUDES = dict(zip(PLANETS, (0.5, -4.0, 1.5, -2.0, 1.0, 5.7, 7.8), strict=True))
"""Usual, for the rules of what can be seen (from memory): a planet's own varies and is not told."""


class _Year:
    """What the year's meetings are made from."""

    def __init__(
        self, events: SiteEvents, nights: YearNights, config: ClubConfig, catalogue: Catalogue
    ) -> None:
        self.events, self.nights, self.config = events, nights, config
        self.targets: tuple[Star | str, ...] = (*catalogue.beside_ecliptic, *PLANETS)
        self.named = {star.hip for star in catalogue.stars}
        first, last = float(nights.spans[0, 0]), float(nights.spans[-1, 1])
        self.near = conjunctions(events.sky.sky, first, last, CLOSE_DEG + PARALLAX_DEG)

    def only(self, wanted: NDArray[np.bool_], within_deg: float) -> Conjunctions:
        """Passages of some of the targets."""
        near = self.near
        kept = wanted[near.target] & (near.separation_deg <= within_deg)
        return Conjunctions(near.target[kept], near.utc_s[kept], near.separation_deg[kept])

    def night(self, utc_s: Floats) -> Rows:
        """Row of the night that holds each instant, -1 outside the year."""
        row = np.searchsorted(self.nights.spans[:, 0], utc_s, side="right") - 1
        return np.where(utc_s < self.nights.spans[-1, 1], row, -1)


def meetings(
    events: SiteEvents, nights: YearNights, config: ClubConfig, catalogue: Catalogue
) -> Meetings:
    """All of the year's occultations above the horizon, and its close approaches in the dark."""
    year = _Year(events, nights, config, catalogue)
    return Meetings(_occultations(year), _approaches(year))


def _occultations(year: _Year) -> tuple[Occultation, ...]:
    sky = year.events.sky
    wanted = np.array([not isinstance(target, Cluster) for target in year.targets])
    found = passages(sky, year.only(wanted, FARTHEST_DEG))
    enter, leave = (
        limb_places(sky, found.target, np.where(np.isnan(at), found.least_s, at))
        for at in (found.enter_s, found.leave_s)
    )
    night = year.night(found.least_s)
    records = []
    for row in np.argsort(found.least_s, kind="stable"):
        pair = (
            _contact(year, found, row, enter, found.enter_s),
            _contact(year, found, row, leave, found.leave_s),
        )
        if night[row] >= 0 and (pair[0] is None or any(c and c.altitude_deg > 0 for c in pair)):
            records.append(_occultation(year, found, row, int(night[row]), pair, enter))
    return tuple(records)


def _magnitude(target: Star | str) -> float:
    return PLANET_MAGNITUDES[target] if isinstance(target, str) else target.magnitude


def _contact(
    year: _Year, found: Passages, row: int, limb: Limb, at_s: Floats
) -> LimbContact | None:
    if np.isnan(at_s[row]):
        return None
    angle = float(limb.position_angle_deg[row])
    cusp, cusp_angle_deg = cusp_angle(angle, float(limb.bright_limb_deg[row]))
    altitude, azimuth = limb.target_altitude_deg[row], limb.target_azimuth_deg[row]
    sun = float(limb.sun_altitude_deg[row])
    return LimbContact(
        at_utc=instant(at_s[row]),
        dark_limb=cusp_angle_deg > 0,
        position_angle_deg=angle,
        zenith_angle_deg=float(limb.from_zenith_deg[row]),
        bright_limb_zenith_angle_deg=float(
            (limb.bright_limb_deg[row] + limb.from_zenith_deg[row] - angle) % 360.0
        ),
        cusp=cusp,
        cusp_angle_deg=cusp_angle_deg,
        altitude_deg=float(altitude),
        azimuth_deg=float(azimuth),
        moon_altitude_deg=float(limb.moon_altitude_deg[row]),
        sun_altitude_deg=sun,
        hidden_by=hidden_by(
            _magnitude(year.targets[found.target[row]]),
            float(altitude),
            float(year.events.sky.ground_deg(azimuth)),
            sun,
            SUN_RISES_DEG,
            cusp_angle_deg > 0,
            float(limb.illuminated_fraction[row]),
        ),
    )


def _occultation(
    year: _Year,
    found: Passages,
    row: int,
    night: int,
    pair: tuple[LimbContact | None, LimbContact | None],
    limb: Limb,
) -> Occultation:
    target, limit_km = year.targets[found.target[row]], float(found.limit_km[row])
    star = target if isinstance(target, ZodiacStar) else None
    graze = None
    if np.isfinite(limit_km):
        bearing = float(found.limit_bearing_deg[row])
        graze = Graze(limit_km, bearing, inside=pair[0] is not None)
    return Occultation(
        name=target if isinstance(target, str) else target.name,
        hip=star.hip if star else None,
        magnitude=star.magnitude if star else None,
        band=star.band if star else "",
        group=star.group if star else "",
        date=year.nights.dates[night],
        middle_utc=instant(found.least_s[row]),
        least_separation_arcmin=float(found.least_deg[row]) * 60,
        disappearance=pair[0],
        reappearance=pair[1],
        illuminated_fraction=float(limb.illuminated_fraction[row]),
        graze=graze,
    )


def _approaches(year: _Year) -> tuple[Approach, ...]:
    wanted = np.array(
        [
            target in WITH_EYES
            if isinstance(target, str)
            else isinstance(target, Cluster) or target.hip in year.named
            for target in year.targets
        ]
    )
    wide = np.array([isinstance(target, Cluster) for target in year.targets])
    target, found = closest(year.events, year.only(wanted, np.inf), CLOSE_DEG, wide)
    at = Places(year.events.sky, found.utc_s)
    night = year.night(found.utc_s)
    return tuple(
        _approach(year, target[row], found, row, int(night[row]), at)
        for row in np.argsort(found.utc_s, kind="stable")
        if night[row] >= 0
    )


def _approach(year: _Year, index: int, found: Pairs, row: int, night: int, at: Places) -> Approach:
    target, config = year.targets[index], year.config
    kind = _kind(target)
    diameter = target.diameter_arcmin if isinstance(target, Cluster) else 0.0
    right, up = _offset_deg(found, row)
    half_frame = half_frame_deg(config.telescope)
    radii = float(at.light.diameter_arcmin[row]) / 120, diameter / 120
    turned = _mount_offset_deg(right, up, float(found.pole_from_zenith_deg[row]), config)
    separation = float(found.separation_deg[row])
    limits = config.stars
    return Approach(
        kind=kind,
        name=target if isinstance(target, str) else target.name,
        hip=target.hip if kind == "star" and isinstance(target, Star) else None,
        diameter_arcmin=diameter,
        date=year.nights.dates[night],
        at_utc=instant(found.utc_s[row]),
        separation_deg=separation,
        moon_altitude_deg=float(found.moon_altitude_deg[row]),
        moon_azimuth_deg=float(found.moon_azimuth_deg[row]),
        altitude_deg=float(found.target_altitude_deg[row]),
        azimuth_deg=float(found.target_azimuth_deg[row]),
        right_deg=right,
        up_deg=up,
        sun_altitude_deg=float(found.sun_altitude_deg[row]),
        illuminated_fraction=float(at.light.illuminated_fraction[row]),
        bright_limb_zenith_angle_deg=float(at.light.bright_limb_from_zenith_deg[row]),
        moon_diameter_arcmin=float(at.light.diameter_arcmin[row]),
        frame_deg=(2 * half_frame[0], 2 * half_frame[1]),
        fits_frame=fits_frame(*turned, radii, half_frame),
        hop=hop_code(
            separation,
            _magnitude(target),
            limits.faintest_magnitude,
            limits.least_moon_separation_deg,
        )
        if kind == "star"
        else None,
    )


def _kind(target: Star | str) -> str:
    if isinstance(target, str):
        return "planet"
    return "cluster" if isinstance(target, Cluster) else "star"


def _offset_deg(found: Pairs, row: int) -> tuple[float, float]:
    """Place of the target on the plane that touches the sky at the Moon, zenith up, degrees."""
    moon, seen = np.radians([found.moon_altitude_deg[row], found.target_altitude_deg[row]])
    turn = np.radians(found.target_azimuth_deg[row] - found.moon_azimuth_deg[row])
    right = np.cos(seen) * np.sin(turn)
    up = np.sin(seen) * np.cos(moon) - np.cos(seen) * np.sin(moon) * np.cos(turn)
    ahead = np.sin(seen) * np.sin(moon) + np.cos(seen) * np.cos(moon) * np.cos(turn)
    return float(np.degrees(right / ahead)), float(np.degrees(up / ahead))


def _mount_offset_deg(
    right_deg: float, up_deg: float, pole_from_zenith_deg: float, config: ClubConfig
) -> tuple[float, float]:
    """The same as the sensor lies: zenith up, or on an equatorial mount the pole up."""
    if config.telescope.mount == "altaz":
        return right_deg, up_deg
    angle = np.radians(pole_from_zenith_deg)
    return (
        float(right_deg * np.cos(angle) + up_deg * np.sin(angle)),
        float(up_deg * np.cos(angle) - right_deg * np.sin(angle)),
    )
