"""The commands; each a few lines. NumPy and the rest are imported only when one runs."""

import gc
import os
import signal
import sys
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Literal, NoReturn, TypeVar

import click

from almanac import __version__
from almanac.errors import AlmanacError, ConfigError

if TYPE_CHECKING:
    from almanac.records.config import ClubConfig

Result = TypeVar("Result")

GARBAGE = 100_000
"""Objects made between two searches for circles of garbage: hardly any form here, and searching
as often as is usual costs a sixth of a build."""

CONFIG = click.argument("config", type=click.Path(path_type=Path))
STOPPED = 128 + signal.SIGINT
"""Exit code of a command that was stopped, as shells have it."""
TRACEBACK = "ALMANAC_TRACEBACK"


def _paint(text: str, colour: str) -> str:
    """Colour a word for a terminal, unless NO_COLOR asks for none."""
    plain = bool(os.environ.get("NO_COLOR")) or not sys.stderr.isatty()
    return text if plain else click.style(text, fg=colour, bold=True)


def _run(action: Callable[[], Result]) -> Result:
    """Run a command's work; an error becomes a message and an exit code."""
    try:
        return action()
    except ConfigError as error:
        faults = "".join(f"\n  {fault}" for fault in error.faults)
        _end(error, f"the config has {_count(error)}{faults}", error.exit_code)
    except AlmanacError as error:
        _end(error, str(error), error.exit_code)
    except KeyboardInterrupt as error:
        _end(error, "stopped before the end", STOPPED)
    except OSError as error:
        _end(error, f"the system refuses: {error}", 1)
    except (click.ClickException, click.Abort):
        raise
    except Exception as error:
        if os.environ.get(TRACEBACK):
            raise
        told = f"{type(error).__name__} {error}".strip()
        words = f"a fault of this program ({told}); {TRACEBACK}=1 in the environment shows where"
        _end(error, words, 1)


def _end(error: BaseException, words: str, code: int) -> NoReturn:
    """Say in words what went wrong, and what became of the site; then end."""
    told = [words, *getattr(error, "__notes__", ())]
    click.echo(f"{_paint('error', 'red')}: {'; '.join(told)}", err=True)
    raise SystemExit(code) from None


def _obey() -> None:
    """Let a request to end, and the end of a terminal, do what a stop from the keyboard does."""
    for name in ("SIGTERM", "SIGHUP"):  # Windows has but one
        number = getattr(signal, name, None)
        if number and signal.getsignal(number) is signal.SIG_DFL:  # nohup is obeyed too
            signal.signal(number, _stop)


def _stop(*_: object) -> NoReturn:
    raise KeyboardInterrupt


def _count(error: ConfigError) -> str:
    return "1 fault" if len(error.faults) == 1 else f"{len(error.faults)} faults"


def _warn(path: Path, config: "ClubConfig") -> None:
    """Tell of sites whose coordinates and time zone can hardly both be right."""
    from almanac.inputs.zones import doubts

    for text in doubts(config):
        click.echo(f"{_paint('warning', 'yellow')}: {path}: {text}", err=True)


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="almanac")
def main() -> None:
    """Publish an astronomy club's observing almanac of the Moon."""
    gc.set_threshold(GARBAGE, 20, 100)


@main.command()
@CONFIG
@click.option("--year", "years", type=int, multiple=True, help="Only this year; may be repeated.")
@click.option("--site", "sites", multiple=True, help="Only the site of this slug; repeatable.")
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    default=Path("output"),
    show_default=True,
    help="Folder for the site: an empty one, or one that an earlier build made.",
)
@click.option(
    "--jobs",
    type=click.IntRange(min=1),
    default=os.cpu_count() or 1,
    show_default="one a core",
    help="Processes to share the sites among.",
)
@click.option("--no-booklet", is_flag=True, help="Leave out the booklet to print.")
def build(
    config: Path,
    years: tuple[int, ...],
    sites: tuple[str, ...],
    out: Path,
    jobs: int,
    no_booklet: bool,
) -> None:
    """Compute CONFIG's almanac and write its web site.

    The folder then holds exactly what was built: with --year or --site, only that part.
    """

    def action() -> str:
        _obey()
        from almanac.build import build as build_site
        from almanac.build import plan_size
        from almanac.inputs.choice import Choice, narrowed
        from almanac.inputs.config import load_config

        found = load_config(config)
        chosen = narrowed(found, Choice(tuple(sorted(set(years))), sites))
        with click.progressbar(
            length=plan_size(chosen),
            label="Building",
            file=sys.stderr,
            hidden=not sys.stderr.isatty(),
        ) as bar:
            published = build_site(chosen, out, not no_booklet, jobs, bar.update)
        _warn(config, found)
        return (
            f"{out / 'index.html'}: {published.written} files written, "
            f"{published.unchanged} unchanged, {published.removed} removed"
        )

    click.echo(_run(action))


