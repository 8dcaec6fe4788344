"""Fixtures for the tests of the inputs room."""

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from almanac.errors import ConfigError
from almanac.inputs.config import load_config

MINIMAL = """
[club]
name = "Juniper Hollow Skywatchers"
years = [2027]
[[site]]
name = "Quarry Field"
latitude_deg = 44.6
longitude_deg = 2.9
timezone = "Europe/Paris"
"""


def _edited(*lines: str) -> str:
    text = MINIMAL
    for line in lines:
        header, _, rest = line.partition("] ")
        header += "]"
        key = rest.partition(" =")[0]
        before, found, table = text.partition(header)
        own = table.split("\n[")[0]
        others = table[len(own) :]
        own = re.sub(rf"(?m)^{re.escape(key)} = .*\n?", "", own)
        text = f"{before}{header}\n{rest}{own}{others}" if found else f"{text}{header}\n{rest}\n"
    return text


@pytest.fixture
def edited() -> Callable[..., str]:
    """The least config with lines such as ``[club] years = [2028]`` put in place or added."""
    return _edited


@pytest.fixture
def club_file(tmp_path: Path) -> Callable[[str], Path]:
    """Writes a config into a folder of its own."""

    def write(text: str) -> Path:
        path = tmp_path / "club.toml"
        path.write_text(text, encoding="utf-8")
        return path

    return write


@pytest.fixture
def faults_in(club_file: Callable[[str], Path]) -> Callable[[str], list[str]]:
    """The faults of a config text as lines, without the path in front."""

    def lines(text: str) -> list[str]:
        path = club_file(text)
        with pytest.raises(ConfigError) as caught:
            load_config(path)
        return [line.removeprefix(f"{path.parent}/") for line in str(caught.value).split("\n")]

    return lines
