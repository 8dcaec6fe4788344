"""A good config becomes records, with every default filled in."""

from collections.abc import Callable
from datetime import date, time
from hashlib import sha256
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from msgspec.structs import fields

from almanac.inputs.config import load_config
from almanac.inputs.outings import KINDS
from almanac.records.config import (
    Club,
    Horizon,
    HoursSpan,
    Meeting,
    MoonLimits,
    OutingRule,
    SafetyLimits,
    Site,
    StarLimits,
    Telescope,
)

SHIPPED = sorted((Path(__file__).resolve().parents[2] / "site_config").glob("*.toml"))
TextFile = Callable[[str], Path]
Edited = Callable[..., str]
TABLES = (Club, Site, Telescope, MoonLimits, StarLimits, SafetyLimits, Meeting, OutingRule)


def test_the_minimal_config_has_the_published_defaults(edited: Edited, club_file: TextFile) -> None:
    """Eight lines are enough; everything else is the default that the plan of the house names."""
    config = load_config(club_file(edited()))
    assert config.club == Club("Juniper Hollow Skywatchers", (2027,), "en", None, "")
    assert config.sites == (
        Site(
            name="Quarry Field",
            slug="quarry-field",
            latitude_deg=44.6,
            longitude_deg=2.9,
            elevation_m=0.0,
            timezone="Europe/Paris",
            horizon=Horizon((0.0,), (0.0,)),
            temperature_c=10.0,
            pressure_hpa=1013.25,
            seeing_arcsec=2.0,
            clear_sky=None,
        ),
    )
    assert config.telescope == Telescope(
        aperture_mm=60.0,
        focal_length_mm=300.0,
        pixel_um=2.9,
        sensor_px=(1080, 1920),
        mount="altaz",
        highest_altitude_deg=85.0,
        park=(0.0, 0.0),
        level_error_deg=0.3,
        passband_nm=(450.0, 650.0),
    )
    assert config.moon == MoonLimits(15.0, 0.03, 20.0, False, (None,) * 7)
    assert config.stars == StarLimits(2.0, 15.0, 80.0, 8.0, -7.0, 15.0, ())
    assert config.safety == SafetyLimits(30.0, 15.0, 20.0)
    assert config.meetings == ()


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.name)
def test_the_shipped_configs_load(path: Path) -> None:
    """Each config in site_config is a good one."""
    config = load_config(path)
    assert config.club.years[0] == 2027
    assert all(ZoneInfo(site.timezone) for site in config.sites)


def test_the_shipped_configs_are_the_four_promised() -> None:
    """A northern and a southern demo, the least one, and one of several sites and years."""
    names = ["demo.toml", "minimal.toml", "southern.toml", "valleys.toml"]
    assert [path.name for path in SHIPPED] == names


def test_the_demo_explains_every_key() -> None:
    """The demo is the documentation of the config: each key stands in it."""
    words = SHIPPED[0].read_text(encoding="utf-8")
    for table in TABLES:
        for field in fields(table):
            key = "duration" if field.name == "duration_min" else field.name
            assert f"\n{key} = " in words or f"[moon.{key}]" in words


def test_the_demo_has_two_sites_with_profiles_of_their_own() -> None:
    """The demo's sites differ in their ground, and one has no clear-sky figures."""
    sites = load_config(SHIPPED[0]).sites
    assert [len(site.horizon.azimuth_deg) for site in sites] == [38, 35]
    assert [site.clear_sky is None for site in sites] == [False, True]


def test_whole_numbers_serve_as_numbers(edited: Edited, club_file: TextFile) -> None:
    """``latitude_deg = 45`` is a number, and is kept as a float."""
    site = load_config(club_file(edited("[[site]] latitude_deg = 45"))).sites[0]
    assert site.latitude_deg == 45.0
    assert isinstance(site.latitude_deg, float)


def test_years_come_in_order(edited: Edited, club_file: TextFile) -> None:
    """Years may stand in any order; the record has them rising."""
    config = load_config(club_file(edited("[club] years = [2029, 1900, 2052]")))
    assert config.club.years == (1900, 2029, 2052)


def test_pressure_follows_elevation(edited: Edited, club_file: TextFile) -> None:
    """Without a pressure the standard atmosphere's at the elevation stands in."""
    site = load_config(club_file(edited("[[site]] elevation_m = 1000"))).sites[0]
    assert site.pressure_hpa == pytest.approx(898.76, abs=0.01)


def test_a_given_pressure_is_kept(edited: Edited, club_file: TextFile) -> None:
    """A club's own pressure wins over the standard atmosphere."""
    text = edited("[[site]] elevation_m = 1000", "[[site]] pressure_hpa = 905.5")
    assert load_config(club_file(text)).sites[0].pressure_hpa == 905.5


def test_a_given_slug_is_kept(edited: Edited, club_file: TextFile) -> None:
    """An explicit slug wins over the name's."""
    text = edited('[[site]] slug = "q2"', '[[site]] name = "Обсерватория"')
    assert load_config(club_file(text)).sites[0].slug == "q2"


def test_hours_by_weekday(edited: Edited, club_file: TextFile) -> None:
    """A named day has its own hours, another day those of every, an empty list has none."""
    text = edited(
        '[moon.hours] every = ["19:00", "23:00"]',
        '[moon.hours] friday = [["18:30", "22:00"], ["22:00", "01:30"]]',
        "[moon.hours] saturday = [20:00:00, 06:00:00]",
        "[moon.hours] sunday = []",
    )
    hours = load_config(club_file(text)).moon.hours
    assert hours[0] == (HoursSpan(time(19), time(23)),)
    assert hours[4] == (HoursSpan(time(18, 30), time(22)), HoursSpan(time(22), time(1, 30)))
    assert hours[5] == (HoursSpan(time(20), time(6)),)
    assert hours[6] == ()


