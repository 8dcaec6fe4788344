"""Whatever a config says: a checked record or a ConfigError, soon, and never a traceback."""

import copy
import json
import tomllib
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any, get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import BaseModel
from random_configs import Draw, config_text

from almanac.inputs.schema import ConfigTables
from almanac.plan.recurrence import rule_days
from almanac.records.config import ClubConfig

ROOT = Path(__file__).resolve().parents[2]
TEXT = (ROOT / "site_config/demo.toml").read_text(encoding="utf-8")
DEMO = tomllib.loads(TEXT)
DEMO["site"] = [{**DEMO["site"][0], "horizon": [[0, 5], [90, 10]]}]  # small, so that it is fast
Answered = Callable[[bytes], Any]
Key = tuple[str, ...]
fuzz = settings(settings.get_profile("fuzz"))


class Raw(str):
    """A value written into the TOML as it stands."""


def keys_of(model: type[BaseModel], inside: Key = ()) -> list[Key]:
    """Every key that a config may have, tables included."""
    found: list[Key] = []
    for name, field in model.model_fields.items():
        found.append((*inside, name))
        inner = [field.annotation, *get_args(field.annotation)]
        for table in inner:
            if isinstance(table, type) and issubclass(table, BaseModel):
                found += keys_of(table, (*inside, name))
    return found


KEYS = keys_of(ConfigTables)

TEXTS = (
    *("<script>alert(1)</script>", '"><img src=x onerror=alert(1)>', "' onload='x", "</title>"),
    *("{{ 7*7 }}", "{% raw %}", "%(name)s %s %d %", "{0.__class__}", '#read("x")', "$(id)"),
    *("..", ".", "/", "\\", "../../etc/passwd", "C:\\x", "CON", "nul.txt", "a/b", " ", "-", "~"),
    *("javascript:alert(1)", 'https://a"onload=b', "https://[::1", "http://a@b", "//x.example"),
    *("=HYPERLINK(1)", "BEGIN:VCALENDAR", "a\r\nb", "a\nb", "a\tb", "]]>", "<!--", "&amp;"),
    *("\u202eevil", "a\u2066b", "\u200b", "\u2028", "\ufeff", "\x00", "\x1b[31m", "\x7f", "\x85"),
    *("🌙" * 30, "é" * 500, "x" * 10_000, "\u0301" * 120, "ﷺ" * 120, "İ", "ß", "ｆｕｌｌ"),
    *("Factory", "Europe/Paris", "europe/paris", "localtime", "posix/UTC", "../zone", "UTC\0"),
)
RAWS = (
    *("nan", "inf", "-inf", "1e400", "-0.0", "5e-324", "1e308", "0x7fffffffffffffff", "1_0"),
    *("99999999999999999999999", "-1", "0", "true", "[]", "{}", "[[]]", "[{}]", "[nan, nan]"),
    *("12:00:00", "23:59:59.999999", "2027-03-01", "2027-03-01T00:00:00Z", "0001-01-01"),
    *("9999-12-31", "''", '""', "[" * 50 + "]" * 50, "{a={b={c=1}}}", "[[0, 10], [360, 10]]"),
    *("[1, 'a', true]", "[[1, 2, 3]]", "[[nan, 1]]", "[[400, 1]]", "[['20:00', '19:00']]"),
)

rules = st.lists(
    st.one_of(
        st.sampled_from(["FREQ=DAILY", "FREQ=WEEKLY", "FREQ=MONTHLY", "FREQ=YEARLY"]),
        st.sampled_from(["FREQ=SECONDLY", "FREQ=", "freq=weekly", "BYHOUR=3", "BYEASTER=1", ""]),
        st.builds("BYDAY={}{}".format, st.integers(-54, 54), st.sampled_from(["MO", "FR", "XX"])),
        st.builds("BYMONTHDAY={}".format, st.integers(-40, 40)),
        st.builds("BYMONTH={}".format, st.integers(-1, 14)),
        st.builds("BYYEARDAY={}".format, st.integers(-400, 400)),
        st.builds("BYWEEKNO={}".format, st.integers(-60, 60)),
        st.builds("BYSETPOS={}".format, st.integers(-400, 400)),
        st.builds("INTERVAL={}".format, st.integers(-1, 10_000)),
        st.builds("COUNT={}".format, st.integers(-1, 10_000)),
        st.builds("UNTIL={:08d}{}".format, st.integers(0, 99991231), st.sampled_from(["", "Z"])),
        st.sampled_from(["WKST=SU", "WKST=XX", "BYDAY=MO,TU", "BYMONTHDAY=29,30,31"]),
    ),
    max_size=6,
).map(";".join)

values = st.one_of(
    st.sampled_from(TEXTS),
    st.sampled_from(RAWS).map(Raw),
    st.integers(),
    st.floats(),
    st.booleans(),
    st.text(max_size=200),
    rules,
    st.lists(st.lists(st.floats(-10, 400), min_size=1, max_size=3), max_size=30),
    st.lists(st.one_of(st.integers(1890, 2060), st.sampled_from(TEXTS)), max_size=8),
    st.integers(1, 400).map(lambda count: [2027] * count),
)
edits = st.lists(
    st.tuples(st.sampled_from(["set", "drop", "rename", "double"]), st.sampled_from(KEYS), values),
    min_size=1,
    max_size=5,
)


