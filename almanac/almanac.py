"""A club's config and the sky of a year become one site's almanac."""

from datetime import date
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray
from tzdata import IANA_VERSION

from almanac import __version__
from almanac.plan import capture, detail
from almanac.plan.nights import YearNights, year_nights
from almanac.plan.outings import seasons_of
from almanac.plan.sun_safety import SunFacts, cautions
from almanac.plan.windows import YearWindows
from almanac.records.catalogue import Catalogue
from almanac.records.config import ClubConfig, Site
from almanac.records.diary import Diary
from almanac.records.globe import LitFeature
from almanac.records.safety import SunYear
from almanac.records.track import StarTrack, Track
from almanac.records.year import (
    Apsis,
    Dark,
    MoonNight,
    Night,
    Phase,
    Provenance,
    SunNight,
    Window,
    YearAlmanac,
)
from almanac.site_year.calibration import Choice, StarChooser, first_looks, star_tracks
from almanac.site_year.diary import OpenSky, club_meetings
from almanac.site_year.eclipses import year_eclipses
from almanac.site_year.globe import Globe
from almanac.site_year.instants import instant
from almanac.site_year.later_hops import with_later_hops
from almanac.site_year.learn import TRADE_RULE, stars_to_learn
from almanac.site_year.meetings import meetings
from almanac.site_year.month_skies import month_skies
from almanac.site_year.moon import moon_nights, night_moments
from almanac.site_year.outings import Offer
from almanac.site_year.picks import year_picks
from almanac.site_year.safety import Slews, safe_windows, sun_year
from almanac.site_year.seasons import season_skies, star_years
from almanac.site_year.sun import dark_spans, sun_nights
from almanac.site_year.windows import (
    WindowFigures,
    window_conditions,
    window_figures,
    year_windows,
)
from almanac.sky.kernel import open_kernel
from almanac.sky.phases import MoonEvents, find_apsides, find_phases
from almanac.sky.site_events import SUN_RISES_DEG, SiteEvents
from almanac.sky.site_sky import SiteSky
from almanac.sky.year_sky import YearSky, build_year_sky

Floats = NDArray[np.float64]
Event = TypeVar("Event", Phase, Apsis)

MARGIN_S = 36 * 3600.0
"""The search begins before the first noon and ends after the last, so that no event is cut."""
LUNATION_S = 30 * 86400.0


def year_sky(year: int, catalogue: Catalogue) -> YearSky:
    """The sky that all sites share. Raises EphemerisError outside the ephemeris."""
    return build_year_sky(open_kernel(), year, catalogue.stars, catalogue.beside_ecliptic)


