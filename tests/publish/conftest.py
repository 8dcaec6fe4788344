"""A made-up year for the rooms' pages: a simple sky, good to a degree or so, full of variety.

Pages are tested on it, not the sky: mean elements of the Sun and Moon with their largest terms.
"""

from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from msgspec.structs import asdict, replace
from numpy.typing import NDArray

from almanac.records.catalogue import BackgroundStars, Catalogue, LunarFeature, Star
from almanac.records.config import (
    Club,
    ClubConfig,
    Horizon,
    MoonLimits,
    OutingRule,
    SafetyLimits,
    Site,
    StarLimits,
    Telescope,
)
from almanac.records.diary import (
    Backup,
    BetterDate,
    ClubMeeting,
    DarkPart,
    Diary,
    GapOdds,
    MeetingMoon,
    Outing,
    OutingDate,
    OutingMoon,
    Proposal,
)
from almanac.records.globe import (
    FeatureYear,
    Framing,
    LightEffect,
    LimbLibration,
    LitFeature,
    LowSun,
    Pick,
)
from almanac.records.stars import (
    Calibration,
    CurvePoint,
    MoonPlace,
    StarHop,
    StarPlace,
    StarsToLearn,
    UnservedWindow,
    UsableSpan,
)
from almanac.records.track import StarTrack, Track
from almanac.records.year import (
    Apsis,
    Dark,
    MonthSky,
    MoonNight,
    Night,
    Phase,
    Provenance,
    SeasonSky,
    StarMonth,
    StarYear,
    SunNight,
    Transit,
    Window,
    YearAlmanac,
)

COPERNICUS = LitFeature("Copernicus", "crater", 9.6, -20.1, 4.0, "morning", 22.0, -0.35, 0.17)
"""An invented light on it: the same in every window."""

Floats = NDArray[np.float64]
J2000_S = datetime(2000, 1, 1, 12, tzinfo=UTC).timestamp()
STEP_S = 300.0

BRIGHT = {  # name: (HIP, right ascension, declination, V), to a tenth of a degree, from memory
    "Capella": (24608, 79.2, 46.0, 0.08),
    "Vega": (91262, 279.2, 38.8, 0.03),
    "Deneb": (102098, 310.4, 45.3, 1.25),
    "Aldebaran": (21421, 69.0, 16.5, 0.87),
    "Betelgeuse": (27989, 88.8, 7.4, 0.45),
    "Arcturus": (69673, 213.9, 19.2, -0.05),
    "Rigil Kentaurus": (71683, 219.9, -60.8, -0.01),
    "Canopus": (30438, 96.0, -52.7, -0.62),
}


TAUGHT = ("Vega", "Capella", "Arcturus")


def site_of(slug: str, latitude_deg: float, longitude_deg: float, timezone: str) -> Site:
    """An invented site with trees to the south and a wall to the west."""
    horizon = Horizon(
        azimuth_deg=(0.0, 120.0, 160.0, 200.0, 255.0, 255.0, 290.0, 290.0),
        altitude_deg=(6.0, 8.0, 17.0, 11.0, 9.0, 20.0, 20.0, 7.0),
    )
    return Site(
        name=slug.replace("-", " ").title(),
        slug=slug,
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        elevation_m=310.0,
        timezone=timezone,
        horizon=horizon,
        temperature_c=10.0,
        pressure_hpa=976.0,
        seeing_arcsec=2.0,
        clear_sky=None,
    )


def config_of(sites: tuple[Site, ...], name: str = "Juniper Hollow Skywatchers") -> ClubConfig:
    """A club with every default."""
    return ClubConfig(
        club=Club(name=name, years=(2027,), language="en", url=None, notes=""),
        sites=sites,
        telescope=Telescope(
            aperture_mm=60.0,
            focal_length_mm=300.0,
            pixel_um=2.9,
            sensor_px=(1080, 1920),
            mount="altaz",
            highest_altitude_deg=85.0,
            park=(0.0, 0.0),
            level_error_deg=0.3,
            passband_nm=(450.0, 650.0),
        ),
        moon=MoonLimits(15.0, 0.03, 20.0, False, (None,) * 7),
        stars=StarLimits(2.0, 15.0, 80.0, 8.0, -7.0, 15.0, ()),
        safety=SafetyLimits(30.0, 15.0, 20.0),
        meetings=(),
        source_sha256="0" * 64,
    )


