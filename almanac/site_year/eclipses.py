"""The year's eclipses as records: what of each can be seen from the site, and when."""

from datetime import date
from functools import cached_property
from zoneinfo import ZoneInfo

import numpy as np
from msgspec import Struct
from msgspec.structs import replace
from numpy.typing import NDArray

from almanac.plan.intervals import intersect
from almanac.plan.nights import YearNights
from almanac.records.events import Eclipse, EclipseMoment, EclipseSpan, LunarShadow, SolarView
from almanac.site_year.instants import instant
from almanac.sky.crossings import Crossings, crossings, spans
from almanac.sky.eclipse_views import Discs, LocalEclipse, discs, local_eclipse, standing_deg
from almanac.sky.eclipses import LunarEclipse, earth_shadow, lunar_eclipses, overlap
from almanac.sky.moonlight import pole_from_zenith_deg
from almanac.sky.phases import MoonEvents
from almanac.sky.site_sky import SiteSky
from almanac.sky.solar_eclipses import SolarEclipse, solar_eclipses

Floats = NDArray[np.float64]

STEP_S = 120.0
"""Grid on which the body's passages over the horizon during an eclipse are sought."""
LOOKS = 4
"""Drawn from the first visible moment to the deepest, and as many on to the last."""
PHASES = (
    ("penumbral", "p1", ("u1", "p4")),
    ("partial", "u1", ("u2", "u4")),
    ("total", "u2", ("u3",)),
    ("partial", "u3", ("u4",)),
    ("penumbral", "u4", ("p4",)),
)
"""Each phase from a contact to the first of the next ones that happens."""


def year_eclipses(
    sky: SiteSky, nights: YearNights, windows: Floats, phases: MoonEvents
) -> tuple[Eclipse, ...]:
    """All eclipses of the year on Earth, in order of time; windows are spans (n, 2)."""
    kinds = np.array(phases.kinds)
    lunar = lunar_eclipses(sky.sky, phases.utc_s[kinds == "full"])
    solar = solar_eclipses(sky.sky, phases.utc_s[kinds == "new"])
    found = [
        *(
            _lunar(sky, nights, windows, one)
            for one in lunar
            if _night_row(nights, one) is not None
        ),
        *(_solar(sky, one) for one in solar),
    ]
    ours = [one for one in found if one.date.year == sky.sky.year]
    return tuple(sorted(ours, key=lambda one: one.greatest_utc))


def _night_row(nights: YearNights, found: LunarEclipse) -> int | None:
    """The night that holds greatest eclipse; None outside the year's."""
    inside = (nights.spans[:, 0] <= found.greatest_s) & (found.greatest_s < nights.spans[:, 1])
    return int(np.argmax(inside)) if inside.any() else None


class Showing(Struct, frozen=True, dict=True):
    """When the eclipsed body shows above the horizon between first and last contact."""

    sky: SiteSky
    body: str
    first_s: float
    greatest_s: float
    last_s: float

    @cached_property
    def passages(self) -> Crossings:
        """Its passages over the horizon in that time."""
        count = int(np.ceil((self.last_s - self.first_s) / STEP_S)) + 1
        times = np.linspace(self.first_s, self.last_s, count)
        return crossings(lambda at: standing_deg(self.sky, self.body, at), times)

    @cached_property
    def spans(self) -> Floats:
        """Spans in which it shows."""
        return spans(self.passages, self.first_s, self.last_s)

    @property
    def deepest_s(self) -> float | None:
        """The visible instant nearest greatest eclipse."""
        if not len(self.spans):
            return None
        near = np.clip(self.greatest_s, self.spans[:, 0], self.spans[:, 1])
        return float(near[np.argmin(np.abs(near - self.greatest_s))])

    def moments_s(self, contacts_s: dict[str, float]) -> list[tuple[str, float]]:
        """Contacts, and the passages over the horizon, in order of time."""
        over = zip(self.passages.utc_s, self.passages.upward, strict=True)
        passages = [("rise" if up else "set", float(at)) for at, up in over]
        return sorted([*contacts_s.items(), *passages], key=lambda item: item[1])


