"""A site's year of low light, limbs and picks, recomputed with formulas of the test's own."""

from datetime import timedelta
from math import sqrt

import numpy as np
import pytest
from skyfield.framelib import ecliptic_frame

from almanac.records.agreement import LIT_FEATURE_DEG

SECOND = timedelta(seconds=1)
HOUR_S = 3600.0
TILT = np.radians(1.54242)
"""Inclination of the Moon's equator to the ecliptic (Meeus, Astronomical Algorithms, ch. 53)."""
SHORT_SERIES_DEG = 0.05
"""Physical libration, left out by the formulas here, reaches 0.04 degree (Meeus, ch. 53)."""
CATALOGUE_SITES = ("north", "south")


def on_the_mean_moon(vector, times):
    """Selenographic longitude and latitude from which a vector to the Moon comes (Meeus, 53.1)."""
    latitude, longitude, _ = vector.frame_latlon(ecliptic_frame)
    centuries = (times.tt - 2451545.0) / 36525
    argument = 93.2720950 + 483202.0175233 * centuries - 0.0036539 * centuries**2
    node = 125.0445479 - 1934.1362891 * centuries + 0.0020754 * centuries**2
    node = node + np.degrees(times._nutation_angles_radians[0])
    turn, height = np.radians(longitude.degrees - node), latitude.radians
    along = np.arctan2(
        np.sin(turn) * np.cos(height) * np.cos(TILT) - np.sin(height) * np.sin(TILT),
        np.cos(turn) * np.cos(height),
    )
    up = -np.sin(turn) * np.cos(height) * np.sin(TILT) - np.sin(height) * np.cos(TILT)
    east = (np.degrees(along) - argument + 180) % 360 - 180
    return east, np.degrees(np.arcsin(up))


def sun_over_moon(observer, utc_s):
    """Colongitude and subsolar latitude."""
    times = observer._times(np.asarray(utc_s, dtype=float))
    earth = observer.ephemeris["earth"].at(times)
    sun, moon = (earth.observe(observer.ephemeris[body]).apparent() for body in ("sun", "moon"))
    longitude, latitude = on_the_mean_moon(moon - sun, times)
    return 90 - longitude, latitude


def libration(observer, utc_s):
    """Longitude and latitude of the disc's centre from the site."""
    times = observer._times(np.asarray(utc_s, dtype=float))
    apparent = observer.place.at(times).observe(observer.ephemeris["moon"]).apparent()
    return on_the_mean_moon(apparent, times)


def sun_altitude(latitude_deg, longitude_deg, colongitude_deg, subsolar_deg):
    """Angle of the Sun over a place, from the angle between two directions."""
    phi, b = np.radians(latitude_deg), np.radians(subsolar_deg)
    turn = np.radians(90 - colongitude_deg - longitude_deg)
    return np.degrees(np.arcsin(np.sin(phi) * np.sin(b) + np.cos(phi) * np.cos(b) * np.cos(turn)))


@pytest.fixture(scope="session")
def best_moments(case_of, seconds):
    """A case's windows with independent Sun and libration at their best moments."""

    def of(name):
        case = case_of(name)
        best_s = np.array([seconds(window.best_utc) for window in case.windows])
        return case, (*sun_over_moon(case.observer, best_s), *libration(case.observer, best_s))

    return of


@pytest.mark.parametrize("name", CATALOGUE_SITES)
def test_every_window_lists_the_features_in_low_light(name, best_moments):
    """Sun 0 to 8 degrees and within 80 degrees of the disc's centre: all of them and no other."""
    case, (colongitude, subsolar, east, north) = best_moments(name)
    listed = 0
    for row, window in enumerate(case.windows):
        found = {feature.name: feature for feature in window.features}
        for feature in case.catalogue.features:
            place = feature.latitude_deg, feature.longitude_deg
            height = sun_altitude(*place, colongitude[row], subsolar[row])
            away = 90 - sun_altitude(*place, 90 - east[row], north[row])
            edge = min(abs(height), abs(height - 8), abs(away - 80))
            if edge > 2 * SHORT_SERIES_DEG:
                assert (feature.name in found) == (0 < height < 8 and away < 80), feature.name
            if feature.name in found:
                record = found[feature.name]
                listed += 1
                assert record.sun_altitude_deg == pytest.approx(height, abs=LIT_FEATURE_DEG)
                assert record.from_centre_deg == pytest.approx(away, abs=2 * SHORT_SERIES_DEG)
                later = sun_altitude(*place, colongitude[row] + 0.1, subsolar[row])
                assert record.terminator == ("morning" if later > height else "evening")
                squeezed = np.sin(np.radians(record.from_centre_deg))
                assert np.hypot(record.right, record.up) == pytest.approx(squeezed, abs=1e-6)
    assert listed > 300