def test_a_day_not_named_has_the_whole_night(edited: Edited, club_file: TextFile) -> None:
    """Without every, a day that is not named is not limited."""
    hours = load_config(club_file(edited("[moon.hours] monday = []"))).moon.hours
    assert hours == ((), None, None, None, None, None, None)


def test_hours_may_start_at_noon_and_end_before_it(edited: Edited, club_file: TextFile) -> None:
    """A night runs from noon to noon, so its longest span is from 12:00 to 11:59."""
    hours = load_config(club_file(edited('[moon.hours] every = ["12:00", "11:59"]'))).moon.hours
    assert hours == ((HoursSpan(time(12), time(11, 59)),),) * 7


def test_known_stars_by_name_and_number(edited: Edited, club_file: TextFile) -> None:
    """Names in any letter case and HIP numbers become HIP numbers, each once, in order."""
    text = edited('[stars] known = ["vega", 24608, "Rigil Kentaurus", 91262, "Al Na\'ir"]')
    assert load_config(club_file(text)).stars.known == (91262, 24608, 71683, 109268)


def test_meetings(edited: Edited, club_file: TextFile) -> None:
    """A start is a text or a TOML time; the rule is kept in capitals."""
    text = (
        edited()
        + """
[[meeting]]
title = "Moon evening"
rule = "freq=monthly;byday=2fr"
start = "19:30"
[[meeting]]
title = "Zum Mond 🌙"
rule = "FREQ=YEARLY;BYMONTH=1,2;BYDAY=-1TU;INTERVAL=1;UNTIL=20271231T235959Z;WKST=MO"
start = 18:00:00
duration = 45
outdoors = true
"""
    )
    assert load_config(club_file(text)).meetings == (
        Meeting(
            "Moon evening", "FREQ=MONTHLY;BYDAY=2FR", time(19, 30), 120.0, False, date(2027, 1, 1)
        ),
        Meeting(
            "Zum Mond 🌙",
            "FREQ=YEARLY;BYMONTH=1,2;BYDAY=-1TU;INTERVAL=1;UNTIL=20271231T235959Z;WKST=MO",
            time(18),
            45.0,
            True,
            date(2027, 1, 1),
        ),
    )


def test_a_meeting_may_have_a_first_date_a_need_and_a_site(
    edited: Edited, club_file: TextFile
) -> None:
    """The first date is written without quotes; the site by its slug."""
    text = (
        edited()
        + """
[[meeting]]
title = "New Moon on the hill"
rule = "FREQ=WEEKLY;INTERVAL=4;BYDAY=FR"
start = "21:00"
outdoors = true
first = 2019-09-06
needs = "dark"
site = "quarry-field"
"""
    )
    (meeting,) = load_config(club_file(text)).meetings
    assert (meeting.first, meeting.needs, meeting.site) == (
        date(2019, 9, 6),
        "dark",
        "quarry-field",
    )


def test_without_outings_there_is_one_of_each_kind(edited: Edited, club_file: TextFile) -> None:
    """They hold on the weekdays on which the club comes; an empty list has none."""
    text = edited('[moon] hours = {friday = ["20:00", "23:00"], every = []}')
    rules = load_config(club_file(text)).outings
    assert [rule.kind for rule in rules] == list(KINDS)
    assert {rule.weekdays for rule in rules} == {(4,)}
    assert load_config(club_file(f"outing = []\n{text}")).outings == ()


def test_an_outing_takes_what_is_given_and_the_rest_of_its_kind(
    edited: Edited, club_file: TextFile
) -> None:
    """A zero given is not a value left out."""
    text = (
        edited()
        + """
[[outing]]
kind = "moon_evening"
title = "Mondabend"
weekdays = ["saturday", "friday", "friday"]
hours_after_dark = 0
"""
    )
    (rule,) = load_config(club_file(text)).outings
    usual = KINDS["moon_evening"]._asdict()
    assert rule == OutingRule(
        **{
            **usual,
            "kind": "moon_evening",
            "title": "Mondabend",
            "weekdays": (4, 5),
            "hours_after_dark": 0.0,
        }
    )


def test_a_byte_order_mark_is_tolerated(edited: Edited, club_file: TextFile) -> None:
    """Some editors put a mark in front of UTF-8."""
    assert load_config(club_file("\ufeff" + edited())).club.years == (2027,)


def test_the_digest_names_the_config_and_its_horizon_files(
    edited: Edited, club_file: TextFile, tmp_path: Path
) -> None:
    """A changed byte in either file changes the digest; the folder does not matter."""
    profile = tmp_path / "trees.txt"
    profile.write_text("0 5\n", encoding="utf-8")
    path = club_file(edited('[[site]] horizon = "trees.txt"'))
    first = load_config(path).source_sha256
    assert load_config(path).source_sha256 == first
    profile.write_text("0 5 \n", encoding="utf-8")
    second = load_config(path).source_sha256
    path.write_text(path.read_text(encoding="utf-8") + "\n", encoding="utf-8")
    assert len({first, second, load_config(path).source_sha256}) == 3
    together = path.read_bytes() + profile.read_bytes()
    assert load_config(path).source_sha256 == sha256(together).hexdigest()
    other = tmp_path / "elsewhere"
    other.mkdir()
    for file in (path, profile):
        (other / file.name).write_bytes(file.read_bytes())
    assert load_config(other / path.name).source_sha256 == load_config(path).source_sha256