def _lunar(sky: SiteSky, nights: YearNights, windows: Floats, found: LunarEclipse) -> Eclipse:
    at = found.contacts_s
    showing = Showing(sky, "moon", at["p1"], found.greatest_s, at["p4"])
    deepest = showing.deepest_s
    row = _night_row(nights, found)
    assert row is not None
    return Eclipse(
        body="moon",
        kind=found.kind,
        date=nights.dates[row],
        greatest_utc=instant(found.greatest_s),
        gamma=found.gamma,
        magnitude=found.umbral_magnitude,
        visible=deepest is not None,
        deepest_utc=None if deepest is None else instant(deepest),
        contacts=_lunar_moments(sky, showing.moments_s(at), deepest or found.greatest_s),
        lunar=_lunar_shadow(sky, windows, found),
        solar=None,
    )


def _lunar_moments(
    sky: SiteSky, moments_s: list[tuple[str, float]], deepest_s: float
) -> tuple[EclipseMoment, ...]:
    utc_s = np.array([at for _, at in moments_s])
    shadow, seen = earth_shadow(sky.sky, utc_s), sky.bodies(("moon", "sun"), utc_s)
    moon, sun = seen["moon"], seen["sun"]
    offset = np.degrees(np.arctan2(shadow.east, shadow.north))
    latitude = sky.site.latitude_deg
    pole = pole_from_zenith_deg(moon, latitude)
    upright = pole_from_zenith_deg(sky.body("moon", np.array([deepest_s])), latitude)
    turned, apart = np.radians(offset + upright), np.degrees(shadow.distance)
    height, showing = sky.refracted_deg(moon.altitude_deg), standing_deg(sky, "moon", utc_s)
    records = []
    for row, (code, at) in enumerate(moments_s):
        limb = offset[row] + (0 if code in ("u2", "u3") else 180)
        records.append(
            EclipseMoment(
                code=code,
                at_utc=instant(at),
                altitude_deg=float(height[row]),
                azimuth_deg=float(moon.azimuth_deg[row]),
                visible=bool(showing[row] > 0 or code in ("rise", "set")),
                sun_altitude_deg=float(sun.altitude_deg[row]),
                magnitude=float(shadow.umbral_magnitude[row]),
                obscuration=float(overlap(shadow.moon, shadow.umbra, shadow.distance)[row]),
                position_angle_deg=float(limb % 360),
                zenith_angle_deg=float((limb + pole[row]) % 360),
                right_deg=float(-apart[row] * np.sin(turned[row])),
                up_deg=float(apart[row] * np.cos(turned[row])),
            )
        )
    return tuple(records)


def _lunar_shadow(sky: SiteSky, windows: Floats, found: LunarEclipse) -> LunarShadow:
    shadow, at = earth_shadow(sky.sky, np.array([found.greatest_s])), found.contacts_s
    return LunarShadow(
        penumbral_magnitude=found.penumbral_magnitude,
        umbral_magnitude=found.umbral_magnitude,
        borderline=found.borderline,
        penumbra_radius_deg=float(np.degrees(shadow.penumbra[0])),
        umbra_radius_deg=float(np.degrees(shadow.umbra[0])),
        moon_radius_deg=float(np.degrees(shadow.moon[0])),
        penumbral_duration_s=at["p4"] - at["p1"],
        partial_duration_s=at["u4"] - at["u1"] if "u1" in at else None,
        total_duration_s=at["u3"] - at["u2"] if "u2" in at else None,
        shots=_shots(windows, at),
    )


def _shots(windows: Floats, at: dict[str, float]) -> tuple[EclipseSpan, ...]:
    """Phases inside the windows, in order of time."""
    shots = []
    for phase, first, ends in PHASES:
        if first in at:
            last = next(at[code] for code in ends if code in at)
            inside = intersect(windows, np.array([[at[first], last]]))
            shots += [EclipseSpan(phase, instant(start), instant(end)) for start, end in inside]
    return tuple(shots)


def _solar(sky: SiteSky, found: SolarEclipse) -> Eclipse:
    local = local_eclipse(sky, found.greatest_s)
    eclipse = Eclipse(
        body="sun",
        kind=found.kind,
        date=_local_date(sky, found.greatest_s),
        greatest_utc=instant(found.greatest_s),
        gamma=found.gamma,
        magnitude=found.magnitude,
        visible=False,
        deepest_utc=None,
        contacts=(),
        lunar=None,
        solar=None,
    )
    return eclipse if local is None else _seen(sky, local, eclipse)