def moments_of(observer, colongitude_deg, start_s, end_s):
    """Instants of a year at which the colongitude has a value."""
    hours = np.arange(start_s, end_s, HOUR_S)
    run = np.unwrap(sun_over_moon(observer, hours)[0], period=360)
    first = np.ceil((run[0] - colongitude_deg) / 360)
    turns = colongitude_deg + 360 * np.arange(first, (run[-1] - colongitude_deg) // 360 + 1)
    return np.interp(turns, run, hours)


@pytest.mark.parametrize("name", CATALOGUE_SITES)
@pytest.mark.parametrize(
    ("effect", "low_deg", "high_deg"),
    [
        ("Werner X", 356.8, 359.2),
        ("Pitatus floor ray", 13.0, 15.0),
        ("Hesiodus sunrise ray", 16.2, 18.2),
    ],
)
def test_light_effects_are_dated_where_windows_meet_their_colongitude(
    effect, low_deg, high_deg, name, case_of, seconds
):
    """Each overlap of the published span with a window, its ends to 6 minutes (0.05 degree)."""
    case = case_of(name)
    year = case.year.nights[0].start_utc, case.year.nights[-1].end_utc
    around = seconds(year[0]) - 86400, seconds(year[1]) + 86400
    starts = moments_of(case.observer, low_deg, *around)
    ends = moments_of(case.observer, high_deg, *around)
    expected = []
    for end in ends:
        start = starts[starts < end].max(initial=around[0])
        for window in case.windows:
            expected.append(
                (max(start, seconds(window.start_utc)), min(end, seconds(window.end_utc)))
            )
    records = [record for record in case.year.light_effects if record.name == effect]
    found = [(seconds(record.start_utc), seconds(record.end_utc)) for record in records]
    for some, others in ((found, expected), (expected, found)):
        for part in some:
            if part[1] - part[0] > 720:
                assert any(part == pytest.approx(other, abs=360) for other in others)


def test_the_year_has_light_effects_at_both_sites(case_of):
    """The check above compares something: Werner X meets a window of 2027 north and south."""
    for name in CATALOGUE_SITES:
        assert any(r.name == "Werner X" for r in case_of(name).year.light_effects), name


@pytest.mark.parametrize("name", CATALOGUE_SITES)
def test_a_feature_s_sunrises_and_sunsets_lie_in_windows_with_a_low_sun(name, case_of, seconds):
    """Every span, of every feature: inside one window of its night, Sun 0 to 8, climbing or not."""
    case = case_of(name)
    windows = {
        night.date: [(seconds(w.start_utc), seconds(w.end_utc)) for w in night.windows]
        for night in case.year.nights
    }
    rows = [
        (feature, rises, low)
        for feature in case.year.feature_years
        for rises, spans in ((True, feature.sunrises), (False, feature.sunsets))
        for low in spans
    ]
    ends = np.array([(seconds(low.start_utc), seconds(low.end_utc)) for _, _, low in rows])
    place = np.array([(f.latitude_deg, f.longitude_deg) for f, _, _ in rows])
    start = sun_altitude(*place.T, *sun_over_moon(case.observer, ends[:, 0]))
    end = sun_altitude(*place.T, *sun_over_moon(case.observer, ends[:, 1]))
    assert len(rows) > 500
    given = np.array([(r.start_sun_altitude_deg, r.end_sun_altitude_deg) for _, _, r in rows])
    assert np.abs(given - np.stack([start, end], axis=1)).max() < SHORT_SERIES_DEG
    assert given.min() > -0.001
    assert given.max() < 8.001
    for (_, rises, low), (first, last), (before, after) in zip(rows, ends, given, strict=True):
        assert (after > before) == rises
        assert any(a - 1 < first < last < b + 1 for a, b in windows[low.date])


def test_nothing_on_the_moon_keeps_anyone_at_an_open_telescope_at_sunrise(case_of):
    """Low light and effects end by the time to cap, in windows that open before it."""
    year = case_of("north").year
    nights = {night.date: night for night in year.nights}
    spans = [low for f in year.feature_years for low in (*f.sunrises, *f.sunsets)]
    capped = 0
    for low in (*spans, *year.light_effects):
        cap, windows = nights[low.date].sun.cap_by_utc, nights[low.date].windows
        opens = max(w.start_utc for w in windows if w.start_utc <= low.start_utc + SECOND)
        if cap and cap - opens > timedelta(minutes=1):
            assert low.end_utc <= cap + SECOND
            capped += abs(low.end_utc - cap) <= SECOND
    assert capped > 20


@pytest.mark.parametrize("name", CATALOGUE_SITES)
def test_features_of_a_window_stand_in_their_own_year(name, case_of):
    """What a window lists at its best moment is in that feature's year, on the same night."""
    case = case_of(name)
    years = {feature.name: feature for feature in case.year.feature_years}
    for night in case.year.nights:
        for window in night.windows:
            for lit in window.features:
                year = years[lit.name]
                spans = year.sunrises if lit.terminator == "morning" else year.sunsets
                assert any(
                    low.date == night.date and low.start_utc <= window.best_utc <= low.end_utc
                    for low in spans
                )


@pytest.mark.parametrize("name", CATALOGUE_SITES)
def test_no_window_turns_a_lit_limb_further_to_us(name, case_of, seconds):
    """Every ten minutes of every window, by the short formulas: none beats the pick by 0.1 deg."""
    case = case_of(name)
    utc_s = np.concatenate(
        [np.arange(seconds(w.start_utc), seconds(w.end_utc), 600.0) for w in case.windows]
    )
    east, north = libration(case.observer, utc_s)
    sun = sun_over_moon(case.observer, utc_s)
    sides = {
        "north": (north, 85.0, 0.0),
        "south": (-north, -85.0, 0.0),
        "east": (east, 0.0, 85.0),
        "west": (-east, 0.0, -85.0),
    }
    picks = {record.limb: record for record in case.year.librations}
    assert list(picks) == list(sides)
    for limb, (tilt, latitude, longitude) in sides.items():
        record = picks[limb]
        ours = {
            "north": record.libration_latitude_deg,
            "south": -record.libration_latitude_deg,
            "east": record.libration_longitude_deg,
            "west": -record.libration_longitude_deg,
        }[limb]
        lit = sun_altitude(latitude, longitude, *sun) > 0
        assert ours == pytest.approx(tilt[lit].max(), abs=0.1)
        found = libration(case.observer, np.array([seconds(record.at_utc)]))
        assert found[0][0] == pytest.approx(record.libration_longitude_deg, abs=SHORT_SERIES_DEG)
        assert found[1][0] == pytest.approx(record.libration_latitude_deg, abs=SHORT_SERIES_DEG)


def test_the_blur_is_the_four_parts_worked_by_hand(case_of, seconds):
    """Three windows: 1.03 wavelength / aperture, seeing, dispersion and a pixel, in quadrature."""
    case = case_of("north")
    telescope, arcsec = case.config.telescope, 206264.806
    wavelength_mm = sum(telescope.passband_nm) / 2e6
    for window in case.windows[:: len(case.windows) // 3][:3]:
        seen = case.observer.look(np.array([seconds(window.best_utc)]))
        z = 90 - seen.moon[0]
        airmass = 1 / (np.cos(np.radians(z)) + 0.50572 * (96.07995 - z) ** -1.6364)
        assert window.diffraction_arcsec == pytest.approx(
            arcsec * 1.03 * wavelength_mm / telescope.aperture_mm
        )
        assert window.seeing_arcsec == pytest.approx(
            case.site.seeing_arcsec * airmass**0.6, rel=1e-4
        )
        assert window.sampling_arcsec == pytest.approx(
            arcsec * telescope.pixel_um / 1000 / telescope.focal_length_mm
        )
        parts = (window.diffraction_arcsec, window.seeing_arcsec, window.sampling_arcsec)
        total = sqrt(sum(part**2 for part in (*parts, window.dispersion_arcsec)))
        km = total / arcsec * seen.moon_km[0]
        assert window.finest_detail_km == pytest.approx(km, rel=1e-4)
        diameter = 2 * arcsec * np.arcsin(1737.4 / seen.moon_km[0]) / window.sampling_arcsec
        assert window.diameter_px == pytest.approx(diameter, rel=1e-4)


@pytest.mark.parametrize("name", [*CATALOGUE_SITES, "latitude 69", "daylight"])
def test_picks_hold_by_the_independent_sky(name, case_of, seconds):
    """What each says of the Moon and the Sun is so, and its date is its night's."""
    case = case_of(name)
    spans = {night.date: (night.start_utc, night.end_utc) for night in case.year.nights}
    seen = case.observer.look(np.array([seconds(pick.at_utc) for pick in case.year.picks]))
    for row, pick in enumerate(case.year.picks):
        assert spans[pick.date][0] <= pick.at_utc < spans[pick.date][1]
        assert pick.illuminated_fraction == pytest.approx(seen.fraction[row], abs=0.0005)
        assert pick.sun_altitude_deg == pytest.approx(seen.sun[row], abs=0.001)
        assert pick.sun_separation_deg == pytest.approx(seen.separation[row], abs=0.001)
        if pick.altitude_deg > 0:
            assert pick.altitude_deg == pytest.approx(seen.moon[row], abs=0.005)
        inside = any(
            window.start_utc <= pick.at_utc <= window.end_utc
            for night in case.year.nights
            if night.date == pick.date
            for window in night.windows
        )
        assert pick.in_window == inside
        if pick.code.endswith("full_moon"):
            ahead = case.observer.moon_ahead_of_sun(np.array([seconds(pick.at_utc)]))
            assert ahead[0] == pytest.approx(180.0, abs=0.001)
        else:
            assert pick.in_window


@pytest.mark.parametrize("name", [*CATALOGUE_SITES, "latitude 69", "daylight"])
def test_thin_crescents_are_safe_and_none_is_thinner(name, case_of, seconds):
    """Sun down, before the tube must be capped; every five minutes of such times is not thinner."""
    case = case_of(name)
    picks = {p.code: p for p in case.year.picks if p.code.startswith("thinnest")}
    least = {True: 1.0, False: 1.0}
    for night in case.year.nights:
        cap = seconds(night.sun.cap_by_utc) if night.sun.cap_by_utc else np.inf
        for window in night.windows:
            star = window.calibration
            first = star.chosen.hop_utc if star else window.start_utc
            utc_s = np.arange(seconds(first), seconds(window.end_utc), 300.0)
            if night.moon.illuminated_fraction < 0.3 and len(utc_s):
                seen = case.observer.look(utc_s)
                dark = (seen.sun < -50 / 60) & (utc_s < cap)
                thin = float(seen.fraction[dark].min(initial=1.0))
                least[night.moon.waxing] = min(least[night.moon.waxing], thin)
    for code, waxing in (("thinnest_waxing", True), ("thinnest_waning", False)):
        if code not in picks:
            assert least[waxing] >= 0.3  # only crescents were looked for above
            continue
        pick = picks[code]
        night = next(n for n in case.year.nights if n.date == pick.date)
        assert pick.waxing == waxing
        assert pick.sun_altitude_deg < -50 / 60 + 0.001
        assert night.sun.cap_by_utc is None or pick.at_utc <= night.sun.cap_by_utc
        assert pick.value == pytest.approx(pick.illuminated_fraction)
        assert pick.value <= least[waxing] + 0.0005


def test_a_site_without_windows_has_a_year_without_picks_of_them(case_of):
    """Down in a pit: full Moons have their sizes all the same, nothing else is there."""
    year = case_of("pit").year
    assert {pick.code for pick in year.picks} == {"largest_full_moon", "smallest_full_moon"}
    assert year.light_effects == year.librations == ()
    assert all(not f.sunrises and not f.sunsets for f in year.feature_years)


def test_figures_of_the_night_s_moon_are_those_of_the_short_formulas(case_of, seconds):
    """Libration, colongitude and subsolar latitude of every night, to what those leave out."""
    case = case_of("south")
    moons = [night.moon for night in case.year.nights]
    utc_s = np.array([seconds(moon.at_utc) for moon in moons])
    pairs = zip(
        (*libration(case.observer, utc_s), *sun_over_moon(case.observer, utc_s)),
        (
            *("libration_longitude_deg", "libration_latitude_deg"),
            *("colongitude_deg", "subsolar_latitude_deg"),
        ),
        strict=True,
    )
    for theirs, key in pairs:
        ours = np.array([getattr(moon, key) for moon in moons])
        assert np.abs((ours - theirs + 180) % 360 - 180).max() < SHORT_SERIES_DEG, key
