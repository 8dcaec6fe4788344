"""Tables that ship with the almanac: stars, patterns, lunar features."""

import numpy as np
from msgspec import Struct
from numpy.typing import NDArray

Floats = NDArray[np.float64]


class Star(Struct, frozen=True):
    """A named bright star that can serve to calibrate on (Hipparcos 1997, I/239)."""

    name: str
    hip: int
    ra_deg: float
    """ICRS at epoch J1991.25."""
    dec_deg: float
    pm_ra_mas: float
    """Proper motion in right ascension times cos(dec), mas/yr."""
    pm_dec_mas: float
    parallax_mas: float
    magnitude: float
    """V."""
    note: str
    """Double or variable, in a few words, or empty."""
    colour_bv: float | None = None
    """Colour index B-V (Hipparcos 1997, I/239), magnitudes."""


class ZodiacStar(Star, frozen=True):
    """A star near enough to the ecliptic for the Moon to hide (Hipparcos re-reduction, I/311)."""

    band: str = "Hp"
    """Of the magnitude: V or Hp."""
    group: str = ""
    """Pleiades, Hyades or empty."""


class Cluster(Star, frozen=True):
    """A star cluster by its centre; its motion is left out."""

    diameter_arcmin: float = 0.0


class BackgroundStars(Struct, frozen=True):
    """Stars of the charts, as arrays of one length (Hipparcos re-reduction, I/311)."""

    hip: NDArray[np.int64]
    ra_deg: Floats
    """ICRS at J2000.0 (proper motion applied from J1991.25)."""
    dec_deg: Floats
    magnitude: Floats


class LunarFeature(Struct, frozen=True):
    """A named feature of the Moon (IAU/USGS Gazetteer)."""

    name: str
    latitude_deg: float
    longitude_deg: float
    """East positive, -180 to 180."""
    diameter_km: float
    kind: str


class Catalogue(Struct, frozen=True):
    """All tables together."""

    stars: tuple[Star, ...]
    background: BackgroundStars
    patterns: tuple[tuple[int, int], ...]
    """Pairs of HIP numbers joined by a line on the charts."""
    features: tuple[LunarFeature, ...]
    zodiac: tuple[ZodiacStar, ...] = ()
    """In order of HIP number."""
    clusters: tuple[Cluster, ...] = ()

    @property
    def beside_ecliptic(self) -> tuple[Star, ...]:
        """Stars and clusters that the Moon passes, in the order of the sky's nodes."""
        return (*self.zodiac, *self.clusters)