@main.command()
@CONFIG
@click.option("--sky", is_flag=True, help="Also recompute some published values another way.")
def check(config: Path, sky: bool) -> None:
    """Check CONFIG and the files it names; every fault is listed."""

    def action() -> str:
        from almanac.inputs.config import load_config

        found = load_config(config)
        _warn(config, found)
        sites = ", ".join(site.slug for site in found.sites)
        years = ", ".join(str(year) for year in found.club.years)
        return f"{config}: no fault. {found.club.name}; sites: {sites}; years: {years}"

    def again() -> str:
        from almanac.self_check import report, self_check

        title, rows = self_check(config)
        click.echo(report(title, rows))
        if wrong := sum(not row.holds for row in rows):
            raise AlmanacError(f"{wrong} of {len(rows)} values differ by more than their bound")
        return f"All {len(rows)} agree."

    click.echo(_run(action))
    if sky:
        click.echo(_run(again))


@main.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--name", "club", help="Name of the club.")
@click.option("--site", help="Name of the place to observe from.")
@click.option("--latitude", "latitude_deg", help='Such as 51.43 or "51 25 48 N".')
@click.option("--longitude", "longitude_deg", help='Such as 17.62 or "17 37 12 E".')
@click.option("--timezone", help="IANA name, such as Europe/Warsaw.")
@click.option("--year", "years", multiple=True, help="Such as 2027 or 2027-2029; repeatable.")
@click.option("--force", is_flag=True, help="Replace FILE if it exists.")
def new(file: Path, years: tuple[str, ...], force: bool, **given: str | None) -> None:
    """Write a first config to FILE, asking for what is missing."""

    def action() -> str:
        from almanac.ask import answers
        from almanac.inputs.config import load_config
        from almanac.inputs.new_config import config_text
        from almanac.whole_file import check_place, write_whole

        check_place(file, force)
        found = answers({**given, "years": " ".join(years) or None})
        write_whole(file, config_text(found).encode("utf-8"), force)
        _warn(file, load_config(file))
        return f"{file}: written. Read it, change what is yours, then run: almanac build {file}"

    click.echo(_run(action))


@main.command()
@CONFIG
@click.argument("date", metavar="DATE", type=click.DateTime(formats=["%Y-%m-%d"]))
@click.option("--site", help="Slug of the site; the config's first if left out.")
@click.option(
    "--pdf",
    type=click.Path(path_type=Path),
    help="Write the card to this file instead, four times on a sheet to cut and hand round.",
)
@click.option(
    "--paper",
    type=click.Choice(["a4", "letter"]),
    default="a4",
    show_default=True,
    help="Of the PDF.",
)
def night(
    config: Path, date: datetime, site: str | None, pdf: Path | None, paper: Literal["a4", "letter"]
) -> None:
    """Print the card of the night whose evening is DATE (YYYY-MM-DD)."""

    def action() -> str:
        from almanac.inputs.config import load_config
        from almanac.night_card import card, write_card

        found = load_config(config)
        if pdf is None:
            told = card(found, date.date(), site)
        else:
            write_card(found, date.date(), site, pdf, paper)
            told = f"{pdf}: four cards on a sheet\n"
        _warn(config, found)
        return told

    click.echo(_run(action), nl=False)
