"""``year.json`` says what the records say, in the contract's order, and its Schema holds it."""

import json
import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from msgspec.structs import replace

from almanac.almanac import compute, year_sky
from almanac.inputs.catalogue import load_catalogue
from almanac.inputs.config import load_config
from almanac.publish.feeds import year_json, year_schema
from almanac.records.year import Night, Window, YearAlmanac

SITE_CONFIG = Path(__file__).parents[2] / "site_config"
HOP_KEYS = [
    *("star", "hip", "at_utc", "altitude_deg", "azimuth_deg", "separation_deg"),
    *("hop_azimuth_deg", "hop_altitude_deg", "hop_utc", "turn_deg", "climb_deg"),
    *("moon_altitude_deg", "moon_azimuth_deg"),
    *("landing_chance", "sun_clearance_deg", "clear_min"),
]
LOW_SUN_KEYS = [
    *("date", "start_utc", "end_utc", "start_sun_altitude_deg", "end_sun_altitude_deg"),
]
BETTER_KEYS = ["day", "night", "start_utc", "end_utc", "judgement"]
CURVE_KEYS = ["count", "stars", "windows_served", "mean_landing_chance"]
KEYS = {
    "": [
        *("schema", "site", "year", "made_with", "phases", "apsides", "nights", "stars"),
        *("feature_years", "light_effects", "librations", "picks"),
        *("stars_to_learn", "month_skies", "eclipses", "occultations", "approaches"),
        *("sun_danger", "club_meetings", "outings"),
    ],
    "site": [
        *("name", "slug", "latitude_deg", "longitude_deg", "elevation_m", "timezone"),
        *("temperature_c", "pressure_hpa"),
    ],
    "phases": ["kind", "at_utc", "distance_km"],
    "apsides": ["kind", "at_utc", "distance_km"],
    "nights": [
        *("date", "start_utc", "end_utc", "sun", "moon", "windows", "no_window", "dark"),
        *("cautions", "rank"),
    ],
    "nights.sun": [
        *("set_utc", "civil_dusk_utc", "nautical_dusk_utc", "astronomical_dusk_utc"),
        *("astronomical_dawn_utc", "nautical_dawn_utc", "civil_dawn_utc", "rise_utc"),
        *("cap_by_utc", "lowest_altitude_deg", "highest_altitude_deg"),
    ],
    "nights.moon": [
        *("rises_utc", "sets_utc", "transits", "at_utc", "illuminated_fraction"),
        *("phase_angle_deg", "age_days", "distance_km", "angular_diameter_arcmin", "magnitude"),
        *("libration_longitude_deg", "libration_latitude_deg", "axis_position_angle_deg"),
        *("bright_limb_position_angle_deg", "colongitude_deg", "subsolar_latitude_deg"),
        *("zenith_position_angle_deg", "waxing"),
    ],
    "nights.moon.transits": ["at_utc", "altitude_deg"],
    "nights.windows": [
        *("start_utc", "end_utc", "best_utc", "altitude_deg", "azimuth_deg", "airmass"),
        *("diffraction_arcsec", "seeing_arcsec", "dispersion_arcsec", "sampling_arcsec"),
        *("finest_detail_km", "field_rotation_deg_per_hour", "longest_clip_s"),
        *("usual_clip_fits", "diameter_px", "framings", "exposure_stops", "daylight"),
        *("sun_separation_deg", "features"),
        *("calibration", "no_star", "slew_clearance_deg"),
    ],
    "nights.windows.framings": ["crop", "share", "panels_across", "panels_up"],
    "nights.windows.features": ["name", "sun_altitude_deg", "terminator"],
    "nights.windows.calibration": [*HOP_KEYS, "spare", "reasons"],
    "nights.windows.calibration.spare": HOP_KEYS,
    "nights.dark": ["start_utc", "end_utc"],
    "stars": [
        *("name", "hip", "ra_deg", "dec_deg", "magnitude", "note", "colour_bv"),
        *("months", "weeks", "windows_served"),
    ],
    "stars.months": ["evening_hours", "best_date", "events"],
    "stars.weeks": ["date", "start_utc", "end_utc"],
    "stars_to_learn": ["known", "fewest", "curve", "unserved", "trade_rule", "advised", "proven"],
    "stars_to_learn.curve": CURVE_KEYS,
    "stars_to_learn.trade_rule": CURVE_KEYS,
    "stars_to_learn.unserved": ["start_utc", "no_star"],
    "month_skies": ["month", "date", "at_utc", "later", "moon"],
    "month_skies.later": ["star", "hip", "at_utc", "altitude_deg", "azimuth_deg"],
    "month_skies.moon": ["date", "altitude_deg", "azimuth_deg"],
    "feature_years": [
        *("name", "kind", "latitude_deg", "longitude_deg", "diameter_km", "sunrises", "sunsets"),
    ],
    "feature_years.sunrises": LOW_SUN_KEYS,
    "feature_years.sunsets": LOW_SUN_KEYS,
    "light_effects": [
        *("name", "feature", "date", "start_utc", "end_utc", "middle_utc", "colongitude_deg"),
        *("tolerance_deg", "sun_altitude_deg", "source"),
    ],
    "librations": [
        *("limb", "date", "at_utc", "libration_longitude_deg", "libration_latitude_deg"),
        "features",
    ],
    "picks": [
        *("code", "stage", "rank", "date", "at_utc", "in_window", "value", "altitude_deg"),
        *("azimuth_deg", "illuminated_fraction", "waxing", "angular_diameter_arcmin"),
        *("sun_altitude_deg", "sun_separation_deg"),
    ],
    "club_meetings": [
        *("series", "title", "day", "night", "start_utc", "end_utc", "outdoors", "needs"),
        *("judgement", "reason", "moon", "dark", "better", "better_same_weekday", "clear_chance"),
    ],
    "club_meetings.moon": [
        *("start_utc", "end_utc", "best_utc", "altitude_deg", "azimuth_deg"),
        *("illuminated_fraction", "finest_detail_km", "star", "hip", "star_utc", "no_star"),
    ],
    "club_meetings.dark": ["start_utc", "end_utc"],
    "club_meetings.better": BETTER_KEYS,
    "club_meetings.better_same_weekday": BETTER_KEYS,
    "outings": ["kind", "title", "ranked_by", "rule", "dates", "proposals", "gaps"],
    "outings.rule": [
        *("weekdays", "lit", "moon", "lowest_altitude_deg", "hours_after_dark", "shortest_min"),
        *("least_landing_chance", "dates", "per_season", "spacing_days", "backups"),
        "backup_days",
    ],
    "outings.dates": [
        *("date", "start_utc", "end_utc", "best_utc", "season", "rank", "year_rank", "value"),
        *("clear_chance", "moon"),
    ],
    "outings.dates.moon": [
        *("window", "altitude_deg", "azimuth_deg", "illuminated_fraction", "waxing"),
        *("finest_detail_km", "landing_chance"),
    ],
    "outings.proposals": ["date", "backups", "chance"],
    "outings.proposals.backups": ["date", "days", "chance"],
    "outings.gaps": ["days", "pairs", "chance"],
}
"""Keys in order, by the path of the object: the contract, with what the records hold besides."""

