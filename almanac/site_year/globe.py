"""The Moon's globe over a site's year: features in low light, light effects, lit limbs."""

from collections.abc import Iterator, Sequence
from functools import cached_property

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from almanac.plan import limbs, terminator
from almanac.plan.intervals import overlaps
from almanac.plan.nights import YearNights
from almanac.plan.terminator import SunPath
from almanac.plan.windows import YearWindows
from almanac.records.catalogue import LunarFeature
from almanac.records.globe import FeatureYear, LightEffect, LimbLibration, LitFeature, LowSun
from almanac.site_year.instants import instant
from almanac.sky.moon_globe import Face, face, sunlight
from almanac.sky.nodes import Grid
from almanac.sky.site_sky import SiteSky

Floats = NDArray[np.float64]
Rows = NDArray[np.int64]

PATH_STEP_S = 6 * 3600.0
PATH_MARGIN_S = 5 * 86400.0
"""Longer than the Sun is low anywhere between 80 degrees north and south."""
SAMPLES = 25
"""Instants of a window at which libration is compared: it turns by 0.3 degree an hour at most."""


class Globe(Struct, frozen=True, dict=True):
    """What the year's records of the Moon's globe are made from."""

    sky: SiteSky
    nights: YearNights
    found: YearWindows
    best_s: Floats
    """Best moment of every window."""
    open: Floats
    """(windows, 2) their spans until the time to cap, POSIX seconds."""
    features: Sequence[LunarFeature]

    @cached_property
    def places(self) -> terminator.Places:
        """The features as arrays."""
        return terminator.places(self.features)

    @cached_property
    def best_face(self) -> Face:
        """The Moon at every window's best moment."""
        return face(self.sky, self.best_s)

    @cached_property
    def path(self) -> SunPath:
        """The Sun over the Moon from before the first night to after the last."""
        start = float(self.nights.spans[0, 0]) - PATH_MARGIN_S
        end = float(self.nights.spans[-1, 1]) + PATH_MARGIN_S
        times = Grid(start, PATH_STEP_S, int(np.ceil((end - start) / PATH_STEP_S)) + 1)
        sun = sunlight(self.sky.sky, times)
        return SunPath(times.times, np.unwrap(sun.colongitude_deg, period=360.0), sun.latitude_deg)

    def window_features(self) -> list[tuple[LitFeature, ...]]:
        """For each window the features near the terminator at its best moment."""
        sun = sunlight(self.sky.sky, self.best_s)
        shown = terminator.near_terminator(
            self.places, sun.colongitude_deg, sun.latitude_deg, self.best_face.frame[0]
        )
        place = self.places.direction[shown.feature]
        seen = np.einsum("rk,vkr->vr", place, self.best_face.frame[:, :, shown.instant])
        records: list[list[LitFeature]] = [[] for _ in self.best_s]
        for row, (window, index) in enumerate(zip(shown.instant, shown.feature, strict=True)):
            feature = self.features[index]
            records[window].append(
                LitFeature(
                    name=feature.name,
                    kind=feature.kind,
                    latitude_deg=feature.latitude_deg,
                    longitude_deg=feature.longitude_deg,
                    sun_altitude_deg=float(shown.sun_altitude_deg[row]),
                    terminator="morning" if shown.morning[row] else "evening",
                    from_centre_deg=float(shown.from_centre_deg[row]),
                    right=float(seen[1, row]),
                    up=float(seen[2, row]),
                )
            )
        return [tuple(window) for window in records]

    def feature_years(self) -> tuple[FeatureYear, ...]:
        """For each feature the times its sunrise and its sunset can be watched."""
        sunrises, sunsets = self._low_suns(morning=True), self._low_suns(morning=False)
        return tuple(
            FeatureYear(
                name=feature.name,
                kind=feature.kind,
                latitude_deg=feature.latitude_deg,
                longitude_deg=feature.longitude_deg,
                diameter_km=feature.diameter_km,
                sunrises=tuple(rises),
                sunsets=tuple(sets),
            )
            for feature, rises, sets in zip(self.features, sunrises, sunsets, strict=True)
        )

    def _low_suns(self, morning: bool) -> list[list[LowSun]]:
        """Low Sun inside windows until the cap, feature by feature, where not too near the limb."""
        feature, spans = terminator.low_sun_spans(self.path, self.places, morning)
        row, parts = overlaps(spans, self.open)
        feature, window = feature[row], self._window_of(parts)
        away = terminator.from_centre_deg(self.places.direction, self.best_face.frame[0])
        kept = away[feature, window] <= terminator.FARTHEST_DEG
        feature, window, parts = feature[kept], window[kept], parts[kept]
        altitude = self._sun_altitude_deg(feature[:, None], parts)
        dates = self.nights.dates
        records: list[list[LowSun]] = [[] for _ in self.features]
        for index, night, span, height in zip(
            feature.tolist(),
            self.found.night[window].tolist(),
            parts.tolist(),
            altitude.tolist(),
            strict=True,
        ):
            start, end = instant(span[0]), instant(span[1])
            records[index].append(LowSun(dates[night], start, end, height[0], height[1]))
        return records

    def _window_of(self, parts: Floats) -> Rows:
        """Index of the window that holds each span."""
        return np.searchsorted(self.found.spans[:, 0], parts[:, 0], side="right") - 1

    def _sun_altitude_deg(self, feature: Rows, utc_s: Floats) -> Floats:
        """Altitude of the Sun at features and instants of one shape, or broadcast."""
        at = self.places
        return terminator.sun_altitude_deg(
            at.latitude_deg[feature, 0], at.longitude_deg[feature, 0], *self.path.at(utc_s)
        )

    def light_effects(self) -> tuple[LightEffect, ...]:
        """Published light effects while the Moon can be used, in order of time."""
        names = [feature.name for feature in self.features]
        known = [effect for effect in limbs.EFFECTS if effect.feature in names]
        records = [
            record
            for effect in known
            for record in self._effect(effect, names.index(effect.feature))
        ]
        return tuple(sorted(records, key=lambda record: record.start_utc))

    def _effect(self, effect: limbs.Effect, feature: int) -> Iterator[LightEffect]:
        """One effect's visible parts."""
        middle, spread = effect.colongitude_deg, effect.tolerance_deg
        spans = self.path.spans(np.array(middle - spread), np.array(middle + spread))
        middles = self.path.when(middle + self.path.turns())
        row, parts = overlaps(spans, self.open)
        altitude = self._sun_altitude_deg(np.full(len(parts), feature), parts.mean(axis=1))
        night = self.found.night[self._window_of(parts)]
        for index, part in enumerate(parts):
            yield LightEffect(
                name=effect.name,
                feature=effect.feature,
                date=self.nights.dates[night[index]],
                start_utc=instant(part[0]),
                end_utc=instant(part[1]),
                middle_utc=instant(middles[row[index]]),
                colongitude_deg=middle,
                tolerance_deg=spread,
                sun_altitude_deg=float(altitude[index]),
                source=effect.source,
            )

    def librations(self) -> tuple[LimbLibration, ...]:
        """The year's best libration for each limb, inside a window before the cap, the limb lit."""
        utc_s, window = window_samples(self.open, SAMPLES)
        turned = face(self.sky, utc_s)
        colongitude, subsolar = self.path.at(utc_s)
        view = limbs.View(
            turned.libration_longitude_deg, turned.libration_latitude_deg, colongitude, subsolar
        )
        return tuple(
            LimbLibration(
                limb=limb,
                date=self.nights.dates[self.found.night[window[row]]],
                at_utc=instant(utc_s[row]),
                libration_longitude_deg=float(view.libration_longitude_deg[row]),
                libration_latitude_deg=float(view.libration_latitude_deg[row]),
                features=tuple(
                    self.features[index].name
                    for index in limbs.brought_into_view(self.places, view.row(row))
                ),
            )
            for limb, row in limbs.best_limbs(view).items()
        )


def window_samples(spans: Floats, count: int) -> tuple[Floats, Rows]:
    """Whole seconds spread over each window, its ends included, and the window of each."""
    first, last = np.ceil(spans[:, :1]), np.floor(spans[:, 1:])
    utc_s = np.rint(first + (last - first) * np.linspace(0.0, 1.0, count))
    return utc_s.ravel(), np.repeat(np.arange(len(spans)), count)
