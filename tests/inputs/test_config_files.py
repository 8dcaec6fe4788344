"""Whatever is wrong with a file itself is one fault, never another exception."""

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from almanac.errors import ConfigError
from almanac.inputs.config import HORIZON_WORDS, MOST_BYTES, load_config

Edited = Callable[..., str]
FaultsIn = Callable[[str], list[str]]
TextFile = Callable[[str], Path]


def fault_of(path: Path) -> str:
    """The only fault of a config file, without its folder."""
    with pytest.raises(ConfigError) as caught:
        load_config(path)
    (fault,) = caught.value.faults
    return str(fault).removeprefix(f"{path.parent}/")


def test_a_missing_file(tmp_path: Path) -> None:
    """A file that is not there is named as the user gave it."""
    assert fault_of(tmp_path / "none.toml") == "none.toml: file = missing: a text file that exists"


def test_a_folder(tmp_path: Path) -> None:
    """A folder is not a config."""
    (tmp_path / "club").mkdir()
    assert fault_of(tmp_path / "club") == "club: file = a folder: a text file"


def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    """A pipe that nobody writes to would hold the program for ever."""
    os.mkfifo(tmp_path / "pipe")
    assert fault_of(tmp_path / "pipe") == "pipe: file = not a regular file: a text file"


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="no such device")
def test_what_never_ends_is_not_read(tmp_path: Path) -> None:
    """A device is no config, and of a gigabyte no more than the limit is read."""
    with pytest.raises(ConfigError, match="zero: file = not a regular file: a text file"):
        load_config(Path("/dev/zero"))
    with (tmp_path / "big").open("wb") as file:
        file.truncate(1024**3)
    assert fault_of(tmp_path / "big").startswith("big: file = too long")


