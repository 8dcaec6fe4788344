"""Light effects with a published colongitude, and librations that bring a lit limb into view."""

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

from almanac.plan.terminator import Places, from_centre_deg, sun_altitude_deg

Floats = NDArray[np.float64]
Rows = NDArray[np.int64]


class Effect(Struct, frozen=True):
    """A play of light that a published colongitude foretells."""

    name: str
    feature: str
    colongitude_deg: float
    tolerance_deg: float
    """Half of the span of colongitude in which it is looked for."""
    source: str


EFFECTS = (
    Effect("Werner X", "Werner", 358.0, 1.2, "D. M. F. Chapman, Royal Astronomical Soc. of Canada"),
    Effect("Pitatus floor ray", "Pitatus", 14.0, 1.0, "S. J. O'Meara, Astronomy, 2022"),
    Effect("Hesiodus sunrise ray", "Hesiodus", 17.2, 1.0, "S. J. O'Meara, Astronomy, 2022"),
)
"""Only those whose colongitude is published. The spread of the first is its source's own; one
degree for the rays, of which only the middle is given, is common practice, no source."""

LIMBS = {"north": (85.0, 0.0), "south": (-85.0, 0.0), "east": (0.0, 85.0), "west": (0.0, -85.0)}
"""Latitude and longitude of a place 5 degrees inside each mean limb: the limb counts as lit while
the Sun is up there."""
LIMB_FEATURE_DEG = 75.0
"""A feature farther than this from the centre of the mean disc belongs to the limb."""
EDGE_DEG = 88.0
"""Nearer to the limb than 2 degrees a feature is a line."""
LEAST_GAIN_DEG = 3.0
"""Libration brings a feature into view if it is nearer to the centre by this than on average."""
MEAN_DISC = np.array([[1.0], [0.0], [0.0]])


class View(Struct, frozen=True):
    """How the Moon is turned and lit at n instants."""

    libration_longitude_deg: Floats
    libration_latitude_deg: Floats
    colongitude_deg: Floats
    subsolar_deg: Floats

    def row(self, index: int) -> "View":
        """One instant, still as arrays."""
        one = slice(index, index + 1)
        return View(
            self.libration_longitude_deg[one],
            self.libration_latitude_deg[one],
            self.colongitude_deg[one],
            self.subsolar_deg[one],
        )

    @property
    def toward(self) -> Floats:
        """Direction of the observer on the Moon's axes, (3, n)."""
        longitude = np.radians(self.libration_longitude_deg)
        latitude = np.radians(self.libration_latitude_deg)
        level = np.cos(latitude)
        return np.stack([level * np.cos(longitude), level * np.sin(longitude), np.sin(latitude)])


def best_limbs(view: View) -> dict[str, int]:
    """For each limb the instant at which it is lit and turned to us the most, where any is."""
    tilts = {
        "north": view.libration_latitude_deg,
        "south": -view.libration_latitude_deg,
        "east": view.libration_longitude_deg,
        "west": -view.libration_longitude_deg,
    }
    found = {}
    for limb, (latitude, longitude) in LIMBS.items():
        sun = sun_altitude_deg(
            np.array(latitude), np.array(longitude), view.colongitude_deg, view.subsolar_deg
        )
        tilt = np.where(sun > 0, tilts[limb], -np.inf)
        if len(tilt) and tilt.max() > 0:
            found[limb] = int(tilt.argmax())
    return found


def brought_into_view(at: Places, view: View) -> Rows:
    """Limb features that libration shows, lit, at the view's one instant: greatest gain first."""
    usual = from_centre_deg(at.direction, MEAN_DISC)[:, 0]
    now = from_centre_deg(at.direction, view.toward)[:, 0]
    sun = sun_altitude_deg(
        at.latitude_deg, at.longitude_deg, view.colongitude_deg, view.subsolar_deg
    )
    lit = sun[:, 0] > 0
    gain = usual - now
    shown = (usual > LIMB_FEATURE_DEG) & (now < EDGE_DEG) & lit & (gain >= LEAST_GAIN_DEG)
    order = np.argsort(-gain, kind="stable")
    return order[shown[order]]
