"""Random damage to a good config gives a config or a ConfigError, never anything else."""

import tempfile
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from almanac.errors import ConfigError
from almanac.inputs.config import load_config
from almanac.records.config import ClubConfig

DEMO = Path(__file__).resolve().parents[2] / "site_config" / "demo.toml"
TEXT = DEMO.read_text(encoding="utf-8").replace("horizons/", f"{DEMO.parent}/horizons/")
LINES = [line for line in TEXT.splitlines() if line.strip() and not line.startswith("#")]
KEYS = sorted({line.partition(" =")[0] for line in LINES if " = " in line})

values = st.one_of(
    st.integers().map(str),
    st.floats().map(repr),
    st.sampled_from(["true", "false", "[]", "{}", "20:00:00", "2027-03-01", "0x" + "f" * 3000]),
    st.text(st.characters(codec="utf-8", exclude_characters="'"), max_size=40).map(
        lambda text: f"'''{text}'''"
    ),
    st.text(max_size=20).map(lambda text: f'"{text}"'),
    st.lists(st.integers(-1, 2100)).map(str),
    st.lists(st.lists(st.floats(-10, 400), min_size=1, max_size=3)).map(str),
    st.lists(st.sampled_from(["20:00", "01:30", "25:00"]), max_size=4).map(str),
)

edits = st.lists(
    st.one_of(
        st.tuples(st.just("drop"), st.integers(0, len(LINES) - 1), st.just("")),
        st.tuples(st.just("double"), st.integers(0, len(LINES) - 1), st.just("")),
        st.tuples(st.just("value"), st.integers(0, len(LINES) - 1), values),
        st.tuples(st.just("rename"), st.integers(0, len(LINES) - 1), st.sampled_from(KEYS)),
    ),
    min_size=1,
    max_size=6,
)


def damaged(lines: list[str], changes: list[tuple[str, int, str]]) -> str:
    """The lines with some dropped, doubled, renamed or given another value."""
    lines = list(lines)
    for kind, index, new in changes:
        key, equals, value = lines[index].partition(" = ")
        if kind == "drop":
            lines[index] = ""
        elif kind == "double":
            lines[index] = f"{lines[index]}\n{lines[index]}"
        elif equals and kind == "value":
            lines[index] = f"{key} = {new}"
        elif equals and kind == "rename":
            lines[index] = f"{new} = {value}"
    return "\n".join(lines)


def outcome(source: bytes) -> Any:
    """What comes of a config with these bytes: its record, or its ConfigError."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "club.toml"
        path.write_bytes(source)
        try:
            return load_config(path)
        except ConfigError as error:
            return error


def check(result: Any) -> None:
    """A record keeps its word; an error has faults that each fit on a screen."""
    if isinstance(result, ConfigError):
        assert result.faults
        assert all(fault.allowed and fault.value and fault.key for fault in result.faults)
        assert all(len(str(fault)) < 700 and str(fault).isprintable() for fault in result.faults)
    else:
        assert isinstance(result, ClubConfig)
        assert result.sites
        assert len({site.slug for site in result.sites}) == len(result.sites)
        assert all(1900 <= year <= 2052 for year in result.club.years)
        assert all(300 <= site.pressure_hpa <= 1100 for site in result.sites)
        assert len(result.moon.hours) == 7


def test_the_undamaged_text_is_a_good_config() -> None:
    """What is damaged below was good before."""
    assert isinstance(outcome("\n".join(LINES).encode()), ClubConfig)


@given(edits)
@settings(max_examples=250, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_damaged_lines(changes: list[tuple[str, int, str]]) -> None:
    """Lines dropped, doubled, renamed or given another value are survived."""
    check(outcome(damaged(LINES, changes).encode()))


@given(st.integers(0, len(TEXT.encode())), st.integers(0, 40), st.binary(max_size=40))
@settings(max_examples=150, deadline=None)
def test_damaged_bytes(start: int, length: int, new: bytes) -> None:
    """Bytes cut out and others put in, anywhere, are survived."""
    source = TEXT.encode()
    check(outcome(source[:start] + new + source[start + length :]))
