"""The Moon against a skyline of walls and spikes, watched second by second."""

import numpy as np
import pytest

from almanac.records.config import Horizon
from almanac.sky.site_events import SiteEvents
from almanac.sky.site_sky import SiteSky, ground_deg

WALLS = Horizon((0.0, 90.0, 90.0, 140.0, 140.0, 350.0), (3.0, 3.0, 25.0, 25.0, 2.0, 2.0))
# A mast 0.1 degree wide every few degrees, and a low wall over north.
MASTS = Horizon(
    tuple(a + d for a in range(4, 356, 8) for d in (0.0, 0.05, 0.1)),
    tuple(h for _ in range(4, 356, 8) for h in (5.0, 40.0, 5.0)),
)
# A saw: each tooth rises upright and falls to nothing just before the next.
SAW = Horizon(
    tuple(a for a in range(2, 360, 2) for _ in range(2)),
    tuple(h for _ in range(2, 360, 2) for h in (0.0, 60.0)),
)
# Steps between towers of odd widths, a spike on each, a notch, and a wall right over north.
SKYLINE = Horizon(
    (
        0.0,
        12.0,
        12.0,
        60.0,
        60.1,
        60.2,
        97.0,
        97.0,
        101.3,
        101.3,
        180.0,
        180.03,
        180.06,
        249.0,
        249.0,
        262.5,
        262.55,
        262.6,
        270.0,
        270.0,
        348.0,
        348.0,
    ),
    (
        18.0,
        18.0,
        1.0,
        1.0,
        30.0,
        1.0,
        1.0,
        14.0,
        14.0,
        0.0,
        0.0,
        55.0,
        0.0,
        0.0,
        22.0,
        22.0,
        3.0,
        22.0,
        22.0,
        2.0,
        2.0,
        18.0,
    ),
)


def ground_by_hand(horizon, azimuth_deg):
    """The profile at one azimuth, point by point."""
    points = list(zip(horizon.azimuth_deg, horizon.altitude_deg, strict=True))
    points = [(points[-1][0] - 360, points[-1][1]), *points, (points[0][0] + 360, points[0][1])]
    for (left, low), (right, high) in zip(points, points[1:], strict=False):  # noqa: RUF007
        if left <= azimuth_deg < right:
            return low + (high - low) * (azimuth_deg - left) / (right - left)
    raise AssertionError(azimuth_deg)


@pytest.mark.parametrize("horizon", [WALLS, MASTS, SKYLINE])
def test_ground_is_linear_between_points_and_closed_over_north(horizon, make_site):
    """At any azimuth the profile is the straight line between its neighbours."""
    azimuth = np.random.default_rng(4).uniform(0, 360, 300)
    site = make_site(0.0, 0.0, horizon=horizon)
    expected = [ground_by_hand(horizon, at) for at in azimuth]
    assert ground_deg(site, azimuth) == pytest.approx(np.array(expected), abs=1e-9)
    assert ground_deg(site, azimuth + 360.0) == pytest.approx(np.array(expected), abs=1e-9)


@pytest.mark.parametrize("horizon", [WALLS, MASTS, SAW], ids=["walls", "masts", "saw"])
@pytest.mark.parametrize("latitude", [52.0, -35.0])
def test_every_second_over_the_skyline_is_inside_a_span(
    horizon, latitude, sky_of, make_site, at_utc
):
    """Four days at one-second steps: behind a mast for 20 seconds is behind it."""
    sky = SiteSky(sky_of(2027), make_site(latitude, 11.0, 300.0, horizon))
    start = at_utc("2027-04-18")
    events = SiteEvents(sky, start, start + 4 * 86400)
    spans = events.moon_above(10.0)
    seconds = np.arange(start, start + 4 * 86400, 1.0)
    moon = sky.body("moon", seconds)
    clear = sky.refracted_deg(moon.altitude_deg) > np.maximum(
        10.0, sky.ground_deg(moon.azimuth_deg)
    )
    change = seconds[np.flatnonzero(clear[1:] != clear[:-1])]
    edges = spans.ravel()
    edges = edges[(edges > seconds[0]) & (edges < seconds[-1])]
    assert len(edges) == len(change)
    assert ((edges >= change - 0.01) & (edges <= change + 1.01)).all()
    if horizon is MASTS and abs(latitude) < 60:
        assert np.count_nonzero((spans[1:, 0] - spans[:-1, 1]) < 60) > 20


@pytest.mark.parametrize("gap_deg", [2.0, 0.1])
def test_the_sun_comes_through_a_narrow_gap(gap_deg, sky_of, make_site, at_utc):
    """A wall with a gap of eight minutes or of half a minute: the Sun is over the profile there."""
    wall = Horizon((0.0, 150.0, 150.0, 150.0 + gap_deg, 150.0 + gap_deg), (80, 80, 0, 0, 80))
    sky = SiteSky(sky_of(2027), make_site(47.0, 8.0, 400.0, wall))
    start = at_utc("2027-06-01")
    found = SiteEvents(sky, start, start + 3 * 86400).sun_over_profile()
    azimuth = sky.body("sun", found).azimuth_deg
    assert len(found) == 3
    assert azimuth == pytest.approx(150.0, abs=0.01)
