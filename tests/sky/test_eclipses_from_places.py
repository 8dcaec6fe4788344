"""Eclipses of the Sun from single places: published circumstances, and plain Skyfield by roots."""

from collections.abc import Callable
from functools import cache
from typing import Any, NamedTuple

import numpy as np
import pytest
from scipy.optimize import brentq, minimize_scalar

from almanac.records.agreement import CONTACT_PUBLISHED_S, CONTACT_SKYFIELD_S, ECLIPSED_PART
from almanac.records.config import Site
from almanac.sky.eclipse_views import LocalEclipse, discs, local_eclipse, standing_deg
from almanac.sky.kernel import Kernel
from almanac.sky.phases import find_phases
from almanac.sky.site_sky import SiteSky
from almanac.sky.solar_eclipses import SolarEclipse, solar_eclipses
from almanac.sky.year_sky import YearSky, build_year_sky

MakeSite = Callable[..., Site]
Rows = Callable[[str], list[dict[str, str]]]

SAME_EARTH_S = 3.0
"""Publishers predict the Earth's turn years ahead: only tables made near their eclipse, or long
after it, hold to the stricter figure."""
PREDICTED_TURN = "2024"
OWN_PART, OWN_DEG = 0.0002, 0.01
STEP_S = 240.0
GRID_S = np.arange(-60.0, 61.0) * STEP_S
SUN_KM, MOON_KM, INNER_KM = 696000.0, 0.2725076 * 6378.137, 0.272281 * 6378.137
RISEN_DEG = -50 / 60


class Place(NamedTuple):
    """A city and an eclipse of the Sun."""

    date: str
    city: str
    latitude_deg: float
    longitude_deg: float


PLACES = (
    Place("1999-08-11", "Bucharest", 44.43, 26.10),
    Place("2003-05-31", "Reykjavik", 64.15, -21.94),
    Place("2003-05-31", "Paris", 48.85, 2.35),
    Place("2005-04-08", "Panama", 8.98, -79.52),
    Place("2005-10-03", "Madrid", 40.42, -3.70),
    Place("2012-05-20", "Albuquerque", 35.08, -106.65),
    Place("2015-03-20", "Tromso", 69.65, 18.96),
    Place("2019-07-02", "Buenos Aires", -34.60, -58.38),
    Place("2023-04-20", "Exmouth", -21.93, 114.13),
    Place("2026-08-12", "Palma", 39.57, 2.65),
    Place("2028-01-26", "Seville", 37.39, -5.98),
    Place("2030-06-01", "Athens", 37.98, 23.73),
    Place("2034-03-20", "Lagos", 6.45, 3.39),
    Place("2037-07-13", "Sydney", -33.87, 151.21),
    Place("2041-10-25", "Kyoto", 35.01, 135.77),
    Place("2045-08-12", "Orlando", 28.54, -81.38),
)
UNSEEN = (
    Place("2024-04-08", "Sydney", -33.87, 151.21),
    Place("2017-08-21", "Berlin", 52.52, 13.40),
)
"""The Sun is down there all the while."""


@pytest.fixture(scope="module")
def sky_of_eclipse(kernel: Kernel, catalogue: Any) -> Callable[[str], tuple[YearSky, SolarEclipse]]:
    """The sky of a year and the eclipse of the Sun nearest a date."""

    @cache
    def year(number: int) -> tuple[YearSky, list[SolarEclipse]]:
        sky = build_year_sky(kernel, number, catalogue.stars[:1])
        first = float(np.datetime64(f"{number}-01-01", "s").astype(int))
        phases = find_phases(sky, first, first + 365 * 86400)
        return sky, solar_eclipses(sky, phases.utc_s[np.array(phases.kinds) == "new"])

    def nearest(day: str) -> tuple[YearSky, SolarEclipse]:
        sky, found = year(int(day[:4]))
        noon = float(np.datetime64(f"{day}T12:00", "s").astype(int))
        one = min(found, key=lambda eclipse: abs(eclipse.greatest_s - noon))
        assert abs(one.greatest_s - noon) < 86400
        return sky, one

    return nearest


def test_published_circumstances(
    sky_of_eclipse: Callable[[str], tuple[YearSky, SolarEclipse]],
    make_site: MakeSite,
    published: Rows,
) -> None:
    """Contacts, magnitude, obscuration and the Sun's height of eight places and three eclipses."""
    for row in published("local_eclipses.csv"):
        sky, one = sky_of_eclipse(row["date"])
        where = make_site(
            float(row["latitude"]), float(row["longitude"]), float(row["elevation_m"])
        )
        site_sky = SiteSky(sky, where)
        local = local_eclipse(site_sky, one.greatest_s)
        assert local is not None, row
        ut = float(np.datetime64(f"{row['date']}T{row['ut']}", "ms").astype(int)) / 1000
        limit = CONTACT_PUBLISHED_S if row["date"].startswith(PREDICTED_TURN) else SAME_EARTH_S
        assert local.contacts_s[row["phase"]] == pytest.approx(ut, abs=limit), row
        seen = discs(site_sky, np.array([local.contacts_s["greatest"]]))
        if row["magnitude"]:
            assert seen.magnitude[0] == pytest.approx(float(row["magnitude"]), abs=ECLIPSED_PART), (
                row
            )
            assert seen.obscuration[0] == pytest.approx(
                float(row["obscuration"]), abs=ECLIPSED_PART
            ), row