LOSS = {
    # Most that rounding may move a figure: a tenth of the agreement asked of the almanac itself.
    "altitude_deg": 0.0001,  # 0.4", of 1" to 10" against independent places
    "azimuth_deg": 0.0001,
    "hop_azimuth_deg": 0.0001,
    "hop_altitude_deg": 0.0001,
    "separation_deg": 0.0005,
    "distance_km": 0.01,  # of 0.1 km
    "illuminated_fraction": 0.00005,  # of 0.0005
    "bright_limb_position_angle_deg": 0.001,
    "landing_chance": 0.0001,
    "finest_detail_km": 0.0001,
    "airmass": 0.0001,
    "latitude_deg": 0.000001,
    "longitude_deg": 0.000001,
    "ra_deg": 0.000001,
    "dec_deg": 0.000001,
}


def parsed(almanac: YearAlmanac) -> dict[str, Any]:
    """The file read back."""
    return json.loads(year_json(almanac))


def objects(value: object, path: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """Every object of a JSON value with its path."""
    if isinstance(value, list):
        for item in value:
            yield from objects(item, path)
    elif isinstance(value, dict):
        yield path, value
        for key, member in value.items():
            yield from objects(member, f"{path}.{key}".lstrip("."))


def leaves(value: object, key: str = "") -> Iterator[tuple[str, object]]:
    """Every figure of a JSON value with its key, in order."""
    if isinstance(value, dict):
        for name, member in value.items():
            yield from leaves(member, name)
    elif isinstance(value, list):
        for item in value:
            yield from leaves(item, key)
    else:
        yield key, value


def faults(text: str) -> list[str]:
    """What the Schema has against a text."""
    validator = Draft202012Validator(
        json.loads(year_schema()), format_checker=Draft202012Validator.FORMAT_CHECKER
    )
    return [error.message for error in validator.iter_errors(json.loads(text))]


def possible(almanac: YearAlmanac) -> YearAlmanac:
    """Without the nights whose made-up hop, turn and climb plainly added, exceeds 180 deg."""
    far = {
        night.date
        for night in almanac.nights
        for window in night.windows
        if (found := window.calibration)
        for star in (found.chosen, found.spare)
        if star and star.separation_deg > 180
    }
    return replace(almanac, nights=tuple(n for n in almanac.nights if n.date not in far))


def first_window(almanac: YearAlmanac) -> tuple[int, Window]:
    """Index of the first night whose window has a star and a spare, and that window."""
    for index, night in enumerate(almanac.nights):
        for window in night.windows[:1]:
            if window.calibration and window.calibration.spare:
                return index, window
    raise AssertionError("the made-up year has no such window")


def short(almanac: YearAlmanac, night: Night) -> YearAlmanac:
    """The almanac with one night in it."""
    return replace(almanac, nights=(night,))


@pytest.mark.parametrize("year", ["north", "south", "polar"])
def test_a_year_is_valid_by_its_schema(year: str, request: pytest.FixtureRequest) -> None:
    """Northern, southern and polar years, whatever does not happen in them, all pass."""
    almanac = possible(request.getfixturevalue(year))
    assert len(almanac.nights) > 350
    assert faults(year_json(almanac)) == []


def test_a_computed_year_is_valid_by_its_schema_wherever_it_is() -> None:
    """From a config to the file: a mid-latitude site, the far north and the pole."""
    config = load_config(SITE_CONFIG / "southern.toml")
    catalogue = load_catalogue()
    sky = year_sky(2027, catalogue)
    for latitude_deg in (config.sites[0].latitude_deg, 69.6, 90.0):
        site = replace(config.sites[0], latitude_deg=latitude_deg)
        text = year_json(compute(config, site, sky, catalogue))
        assert faults(text) == [], latitude_deg
        assert len(json.loads(text)["nights"]) == 365


def test_the_schema_itself_is_valid_closed_and_explained() -> None:
    """Draft 2020-12; no object allows a stranger; every field says what it means."""
    schema = json.loads(year_schema())
    Draft202012Validator.check_schema(schema)
    assert schema["$schema"].endswith("2020-12/schema")
    closed = [o for _, o in objects(schema) if o.get("type") in ("object", ["object", "null"])]
    assert closed
    for form in closed:
        assert form["additionalProperties"] is False
        assert form["required"] == list(form["properties"])
        assert all(len(field["description"]) >= 8 for field in form["properties"].values())


def test_keys_are_the_contract_in_order(north: YearAlmanac) -> None:
    """Each object has its keys, all of them and in order, and every kind of object is met."""
    seen = set()
    for path, item in objects(parsed(north)):
        if path != "made_with":
            assert list(item) == KEYS[path], path
            seen.add(path)
    assert seen == set(KEYS)


def test_what_is_not_computed_yet_is_empty_or_null(north: YearAlmanac) -> None:
    """Keys kept for later stand there, holding nothing."""
    year = parsed(north)
    assert [year[key] for key in ("eclipses", "occultations", "approaches")] == [[]] * 3


@pytest.mark.parametrize(
    ("instant", "text"),
    [
        (datetime(2027, 3, 21, 19, 4, 10, 499_999, UTC), "2027-03-21T19:04:10Z"),
        (datetime(2027, 3, 21, 19, 4, 10, 500_000, UTC), "2027-03-21T19:04:11Z"),
        (datetime(2027, 12, 31, 23, 59, 59, 700_000, UTC), "2028-01-01T00:00:00Z"),
        (
            datetime(2027, 3, 21, 9, 4, 11, tzinfo=timezone(timedelta(hours=-9, minutes=-30))),
            "2027-03-21T18:34:11Z",
        ),
    ],
)
def test_instants_are_rounded_to_the_second_in_utc(
    north: YearAlmanac, instant: datetime, text: str
) -> None:
    """Rounded, never cut, and in UTC whatever zone the record's instant is in."""
    phase = replace(north.phases[0], at_utc=instant)
    assert parsed(replace(north, phases=(phase,)))["phases"][0]["at_utc"] == text


def test_an_instant_without_a_zone_is_refused(north: YearAlmanac) -> None:
    """A naive time could be anything: it never reaches the file."""
    phase = replace(north.phases[0], at_utc=datetime(2027, 3, 21))
    with pytest.raises(ValueError, match="no time zone"):
        year_json(replace(north, phases=(phase,)))


@pytest.mark.parametrize("figure", [float("nan"), float("inf")])
def test_a_number_that_is_none_is_refused(north: YearAlmanac, figure: float) -> None:
    """JSON has no NaN; a reader must not meet one."""
    phase = replace(north.phases[0], distance_km=figure)
    with pytest.raises(ValueError, match="not JSON compliant"):
        year_json(replace(north, phases=(phase,)))


def test_an_azimuth_that_rounds_to_full_circle_is_north(north: YearAlmanac) -> None:
    """359.99999 is 0.0, not 360.0; and no figure is a negative zero."""
    index, window = first_window(north)
    window = replace(window, azimuth_deg=359.999_99, exposure_stops=-0.001)
    night = replace(north.nights[index], windows=(window,))
    text = year_json(short(north, night))
    assert json.loads(text)["nights"][0]["windows"][0]["azimuth_deg"] == 0.0
    assert not re.search(r"-0\.0[,}\]]", text)
    assert faults(text) == []


def test_calibration_holds_the_chosen_star_with_the_spare_inside(north: YearAlmanac) -> None:
    """The chosen star's fields lie flat, the spare's the same way one level down."""
    index, window = first_window(north)
    calibration = window.calibration
    assert calibration
    assert calibration.spare
    found = parsed(north)["nights"][index]["windows"][0]["calibration"]
    assert (found["star"], found["hip"]) == (calibration.chosen.star, calibration.chosen.hip)
    assert found["hop_azimuth_deg"] == pytest.approx(calibration.chosen.hop_azimuth_deg, abs=6e-5)
    assert found["spare"]["hip"] == calibration.spare.hip != found["hip"]
    alone = replace(window, calibration=replace(calibration, spare=None))
    night = replace(north.nights[index], windows=(alone,))
    found = parsed(short(north, night))["nights"][0]["windows"][0]["calibration"]
    assert found["spare"] is None


def test_a_window_without_a_star_says_why(north: YearAlmanac) -> None:
    """calibration is null and no_star has the code; with a star it is the other way round."""
    index, window = first_window(north)
    bare = replace(window, calibration=None, no_star="too_bright_to_solve")
    night = replace(north.nights[index], windows=(window, bare))
    with_star, without = parsed(short(north, night))["nights"][0]["windows"]
    assert (with_star["no_star"], without["calibration"]) == (None, None)
    assert without["no_star"] == "too_bright_to_solve"


def test_a_night_without_a_window_says_why(polar: YearAlmanac) -> None:
    """No window, a code; a window, no code; and events that do not happen are null."""
    nights = parsed(polar)["nights"]
    assert all((night["no_window"] is None) == bool(night["windows"]) for night in nights)
    assert any(night["sun"]["set_utc"] is None for night in nights)
    assert any(night["dark"] is None for night in nights)


@pytest.mark.parametrize("year", ["north", "south"])
def test_rounding_never_costs_accuracy(year: str, request: pytest.FixtureRequest) -> None:
    """No figure moves by more than a tenth of the agreement that is asked of it."""
    almanac: YearAlmanac = request.getfixturevalue(year)
    found = parsed(almanac)
    pairs = [
        *zip(almanac.nights, found["nights"], strict=True),
        *((n.moon, f["moon"]) for n, f in zip(almanac.nights, found["nights"], strict=True)),
        *zip(almanac.phases, found["phases"], strict=True),
        *zip(almanac.stars, found["stars"], strict=True),
        (almanac.site, found["site"]),
    ]
    for night, item in zip(almanac.nights, found["nights"], strict=True):
        pairs += zip(night.windows, item["windows"], strict=True)
        pairs += [
            (window.calibration.chosen, entry["calibration"])
            for window, entry in zip(night.windows, item["windows"], strict=True)
            if window.calibration
        ]
    checked = set()
    for holder, item in pairs:
        for key in LOSS.keys() & item.keys():
            assert item[key] == pytest.approx(getattr(holder, key), abs=LOSS[key]), key
            checked.add(key)
    assert checked == set(LOSS)


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("nights", 0, "stranger"), 1),
        (("nights", 0, "moon", "at_utc"), "2027-03-21 19:04:11"),
        (("nights", 0, "moon", "illuminated_fraction"), 1.2),
        (("nights", 0, "cautions"), ["Two words"]),
        (("phases", 0, "kind"), "blue"),
        (("stars", 0, "months"), []),
        (("stars", 0, "ra_deg"), 360.0),
        (("year",), "2027"),
        (("nights", 0, "date"), "21 March"),
    ],
)
def test_the_schema_refuses_what_the_contract_does_not_allow(
    north: YearAlmanac, path: tuple[str | int, ...], value: object
) -> None:
    """A stranger's key, a local time, a fraction above one and the like are each one fault."""
    year = parsed(short(north, north.nights[0]))
    holder: Any = year
    for step in path[:-1]:
        holder = holder[step]
    holder[path[-1]] = value
    assert len(faults(json.dumps(year))) == 1


def test_a_missing_key_is_a_fault(north: YearAlmanac) -> None:
    """Every key is required: a reader need never ask whether it is there."""
    year = parsed(short(north, north.nights[0]))
    del year["nights"][0]["dark"]
    assert faults(json.dumps(year)) == ["'dark' is a required property"]


def test_the_text_is_the_same_every_time_and_reads_by_line(north: YearAlmanac) -> None:
    """Two writings are equal; each night stands on its own line; the last line is ended."""
    text = year_json(north)
    assert text == year_json(north)
    assert text.endswith("}\n")
    assert sum(line.startswith('{"date"') for line in text.splitlines()) == len(north.nights)
