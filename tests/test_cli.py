"""The commands as a member meets them: help, messages, exit codes, cards, the progress bar."""

import os
import pty
import re
import subprocess
import sys
import tomllib
from collections.abc import Callable
from pathlib import Path

import pypdf
import pytest
from click.testing import CliRunner, Result

from almanac import __version__, build, night_card
from almanac.cli import main
from almanac.errors import AlmanacError, OutputError
from almanac.inputs.config import load_config

Run = Callable[..., subprocess.CompletedProcess[str]]

HELP = {
    "": """\
Usage: almanac [OPTIONS] COMMAND [ARGS]...

  Publish an astronomy club's observing almanac of the Moon.

Options:
  --version   Show the version and exit.
  -h, --help  Show this message and exit.

Commands:
  build  Compute CONFIG's almanac and write its web site.
  check  Check CONFIG and the files it names; every fault is listed.
  new    Write a first config to FILE, asking for what is missing.
  night  Print the card of the night whose evening is DATE (YYYY-MM-DD).
""",
    "build": """\
Usage: almanac build [OPTIONS] CONFIG

  Compute CONFIG's almanac and write its web site.

  The folder then holds exactly what was built: with --year or --site, only
  that part.

Options:
  --year INTEGER        Only this year; may be repeated.
  --site TEXT           Only the site of this slug; repeatable.
  --out PATH            Folder for the site: an empty one, or one that an
                        earlier build made.  [default: output]
  --jobs INTEGER RANGE  Processes to share the sites among.  [default: (one a
                        core); x>=1]
  --no-booklet          Leave out the booklet to print.
  -h, --help            Show this message and exit.
""",
    "check": """\
Usage: almanac check [OPTIONS] CONFIG

  Check CONFIG and the files it names; every fault is listed.

Options:
  --sky       Also recompute some published values another way.
  -h, --help  Show this message and exit.
""",
    "new": """\
Usage: almanac new [OPTIONS] FILE

  Write a first config to FILE, asking for what is missing.

Options:
  --name TEXT       Name of the club.
  --site TEXT       Name of the place to observe from.
  --latitude TEXT   Such as 51.43 or "51 25 48 N".
  --longitude TEXT  Such as 17.62 or "17 37 12 E".
  --timezone TEXT   IANA name, such as Europe/Warsaw.
  --year TEXT       Such as 2027 or 2027-2029; repeatable.
  --force           Replace FILE if it exists.
  -h, --help        Show this message and exit.
""",
    "night": """\
Usage: almanac night [OPTIONS] CONFIG DATE

  Print the card of the night whose evening is DATE (YYYY-MM-DD).

Options:
  --site TEXT          Slug of the site; the config's first if left out.
  --pdf PATH           Write the card to this file instead, four times on a
                       sheet to cut and hand round.
  --paper [a4|letter]  Of the PDF.  [default: a4]
  -h, --help           Show this message and exit.
""",
}

BROKEN = """\
[club]
name = "Juniper Hollow Skywatchers"
years = [1800]

[[site]]
name = "Quarry Field"
latitude_deg = 144.6
longitude_deg = 2.9
timezome = "Europe/Paris"

[moon]
lowest_altitude_deg = "high"
"""


@pytest.fixture
def broken(tmp_path: Path) -> Path:
    """A config with several faults, alone in a folder."""
    path = tmp_path / "broken.toml"
    path.write_text(BROKEN, encoding="utf-8")
    return path


def call(*arguments: str | Path) -> Result:
    """Run a command in this process."""
    words = [str(word) for word in arguments]
    return CliRunner().invoke(main, words, prog_name="almanac", terminal_width=78)


# Help


@pytest.mark.parametrize("command", HELP)
@pytest.mark.parametrize("flag", ["--help", "-h"])
def test_help_says_exactly_this(command: str, flag: str) -> None:
    """Each command explains itself and each of its options."""
    result = call(*command.split(), flag)
    assert (result.exit_code, result.stdout) == (0, HELP[command])


def test_every_command_has_its_help_here() -> None:
    """A new command is not forgotten above."""
    assert set(HELP) == {"", *main.commands}


def test_the_version_is_told() -> None:
    """The version is the package's."""
    assert call("--version").stdout == f"almanac, version {__version__}\n"


