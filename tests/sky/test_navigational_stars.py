"""The shipped stars' places against an independent list of the navigational stars."""

import numpy as np
import pytest

from almanac.sky.star_places import mean_places


def test_every_navigational_star_has_its_j2000_place(catalogue, published):
    """Carried from J1991.25 by proper motion, each of the 58 is within 0.02" of the list."""
    rows = published("navigational_stars.csv")
    assert len(rows) == 58
    ascension, declination = mean_places(catalogue.stars, 0.0)
    index = {star.hip: row for row, star in enumerate(catalogue.stars)}
    for row in rows:
        mine = index[int(row["hip"])]
        north = declination[mine] - float(row["dec_deg"])
        east = (ascension[mine] - float(row["ra_deg"])) * np.cos(np.radians(declination[mine]))
        assert np.hypot(north, east) * 3600 < 0.02, row["name"]


@pytest.mark.parametrize(
    ("name", "moved_arcsec"), [("Rigil Kentaurus", 32.0), ("Arcturus", 20.0), ("Sirius", 12.0)]
)
def test_proper_motion_from_the_catalogue_s_epoch_is_applied(name, moved_arcsec, catalogue):
    """Between J1991.25 and J2000.0 the fast stars move as the catalogue's motions say."""
    star = next(star for star in catalogue.stars if star.name == name)
    ascension, declination = mean_places((star,), 0.0)
    north = declination[0] - star.dec_deg
    east = (ascension[0] - star.ra_deg) * np.cos(np.radians(star.dec_deg))
    assert np.hypot(north, east) * 3600 == pytest.approx(moved_arcsec, abs=0.6)
