"""Low light on a made-up Moon: which features it shows, when, and which limbs libration opens."""

from math import acos, asin, cos, degrees, radians, sin

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from almanac.plan import limbs, terminator
from almanac.plan.limbs import View
from almanac.plan.terminator import SunPath
from almanac.records.catalogue import LunarFeature

DAY_S = 86400.0
RATE_DEG = 12.19
"""The colongitude's mean rate in a day (360 degrees in a synodic month of 29.53 days)."""


def crater(name, latitude_deg, longitude_deg, diameter_km=60.0):
    """A made-up crater."""
    return LunarFeature(name, latitude_deg, longitude_deg, diameter_km, "crater")


@pytest.fixture(scope="session")
def globe():
    """Craters every ten degrees over the whole Moon, in three sizes, and a few wide plains."""
    rows = [
        crater(f"{latitude:+d}{longitude:+d}", latitude, longitude, 20.0 * (1 + index % 3))
        for index, (latitude, longitude) in enumerate(
            (latitude, longitude)
            for latitude in range(-80, 81, 10)
            for longitude in range(-180, 180, 10)
        )
    ]
    return [*rows, crater("plain", 5.0, -15.0, 600.0), crater("sea", -15.0, 25.0, 900.0)]


@pytest.fixture(scope="session")
def path():
    """A Sun that climbs evenly and swings by 1.5 degrees in the year, every six hours."""
    utc_s = np.arange(0.0, 400 * DAY_S, DAY_S / 4)
    swing = 1.5 * np.sin(2 * np.pi * utc_s / (346 * DAY_S))
    return SunPath(utc_s, 200.0 + RATE_DEG * utc_s / DAY_S, swing)


def sun_deg(feature, colongitude_deg, subsolar_deg):
    """Sun's altitude at a feature: angle between two directions on a sphere."""
    noon = radians(90.0 - colongitude_deg - feature.longitude_deg)
    phi, b = radians(feature.latitude_deg), radians(subsolar_deg)
    return degrees(asin(sin(phi) * sin(b) + cos(phi) * cos(b) * cos(noon)))


def away_deg(feature, longitude_deg, latitude_deg):
    """Angle of a feature from the disc's centre."""
    phi, b = radians(feature.latitude_deg), radians(latitude_deg)
    turn = radians(feature.longitude_deg - longitude_deg)
    return degrees(acos(min(1.0, sin(phi) * sin(b) + cos(phi) * cos(b) * cos(turn))))


def toward(longitude_deg, latitude_deg):
    """Direction of an observer over a place, (3, 1)."""
    one = np.array([longitude_deg]), np.array([latitude_deg])
    return View(*one, np.zeros(1), np.zeros(1)).toward


def shown_at(globe, colongitude_deg, subsolar_deg, longitude_deg, latitude_deg):
    """Features near the terminator, best first, with the row they come in."""
    found = terminator.near_terminator(
        terminator.places(globe),
        np.array([colongitude_deg]),
        np.array([subsolar_deg]),
        toward(longitude_deg, latitude_deg),
    )
    return [(globe[index], row) for row, index in enumerate(found.feature)], found


def test_the_sun_s_altitude_is_the_published_one():
    """Meeus, ch. 53: l0 67.90, b0 +1.46; at 20 W, 9.7 N the Sun stands 2.318 deg high."""
    height = terminator.sun_altitude_deg(*(np.array(v) for v in (9.7, -20.0, 90 - 67.90, 1.46)))
    assert height == pytest.approx(2.318, abs=0.01)


