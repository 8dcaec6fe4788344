"""A club's first config: every answer checked, every name safe, every default as it stands."""

import re
import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from almanac.errors import AlmanacError
from almanac.inputs import new_config
from almanac.inputs.config import load_config
from almanac.inputs.new_config import AnswerError, Answers, config_text

WEIR = Answers("Reed Bank Moon Watch", "Weir Island", 51.43, 17.62, "Europe/Warsaw", [2027, 2028])
SWITCHED_OFF = re.compile(r"# ((?:\[\[)?[a-z_]+(?:\]\]| = ).*)")
"""A line that a club is invited to switch on."""


def switched_on(text: str, examples: bool) -> str:
    """The config with its commented keys taken in; the examples among them or the defaults."""
    lines = []
    for line in text.splitlines():
        match = SWITCHED_OFF.fullmatch(line)
        is_example = "example" in line or "[[" in line
        lines.append(match[1] if match and is_example == examples else line)
    return "\n".join(lines)


def written(text: str, folder: Path) -> Path:
    """A file with this text."""
    path = folder / "club.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_the_answers_come_back(tmp_path: Path) -> None:
    """The config is without fault and holds what was answered, the rest by default."""
    config = load_config(written(config_text(WEIR), tmp_path))
    (site,) = config.sites
    assert (config.club.name, config.club.years) == (WEIR.club, (2027, 2028))
    assert (site.name, site.slug, site.timezone) == ("Weir Island", "weir-island", "Europe/Warsaw")
    assert (site.latitude_deg, site.longitude_deg, site.elevation_m) == (51.43, 17.62, 0)
    assert config.meetings == ()


def test_the_defaults_in_comments_are_the_defaults(tmp_path: Path) -> None:
    """With every commented default switched on the config means the same."""
    plain = load_config(written(config_text(WEIR), tmp_path))
    text = switched_on(config_text(WEIR), examples=False)
    full = load_config(written(text, tmp_path))
    assert full.source_sha256 != plain.source_sha256
    for part in ("club", "sites", "telescope", "moon", "stars", "safety"):
        assert getattr(full, part) == getattr(plain, part), part


def test_the_examples_in_comments_are_without_fault(tmp_path: Path) -> None:
    """So do they with every example, each of which changes something."""
    config = load_config(written(switched_on(config_text(WEIR), examples=True), tmp_path))
    assert config.club.url
    assert config.club.notes
    assert len(config.sites[0].horizon.azimuth_deg) > 1
    assert config.sites[0].clear_sky
    assert config.moon.hours[6] == ()
    assert config.meetings[0].outdoors


def answered(name: str) -> Answers | None:
    """Answers with this name for the club and its place; None if it is refused."""
    try:
        club, site = new_config.club(name), new_config.site(name)
    except AnswerError:
        return None
    return Answers(club, site, -32.17, 141.28, "Asia/Tokyo", [2027])


@settings(max_examples=300, deadline=None)
@given(st.text(st.characters(exclude_categories=["Cc", "Cs", "Zl", "Zp"]), max_size=140))
def test_any_name_comes_back_or_is_refused(name: str) -> None:
    """Quotes, backslashes, markup, dollars, other scripts: as typed."""
    answers = answered(name)
    if answers is not None:
        data = tomllib.loads(config_text(answers))
        assert data["club"]["name"] == data["site"][0]["name"] == name.strip()


@pytest.mark.parametrize(
    "name", ['"""', "'''\\", "${club}", "$", "# no", "\ufeffBOM", "]]", "=" * 120, "月見の丘"]
)
def test_hostile_names_load(name: str, tmp_path: Path) -> None:
    """A name that looks like TOML stays a name in the config that is loaded."""
    answers = answered(name)
    assert answers is not None
    config = load_config(written(config_text(answers), tmp_path))
    assert (config.club.name, config.sites[0].name) == (name, name)


@pytest.mark.parametrize("name", ['x"\n[safety]', "a\u202eb", "\x7f", "", " ", "x" * 121])
def test_names_of_more_than_a_line_are_refused(name: str) -> None:
    """Nothing that breaks out of a line, hides, or is not there."""
    assert answered(name) is None


@settings(max_examples=200, deadline=None)
@given(st.floats(-90, 90), st.floats(-180, 180))
def test_coordinates_come_back(latitude: float, longitude: float) -> None:
    """To the tenth of a metre that is written, without exponents."""
    text = config_text(Answers("A", "B", latitude, longitude, "Etc/UTC", [2027]))
    site = tomllib.loads(text)["site"][0]
    assert site["latitude_deg"] == pytest.approx(latitude, abs=1e-6)
    assert site["longitude_deg"] == pytest.approx(longitude, abs=1e-6)
    assert -90 <= site["latitude_deg"] <= 90
    assert -180 <= site["longitude_deg"] <= 180


@pytest.mark.parametrize(
    ("text", "years"),
    [
        ("2027", [2027]),
        (" 2027 - 2029, 2031;2027 ", [2027, 2028, 2029, 2031]),
        ("2028–2029 2027", [2027, 2028, 2029]),
    ],
)
def test_years_as_people_type_them(text: str, years: list[int]) -> None:
    """Single years and spans, in any order, each once."""
    assert new_config.years(text) == years


@pytest.mark.parametrize("text", ["", "27", "soon", "2030-2027", "1899", "2052-2053", "2027-"])
def test_wrong_years_are_explained(text: str) -> None:
    """What the ephemeris does not hold, or is no year, is refused with the range."""
    with pytest.raises(AnswerError, match="is not years from 1900 to 2052, such as 2027, or"):
        new_config.years(text)


def test_wrong_answers_are_explained() -> None:
    """With the value, what would be right, and a near match."""
    told = {}
    for field, text in [("timezone", "Europe/Pari"), ("latitude_deg", "91"), ("club", " ")]:
        with pytest.raises(AlmanacError) as caught:
            new_config.READERS[field](text)
        told[field] = str(caught.value)
    assert told["timezone"].endswith("; did you mean 'Europe/Paris'?")
    assert told["latitude_deg"] == "91.0 is not a number from -90 to 90"
    assert told["club"] == "'' is not a text of 1 to 120 characters"
    assert new_config.timezone("America/New York") == "America/New_York"