def compute(config: ClubConfig, site: Site, sky: YearSky, catalogue: Catalogue) -> YearAlmanac:
    """Everything about one site in the sky's year."""
    nights = year_nights(sky.year, site.timezone)
    first, last = float(nights.spans[0, 0]), float(nights.spans[-1, 1])
    events = SiteEvents(SiteSky(sky, site), first - MARGIN_S, last + MARGIN_S)
    phases = find_phases(sky, first - LUNATION_S, last)
    limits = window_conditions(events, nights, config)
    offered = year_windows(nights.spans, limits, config.moon)
    found, withdrawn = safe_windows(offered, events, nights, config)
    chooser = StarChooser(found.spans, events, config, catalogue.stars)
    chosen = chooser.choices()
    figures = window_figures(found.spans, first_looks(found.spans, chosen), events, config)
    globe = Globe(events.sky, nights, found, figures.best_s, figures.open, catalogue.features)
    slews = Slews(found.spans, events, config)
    choices = with_later_hops(chosen, found.spans, events.sky, config, catalogue.stars)
    windows = _windows(found, figures, globe.window_features(), choices, slews, config)
    best_s = _best_moments(found, figures, len(nights.dates))
    moons = moon_nights(events, nights, night_moments(events, nights, best_s), phases)
    suns = sun_nights(events, nights, config.safety.cap_before_sunrise_min)
    danger = sun_year(events, nights, found, slews, withdrawn, suns, config)
    records = _nights(events, nights, found, figures, windows, moons, suns, danger, config)
    trade = chooser.served_by(TRADE_RULE)
    learn = stars_to_learn(chooser.to_learn, catalogue.stars, config.stars.known, windows, trade)
    open_sky = OpenSky(events, nights, config, limits)
    return YearAlmanac(
        site=site,
        year=sky.year,
        made_with=_provenance(config),
        phases=_dated(Phase, phases, first),
        apsides=_dated(Apsis, find_apsides(sky, first, last), first),
        nights=records,
        stars=star_years(events, nights, config, catalogue, windows),
        seasons=season_skies(events, sky.year, config, catalogue),
        track=_track(events),
        star_tracks=_star_tracks(events.sky, catalogue, records),
        feature_years=globe.feature_years(),
        light_effects=globe.light_effects(),
        librations=globe.librations(),
        meetings=meetings(events, nights, config, catalogue),
        danger=danger,
        eclipses=year_eclipses(events.sky, nights, found.spans, phases),
        picks=year_picks(
            events, nights, found, figures, phases, config.safety.cap_before_sunrise_min * 60
        ),
        stars_to_learn=learn,
        months=month_skies(events, records, config, catalogue, learn),
        diary=Diary(
            meetings=club_meetings(open_sky, chooser.choices_for),
            outings=Offer(open_sky, found, windows, phases).outings(),
            seasons=seasons_of(site.latitude_deg),
        ),
    )


def _star_tracks(
    sky: SiteSky, catalogue: Catalogue, nights: tuple[Night, ...]
) -> dict[tuple[date, int], StarTrack]:
    hops = {
        (night.date, index): window.calibration.chosen
        for night in nights
        for index, window in enumerate(night.windows)
        if window.calibration
    }
    return dict(zip(hops, star_tracks(sky, catalogue.stars, list(hops.values())), strict=True))


def _dated(kind: type[Event], found: MoonEvents, first_s: float) -> tuple[Event, ...]:
    rows = zip(found.kinds, found.utc_s, found.distance_km, strict=True)
    return tuple(kind(name, instant(at), float(km)) for name, at, km in rows if at >= first_s)


def _provenance(config: ClubConfig) -> Provenance:
    kernel = open_kernel()
    return Provenance(
        version=__version__,
        ephemeris="DE421",
        ephemeris_sha256=kernel.sha256,
        delta_t=kernel.delta_t_name,
        timezones=f"IANA {IANA_VERSION}",
        config_sha256=config.source_sha256,
    )


def _track(events: SiteEvents) -> Track:
    return Track(
        utc_s=events.grid.utc_s,
        moon_altitude_deg=events.grid.moon_altitude_deg,
        moon_azimuth_deg=events.grid.moon.azimuth_deg,
        ground_deg=events.sky.ground_deg(events.grid.moon.azimuth_deg),
        sun_altitude_deg=events.grid.sun.altitude_deg,
    )


