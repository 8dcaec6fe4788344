"""Random configs as TOML text: valid ones from every corner of the bounds, drawn by a seed.

What can be drawn stands here alone; that each text is valid is tested by loading it.
"""

from importlib.resources import files

import numpy as np

ODD_ZONES = (
    "Pacific/Chatham",
    "Asia/Kathmandu",
    "Pacific/Apia",
    "Pacific/Kwajalein",
    "Australia/Lord_Howe",
    "Pacific/Kiritimati",
    "Africa/Monrovia",
    "Europe/Amsterdam",
    "America/St_Johns",
    "Antarctica/Troll",
    "America/Metlakatla",
    "Etc/GMT+12",
)
"""Odd offsets, a skipped or a doubled day, half an hour of summer time, two hours of it."""
ZONES = tuple(files("tzdata").joinpath("zones").read_text(encoding="utf-8").split())
LATITUDES_DEG = (90.0, -90.0, 89.9, -78.2, 69.4, 66.56, 51.4, 21.3, 0.0, -31.3)
LONGITUDES_DEG = (180.0, -180.0, 179.99, 0.0, -0.1)
WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday", "every")


class Draw:
    """Random choices from one seed."""

    def __init__(self, *seed: int) -> None:
        """The same seed gives the same choices on every machine."""
        self.rng = np.random.default_rng(seed)

    def chance(self, probability: float) -> bool:
        """True so often."""
        return bool(self.rng.random() < probability)

    def real(self, low: float, high: float, digits: int = 3) -> float:
        """A number of so many decimals within the bounds, at times the bound itself."""
        if self.chance(0.1):
            return low if self.chance(0.5) else high
        return round(float(self.rng.uniform(low, high)), digits)

    def whole(self, low: int, high: int) -> int:
        """A whole number, both ends included."""
        return int(self.rng.integers(low, high, endpoint=True))

    def one(self, choices: tuple[object, ...]) -> object:
        """One of them."""
        return choices[int(self.rng.integers(len(choices)))]


def config_text(draw: Draw) -> str:
    """A valid config of one site and one year."""
    highest = draw.real(20, 90)
    parts = [
        f'[club]\nname = "Made Up Skywatchers"\nyears = [{draw.whole(1900, 2052)}]',
        site_text(draw),
        telescope_text(draw, highest),
        moon_text(draw, highest),
        stars_text(draw, highest),
        safety_text(draw),
    ]
    return "\n".join(parts) + "\n"


def site_text(draw: Draw) -> str:
    """``[[site]]``; a third of the zones is odd, a third anywhere, a third near the longitude."""
    longitude = float(draw.one(LONGITUDES_DEG)) if draw.chance(0.2) else draw.real(-180, 180)
    near = f"Etc/GMT{-round(longitude / 15):+d}"
    zone = draw.one((draw.one(ODD_ZONES), draw.one(ZONES), near))
    latitude = draw.one(LATITUDES_DEG) if draw.chance(0.4) else draw.real(-90, 90)
    lines = [
        "[[site]]",
        'name = "Quarry Field"',
        f"latitude_deg = {latitude}",
        f"longitude_deg = {longitude}",
        f'timezone = "{"UTC" if zone == "Factory" else zone}"',
        f"elevation_m = {draw.real(-450, 9000)}",
        f"temperature_c = {draw.real(-90, 60)}",
        f"seeing_arcsec = {draw.real(0.2, 20)}",
    ]
    if draw.chance(0.5):
        lines.append(f"pressure_hpa = {draw.real(300, 1100)}")
    if draw.chance(0.5):
        lines.append(f"clear_sky = {[draw.real(0, 1) for _ in range(12)]}")
    if draw.chance(0.6):
        lines.append(f"horizon = {horizon_points(draw)}")
    return "\n".join(lines)