def horizontal(utc_s: Floats, ra_deg: Floats, dec_deg: Floats, site: Site) -> tuple[Floats, Floats]:
    """Altitude and azimuth of places of date, spherical Earth."""
    days = (utc_s - J2000_S) / 86400.0
    sidereal_deg = 280.46062 + 360.98564737 * days + site.longitude_deg
    hour_angle = np.radians(sidereal_deg - ra_deg)
    dec, lat = np.radians(dec_deg), np.radians(site.latitude_deg)
    sine = np.sin(lat) * np.sin(dec) + np.cos(lat) * np.cos(dec) * np.cos(hour_angle)
    azimuth = np.arctan2(
        -np.cos(dec) * np.sin(hour_angle),
        np.sin(dec) * np.cos(lat) - np.cos(dec) * np.sin(lat) * np.cos(hour_angle),
    )
    return np.degrees(np.arcsin(sine)), np.degrees(azimuth) % 360.0


def equatorial(lon_deg: Floats, lat_deg: Floats | float) -> tuple[Floats, Floats]:
    """Right ascension and declination from ecliptic longitude and latitude."""
    lon, lat, tilt = np.radians(lon_deg), np.radians(lat_deg), np.radians(23.44)
    dec = np.arcsin(np.sin(lat) * np.cos(tilt) + np.cos(lat) * np.sin(tilt) * np.sin(lon))
    ra = np.arctan2(np.sin(lon) * np.cos(tilt) - np.tan(lat) * np.sin(tilt), np.cos(lon))
    return np.degrees(ra) % 360.0, np.degrees(dec)