@given(st.floats(0.0, 360.0), st.floats(-1.6, 1.6), st.floats(-9.0, 9.0), st.floats(-8.0, 8.0))
def test_features_are_those_with_a_low_sun_that_are_not_too_near_the_limb(
    globe, colongitude_deg, subsolar_deg, longitude_deg, latitude_deg
):
    """Recomputed one by one: the same features, altitudes, sides and distances from the centre."""
    shown, found = shown_at(globe, colongitude_deg, subsolar_deg, longitude_deg, latitude_deg)
    heights = {f.name: sun_deg(f, colongitude_deg, subsolar_deg) for f in globe}
    angles = {f.name: away_deg(f, longitude_deg, latitude_deg) for f in globe}
    edge = 1e-6
    sure = {n for n, h in heights.items() if edge < h < 8 - edge and angles[n] < 80 - edge}
    maybe = {n for n, h in heights.items() if -edge < h < 8 + edge and angles[n] < 80 + edge}
    names = [feature.name for feature, _ in shown]
    assert len(names) == len(set(names))
    assert sure <= set(names) <= maybe
    for feature, row in shown:
        assert found.sun_altitude_deg[row] == pytest.approx(heights[feature.name], abs=1e-6)
        assert found.from_centre_deg[row] == pytest.approx(angles[feature.name], abs=1e-4)
        later = sun_deg(feature, colongitude_deg + 0.01, subsolar_deg)
        if abs(later - heights[feature.name]) > 1e-4:
            assert found.morning[row] == (later > heights[feature.name])


@given(st.floats(0.0, 360.0), st.floats(-1.6, 1.6))
def test_best_first_is_narrow_then_clear_then_large(globe, colongitude_deg, subsolar_deg):
    """A feature wider than the band comes last, a Sun of 1 to 5 degrees before any other."""
    shown, found = shown_at(globe, colongitude_deg, subsolar_deg, 0.0, 0.0)
    keys = [
        (
            feature.diameter_km > 243,
            not 1.0 <= found.sun_altitude_deg[row] <= 5.0,
            -feature.diameter_km * cos(radians(found.from_centre_deg[row])),
        )
        for feature, row in shown
    ]
    assert keys == sorted(keys)


def test_libration_takes_a_feature_off_the_list_and_puts_it_back():
    """At 79 E a crater in morning light counts when the east limb is turned to us, not else."""
    rim = [crater("rim", 10.0, 79.0)]
    morning = -79.0 + 4.0
    assert [len(shown_at(rim, morning, 0.0, turn, 0.0)[0]) for turn in (7.0, 0.0, -7.0)] == [
        1,
        1,
        0,
    ]
    assert shown_at([crater("far", 10.0, 85.0)], -81.0, 0.0, 0.0, 0.0)[0] == []


def test_instants_keep_their_order_and_their_own_features(globe):
    """Many instants at once give what each gives alone."""
    colongitude, subsolar = np.linspace(0, 350, 36), np.linspace(-1.5, 1.5, 36)
    views = [toward(longitude, 3.0) for longitude in np.linspace(-8, 8, 36)]
    together = terminator.near_terminator(
        terminator.places(globe), colongitude, subsolar, np.hstack(views)
    )
    for instant in range(36):
        alone = terminator.near_terminator(
            terminator.places(globe), colongitude[[instant]], subsolar[[instant]], views[instant]
        )
        assert together.feature[together.instant == instant].tolist() == alone.feature.tolist()
    assert (np.diff(together.instant) >= 0).all()


def test_no_instant_shows_nothing(globe):
    """A year without a window asks for none and gets none."""
    none = np.empty(0)
    found = terminator.near_terminator(terminator.places(globe), none, none, np.empty((3, 0)))
    assert len(found.feature) == 0


@pytest.mark.parametrize("morning", [True, False])
def test_a_low_sun_lasts_from_horizon_to_eight_degrees(globe, path, morning):
    """Once a month at each feature; the Sun is at 0 and 8 at the ends, climbing or sinking."""
    feature, spans = terminator.low_sun_spans(path, terminator.places(globe), morning)
    inside = (spans[:, 0] > path.utc_s[0]) & (spans[:, 1] < path.utc_s[-1])
    months = RATE_DEG * 400 / 360
    for index in np.unique(feature)[::7]:
        mine = spans[inside & (feature == index)]
        if abs(globe[index].latitude_deg) > 75:
            continue  # the polar test below
        assert months - 2 < len(mine) < months + 1
        for span in mine:
            ends = [sun_deg(globe[index], *path.at(end)) for end in span]
            assert (ends if morning else ends[::-1]) == pytest.approx([0.0, 8.0], abs=0.01)


