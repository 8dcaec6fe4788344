"""``almanac new`` as a secretary meets it: by options, and asked on a terminal."""

import os
import pty
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from almanac.cli import main
from almanac.inputs.config import load_config

OPTIONS = {
    "--name": "Reed Bank Moon Watch",
    "--site": "Weir Island",
    "--latitude": "51 25 48 N",
    "--longitude": "17,62",
    "--timezone": "Europe/Warsaw",
    "--year": "2027-2028",
}
TOLD = "51.43° N, 17.62° W and Europe/Warsaw do not fit: Warsaw is 2623 km away, but with "


def call(path: Path, options: dict[str, str], *flags: str) -> Result:
    """Run ``almanac new`` in this process, without a terminal."""
    words = [word for pair in options.items() for word in pair]
    return CliRunner().invoke(main, ["new", str(path), *words, *flags], prog_name="almanac")


@pytest.fixture
def asked(almanac_command: tuple[str, ...], root: Path, tmp_path: Path) -> Callable[..., str]:
    """Run ``almanac new club.toml`` on a terminal of its own and type these lines."""

    def run(*typed: str, options: dict[str, str] | None = None) -> str:
        words = [word for pair in (options or {}).items() for word in pair]
        master, slave = pty.openpty()
        process = subprocess.Popen(
            [*almanac_command, "new", "club.toml", *words],
            cwd=tmp_path,
            env={**os.environ, "PYTHONPATH": str(root), "NO_COLOR": "1", "TERM": "xterm"},
            stdin=slave,
            stdout=slave,
            stderr=slave,
            close_fds=True,
        )
        os.close(slave)
        os.write(master, "".join(f"{line}\n" for line in typed).encode())
        heard = b""
        while True:
            try:
                part = os.read(master, 4096)
            except OSError:  # Linux: the other end has closed
                break
            if not part:
                break
            heard += part
        os.close(master)
        assert process.wait(timeout=60) == 0, heard
        return heard.decode().replace("\r\n", "\n")

    return run


def test_options_alone_make_a_config(tmp_path: Path) -> None:
    """One call writes a config that check passes, and says what to do next."""
    path = tmp_path / "club.toml"
    result = call(path, OPTIONS)
    next_step = f"{path}: written. Read it, change what is yours, then run: almanac build {path}\n"
    assert (result.exit_code, result.stdout, result.stderr) == (0, next_step, "")
    checked = CliRunner().invoke(main, ["check", str(path)])
    told = f"{path}: no fault. Reed Bank Moon Watch; sites: weir-island; years: 2027, 2028\n"
    assert (checked.exit_code, checked.stdout, checked.stderr) == (0, told, "")


def test_a_negative_number_is_a_value(tmp_path: Path) -> None:
    """A minus sign does not make an option of a longitude."""
    path = tmp_path / "club.toml"
    wanted = {"--latitude": "-32.17", "--longitude": "-71.5", "--timezone": "America/Santiago"}
    assert call(path, OPTIONS | wanted).exit_code == 0
    assert load_config(path).sites[0].longitude_deg == -71.5


def test_without_a_terminal_every_missing_option_is_named(tmp_path: Path) -> None:
    """And every wrong one with what would be right; nothing is written."""
    wrong = {"--name": "Reed Bank", "--latitude": "91 N", "--timezone": "Europe/Warsau"}
    result = call(tmp_path / "club.toml", wrong)
    assert result.exit_code == 2
    assert result.stdout == ""
    assert result.stderr.splitlines() == [
        "error: the options do not make a config",
        "  missing: --site, --longitude, --year (or a terminal to ask on)",
        "  --latitude: 91.0 is not a number from -90 to 90",
        "  --timezone: 'Europe/Warsau' is not an IANA time zone such as \"Europe/Paris\"; "
        "did you mean 'Europe/Warsaw'?",
    ]
    assert list(tmp_path.iterdir()) == []


def test_a_file_is_kept_unless_forced(tmp_path: Path) -> None:
    """The old file stays word for word; --force replaces it."""
    path = tmp_path / "club.toml"
    path.write_text("mine", encoding="utf-8")
    result = call(path, OPTIONS)
    assert result.exit_code == 2
    assert result.stderr == f"error: {path} exists and is left as it is; --force replaces it\n"
    assert path.read_text(encoding="utf-8") == "mine"
    assert call(path, OPTIONS, "--force").exit_code == 0
    assert load_config(path).club.name == "Reed Bank Moon Watch"


@pytest.mark.parametrize("command", [["new"], ["check"], ["build"], ["night", "2027-03-18"]])
def test_a_turned_sign_is_told_by_each_command(
    command: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On stderr, once, and the work goes on: somebody may mean it."""
    from almanac import build
    from almanac.publish.output import Published

    monkeypatch.setattr(build, "build", lambda *_: Published(1, 0, 0))
    path = tmp_path / "club.toml"
    result = call(path, OPTIONS | {"--longitude": "-17.62"})
    if command != ["new"]:
        result = CliRunner().invoke(main, [command[0], str(path), *command[1:]])
    assert result.exit_code == 0
    warning = f'warning: {path}: site[0] "Weir Island": {TOLD}longitude_deg = 17.62'
    assert result.stderr.startswith(warning)
    assert len(result.stderr.splitlines()) == 1


def test_a_terminal_is_asked_for_everything(asked: Callable[..., str], tmp_path: Path) -> None:
    """Each question once, a wrong answer explained and asked again, near zones offered."""
    heard = asked(
        *("Reed Bank Moon Watch", "Weir Island", "51.43, 17.62", "51°25'48\" N"),
        *("O 17.62", "17 37 12 E", "Europe/Warsau", "Europe/Warsaw", "27", "2027"),
    )
    said = (
        "Name of the club:",
        "Name of the place to observe from:",
        "Its latitude, such as 51.43 or 51 25 48 N:",
        "Error: write one angle in degrees, or in degrees, minutes and seconds, such as 51.43",
        "Error: write E or W, for O is east in some languages and west in others",
        "51.43° N, 17.62° E. Time zones near by: Europe/Warsaw, Europe/Prague, Europe/Berlin\n",
        "did you mean 'Europe/Warsaw'?",
        "Error: '27' is not years from 1900 to 2052",
        "club.toml: written.",
    )
    places = [heard.find(text) for text in said]
    assert min(places) >= 0, heard
    assert places == sorted(places)
    config = load_config(tmp_path / "club.toml")
    site = config.sites[0]
    assert (config.club.years, site.latitude_deg, site.longitude_deg) == ((2027,), 51.43, 17.62)


def test_only_what_the_options_leave_open_is_asked(
    asked: Callable[..., str], tmp_path: Path
) -> None:
    """A wrong option is explained and asked again, a right one is not."""
    heard = asked("2027", options=OPTIONS | {"--year": "soon"})
    assert "--year: 'soon' is not years from 1900 to 2052" in heard
    assert "Name of the club" not in heard
    assert load_config(tmp_path / "club.toml").club.years == (2027,)


def test_a_place_that_does_not_fit_its_zone_is_asked_again(
    asked: Callable[..., str], tmp_path: Path
) -> None:
    """The doubt is told; no keeps nothing of place and zone, the rest stays answered."""
    mended = ("n", "51.43", "17.62", "Europe/Warsaw")
    heard = asked(*mended, options=OPTIONS | {"--longitude": "-17.62"})
    assert TOLD in heard
    assert "Keep them as they are? [y/N]:" in heard
    assert "Name of the club" not in heard
    assert load_config(tmp_path / "club.toml").sites[0].longitude_deg == 17.62
    assert "warning" not in heard
