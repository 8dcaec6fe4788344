"""What ``almanac new`` has to know: taken from its options, and asked for on a terminal."""

import sys
from collections.abc import Mapping
from typing import Any

import click

from almanac.errors import AlmanacError
from almanac.inputs.new_config import READERS, Answers
from almanac.inputs.zones import doubt, in_words, nearest_zones

QUESTIONS = {
    "club": ("--name", "Name of the club"),
    "site": ("--site", "Name of the place to observe from"),
    "latitude_deg": ("--latitude", "Its latitude, such as 51.43 or 51 25 48 N"),
    "longitude_deg": ("--longitude", "Its longitude, such as 17.62 or 17 37 12 E"),
    "timezone": ("--timezone", "Its time zone, such as Europe/Warsaw"),
    "years": ("--year", "Years of the almanac, such as 2027 or 2027-2029"),
}
"""For each field of Answers its option and its question, in the order of asking."""
WHERE = ("latitude_deg", "longitude_deg", "timezone")


class MissingAnswersError(AlmanacError):
    """Without a terminal to ask on, the options leave something open."""

    exit_code = 2


def answers(given: Mapping[str, str | None]) -> Answers:
    """All answers, from the options' texts by field of Answers and the rest by asking.

    Raises MissingAnswersError, naming every missing or wrong option, if there is no terminal.
    """
    known, wrong = _read(given)
    if not sys.stdin.isatty():
        _refuse(known, wrong)
        return Answers(**known)
    for message in wrong:
        click.echo(message, err=True)
    while True:
        for field in QUESTIONS:
            if field not in known:
                known[field] = _ask(field, known)
        found = Answers(**known)
        if _sure(found):
            return found
        known = {field: value for field, value in known.items() if field not in WHERE}


def _read(given: Mapping[str, str | None]) -> tuple[dict[str, Any], list[str]]:
    """The options' values that a config may hold, and what is wrong with the others."""
    known: dict[str, Any] = {}
    wrong = []
    for field, text in given.items():
        if text is None:
            continue
        try:
            known[field] = READERS[field](text)
        except AlmanacError as error:
            wrong.append(f"{QUESTIONS[field][0]}: {error}")
    return known, wrong


def _refuse(known: Mapping[str, Any], wrong: list[str]) -> None:
    missing = [option for field, (option, _) in QUESTIONS.items() if field not in known]
    asked = [option for option in missing if not any(w.startswith(option) for w in wrong)]
    lines = [f"missing: {', '.join(asked)} (or a terminal to ask on)"] if asked else []
    if lines or wrong:
        raise MissingAnswersError("\n  ".join(["the options do not make a config", *lines, *wrong]))


def _ask(field: str, known: Mapping[str, Any]) -> Any:
    if field == "timezone":
        place = known["latitude_deg"], known["longitude_deg"]
        click.echo(f"{in_words(place)}. Time zones near by: {', '.join(nearest_zones(place))}")
    return click.prompt(QUESTIONS[field][1], value_proc=lambda text: _value(field, text))


def _value(field: str, text: str) -> Any:
    """What the text means; click tells a UsageError and asks again."""
    try:
        return READERS[field](text)
    except AlmanacError as error:
        raise click.UsageError(str(error)) from None


def _sure(found: Answers) -> bool:
    """Whether place and zone fit, or are meant all the same."""
    told = doubt(found.place, found.timezone, found.years[0])
    if not told:
        return True
    click.echo(told, err=True)
    return click.confirm("Keep them as they are?", default=False)