def test_near_the_pole_a_low_sun_stays_below_its_noon(path):
    """At 83 N the Sun may never reach 8 degrees: the span then ends at noon, its highest."""
    polar = [crater("polar", 83.0, 10.0)]
    _, spans = terminator.low_sun_spans(path, terminator.places(polar), True)
    inside = (spans[:, 0] > path.utc_s[0]) & (spans[:, 1] < path.utc_s[-1])
    for start, end in spans[inside]:
        heights = [sun_deg(polar[0], *path.at(t)) for t in np.linspace(start, end, 50)]
        assert min(heights) > -0.05
        assert max(heights) < 8.05
        assert heights[-1] == pytest.approx(max(heights), abs=0.05)


def test_a_span_of_colongitude_comes_once_a_month(path):
    """From 356.8 to 359.2 at the Moon's even pace: 2.4 / 12.19 of a day, 29.53 days apart."""
    spans = path.spans(np.array(356.8), np.array(359.2))
    spans = spans[(spans[:, 0] > path.utc_s[0]) & (spans[:, 1] < path.utc_s[-1])]
    assert len(spans) == 14
    assert spans[0, 0] / DAY_S == pytest.approx((356.8 - 200.0) / RATE_DEG)
    assert np.diff(spans)[:, 0] / DAY_S == pytest.approx(np.full(14, 2.4 / RATE_DEG))
    assert np.diff(spans[:, 0]) / DAY_S == pytest.approx(np.full(13, 360 / RATE_DEG))


def test_the_published_light_effects_are_low_light():
    """Each has a source, and the Sun at its feature within 2.5 degrees of the horizon then."""
    known = {"Werner": (-28.03, 3.29), "Pitatus": (-29.88, -13.53), "Hesiodus": (-29.42, -16.42)}
    for effect in limbs.EFFECTS:
        place = crater(effect.feature, *known[effect.feature])
        assert effect.source
        assert abs(sun_deg(place, effect.colongitude_deg, 0.0)) < 2.5
    middle = sun_deg(crater("Werner", *known["Werner"]), limbs.EFFECTS[0].colongitude_deg, 0.0)
    assert middle == pytest.approx(1.4, abs=0.7)  # its source gives the Sun's altitude as well


def test_the_best_libration_is_the_greatest_with_the_limb_lit():
    """The greatest of all is passed over if the Sun is down on that limb; each limb has its own."""
    view = View(
        libration_longitude_deg=np.array([7.9, 6.0, -7.0, -5.0]),
        libration_latitude_deg=np.array([1.0, -6.5, 6.0, 2.0]),
        colongitude_deg=np.array([120.0, 60.0, 45.0, 100.0]),
        subsolar_deg=np.zeros(4),
    )
    assert limbs.best_limbs(view) == {"north": 2, "south": 1, "east": 1, "west": 3}


def test_a_limb_that_is_never_lit_or_never_turned_to_us_has_no_best():
    """At new Moon's side all is dark; and a limb that always leans away is left out."""
    dark = View(np.array([5.0]), np.array([5.0]), np.array([270.0]), np.array([0.0]))
    assert limbs.best_limbs(dark) == {}
    away = View(np.array([-5.0]), np.array([-5.0]), np.array([45.0]), np.array([0.0]))
    assert limbs.best_limbs(away) == {"south": 0}
    none = np.empty(0)
    assert limbs.best_limbs(View(none, none, none, none)) == {}


def test_limb_features_come_into_view_only_lit_and_only_by_libration():
    """Turned to us by 7 degrees: those near the east limb, nearest gain first, with the Sun up."""
    features = [
        crater("beyond", 0.0, 94.0),
        crater("inside", 0.0, 60.0),
        crater("west rim", 0.0, -85.0),
        crater("rim", 0.0, 85.0),
        crater("high rim", 60.0, 80.0),
    ]
    at = terminator.places(features)

    def seen(longitude_deg, colongitude_deg):
        one = (np.array([longitude_deg]), np.array([0.0]), np.array([colongitude_deg]))
        rows = limbs.brought_into_view(at, View(*one, np.array([0.0])))
        return [features[row].name for row in rows]

    assert set(seen(7.0, 0.0)) == {"beyond", "rim", "high rim"}
    assert seen(7.0, 0.0)[-1] == "high rim"
    assert seen(5.0, 0.0) == ["rim"]
    assert seen(7.0, -91.0) == ["beyond"]
    assert seen(7.0, 110.0) == []
    assert seen(-7.0, 0.0) == []
    assert seen(-7.0, 120.0) == ["west rim"]