def test_help_loads_nothing_heavy(almanac_command: tuple[str, ...], root: Path) -> None:
    """Asking for help is instant: no NumPy, no Jinja, no Skyfield."""
    script = (
        "import sys\nfrom almanac.cli import main\n"
        "try:\n main(['--help'])\nexcept SystemExit:\n pass\n"
        "print(sorted({name.split('.')[0] for name in sys.modules}), file=sys.stderr)"
    )
    run = subprocess.run(
        [sys.executable, "-c", script], cwd=root, capture_output=True, text=True, check=True
    )
    assert run.stdout.startswith("Usage:")
    heavy = {"numpy", "scipy", "skyfield", "jinja2", "babel", "typst", "pydantic"}
    assert heavy & set(re.findall(r"'(\w+)'", run.stderr)) == set()


# Faults


def test_a_broken_config_lists_every_fault(almanac: Run, broken: Path) -> None:
    """Each fault is one line of file, key, value and remedy; nothing else is said or written."""
    run = almanac("build", "broken.toml", cwd=broken.parent)
    lines = run.stderr.splitlines()
    assert run.returncode == 2
    assert run.stdout == ""
    assert lines[0] == f"error: the config has {len(lines) - 1} faults"
    assert all(line.startswith("  broken.toml: ") for line in lines[1:])
    keys = {line.split(": ")[1].split(" = ")[0] for line in lines[1:]}
    wrong = {"club.years[0]", "site[0].latitude_deg", "moon.lowest_altitude_deg"}
    assert keys == {*wrong, "site[0].timezome", "site[0].timezone"}
    assert "did you mean 'timezone'?" in run.stderr
    assert os.listdir(broken.parent) == ["broken.toml"]


@pytest.mark.parametrize("command", [["check"], ["night", "2027-03-18"]])
def test_every_command_refuses_a_broken_config(command: list[str], broken: Path) -> None:
    """Check and night name the same faults as build, with the same exit code."""
    result = call(command[0], broken, *command[1:])
    assert result.exit_code == 2
    assert result.stdout == ""
    assert result.stderr.count(str(broken)) == 5