def _local_date(sky: SiteSky, utc_s: float) -> date:
    return instant(utc_s).astimezone(ZoneInfo(sky.site.timezone)).date()


def _seen(sky: SiteSky, local: LocalEclipse, eclipse: Eclipse) -> Eclipse:
    """The eclipse with what the site sees of it, if anything."""
    at = local.contacts_s
    showing = Showing(sky, "sun", at["c1"], at["greatest"], at["c4"])
    deepest = showing.deepest_s
    eclipse = replace(
        eclipse,
        date=_local_date(sky, at["greatest"] if deepest is None else deepest),
        contacts=_solar_moments(sky, local.kind, showing.moments_s(at)),
    )
    if deepest is None:
        return eclipse
    return replace(
        eclipse,
        visible=True,
        deepest_utc=instant(deepest),
        solar=_solar_view(sky, local, showing, deepest),
    )


def _solar_view(sky: SiteSky, local: LocalEclipse, showing: Showing, deepest_s: float) -> SolarView:
    seen, at = discs(sky, np.array([deepest_s])), local.contacts_s
    first, last = float(showing.spans[0, 0]), float(showing.spans[-1, 1])
    looks = np.unique(
        np.concatenate([np.linspace(first, deepest_s, LOOKS), np.linspace(deepest_s, last, LOOKS)])
    )
    return SolarView(
        kind=local.kind if _central_shows(sky, at) else "partial",
        magnitude=float(seen.magnitude[0]),
        diameter_ratio=float(seen.diameter_ratio[0]),
        obscuration=float(seen.obscuration[0]),
        sun_radius_deg=float(seen.sun_radius[0]),
        moon_radius_deg=float(seen.moon_radius[0]),
        central_duration_s=at["c3"] - at["c2"] if _central_shows(sky, at) else None,
        rises_eclipsed=bool(showing.passages.upward.any()),
        sets_eclipsed=bool((~showing.passages.upward).any()),
        looks=_solar_moments(sky, local.kind, [("step", float(utc_s)) for utc_s in looks]),
    )


def _central_shows(sky: SiteSky, at: dict[str, float]) -> bool:
    """Whether the Sun is up at some instant of totality or annularity."""
    if "c2" not in at:
        return False
    times = np.linspace(at["c2"], at["c3"], LOOKS)
    return bool((standing_deg(sky, "sun", times) > 0).any())


def _contact_side(seen: Discs, kind: str, code: str, row: int) -> float:
    """Zenith angle of the point of the Sun's limb that a moment is about."""
    far = kind == "total" and code in ("c2", "c3")
    return float(seen.moon_from_zenith_deg[row]) + (180.0 if far else 0.0)


def _solar_moments(
    sky: SiteSky, kind: str, moments_s: list[tuple[str, float]]
) -> tuple[EclipseMoment, ...]:
    utc_s = np.array([at for _, at in moments_s])
    seen = discs(sky, utc_s)
    pole = pole_from_zenith_deg(seen.sun, sky.site.latitude_deg)
    toward = np.radians(seen.moon_from_zenith_deg)
    height, showing = sky.refracted_deg(seen.sun.altitude_deg), standing_deg(sky, "sun", utc_s)
    records = []
    for row, (code, at) in enumerate(moments_s):
        limb = _contact_side(seen, kind, code, row)
        records.append(
            EclipseMoment(
                code=code,
                at_utc=instant(at),
                altitude_deg=float(height[row]),
                azimuth_deg=float(seen.sun.azimuth_deg[row]),
                visible=bool(showing[row] > 0 or code in ("rise", "set")),
                sun_altitude_deg=float(seen.sun.altitude_deg[row]),
                magnitude=float(seen.magnitude[row]),
                obscuration=float(seen.obscuration[row]),
                position_angle_deg=float((limb - pole[row]) % 360),
                zenith_angle_deg=float(limb % 360),
                right_deg=float(-seen.apart[row] * np.sin(toward[row])),
                up_deg=float(seen.apart[row] * np.cos(toward[row])),
            )
        )
    return tuple(records)
