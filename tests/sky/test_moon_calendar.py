"""Phases, apsides and seasons against published tables and a second library."""

import numpy as np
import pytest

from almanac.records.agreement import APSIS_KM, APSIS_S, PHASE_ASTROPY_S, PHASE_PUBLISHED_S
from almanac.sky.phases import elongation_deg, find_apsides, find_phases

DAY_S = 86400.0
QUARTERS = {"new": 0.0, "first_quarter": 90.0, "full": 180.0, "last_quarter": 270.0}
SEASONS = {
    "March equinox": 0.0,
    "June solstice": 90.0,
    "September equinox": 180.0,
    "December solstice": 270.0,
}


def from_zero(angle_deg):
    """Angle as -180 to 180."""
    return (angle_deg + 180) % 360 - 180


@pytest.mark.parametrize("year", [2024, 2025, 2026])
def test_every_published_phase_is_found_within_a_minute(year, sky_of, published, at_utc):
    """No phase of the year is lost, added, named wrongly or a minute off."""
    rows = [row for row in published("phases.csv") if row["at_utc"].startswith(str(year))]
    start, end = at_utc(f"{year}-01-01"), at_utc(f"{year + 1}-01-01")
    found = find_phases(sky_of(year), start, end)
    inside = found.utc_s < end
    assert [kind for kind, kept in zip(found.kinds, inside, strict=True) if kept] == [
        row["kind"] for row in rows
    ]
    expected = np.array([at_utc(row["at_utc"]) for row in rows])
    assert np.abs(found.utc_s[inside] - expected).max() <= PHASE_PUBLISHED_S


def test_phases_are_where_astropy_puts_them(sky_of, astropy_sky, at_utc):
    """With the same kernel the instants agree to two seconds."""
    found = find_phases(sky_of(2027), at_utc("2027-01-01"), at_utc("2027-07-01"))
    around = found.utc_s[:, None] + np.array([-600.0, 600.0])
    times = astropy_sky.times(around.ravel())
    longitude = {body: astropy_sky.ecliptic_longitude_deg(body, times) for body in ("moon", "sun")}
    wanted = np.array([QUARTERS[kind] for kind in found.kinds])[:, None]
    excess = from_zero((longitude["moon"] - longitude["sun"]).reshape(around.shape) - wanted)
    root = around[:, 0] - excess[:, 0] * 1200.0 / (excess[:, 1] - excess[:, 0])
    assert np.abs(root - found.utc_s).max() < PHASE_ASTROPY_S


@pytest.mark.parametrize("year", [1900, 2016, 2027, 2052])
def test_phases_follow_each_other_in_turn(year, sky_of, at_utc):
    """A year holds 49 or 50 phases, in the order of the month, 6.5 to 8.4 days apart."""
    start, end = at_utc(f"{year}-01-01"), at_utc(f"{year + 1}-01-01")
    found = find_phases(sky_of(year), start, end)
    names = list(QUARTERS)
    order = [names.index(kind) for kind in found.kinds]
    assert 49 <= np.count_nonzero(found.utc_s < end) <= 50
    assert (np.diff(order) % 4 == 1).all()
    apart = np.diff(found.utc_s) / DAY_S
    assert apart.min() > 6.5
    assert apart.max() < 8.4


def test_elongation_is_the_named_one_at_each_phase(sky_of, at_utc):
    """New is 0, first quarter 90, full 180, last quarter 270 degrees, to a thousandth of an arc."""
    sky = sky_of(2027)
    found = find_phases(sky, at_utc("2027-01-01"), at_utc("2028-01-01"))
    wanted = np.array([QUARTERS[kind] for kind in found.kinds])
    off = from_zero(elongation_deg(sky, sky.clock.tt_days(found.utc_s)) - wanted)
    assert np.abs(off).max() * 3600 < 0.001


@pytest.mark.parametrize("year", [2016, 2027])
def test_apsides_are_the_extremes_that_astropy_finds(year, sky_of, astropy_sky, at_utc):
    """Each extreme of astropy's geometric distance is found: 5 seconds, 0.1 km, no other."""
    start, end = at_utc(f"{year}-01-01"), at_utc(f"{year + 1}-01-01")
    found = find_apsides(sky_of(year), start, end)
    hours = np.arange(start, end, 6 * 3600.0)
    rate = np.diff(astropy_sky.geometric_km(astropy_sky.times(hours)))
    turns = np.flatnonzero(np.sign(rate[1:]) != np.sign(rate[:-1])) + 1
    inside = found.utc_s < hours[-1] - 6 * 3600
    assert np.count_nonzero(inside) == np.count_nonzero(hours[turns] < hours[-1] - 6 * 3600)
    steps = np.array([-7200.0, -3600.0, 0.0, 3600.0, 7200.0])
    for kind, at, km in zip(found.kinds, found.utc_s, found.distance_km, strict=True):
        around = astropy_sky.geometric_km(astropy_sky.times(at + steps))
        quartic = np.polynomial.Polynomial.fit(steps, around, 4)
        turns_s = quartic.deriv().roots()
        root = float(turns_s[np.argmin(np.abs(turns_s))].real)
        assert abs(root) < APSIS_S
        assert km == pytest.approx(float(quartic(root)), abs=APSIS_KM)
        assert kind == ("perigee" if quartic.deriv(2)(root) > 0 else "apogee")


def test_distance_at_a_phase_is_the_geometric_one(sky_of, astropy_sky, at_utc):
    """The distance printed with a phase is that of the centres at that instant, to 0.1 km."""
    found = find_phases(sky_of(2027), at_utc("2027-01-01"), at_utc("2028-01-01"))
    expected = astropy_sky.geometric_km(astropy_sky.times(found.utc_s))
    assert np.abs(found.distance_km - expected).max() < APSIS_KM


def test_sun_has_the_season_s_longitude_at_the_published_minute(sky_of, published, at_utc):
    """At each published equinox and solstice the Sun is within a minute of time's motion."""
    rows = published("seasons.csv")
    assert len(rows) == 44
    for row in rows:
        sky = sky_of(int(row["at_utc"][:4]))
        instants = at_utc(row["at_utc"]) + np.array([-60.0, 60.0])
        longitude = sky.ecliptic_longitude_deg("sun", sky.clock.tt_days(instants))
        before, after = from_zero(longitude - SEASONS[row["event"]])
        assert before < 0 < after, row