def horizon_points(draw: Draw) -> list[list[float]]:
    """Slopes, steps, spikes, a wall with a gap, or no sky at all; in any order."""
    kind = draw.one(("slopes", "steps", "spikes", "gap", "pit"))
    count = draw.whole(1, 60)
    azimuths = [draw.real(0, 360, 2) for _ in range(count)]
    if kind == "slopes":
        return [[azimuth, draw.real(-5, 30)] for azimuth in azimuths]
    if kind == "steps":
        return [[azimuth, draw.real(0, 40)] for azimuth in azimuths for _ in range(2)]
    if kind == "spikes":
        return [
            [round(min(azimuth + off, 360.0), 3), height]
            for azimuth in azimuths
            for off, height in ((0.0, 0.0), (0.05, draw.real(0, 90)), (0.1, 0.0))
        ]
    edge = draw.real(0, 300)
    wall = [[edge, 70.0], [edge, 0.0], [edge + draw.real(1, 50), 0.0], [edge + 59, 70.0]]
    return wall if kind == "gap" else [[0.0, 90.0]]


def telescope_text(draw: Draw, highest: float) -> str:
    """``[telescope]``."""
    short = draw.real(300, 1000)
    return f"""[telescope]
aperture_mm = {draw.real(10, 2000)}
focal_length_mm = {draw.real(20, 20000)}
pixel_um = {draw.real(0.5, 50)}
sensor_px = [{draw.whole(16, 20000)}, {draw.whole(16, 20000)}]
mount = "{draw.one(("altaz", "equatorial"))}"
highest_altitude_deg = {highest}
park = [{draw.real(0, 360)}, {draw.real(-90, 90)}]
level_error_deg = {draw.real(0.01, 10)}
passband_nm = [{short}, {short + draw.real(1, 100)}]"""


def moon_text(draw: Draw, highest: float) -> str:
    """``[moon]`` with hours for some weekdays."""
    lowest = draw.real(0, min(highest - 1, 89)) if draw.chance(0.3) else draw.real(0, 15)
    lines = [
        "[moon]",
        f"lowest_altitude_deg = {lowest}",
        f"thinnest_fraction = {draw.real(0, 0.3) if draw.chance(0.9) else draw.real(0, 1)}",
        f"shortest_window_min = {draw.real(1, 90)}",
        f"daylight = {str(draw.chance(0.4)).lower()}",
    ]
    if draw.chance(0.5):
        lines.append("[moon.hours]")
        days = [day for day in WEEKDAYS if draw.chance(0.5)]
        lines += [f"{day} = {evening(draw)}" for day in days]
    return "\n".join(lines)


def evening(draw: Draw) -> str:
    """Some spans of an evening, in order, from noon to noon."""
    minutes = sorted({draw.whole(0, 1439) for _ in range(2 * draw.whole(0, 3))})
    pairs = zip(minutes[::2], minutes[1::2], strict=False)
    return str([[clock(start), clock(end)] for start, end in pairs]).replace("'", '"')


def clock(minutes_after_noon: int) -> str:
    """A wall-clock time."""
    hours, minutes = divmod(minutes_after_noon + 720, 60)
    return f"{hours % 24:02d}:{minutes:02d}"


def stars_text(draw: Draw, highest: float) -> str:
    """``[stars]``."""
    lowest = draw.real(0, min(highest - 1, 60))
    known = ["Vega", "Capella", "Sirius", "Canopus", "Polaris"][: draw.whole(0, 5)]
    return f"""[stars]
faintest_magnitude = {draw.real(-1, 6)}
lowest_altitude_deg = {lowest}
highest_altitude_deg = {draw.real(lowest + 1, 90)}
least_moon_separation_deg = {draw.real(0, 90) if draw.chance(0.2) else draw.real(0, 20)}
solve_below_sun_deg = {draw.real(-18, 0)}
lead_min = {draw.real(0, 180) if draw.chance(0.2) else draw.real(0, 30)}
known = {str(known).replace("'", '"')}"""


def safety_text(draw: Draw) -> str:
    """``[safety]``."""
    caution = draw.real(10, 180)
    return f"""[safety]
sun_caution_deg = {caution}
sun_stop_deg = {draw.real(5, min(caution, 90))}
cap_before_sunrise_min = {draw.real(5, 240)}"""