def sun_and_moon(utc_s: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """Sun's longitude; Moon's longitude, latitude and distance in km (largest terms)."""
    days = (utc_s - J2000_S) / 86400.0
    sun_anomaly = np.radians(357.53 + 0.98560028 * days)
    sun = 280.46 + 0.98564736 * days + 1.915 * np.sin(sun_anomaly)
    anomaly = np.radians(134.96 + 13.06499295 * days)
    argument = np.radians(93.27 + 13.22935024 * days)
    elongation = np.radians(297.85 + 12.19074912 * days)
    moon = 218.32 + 13.17639648 * days + 6.29 * np.sin(anomaly)
    moon += 1.27 * np.sin(2 * elongation - anomaly) + 0.66 * np.sin(2 * elongation)
    distance = 385000.0 - 20905.0 * np.cos(anomaly) - 3699.0 * np.cos(2 * elongation - anomaly)
    return sun % 360.0, moon % 360.0, 5.13 * np.sin(argument), distance


class Sky:
    """The made-up sky of a site, sampled every five minutes."""

    def __init__(self, site: Site, year: int) -> None:
        """Sample the year of a site from its first local noon to its last."""
        self.site, self.year, self.zone = site, year, ZoneInfo(site.timezone)
        self.t = np.arange(self.noon(date(year, 1, 1)), self.noon(date(year + 1, 1, 1)), STEP_S)
        sun, moon, latitude, self.distance_km = sun_and_moon(self.t)
        self.elongation_deg = (moon - sun) % 360.0
        self.sun_alt, _ = horizontal(self.t, *equatorial(sun, 0.0), site)
        self.moon_alt, self.moon_az = horizontal(self.t, *equatorial(moon, latitude), site)
        parallax = 0.95 * np.cos(np.radians(self.moon_alt))
        self.moon_alt = self.moon_alt - parallax
        self.ground = np.interp(
            self.moon_az, site.horizon.azimuth_deg, site.horizon.altitude_deg, period=360.0
        )
        self.stars = {
            name: horizontal(self.t, np.float64(ra), np.float64(dec), site)
            for name, (_, ra, dec, _) in BRIGHT.items()
        }

    def noon(self, day: date) -> float:
        """POSIX seconds of local noon."""
        return datetime.combine(day, time(12), self.zone).timestamp()

    def at(self, index: int) -> datetime:
        """The instant of a sample, with odd seconds so that rounding shows."""
        return datetime.fromtimestamp(self.t[index] + 29.0, UTC)

    def ups(self, values: Floats, level: float, span: slice, rising: bool) -> list[datetime]:
        """Crossings of a level inside a span of samples, in order of time."""
        above = values[span] > level
        found = np.flatnonzero(above[1:] & ~above[:-1] if rising else ~above[1:] & above[:-1])
        return [self.at(span.start + int(i)) for i in found]

    def one(self, level: float, span: slice, rising: bool) -> datetime | None:
        """The first crossing of the Sun's altitude, or None."""
        return next(iter(self.ups(self.sun_alt, level, span, rising)), None)


def sun_night(sky: Sky, span: slice) -> SunNight:
    """The Sun's events of a night."""
    rise = sky.one(-0.833, span, True)
    return SunNight(
        *(sky.one(level, span, False) for level in (-0.833, -6.0, -12.0, -18.0)),
        *(sky.one(level, span, True) for level in (-18.0, -12.0, -6.0)),
        rise_utc=rise,
        cap_by_utc=rise - timedelta(minutes=20) if rise else None,
        lowest_altitude_deg=float(sky.sun_alt[span].min()),
        highest_altitude_deg=float(sky.sun_alt[span].max()),
    )


def moon_night(sky: Sky, span: slice, best: int) -> MoonNight:
    """The Moon's events of a night and its figures at a sample."""
    elongation = float(sky.elongation_deg[best])
    top = span.start + int(sky.moon_alt[span].argmax())
    return MoonNight(
        rises_utc=tuple(sky.ups(sky.moon_alt, -0.57, span, True)),
        sets_utc=tuple(sky.ups(sky.moon_alt, -0.57, span, False)),
        transits=(Transit(sky.at(top), float(sky.moon_alt[top])),),
        at_utc=sky.at(best),
        illuminated_fraction=(1 - float(np.cos(np.radians(elongation)))) / 2,
        phase_angle_deg=abs(180.0 - elongation),
        age_days=elongation / 360.0 * 29.53,
        distance_km=float(sky.distance_km[best]),
        angular_diameter_arcmin=3474.8 / float(sky.distance_km[best]) * 3437.75,
        magnitude=-12.7 + 0.026 * abs(180.0 - elongation),
        libration_longitude_deg=3.2,
        libration_latitude_deg=-4.1,
        axis_position_angle_deg=18.0,
        bright_limb_position_angle_deg=290.0 if elongation < 180.0 else 110.0,
        colongitude_deg=(elongation - 90.0) % 360.0,
        subsolar_latitude_deg=1.2,
        zenith_position_angle_deg=20.0,
        waxing=elongation < 180.0,
    )


def hop(sky: Sky, name: str, i: int) -> StarHop:
    """The hop from a star to the Moon at a sample."""
    altitude, azimuth = (float(values[i]) for values in sky.stars[name])
    turn = (float(sky.moon_az[i]) - azimuth + 180.0) % 360.0 - 180.0
    climb = float(sky.moon_alt[i]) - altitude
    return StarHop(
        star=name,
        hip=BRIGHT[name][0],
        at_utc=sky.at(i),
        altitude_deg=altitude,
        azimuth_deg=azimuth,
        separation_deg=float(np.hypot(turn, climb)),
        hop_azimuth_deg=turn,
        hop_altitude_deg=climb,
        hop_utc=sky.at(i) + timedelta(minutes=15),
        turn_deg=turn + 0.7,
        climb_deg=climb - 0.4,
        moon_altitude_deg=altitude + climb,
        moon_azimuth_deg=float(sky.moon_az[i]),
        landing_chance=float(np.exp(-abs(turn) / 300.0 - abs(climb) / 200.0)),
        sun_clearance_deg=None,
        clear_min=95.0,
    )


def calibration(sky: Sky, start: int, end: int) -> Calibration | str:
    """The star nearest in direction, at the first dark sample; or the code of why not."""
    dark = np.flatnonzero(sky.sun_alt[start - 3 : end] < -7.0)
    if not dark.size:
        return "too_bright_to_solve"
    i = start - 3 + int(dark[0])
    up = [n for n, (alt, _) in sky.stars.items() if 15.0 < alt[i] < 80.0]
    hops = sorted((hop(sky, n, i) for n in up), key=lambda h: -h.landing_chance)
    hops = [h for h in hops if h.separation_deg > 8.0]
    if not hops:
        return "none_in_reach"
    return Calibration(hops[0], hops[1] if len(hops) > 1 else None)


def window_of(sky: Sky, start: int, end: int) -> Window:
    """A window over samples start to end, best where the Moon is highest."""
    best = start + int(sky.moon_alt[start : end + 1].argmax())
    airmass = 1.0 / float(np.sin(np.radians(sky.moon_alt[best])))
    found = calibration(sky, start, end)
    return Window(
        start_utc=sky.at(start),
        end_utc=sky.at(end),
        best_utc=sky.at(best),
        altitude_deg=float(sky.moon_alt[best]),
        azimuth_deg=float(sky.moon_az[best]),
        airmass=airmass,
        diffraction_arcsec=1.9,
        seeing_arcsec=2.0 * airmass**0.6,
        dispersion_arcsec=0.6 * float(np.sqrt(max(airmass**2 - 1.0, 0.0))),
        sampling_arcsec=2.0,
        finest_detail_km=float(np.hypot(4.0, 2.0 * airmass) * sky.distance_km[best] / 206265.0),
        field_rotation_deg_per_hour=9.0 * airmass,
        longest_clip_s=26.0 / airmass,
        usual_clip_fits=airmass < 1.3,
        diameter_px=930.0,
        framings=(Framing(1, 0.86, 1, 1), Framing(2, 1.72, 3, 2), Framing(4, 3.44, 5, 3)),
        exposure_stops=1.7,
        daylight=False,
        sun_separation_deg=float(min(sky.elongation_deg[best], 360.0 - sky.elongation_deg[best])),
        features=(COPERNICUS,),
        calibration=None if isinstance(found, str) else found,
        no_star=found if isinstance(found, str) else None,
    )


def windows(sky: Sky, span: slice) -> tuple[tuple[Window, ...], str | None]:
    """The windows of a night, or the code of why there is none."""
    lit = (1 - np.cos(np.radians(sky.elongation_deg[span]))) / 2 > 0.03
    up = sky.moon_alt[span] > np.maximum(15.0, sky.ground[span])
    night = sky.sun_alt[span] < -0.833
    edges = np.flatnonzero(np.diff(np.r_[0, (lit & up & night).astype(int), 0]))
    runs = [(int(a), int(b) - 1) for a, b in edges.reshape(-1, 2) if b - a > 4]
    if runs:
        return tuple(window_of(sky, span.start + a, span.start + b) for a, b in runs), None
    if not up.any():
        return (), "moon_below_limit"
    return (), "sun_up" if not (up & night).any() else "too_thin"


def cautions(sky: Sky, sun: SunNight, at: int) -> tuple[str, ...]:
    """The cautions of a night, as codes."""
    from_sun = min(sky.elongation_deg[at], 360.0 - sky.elongation_deg[at])
    found = {
        "near_new_moon": from_sun < 15.0,
        "cap_before_sunrise": sun.cap_by_utc is not None,
        "sun_never_sets": sun.lowest_altitude_deg > -0.833,
        "sun_never_rises": sun.highest_altitude_deg < -0.833,
        "no_darkness": sun.lowest_altitude_deg > -18.0,
    }
    return tuple(code for code, holds in found.items() if holds)


def night_of(sky: Sky, day: date) -> Night:
    """A night without its rank."""
    start_s, end_s = sky.noon(day), sky.noon(day + timedelta(days=1))
    first, last = (int((s - sky.t[0]) / STEP_S) for s in (start_s, end_s))
    span = slice(first, min(last, sky.t.size))
    sun = sun_night(sky, span)
    found, why = windows(sky, span)
    best = min(found, key=lambda w: w.finest_detail_km).best_utc if found else None
    at = int((best.timestamp() - sky.t[0]) / STEP_S) if best else (first + last) // 2
    moon_down = (sky.sun_alt[span] < -18.0) & (sky.moon_alt[span] < -0.57)
    edges = np.flatnonzero(np.diff(np.r_[0, moon_down.astype(int), 0])).reshape(-1, 2)
    longest = max(edges, key=lambda run: run[1] - run[0], default=None)
    return Night(
        date=day,
        start_utc=datetime.fromtimestamp(start_s, UTC),
        end_utc=datetime.fromtimestamp(end_s, UTC),
        sun=sun,
        moon=moon_night(sky, span, at),
        windows=found,
        no_window=why,
        dark=None
        if longest is None
        else Dark(sky.at(first + int(longest[0])), sky.at(first + int(longest[1]) - 1)),
        cautions=cautions(sky, sun, at),
        rank=None,
    )


def ranked(nights: list[Night]) -> tuple[Night, ...]:
    """The nights with their rank by finest detail."""
    best = {n.date: min(w.finest_detail_km for w in n.windows) for n in nights if n.windows}
    order = {day: i + 1 for i, day in enumerate(sorted(best, key=lambda d: best[d]))}
    return tuple(Night(**{**asdict(n), "rank": order.get(n.date)}) for n in nights)


def phases(sky: Sky) -> Iterator[Phase]:
    """The principal phases at their samples."""
    for i in np.flatnonzero(np.diff(np.floor(sky.elongation_deg / 90.0))):
        quarter = int(sky.elongation_deg[i + 1] // 90.0) % 4
        kind = ("new", "first_quarter", "full", "last_quarter")[quarter]
        yield Phase(kind, sky.at(int(i)), float(sky.distance_km[i]))


def apsides(sky: Sky) -> Iterator[Apsis]:
    """Perigees and apogees at their samples."""
    step = np.diff(sky.distance_km)
    for i in np.flatnonzero(np.sign(step[1:]) != np.sign(step[:-1])):
        kind = "perigee" if step[i] < 0 else "apogee"
        yield Apsis(kind, sky.at(int(i) + 1), float(sky.distance_km[i + 1]))


def star_years(sky: Sky, nights: tuple[Night, ...]) -> Iterator[StarYear]:
    """How each star serves the evenings; the middle of each month stands for all of it."""
    chosen = [w.calibration.chosen.hip for n in nights for w in n.windows if w.calibration]
    for name, (hip, ra, dec, magnitude) in BRIGHT.items():
        months = []
        for month in range(1, 13):
            i = int((sky.noon(date(sky.year, month, 15)) - sky.t[0]) / STEP_S)
            alt = sky.stars[name][0][i : i + 144]
            hours = float(((alt > 15.0) & (sky.sun_alt[i : i + 144] < -7.0)).sum()) / 12.0
            months.append(StarMonth(hours, date(sky.year, month, 15) if hours else None))
        served = chosen.count(hip)
        noons = range(0, 365 * 288, 7 * 288)
        weeks = tuple(
            UsableSpan(nights[i // 288].date, sky.at(i + 100), sky.at(i + 130))
            for i in noons
            if sky.sun_alt[i + 115] < -7.0 and sky.stars[name][0][i + 115] > 15.0
        )
        yield StarYear(name, hip, ra, dec, magnitude, "", tuple(months), served, 0.0, weeks)


def season_skies(sky: Sky, catalogue: Catalogue) -> Iterator[SeasonSky]:
    """Four skies at 21:00 standard time; empty where the Sun is up."""
    for season, month in zip(("winter", "spring", "summer", "autumn"), (1, 4, 7, 10), strict=True):
        yield sky_on(sky, catalogue, season, month)


def sky_on(sky: Sky, catalogue: Catalogue, season: str, month: int) -> SeasonSky:
    """The sky of a month's 15th."""
    day = date(sky.year, month, 15)
    i = int((sky.noon(day) - sky.t[0]) / STEP_S) + 120
    none = np.empty(0)
    if sky.sun_alt[i] > -7.0:
        return SeasonSky(season, day, None, none, none, none.astype(bool), none, none)
    at = np.array([sky.t[i]])
    ra, dec = (np.array([getattr(s, k) for s in catalogue.stars]) for k in ("ra_deg", "dec_deg"))
    alt, az = horizontal(at, ra, dec, sky.site)
    back = horizontal(at, catalogue.background.ra_deg, catalogue.background.dec_deg, sky.site)
    return SeasonSky(season, day, sky.at(i), alt, az, (alt > 15.0) & (alt < 80.0), *back)


def month_skies(sky: Sky, catalogue: Catalogue, nights: tuple[Night, ...]) -> Iterator[MonthSky]:
    """Twelve charts: the stars of TAUGHT two and four hours on, the Moon where it is then."""
    for month in range(1, 13):
        shown = sky_on(sky, catalogue, "winter", month)
        if shown.at_utc is None:
            yield MonthSky(month, shown, (), ())
            continue
        later, i = [], int((shown.at_utc.timestamp() - sky.t[0]) / STEP_S)
        for name in TAUGHT:
            for hours in (2, 4):
                j = i + 12 * hours
                alt, az = (float(values[j]) for values in sky.stars[name])
                later.append(StarPlace(name, BRIGHT[name][0], sky.at(j), alt, az))
        moon = [
            MoonPlace(night.date, window.altitude_deg, window.azimuth_deg)
            for night in nights
            if night.date.month == month
            for window in night.windows
        ]
        yield MonthSky(month, shown, tuple(later), tuple(moon))


def to_learn(nights: tuple[Night, ...]) -> StarsToLearn:
    """An invented curve of two points, Vega known; the windows without a star are the year's."""
    windows = [window for night in nights for window in night.windows]
    served = sum(window.calibration is not None for window in windows)
    return StarsToLearn(
        known=("Vega",),
        fewest=("Vega", "Capella"),
        curve=(
            CurvePoint(1, ("Vega", "Capella"), served - 1, 0.61),
            CurvePoint(2, ("Vega", "Capella", "Arcturus"), served, 0.734),
        ),
        unserved=tuple(UnservedWindow(w.start_utc, w.no_star) for w in windows if w.no_star),
        trade_rule=CurvePoint(5, ("Capella", "Vega", "Deneb"), served - 3, 0.55),
        advised=TAUGHT,
    )


def feature_year(nights: tuple[Night, ...]) -> FeatureYear:
    """Copernicus in every window: morning light while the Moon waxes, evening light after."""
    low = [
        (night.moon.waxing, LowSun(night.date, window.start_utc, window.end_utc, 1.0, 3.0))
        for night in nights
        for window in night.windows
    ]
    return FeatureYear(
        name=COPERNICUS.name,
        kind=COPERNICUS.kind,
        latitude_deg=COPERNICUS.latitude_deg,
        longitude_deg=COPERNICUS.longitude_deg,
        diameter_km=93.0,
        sunrises=tuple(low_sun for waxing, low_sun in low if waxing),
        sunsets=tuple(low_sun for waxing, low_sun in low if not waxing),
    )


def light_effect(night: Night) -> LightEffect:
    """An invented play of light in a night's first window."""
    window = night.windows[0]
    return LightEffect(
        name="Morning ray",
        feature=COPERNICUS.name,
        date=night.date,
        start_utc=window.start_utc,
        end_utc=window.end_utc,
        middle_utc=window.best_utc,
        colongitude_deg=22.0,
        tolerance_deg=1.0,
        sun_altitude_deg=1.9,
        source="Invented for the tests",
    )


def limb_libration(night: Night) -> LimbLibration:
    """The east limb's best, in a night's first window."""
    at = night.windows[0].best_utc
    return LimbLibration("east", night.date, at, 6.2, -5.0, (COPERNICUS.name,))


EXTREMES = (
    *("highest_moon", "lowest_moon", "largest_full_moon", "smallest_full_moon"),
    *("thinnest_waxing", "thinnest_waning"),
)


def pick(night: Night, code: str, stage: str | None) -> Pick:
    """A night's first window as a pick."""
    window = night.windows[0]
    return Pick(
        code=code,
        stage=stage,
        rank=1,
        date=night.date,
        at_utc=window.best_utc,
        in_window=True,
        value=window.finest_detail_km,
        altitude_deg=window.altitude_deg,
        azimuth_deg=window.azimuth_deg,
        illuminated_fraction=night.moon.illuminated_fraction,
        waxing=night.moon.waxing,
        angular_diameter_arcmin=night.moon.angular_diameter_arcmin,
        sun_altitude_deg=-20.0,
        sun_separation_deg=window.sun_separation_deg,
    )


def catalogue_of() -> Catalogue:
    """The bright stars of this file and as many invented faint ones."""
    fields = [(name, *rest) for name, rest in BRIGHT.items()]
    stars = tuple(Star(n, h, ra, dec, 0.0, 0.0, 0.0, mag, "") for n, h, ra, dec, mag in fields)
    hips = np.array([s.hip for s in stars] + [900001 + i for i in range(40)])
    spread = np.arange(40) * 137.5 % 360.0
    return Catalogue(
        stars=stars,
        background=BackgroundStars(
            hip=hips,
            ra_deg=np.r_[[s.ra_deg for s in stars], spread],
            dec_deg=np.r_[[s.dec_deg for s in stars], np.linspace(-70.0, 85.0, 40)],
            magnitude=np.r_[[s.magnitude for s in stars], np.full(40, 3.4)],
        ),
        patterns=((24608, 900001), (91262, 102098)),
        features=(LunarFeature("Copernicus", 9.6, -20.1, 93.0, "crater"),),
    )


def outing_date(night: Night, kind: str, rank: int) -> OutingDate:
    """An evening of an outing: the night's first window, or its dark span, whole."""
    span = night.dark if kind == "dark_sky" else night.windows[0]
    assert span
    evening = OutingDate(
        date=night.date,
        start_utc=span.start_utc,
        end_utc=span.end_utc,
        best_utc=span.start_utc,
        season=("winter", "spring", "summer", "autumn")[(night.date.month - 1) // 3],
        rank=rank,
        year_rank=rank,
        value=(span.end_utc - span.start_utc).total_seconds() / 3600,
        clear_chance=0.4,
        moon=None,
    )
    if not isinstance(span, Window):
        return evening
    lit = night.moon.illuminated_fraction
    moon = OutingMoon(
        0, span.altitude_deg, span.azimuth_deg, lit, True, span.finest_detail_km, landing_chance=0.7
    )
    return replace(evening, value=span.altitude_deg, moon=moon)


def outing(kind: str, nights: list[Night]) -> Outing:
    """Three evenings that fit; the first is proposed, the second in reserve."""
    dates = [outing_date(night, kind, rank) for rank, night in enumerate(nights[:3], start=1)]
    rule = OutingRule(
        kind=kind,
        title="",
        weekdays=(4, 5),
        lit=(0.4, 0.9),
        moon="waxing",
        lowest_altitude_deg=20.0,
        hours_after_dark=2.0,
        shortest_min=45.0,
        least_landing_chance=0.0,
        dates=4,
        per_season=1,
        spacing_days=28,
        backups=1,
        backup_days=10,
    )
    days = (dates[1].date - dates[0].date).days
    proposal = Proposal(dates[0], (Backup(dates[1], days, 0.58),), 0.58)
    return Outing(rule, tuple(dates), (proposal,), (GapOdds(days, 2, 0.58),))


def club_meeting(night: Night, series: int, title: str, judgement: str, reason: str) -> ClubMeeting:
    """A meeting from 18:00 to 20:00 UTC of a night."""
    start = datetime.combine(night.date, time(18), UTC)
    return ClubMeeting(
        series=series,
        title=title,
        day=night.date,
        night=night.date,
        start_utc=start,
        end_utc=start + timedelta(hours=2),
        outdoors=judgement != "indoors",
        needs="moon",
        judgement=judgement,
        reason=reason,
        moon=(),
        dark=None,
        better=None,
        better_same_weekday=None,
        clear_chance=0.4,
    )


def diary_of(nights: tuple[Night, ...]) -> Diary:
    """A good meeting, a poor one with a better day, one indoors; two kinds of outing."""
    moonlit = [night for night in nights if night.windows and night.windows[0].calibration]
    good, other = moonlit[0], moonlit[1]
    poor = next(night for night in nights if night.date > other.date and night.no_window)
    window = good.windows[0]
    meeting = club_meeting(good, 0, "Moon evening", "good", "moon_most")
    moon = MeetingMoon(
        start_utc=meeting.start_utc,
        end_utc=meeting.end_utc,
        best_utc=meeting.start_utc,
        altitude_deg=window.altitude_deg,
        azimuth_deg=window.azimuth_deg,
        illuminated_fraction=good.moon.illuminated_fraction,
        finest_detail_km=window.finest_detail_km,
        calibration=window.calibration,
        no_star=None,
    )
    start = datetime.combine(other.date, time(18), UTC)
    better = BetterDate(other.date, other.date, start, start + timedelta(hours=2), "good")
    dark = DarkPart(start + timedelta(days=1), start + timedelta(days=1, hours=1))
    meetings = (
        replace(meeting, moon=(moon,)),
        replace(
            club_meeting(poor, 0, "Moon evening", "poor", poor.no_window or ""),
            dark=dark,
            better=better,
            better_same_weekday=better,
        ),
        club_meeting(poor, 1, "Room with a stove", "indoors", "under_roof"),
    )
    dark_nights = [night for night in nights if night.dark]
    return Diary(meetings, (outing("moon_evening", moonlit), outing("dark_sky", dark_nights)))


def year_of(site: Site, year: int = 2027) -> YearAlmanac:
    """The made-up year of a site."""
    sky, catalogue = Sky(site, year), catalogue_of()
    days = [date(year, 1, 1) + timedelta(days=i) for i in range(366)]
    nights = ranked([night_of(sky, day) for day in days if day.year == year])
    tracks = {}
    for night in nights:
        for index, window in enumerate(night.windows):
            if window.calibration:
                star = window.calibration.chosen
                i = int((star.at_utc.timestamp() - sky.t[0]) / STEP_S)
                part = slice(max(i - 6, 0), i + 12)
                tracks[night.date, index] = StarTrack(
                    star.hip, sky.t[part], sky.stars[star.star][0][part]
                )
    best = next(night for night in nights if night.rank == 1)
    return YearAlmanac(
        site=site,
        year=year,
        made_with=Provenance("0.1.0", "de421.bsp", "0" * 64, "built-in", "2025.2", "0" * 64),
        phases=tuple(phases(sky)),
        apsides=tuple(apsides(sky)),
        nights=nights,
        stars=tuple(star_years(sky, nights)),
        seasons=tuple(season_skies(sky, catalogue)),
        track=Track(sky.t, sky.moon_alt, sky.moon_az, sky.ground, sky.sun_alt),
        star_tracks=tracks,
        feature_years=(feature_year(nights),),
        light_effects=(light_effect(best),),
        librations=(limb_libration(best),),
        picks=(
            pick(best, "finest_detail", None),
            pick(best, "best_of_stage", "gibbous_waxing"),
            *(pick(best, code, None) for code in EXTREMES),
        ),
        stars_to_learn=to_learn(nights),
        months=tuple(month_skies(sky, catalogue, nights)),
        diary=diary_of(nights),
    )


@pytest.fixture(scope="session")
def catalogue() -> Catalogue:
    """A few stars."""
    return catalogue_of()


@pytest.fixture(scope="session")
def north() -> YearAlmanac:
    """A made-up year at 44.6 N in a zone with daylight saving."""
    return year_of(site_of("quarry-field", 44.6, 2.9, "Europe/Paris"))


@pytest.fixture(scope="session")
def south() -> YearAlmanac:
    """A made-up year at 31.3 S in a zone with a half-hour offset."""
    return year_of(site_of("saltbush-flat", -31.3, 138.6, "Australia/Adelaide"))


@pytest.fixture(scope="session")
def polar() -> YearAlmanac:
    """A made-up year at 69.7 N: the Sun stays up in summer and down in winter."""
    return year_of(site_of("whale-point", 69.7, 18.9, "Europe/Oslo"))


@pytest.fixture(scope="session")
def make_config() -> Callable[..., ClubConfig]:
    """A maker of configs for sites: ``make_config((site,), name="...")``."""
    return config_of


@pytest.fixture(scope="session")
def make_site() -> Callable[..., Site]:
    """A maker of sites: ``make_site(slug, latitude_deg, longitude_deg, timezone)``."""
    return site_of


@pytest.fixture(scope="session")
def make_year() -> Callable[..., YearAlmanac]:
    """A maker of made-up years: ``make_year(site, 2028)``."""
    return year_of