def test_one_fault_is_called_one() -> None:
    """The count is worded rightly, and a missing file is a fault like others."""
    result = call("check", "nowhere.toml")
    assert result.exit_code == 2
    assert result.stderr.startswith("error: the config has 1 fault\n  nowhere.toml: ")


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["build", "{}", "--year", "1800"], "error: year 1800 is outside the ephemeris DE421"),
        (["build", "{}", "--year", "2053"], "error: year 2053 is outside the ephemeris DE421"),
        (["build", "{}", "--site", "moor"], "error: no site 'moor' in the config; it has: quarry"),
        (["build", "{}", "--year", "soon"], "Error: Invalid value for '--year': 'soon' is not"),
        (["build"], "Error: Missing argument 'CONFIG'."),
        (["night", "{}", "1899-12-31"], "error: year 1899 is outside the ephemeris DE421"),
        (["night", "{}", "2027-03-18", "--site", "moor"], "error: no site 'moor' in the config"),
        (["night", "{}", "2027-02-29"], "Error: Invalid value for 'DATE': '2027-02-29' does not"),
        (["night", "{}", "18.3.2027"], "Error: Invalid value for 'DATE': '18.3.2027' does not"),
        (["publish"], "Error: No such command 'publish'."),
    ],
)
def test_a_wrong_call_is_told_and_changes_nothing(
    arguments: list[str], message: str, root: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What cannot be done is one sentence on stderr, exit code 2, no traceback, no file."""
    monkeypatch.chdir(tmp_path)
    config = str(root / "site_config/minimal.toml")
    result = call(*(config if word == "{}" else word for word in arguments))
    assert result.exit_code == 2
    assert result.stdout == ""
    assert message in result.stderr
    assert "Traceback" not in result.stderr
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("error", "code"), [(AlmanacError("the sky fell"), 1), (OutputError("the disk is full"), 1)]
)
def test_a_failure_of_the_work_is_exit_code_1(
    error: AlmanacError, code: int, root: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A failure that is not the caller's mistake is told in its own words."""

    def fail(*_: object) -> None:
        raise error

    monkeypatch.setattr(night_card, "card", fail)
    result = call("night", root / "site_config/minimal.toml", "2027-03-18")
    assert (result.exit_code, result.stderr) == (code, f"error: {error}\n")


@pytest.mark.parametrize(
    ("error", "code", "words"),
    [
        (KeyboardInterrupt(), 130, "stopped before the end"),
        (
            OSError(24, "Too many open files"),
            1,
            "the system refuses: [Errno 24] Too many open files",
        ),
        (
            ZeroDivisionError("division by zero"),
            1,
            "a fault of this program (ZeroDivisionError division by zero); ALMANAC_TRACEBACK=1 in "
            "the environment shows where",
        ),
    ],
)
def test_an_error_that_nobody_foresaw_is_told_in_a_line(
    error: BaseException, code: int, words: str, root: Path, tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    """With what became of the site, and no traceback unless it is asked for."""

    def fail(*_: object) -> None:
        raise error

    monkeypatch.setattr(build, "compute", fail)
    words_of_site = f"; nothing was published in {tmp_path / 'site'}"
    arguments = ("build", root / "site_config/minimal.toml", "--jobs", "1", "--out")
    result = call(*arguments, tmp_path / "site")
    assert (result.exit_code, result.stderr) == (code, f"error: {words}{words_of_site}\n")
    assert os.listdir(tmp_path) == []
    monkeypatch.setenv("ALMANAC_TRACEBACK", "1")
    assert (call(*arguments, tmp_path).exception is error) == isinstance(error, ZeroDivisionError)


def test_a_folder_of_someone_else_is_left_alone(
    root: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Building into a folder with other files fails with exit code 1 and touches none of them."""
    (tmp_path / "diary.txt").write_text("mine", encoding="utf-8")
    monkeypatch.setattr(build, "compute", lambda *_: None)
    result = call("build", root / "site_config/minimal.toml", "--out", tmp_path)
    assert result.exit_code == 1
    assert "diary.txt" in result.stderr
    assert os.listdir(tmp_path) == ["diary.txt"]


# Check and night


@pytest.mark.parametrize("name", ["demo", "southern", "minimal", "valleys"])
def test_check_says_what_a_config_holds(name: str, root: Path) -> None:
    """A config without fault is told by its club, sites and years."""
    path = root / f"site_config/{name}.toml"
    config = load_config(path)
    slugs = ", ".join(site.slug for site in config.sites)
    years = ", ".join(str(year) for year in config.club.years)
    told = f"{path}: no fault. {config.club.name}; sites: {slugs}; years: {years}\n"
    result = call("check", path)
    assert (result.exit_code, result.stdout, result.stderr) == (0, told, "")


@pytest.mark.parametrize(
    ("name", "site", "place", "zone"),
    [
        ("demo", "mill-pond", "Mill Pond", "(UTC+1)"),
        ("southern", "dry-creek-paddock", "Dry Creek Paddock", "(UTC+10:30)"),
        ("minimal", None, "Quarry Field", "(UTC+1)"),
    ],
)
def test_a_night_is_one_card(
    name: str, site: str | None, place: str, zone: str, root: Path
) -> None:
    """A card names its site, night and zone, fits 72 columns, and holds no odd character."""
    choice = ["--site", site] if site else []
    result = call("night", root / f"site_config/{name}.toml", "2027-03-18", *choice)
    lines = result.stdout.splitlines()
    assert (result.exit_code, result.stderr) == (0, "")
    assert lines[0] == f"{place}, Thursday, 18 March 2027"
    assert zone in lines[1]
    assert [line for line in lines if len(line) > 72 or line != line.rstrip()] == []
    assert set(re.findall(r"[^\x20-\x7e\n]", result.stdout)) <= {"°"}
    labels = ("Set up by", "Star at", "Hop at", "Window", "Best", "Clip", "Cap by")
    assert [label for label in labels if f"\n{label} " not in result.stdout] == []


def test_a_card_is_written_as_a_sheet(root: Path, tmp_path: Path) -> None:
    """With --pdf the same card stands four times on a sheet of the paper asked for."""
    path = tmp_path / "cards.pdf"
    config = root / "site_config/minimal.toml"
    path.write_bytes(b"%PDF-1.7, an older one")
    result = call("night", config, "2027-03-18", "--pdf", path, "--paper", "letter")
    assert (result.exit_code, result.stderr) == (0, "")
    assert result.stdout == f"{path}: four cards on a sheet\n"
    (sheet,) = pypdf.PdfReader(path).pages
    assert (sheet.mediabox.width, sheet.mediabox.height) == (612, 792)
    assert sheet.extract_text().count("Quarry Field, Thursday, 18 March 2027") == 4


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("none/cards.pdf", "{}/none is not a folder that exists"),
        ("folder", "{}/folder is a folder; name a file"),
        ("link", "{}/link is a link or a device; name a file"),
        ("mine.txt", "{}/mine.txt is no PDF and is left as it is"),
    ],
)
def test_a_sheet_that_cannot_be_written_is_told(
    name: str, words: str, root: Path, tmp_path: Path
) -> None:
    """What is in its place is named, with exit code 1, and nothing is followed or replaced."""
    (tmp_path / "folder").mkdir()
    (tmp_path / "mine.txt").write_text("mine", encoding="utf-8")
    (tmp_path / "link").symlink_to(tmp_path / "mine.txt")
    minimal = root / "site_config/minimal.toml"
    result = call("night", minimal, "2027-03-18", "--pdf", tmp_path / name)
    assert result.exit_code == 1
    assert result.stderr == f"error: {words.format(tmp_path)}\n"
    assert (tmp_path / "mine.txt").read_text(encoding="utf-8") == "mine"


def test_a_card_needs_no_unicode_terminal(almanac: Run, root: Path) -> None:
    """In the plain C locale a card is printed whole and without a warning."""
    config = root / "site_config/minimal.toml"
    run = almanac("night", config, "2027-03-18", LC_ALL="C", PYTHONUTF8="0")
    assert (run.returncode, run.stderr) == (0, "")
    assert "up in the south" in run.stdout


# The terminal


def on_terminal(command: list[str], root: Path, **environment: str) -> str:
    """What a command writes to a terminal of its own."""
    master, slave = pty.openpty()
    bare = {key: value for key, value in os.environ.items() if key != "NO_COLOR"}
    env = {**bare, "PYTHONPATH": str(root), "TERM": "xterm", **environment}
    process = subprocess.Popen(
        command, cwd=root, env=env, stdin=slave, stdout=slave, stderr=slave, close_fds=True
    )
    os.close(slave)
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
    process.wait(timeout=120)
    return heard.decode()


def test_a_terminal_shows_progress(
    almanac_command: tuple[str, ...], root: Path, quarry_config: Path, tmp_path: Path
) -> None:
    """On a terminal a bar fills up to 100 %, then the result stands alone on its line."""
    out = tmp_path / "site"
    command = [*almanac_command, "build", str(quarry_config), "--no-booklet", "--out", str(out)]
    heard = on_terminal(command, root, NO_COLOR="1")
    assert re.search(r"Building +\[-+\] +0%", heard)
    assert re.search(r"Building +\[#+\] +100%", heard)
    assert re.search(r"\n\S+/index.html: \d+ files written, 0 unchanged, 0 removed\r\n$", heard)
    assert "\x1b[31m" not in heard


def test_only_a_terminal_without_no_color_is_coloured(
    almanac: Run, almanac_command: tuple[str, ...], root: Path
) -> None:
    """The word error is red on a terminal, plain with NO_COLOR, plain in a pipe."""
    command = [*almanac_command, "check", "nowhere.toml"]
    assert on_terminal(command, root).startswith("\x1b[31m\x1b[1merror\x1b[0m: the config")
    assert on_terminal(command, root, NO_COLOR="1").startswith("error: the config")
    assert almanac("check", "nowhere.toml").stderr.startswith("error: the config")


# The documents keep their promises


@pytest.fixture(scope="module")
def readme(root: Path) -> str:
    """README.md."""
    return (root / "README.md").read_text(encoding="utf-8")


def test_readme_names_every_command_and_option(readme: str) -> None:
    """A command or option that README does not know is not delivered."""
    options = {
        opt
        for command in main.commands.values()
        for parameter in command.params
        for opt in parameter.opts
        if opt.startswith("--")
    }
    wanted = {*(f"almanac {name} " for name in main.commands), *(f"`{opt}`" for opt in options)}
    assert {words for words in wanted if words not in readme} == set()


def test_readme_shows_the_minimal_config(readme: str, root: Path) -> None:
    """The config in README is the one shipped, line by line."""
    shown = re.findall(r"```toml\n(.*?)```", readme, flags=re.DOTALL)
    shipped = (root / "site_config/minimal.toml").read_text(encoding="utf-8")
    assert shown == [shipped]
    assert tomllib.loads(shipped)["site"][0]["name"] == "Quarry Field"


def test_readme_commands_are_there(readme: str, root: Path) -> None:
    """Each script that README tells to run exists."""
    scripts = re.findall(r"^    sh (\S+)$", readme, flags=re.MULTILINE)
    assert len(scripts) == 2
    assert [name for name in scripts if not (root / name).is_file()] == []


def test_developers_names_every_dependency_and_room(root: Path) -> None:
    """Each dependency stands with its reason, each room with its job."""
    text = (root / "DEVELOPERS.md").read_text(encoding="utf-8")
    project = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extra = project["optional-dependencies"]["test"]
    needed = {re.match(r"[\w-]+", line)[0] for line in [*project["dependencies"], *extra]}
    rooms = {f"`{path.parent.name}/`" for path in (root / "almanac").glob("*/__init__.py")}
    rooms -= {"`records/`"}  # in the heading of the table
    words = set(re.findall(r"[\w-]+", text))
    assert needed - words == set()
    assert {room for room in rooms if room not in text} == set()