def test_a_file_that_cannot_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The system's reason is passed on."""

    def refuse(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    (tmp_path / "club.toml").write_text("", encoding="utf-8")
    monkeypatch.setattr(Path, "open", refuse)
    assert fault_of(tmp_path / "club.toml") == (
        "club.toml: file = unreadable: a text file that can be read (Permission denied)"
    )


def test_a_name_too_long_for_the_system(tmp_path: Path) -> None:
    """A path that the system refuses is a fault as well."""
    assert fault_of(tmp_path / ("x" * 5000)).endswith(
        "x: file = unreadable: a text file that can be read (File name too long)"
    )


def test_a_name_with_a_nul_character(tmp_path: Path) -> None:
    """A character that no path can hold is a fault as well."""
    assert fault_of(tmp_path / "a\0b").endswith("file = unreadable: a path without a NUL character")


def test_a_link_to_itself(tmp_path: Path) -> None:
    """A link that leads nowhere in a circle is told, not followed for ever."""
    (tmp_path / "loop").symlink_to("loop")
    assert "unreadable" in fault_of(tmp_path / "loop")


def test_text_that_is_not_utf8(tmp_path: Path) -> None:
    """The line of the first wrong byte is named."""
    (tmp_path / "club.toml").write_bytes('[club]\nname = "Café"\n'.encode("latin-1"))
    assert fault_of(tmp_path / "club.toml") == (
        "club.toml: file = byte 0xe9 in line 2: text saved as UTF-8"
    )


def test_a_file_that_is_too_long(club_file: TextFile) -> None:
    """One byte more than allowed is refused before it is parsed; the limit itself is read."""
    assert fault_of(club_file("#" * (MOST_BYTES + 1))) == (
        "club.toml: file = too long: a text file of at most 1048576 bytes"
    )
    with pytest.raises(ConfigError, match="club = missing"):
        load_config(club_file("#" * MOST_BYTES))


def test_a_slip_in_the_toml(faults_in: FaultsIn) -> None:
    """The parser's message tells line and column."""
    assert faults_in('[club]\nname = "open\n') == [
        "club.toml: file = not TOML: a file that follows the TOML rules "
        "(Illegal character '\\n' (at line 2, column 13))"
    ]


@pytest.mark.parametrize(
    "text",
    ["a = " + "[" * 100_000, "a = " + "{b=" * 5000, "a = " + "9" * 5000],
    ids=["lists", "tables", "digits"],
)
def test_depth_and_length_that_the_parser_cannot_take(text: str, faults_in: FaultsIn) -> None:
    """Neither a deep nest nor an endless number is a traceback."""
    assert faults_in(text) == [
        "club.toml: file = nested too deeply or a number too long: "
        "lists and numbers of a sensible size"
    ]


@pytest.mark.parametrize(
    "key",
    ["a" + ".a" * 200_000, 'x."\\""' + '."\\""' * 50_000, "'a'" + " .\t'a'" * 50_000],
    ids=["bare", "quoted", "spaced"],
)
def test_a_key_of_very_many_parts(key: str, faults_in: FaultsIn) -> None:
    """Such a key would fill the memory before the parser is done."""
    for text in (f"{key} = 1", f"[{key}]", f"a = {{ {key} = 1 }}"):
        assert faults_in(text) == [
            "club.toml: file = a key of more than 16 dotted parts: TOML with the keys we know"
        ]


def test_dots_in_a_text_are_no_key(edited: Edited, club_file: TextFile) -> None:
    """Dots in notes, addresses and numbers do no harm."""
    notes = "Wait.... then look. See 1.2.3.4.5.6.7.8 and a.b.c.d.example."
    config = load_config(club_file(edited(f'[club] notes = "{notes}"')))
    assert config.club.notes == notes


def test_a_horizon_file_that_is_missing(edited: Edited, faults_in: FaultsIn) -> None:
    """The fault names the file, and the key that asked for it."""
    assert faults_in(edited('[[site]] horizon = "trees/oak.txt"')) == [
        "trees/oak.txt: site[0].horizon = missing: a text file that exists"
    ]


def test_a_horizon_file_that_is_a_folder(edited: Edited, faults_in: FaultsIn) -> None:
    """An empty name is the config's own folder."""
    (fault,) = faults_in(edited('[[site]] horizon = ""'))
    assert fault.endswith(": site[0].horizon = a folder: a text file")


def test_a_horizon_file_elsewhere_is_not_opened(
    edited: Edited, faults_in: FaultsIn, tmp_path: Path
) -> None:
    """Above the config's folder, from the root, or through a link: it is refused by its name."""
    (tmp_path / "out").symlink_to("/etc")
    (tmp_path / "trees.txt").symlink_to("/etc/passwd")
    for name in ("../../etc/passwd", "/etc/passwd", "/dev/zero", "out/passwd", "trees.txt", ".."):
        assert faults_in(edited(f'[[site]] horizon = "{name}"')) == [
            f"club.toml: site[0].horizon = '{name}': {HORIZON_WORDS}"
        ]


@pytest.mark.parametrize(("name", "words"), [("pipe", "not a regular file"), ("big", "too long")])
def test_a_horizon_file_that_would_never_end(
    name: str, words: str, edited: Edited, faults_in: FaultsIn, tmp_path: Path
) -> None:
    """Neither a pipe nor two gigabytes are waited for."""
    os.mkfifo(tmp_path / "pipe")
    with (tmp_path / "big").open("wb") as file:
        file.truncate(2 * 1024**3)
    (fault,) = faults_in(edited(f'[[site]] horizon = "{name}"'))
    assert fault.startswith(f"{name}: site[0].horizon = {words}: a text file")


def test_wrong_lines_of_a_horizon_file_come_with_the_config_faults(
    edited: Edited, faults_in: FaultsIn, tmp_path: Path
) -> None:
    """A bad profile and a bad key are told together."""
    (tmp_path / "oak.txt").write_text("0 5\n90 north\n", encoding="utf-8")
    text = edited('[[site]] horizon = "oak.txt"', "[telescope] aperture_mm = 1")
    assert faults_in(text) == [
        "club.toml: telescope.aperture_mm = 1: a number from 10 to 2000",
        "oak.txt:2: point = 'north': two numbers: azimuth_deg from 0 to 360, "
        "altitude_deg from -5 to 90",
    ]


def test_a_horizon_file_is_found_from_the_config(
    edited: Edited, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The name is relative to the config's folder, wherever the program was started."""
    club = tmp_path / "club"
    (club / "horizons").mkdir(parents=True)
    (club / "horizons" / "oak.txt").write_text("0 5\n180 7.5\n", encoding="utf-8")
    text = edited('[[site]] horizon = "horizons/oak.txt"')
    (club / "club.toml").write_text(text, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    horizon = load_config(Path("club/club.toml")).sites[0].horizon
    assert horizon.azimuth_deg == (0.0, 180.0)
    assert horizon.altitude_deg == (5.0, 7.5)
