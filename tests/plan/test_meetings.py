"""What of an occultation can be seen, cusps, and what fits into the frame."""

import pytest

from almanac.plan.meetings import HIDDEN_BY, cusp_angle, fits_frame, hidden_by, hop_code

SEEN = {
    "magnitude": 3.0,
    "altitude_deg": 30.0,
    "ground_deg": 5.0,
    "sun_altitude_deg": -20.0,
    "sun_rises_deg": -0.833,
    "dark_limb": True,
    "illuminated_fraction": 0.5,
}


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({}, None),
        ({"altitude_deg": -1.0}, "below_horizon"),
        ({"altitude_deg": 4.9}, "behind_skyline"),
        ({"sun_altitude_deg": 5.0}, "sun_up"),
        ({"sun_altitude_deg": -5.0}, "twilight"),
        ({"sun_altitude_deg": -9.3}, None),
        ({"sun_altitude_deg": -3.0, "magnitude": -4.0}, None),
        ({"dark_limb": False}, "bright_limb"),
        ({"dark_limb": False, "magnitude": 0.9}, None),
        ({"illuminated_fraction": 0.99}, "moon_glare"),
        ({"illuminated_fraction": 0.99, "magnitude": 1.0}, None),
    ],
    ids=str,
)
def test_each_thing_that_hides_an_event_has_its_code(
    changes: dict[str, float], code: str | None
) -> None:
    """A third-magnitude star at the dark limb of a half Moon in the night, and what spoils it."""
    assert hidden_by(**(SEEN | changes)) == code  # type: ignore[arg-type]


def test_the_reason_asked_first_is_given() -> None:
    """Everything wrong at once: below the horizon comes first, and all codes are reachable."""
    worst = {"altitude_deg": -5.0, "sun_altitude_deg": 20.0, "dark_limb": False}
    assert hidden_by(**(SEEN | worst)) == HIDDEN_BY[0]  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("position", "bright", "cusp", "angle"),
    [
        (90.0, 270.0, "north", 90.0),
        (10.0, 270.0, "north", 10.0),
        (350.0, 270.0, "north", -10.0),
        (170.0, 270.0, "south", 10.0),
        (200.0, 270.0, "south", -20.0),
        (60.0, 80.0, "north", -70.0),
        (355.0, 80.0, "north", -5.0),
        (340.0, 80.0, "north", 10.0),
    ],
)
def test_cusp_angles(position: float, bright: float, cusp: str, angle: float) -> None:
    """From the nearer end of the terminator: positive on the dark limb, negative on the lit."""
    found, degrees = cusp_angle(position, bright)
    if abs(abs(angle) - 90) > 1e-9:
        assert found == cusp
    assert degrees == pytest.approx(angle)


def test_what_fits_into_the_frame() -> None:
    """Half frames 0.3 and 0.55 degrees: a Moon of 0.26 and a star above it, not beside it."""
    half = (0.3, 0.55)
    assert fits_frame(0.0, 0.7, (0.26, 0.0), half)
    assert not fits_frame(0.7, 0.0, (0.26, 0.0), half)
    assert not fits_frame(0.0, 0.0, (0.26, 0.9), half)
    assert not fits_frame(0.0, 0.9, (0.26, 0.0), half)


def test_a_star_to_solve_on_gains_or_drowns() -> None:
    """Inside the glare it drowns, outside it makes the hop short; a faint one does neither."""
    assert hop_code(7.9, 1.0, 2.0, 8.0) == "glare"
    assert hop_code(8.0, 1.0, 2.0, 8.0) == "easier"
    assert hop_code(3.0, 2.1, 2.0, 8.0) is None
