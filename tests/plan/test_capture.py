"""The Moon in the frame, by hand and by law."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from almanac.plan import capture
from almanac.records.globe import Framing


def test_the_diameter_in_pixels_is_worked_by_hand(make_telescope):
    """2.9 um at 300 mm is 206264.8 x 0.0029 / 300 = 1.99389"; 31' are 1860" or 932.85 pixels."""
    assert capture.diameter_px(31.0, make_telescope()) == pytest.approx(932.85, abs=0.01)
    long = make_telescope(focal_length_mm=1200.0)
    assert capture.diameter_px(31.0, long) == pytest.approx(4 * 932.85, abs=0.04)


def test_shares_and_panels_are_worked_by_hand():
    """932.85 pixels on 1080 x 1920: whole; at 2x on 540 x 960; at 4x on 270 x 480.

    Across at 2x: 932.85 / 540 = 1.73 sides, one frame and 0.73 / 0.8 of another: 2. At 4x: 3.455
    sides, one and 2.455 / 0.8 = 3.07: 5 across; 1.943 sides, one and 0.943 / 0.8 = 1.18: 3 up.
    """
    whole, half, quarter = capture.framings(932.85, (1080, 1920))
    assert whole == Framing(1, pytest.approx(0.8637, abs=1e-4), 1, 1)
    assert half == Framing(2, pytest.approx(1.7275, abs=1e-4), 2, 1)
    assert quarter == Framing(4, pytest.approx(3.4550, abs=1e-4), 5, 3)


def test_the_short_side_counts_whichever_way_the_sensor_lies():
    """Turned by a quarter turn the share is the same and the panels change places."""
    upright, lying = (capture.framings(932.85, size)[2] for size in ((1080, 1920), (1920, 1080)))
    assert lying.share == upright.share
    assert (lying.panels_across, lying.panels_up) == (upright.panels_up, upright.panels_across)


@given(st.floats(1.0, 20000.0), st.floats(50.0, 8000.0))
def test_panels_cover_the_size_and_one_fewer_would_not(size_px, side_px):
    """n frames with a fifth of a side in common with each neighbour span n - 0.2 (n - 1) sides."""
    count = capture.panels(size_px, side_px)
    assert (count - 0.2 * (count - 1)) * side_px >= size_px * (1 - 1e-9)
    if count > 1:
        assert ((count - 1) - 0.2 * (count - 2)) * side_px < size_px * (1 + 1e-9)


@pytest.mark.parametrize(
    ("longest_clip_s", "fits"), [(None, True), (20.0, True), (19.99, False), (300.0, True)]
)
def test_the_usual_clip_is_twenty_seconds(longest_clip_s, fits):
    """It fits where the field stands still, or turns by less than a pixel in 20 seconds."""
    assert capture.usual_clip_fits(longest_clip_s) is fits