class Plain:
    """An eclipse from a place by plain Skyfield and SciPy."""

    def __init__(self, direct: Any, where: Site, greatest_s: float) -> None:
        """Look from the site about an instant."""
        self.direct, self.where, self.middle_s = direct, where, greatest_s

    def look(self, *utc_s: float) -> tuple[Any, Any, Any, Any]:
        """Separation, and radii of Sun, Moon and its valleys, in degrees."""
        times = self.direct.times(*utc_s)
        here = self.direct.observer(self.where).at(times)
        sun = here.observe(self.direct.ephemeris["sun"]).apparent()
        moon = here.observe(self.direct.ephemeris["moon"]).apparent()
        radii = (
            np.degrees(np.arcsin(size / body.distance().km))
            for size, body in ((SUN_KM, sun), (MOON_KM, moon), (INNER_KM, moon))
        )
        return (sun.separation_from(moon).degrees, *radii)

    def altitude_deg(self, utc_s: Any) -> Any:
        """Of the Sun's centre, airless."""
        sun = self.direct.ephemeris["sun"]
        return self.direct.seen(sun, self.where, self.direct.times(*utc_s)).altitude_deg

    def margin(self, utc_s: float, inner: bool) -> float:
        """Positive between first and last contact, or second and third."""
        apart, sun, moon, valley = (float(one[0]) for one in self.look(utc_s))
        reach = sun - valley if inner else sun + moon
        return reach**2 - apart**2

    def contacts(self) -> dict[str, float]:
        """The contacts by brackets of four minutes."""
        apart, sun, moon, _ = self.look(*(self.middle_s + GRID_S))
        inside = np.flatnonzero(apart < sun + moon)
        if not len(inside):
            return {}
        low, high = self.middle_s + GRID_S[inside[0]], self.middle_s + GRID_S[inside[-1]]
        near = minimize_scalar(
            lambda shift: float(self.look(low + shift)[0][0]),
            bounds=(0.0, high - low),
            method="bounded",
            options={"xatol": 0.05},
        )
        found = {"greatest": low + near.x}
        found["c1"], found["c4"] = (
            brentq(self.margin, one - STEP_S, one, args=(False,), xtol=1e-2)
            if one == low
            else brentq(self.margin, one, one + STEP_S, args=(False,), xtol=1e-2)
            for one in (low, high)
        )
        if self.margin(found["greatest"], True) > 0:
            for code, edge in (("c2", -900.0), ("c3", 900.0)):
                at = found["greatest"]
                found[code] = brentq(self.margin, *sorted((at, at + edge)), args=(True,), xtol=1e-2)
        return found


@pytest.mark.parametrize("place", [*PLACES, *UNSEEN], ids=lambda p: f"{p.date}-{p.city}")
def test_cities_by_plain_skyfield(
    place: Place,
    sky_of_eclipse: Callable[[str], tuple[YearSky, SolarEclipse]],
    make_site: MakeSite,
    direct: Any,
) -> None:
    """Contacts, magnitude, obscuration and what of it stands above the horizon."""
    sky, one = sky_of_eclipse(place.date)
    where = make_site(place.latitude_deg, place.longitude_deg)
    site_sky = SiteSky(sky, where)
    local, plain = local_eclipse(site_sky, one.greatest_s), Plain(direct, where, one.greatest_s)
    assert local is not None
    assert local.contacts_s == pytest.approx(plain.contacts(), abs=CONTACT_SKYFIELD_S)
    at = np.array(list(local.contacts_s.values()))
    _, sun, _, valley = plain.look(local.contacts_s["greatest"])
    central = "total" if valley[0] > sun[0] else "annular"
    assert local.kind == (central if "c2" in local.contacts_s else "partial")
    up = plain.altitude_deg(at) > RISEN_DEG
    assert (standing_deg(site_sky, "sun", at) > 0).tolist() == up.tolist()
    assert not (up.any() and place in UNSEEN)
    check_discs(site_sky, local, plain)


def check_discs(site_sky: SiteSky, local: LocalEclipse, plain: Plain) -> None:
    """Magnitude and the Sun's airless height at greatest eclipse."""
    at = local.contacts_s["greatest"]
    seen = discs(site_sky, np.array([at]))
    apart, sun, moon, _ = (float(part[0]) for part in plain.look(at))
    assert seen.magnitude[0] == pytest.approx((sun + moon - apart) / (2 * sun), abs=OWN_PART)
    height = plain.altitude_deg(np.array([at]))
    assert seen.sun.altitude_deg == pytest.approx(height, abs=OWN_DEG)


def test_a_place_outside_the_shadow_has_no_contacts(
    sky_of_eclipse: Callable[[str], tuple[YearSky, SolarEclipse]], make_site: MakeSite
) -> None:
    """The shadow of 2027-08-02 never comes near Tierra del Fuego."""
    sky, one = sky_of_eclipse("2027-08-02")
    assert local_eclipse(SiteSky(sky, make_site(-54.8, -68.3)), one.greatest_s) is None