def edited(changes: list[tuple[str, Key, Any]]) -> str:
    """The demo with keys set, dropped, renamed or their tables doubled, as TOML."""
    config = copy.deepcopy(DEMO)
    for kind, key, value in changes:
        table: Any = config
        for part in key[:-1]:
            table = table.get(part, {}) if isinstance(table, dict) else {}
            table = table[0] if isinstance(table, list) and table else table
        if not isinstance(table, dict):
            continue
        if kind == "set":
            table[key[-1]] = value
        elif kind == "drop":
            table.pop(key[-1], None)
        elif kind == "rename" and key[-1] in table:
            table[str(value)[:60]] = table.pop(key[-1])
        elif kind == "double" and isinstance(table.get(key[-1]), list):
            table[key[-1]] = table[key[-1]] * 2
    return "\n".join(f"{quoted(name)} = {toml(value)}" for name, value in config.items())


def quoted(text: str) -> str:
    """A TOML basic string."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def toml(value: Any) -> str:
    """A value as TOML on one line."""
    if isinstance(value, Raw):
        return value
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, list):
        return f"[{', '.join(map(toml, value))}]"
    if isinstance(value, dict):
        return f"{{{', '.join(f'{quoted(k)} = {toml(v)}' for k, v in value.items())}}}"
    return str(value)


def test_the_unedited_text_is_a_good_config(answered: Answered) -> None:
    """What is damaged below was good before, and every key of the config is in reach."""
    assert isinstance(answered(edited([]).encode()), ClubConfig)
    assert {("club", "name"), ("site", "horizon"), ("moon", "hours", "friday")} < set(KEYS)
    assert {("meeting", "rule"), ("outing", "lit"), ("safety", "sun_stop_deg")} < set(KEYS)


@pytest.mark.parametrize("key", KEYS, ids=".".join)
def test_every_key_takes_every_hostile_value(
    key: Key, answered: Answered, request: pytest.FixtureRequest
) -> None:
    """Each known lie in the place of each value is taken or refused in words; few in a short run,
    but for each key others."""
    step = max(1, 300 // request.config.getoption("--examples"))
    for value in (*TEXTS, *map(Raw, RAWS))[KEYS.index(key) % step :: step]:
        answered(edited([("set", key, value)]).encode())


@given(changes=edits)
@fuzz
def test_edited_configs(changes: list[tuple[str, Key, Any]], answered: Answered) -> None:
    """Keys set to anything, dropped, renamed and doubled, several at once."""
    answered(edited(changes).encode())


@given(seed=st.integers(0, 2**32 - 1))
@fuzz
def test_random_valid_configs(seed: int, answered: Answered) -> None:
    """Everything inside the bounds is taken, from every corner of them."""
    answer = answered(config_text(Draw(seed)).encode())
    assert isinstance(answer, ClubConfig), str(answer)


@given(
    start=st.integers(0, len(TEXT.encode())),
    length=st.integers(0, 60),
    new=st.one_of(st.binary(max_size=60), st.sampled_from([b"\0", b"\xff\xfe", b"\xef\xbb\xbf"])),
)
@fuzz
def test_damaged_bytes(start: int, length: int, new: bytes, answered: Answered) -> None:
    """Bytes cut out and others put in, anywhere."""
    source = TEXT.encode()
    answered(source[:start] + new + source[start + length :])


@given(
    rule=rules,
    first=st.dates(date(1795, 1, 1), date(2055, 1, 1)).map(lambda day: Raw(day.isoformat())),
)
@fuzz
def test_meeting_rules(
    rule: str, first: Raw, answered: Answered, in_time: Callable[[], Any]
) -> None:
    """A rule is refused, or its days are told before the deadline: even if there are none."""
    meeting = ("meeting", "rule"), rule
    source = edited([("set", *meeting), ("set", ("meeting", "first"), first)])
    answer = answered(source.encode())
    if isinstance(answer, ClubConfig):
        meeting = answer.meetings[0]
        with in_time():
            for year in (1900, 2027, 2052):
                days = rule_days(meeting.rule, meeting.first, year)
                assert list(days) == sorted(days)
                assert all(day.year == year for day in days)


horizon_lines = st.one_of(
    st.builds("{} {}".format, st.floats(-10, 400), st.floats(-10, 100)),
    st.builds("{},{};{}".format, st.integers(), st.integers(), st.sampled_from(["", "x", "1"])),
    st.sampled_from(["", "#", "nan nan", "inf 0", "360 5", "0 5", "0 5 # oak", "1e1 2e0", "\0"]),
    st.text(max_size=30),
)


@given(
    lines=st.lists(horizon_lines, max_size=60),
    newline=st.sampled_from(["\n", "\r\n", "\r"]),
    code=st.sampled_from(["utf-8", "utf-8-sig", "utf-16", "utf-32"]),
)
@fuzz
def test_horizon_files(
    lines: list[str], newline: str, code: str, answered: Answered, tmp_path: Path
) -> None:
    """Gaps, disorder, wraps, strange numbers, strange encodings."""
    text = newline.join(lines).encode(code, errors="replace")
    (tmp_path / "oak.txt").write_bytes(text)
    answer = answered(edited([("set", ("site", "horizon"), "oak.txt")]).encode())
    if isinstance(answer, ClubConfig):
        azimuths = answer.sites[0].horizon.azimuth_deg
        assert list(azimuths) == sorted(azimuths)
        assert 0 <= azimuths[0] <= azimuths[-1] < 360