def _windows(
    found: YearWindows,
    figures: WindowFigures,
    features: list[tuple[LitFeature, ...]],
    choices: list[Choice],
    slews: Slews,
    config: ClubConfig,
) -> list[Window]:
    """Records of all windows, in order of time."""
    telescope, blur = config.telescope, figures.blur
    records = []
    for row, (start, end) in enumerate(found.spans):
        calibration, no_star = choices[row]
        rotation = float(figures.field_rotation_deg_per_hour[row])
        diameter_arcmin = float(figures.diameter_arcmin[row])
        longest_clip_s = detail.longest_clip_s(rotation, diameter_arcmin, telescope)
        diameter_px = capture.diameter_px(diameter_arcmin, telescope)
        records.append(
            Window(
                start_utc=instant(start),
                end_utc=instant(end),
                best_utc=instant(figures.best_s[row]),
                altitude_deg=float(figures.altitude_deg[row]),
                azimuth_deg=float(figures.azimuth_deg[row]),
                airmass=float(figures.airmass[row]),
                diffraction_arcsec=blur.diffraction,
                seeing_arcsec=float(blur.seeing[row]),
                dispersion_arcsec=float(blur.dispersion[row]),
                sampling_arcsec=blur.sampling,
                finest_detail_km=float(figures.finest_detail_km[row]),
                field_rotation_deg_per_hour=rotation,
                longest_clip_s=longest_clip_s,
                usual_clip_fits=capture.usual_clip_fits(longest_clip_s),
                diameter_px=diameter_px,
                framings=capture.framings(diameter_px, telescope.sensor_px),
                exposure_stops=float(figures.exposure_stops[row]),
                daylight=bool(figures.daylight[row]),
                sun_separation_deg=float(figures.sun_separation_deg[row]),
                features=features[row],
                calibration=calibration,
                no_star=no_star,
                slew_clearance_deg=slews.least_deg(row),
            )
        )
    return records


def _best_rows(found: YearWindows, figures: WindowFigures) -> dict[int, int]:
    """For each night with windows the row of its best: finest detail, then length."""
    length = found.spans[:, 1] - found.spans[:, 0]
    order = np.lexsort((-length, figures.finest_detail_km))
    best: dict[int, int] = {}
    for row in order.tolist():
        best.setdefault(int(found.night[row]), row)
    return best


def _best_moments(found: YearWindows, figures: WindowFigures, count: int) -> Floats:
    moments = np.full(count, np.nan)
    for night, row in _best_rows(found, figures).items():
        moments[night] = figures.best_s[row]
    return moments


def _nights(
    events: SiteEvents,
    nights: YearNights,
    found: YearWindows,
    figures: WindowFigures,
    windows: list[Window],
    moons: list[MoonNight],
    suns: list[SunNight],
    danger: SunYear,
    config: ClubConfig,
) -> tuple[Night, ...]:
    """Join everything that is known of each night."""
    darks: list[Dark | None] = dark_spans(events, nights)
    rank = {night: place for place, night in enumerate(_best_rows(found, figures), start=1)}
    separations = events.grid.light.sun_separation_deg
    both_up = (events.grid.sun.altitude_deg > SUN_RISES_DEG) & (events.grid.moon_altitude_deg > 0)
    risen = np.where(both_up, separations, np.inf)
    safety = config.safety
    slew_deg = dict(sorted(((day, s.clearance_deg) for day, s in danger.slews), reverse=True))
    withdrawn = {window.date for window in danger.withdrawn}
    records = []
    for row, day in enumerate(nights.dates):
        mine = np.flatnonzero(found.night == row)
        inside = slice(*np.searchsorted(events.grid.utc_s, nights.spans[row]))
        facts = SunFacts(
            lowest_altitude_deg=suns[row].lowest_altitude_deg,
            highest_altitude_deg=suns[row].highest_altitude_deg,
            rises=suns[row].rise_utc is not None,
            least_moon_separation_deg=float(separations[inside].min()),
            daylight_separation_deg=float(
                figures.daylight_separation_deg[mine].min(initial=np.inf)
            ),
            risen_separation_deg=float(risen[inside].min()),
            slew_clearance_deg=slew_deg.get(day, np.inf),
            window_withdrawn=day in withdrawn,
        )
        records.append(
            Night(
                date=day,
                start_utc=instant(nights.spans[row, 0]),
                end_utc=instant(nights.spans[row, 1]),
                sun=suns[row],
                moon=moons[row],
                windows=tuple(windows[window] for window in mine),
                no_window=found.no_window[row],
                dark=darks[row],
                cautions=cautions(
                    facts, safety.sun_caution_deg, safety.sun_stop_deg, SUN_RISES_DEG
                ),
                rank=rank.get(row),
            )
        )
    return tuple(records)
