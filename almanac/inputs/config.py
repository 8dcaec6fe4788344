"""From a club's TOML file to a checked ClubConfig, or to every fault in it at once."""

import hashlib
import os
import re
import tomllib
from datetime import date
from pathlib import Path
from typing import Any
from zoneinfo import reset_tzpath

from pydantic import ValidationError

from almanac.errors import ConfigError, Fault
from almanac.inputs.catalogue import load_catalogue
from almanac.inputs.faults import MOST_FAULTS, capped, fault_of, shown
from almanac.inputs.fields import Surroundings
from almanac.inputs.horizon import FLAT, inline_horizon, read_horizon
from almanac.inputs.limits import MoonTable
from almanac.inputs.outings import outing_rule, usual_rules
from almanac.inputs.schema import ConfigTables, MeetingTable, SiteTable
from almanac.inputs.source import FILE, decoded, file_error, read_source
from almanac.records.config import (
    Club,
    ClubConfig,
    Horizon,
    Meeting,
    MoonLimits,
    OutingRule,
    SafetyLimits,
    Site,
    StarLimits,
    Telescope,
)

MOST_BYTES = 1024 * 1024
MOST_NAME_CHARACTERS = 200
HORIZON_WORDS = (
    "the name of a text file in the config's folder or below, "
    "or a list of points [azimuth_deg, altitude_deg]"
)

_LONG_DOTTED_KEY = re.compile(
    r"""(?<![\w-])(?:[\w-]++|"(?:[^"\\\n]|\\.)*+"|'[^'\n]*+')"""
    r"""(?:[ \t]*+\.[ \t]*+(?:[\w-]++|"(?:[^"\\\n]|\\.)*+"|'[^'\n]*+')){16}"""
)
"""tomllib needs memory that grows with the square of such a key's length; ours have three parts."""

reset_tzpath(to=())
"""Time zones come from the package tzdata on every machine, so that the same input gives the same
bytes."""

Profile = tuple[Horizon, bytes]
"""A site's horizon, and the bytes of the file it came from, if it came from one."""


def load_config(path: Path) -> ClubConfig:
    """The club's config, checked, with every default filled in.

    Raises ConfigError with all faults of the file and of the horizon files that it names. A
    horizon file lies in the config's folder or below it.
    """
    source = read_source(path, MOST_BYTES)
    data = _parsed(decoded(source, path), path)
    tables, faults = _checked(data, path)
    profiles, horizon_faults = _profiles(data.get("site"), path)
    if tables is None or horizon_faults:
        raise ConfigError(capped(faults + horizon_faults))
    horizons = [horizon for horizon, _ in profiles]
    return _record(tables, horizons, _digest([source, *(file for _, file in profiles)]))


def _parsed(text: str, path: Path) -> dict[str, Any]:
    if _LONG_DOTTED_KEY.search(text):
        raise file_error(path, "a key of more than 16 dotted parts", "TOML with the keys we know")
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise file_error(
            path, "not TOML", f"a file that follows the TOML rules ({error})"
        ) from None
    except (RecursionError, ValueError):  # ValueError: a decimal integer of thousands of digits
        words = "lists and numbers of a sensible size"
        raise file_error(path, "nested too deeply or a number too long", words) from None


def _checked(data: dict[str, Any], path: Path) -> tuple[ConfigTables | None, list[Fault]]:
    """The tables as the schema has them, or None and their faults."""
    hip_by_name = {star.name: star.hip for star in load_catalogue().stars}
    try:
        return ConfigTables.model_validate(data, context=Surroundings(hip_by_name)), []
    except ValidationError as error:
        listed = error.errors(include_url=False)[: MOST_FAULTS + 1]
        return None, [fault_of(one, ConfigTables, str(path)) for one in listed]


def _profiles(sites: object, path: Path) -> tuple[list[Profile], list[Fault]]:
    """Each site's profile in order, and what is wrong with them."""
    profiles, faults = [], []
    for index, site in enumerate(sites if isinstance(sites, list) else []):
        value = site.get("horizon") if isinstance(site, dict) else None
        key = f"site[{index}].horizon"
        try:
            profiles.append(_profile(value, path, key))
        except ConfigError as error:
            faults += [one._replace(key=key) if one.key == FILE else one for one in error.faults]
    return profiles, faults


def _profile(value: object, path: Path, key: str) -> Profile:
    if value is None:
        return FLAT, b""
    if isinstance(value, list):
        return inline_horizon(value, str(path), key), b""
    if isinstance(value, str) and _stays_below(path.parent, value):
        return read_horizon(path.parent / value)
    raise ConfigError([Fault(str(path), key, shown(value), HORIZON_WORDS)])


def _stays_below(folder: Path, name: str) -> bool:
    """Whether a name is that of something in the folder or below, links followed.

    What a config says may come from others; it opens none of the reader's own files.
    """
    if not name.isprintable() or len(name) > MOST_NAME_CHARACTERS:
        return False
    return Path(os.path.realpath(folder / name)).is_relative_to(os.path.realpath(folder))


def _digest(files: list[bytes]) -> str:
    """SHA-256 of the config and then each site's horizon file, one after another."""
    return hashlib.sha256(b"".join(files)).hexdigest()


def _record(tables: ConfigTables, horizons: list[Horizon], digest: str) -> ClubConfig:
    pairs = zip(tables.site, horizons, strict=True)
    return ClubConfig(
        club=Club(**{**tables.club.model_dump(), "years": tuple(tables.club.years)}),
        sites=tuple(_site(site, horizon) for site, horizon in pairs),
        telescope=Telescope(**tables.telescope.model_dump()),
        moon=_moon(tables.moon),
        stars=StarLimits(
            **{**tables.stars.model_dump(), "known": tuple(dict.fromkeys(tables.stars.known))}
        ),
        safety=SafetyLimits(**tables.safety.model_dump()),
        meetings=tuple(_meeting(meeting, tables.club.years) for meeting in tables.meeting),
        source_sha256=digest,
        outings=_outings(tables),
    )


def _site(table: SiteTable, horizon: Horizon) -> Site:
    clear_sky = None if table.clear_sky is None else tuple(table.clear_sky)
    return Site(**{**table.model_dump(), "horizon": horizon, "clear_sky": clear_sky})


def _moon(table: MoonTable) -> MoonLimits:
    return MoonLimits(**table.model_dump(exclude={"hours"}), hours=table.hours.by_weekday())


def _outings(tables: ConfigTables) -> tuple[OutingRule, ...]:
    moon = _moon(tables.moon)
    if "outing" not in tables.model_fields_set:  # left out is not an empty list
        return usual_rules(moon)
    return tuple(outing_rule(table, moon) for table in tables.outing)


def _meeting(table: MeetingTable, years: list[int]) -> Meeting:
    """Without a first date the rule is counted from the beginning of the club's first year."""
    first = table.first or date(years[0], 1, 1)
    given = table.model_dump(exclude={"duration", "first"})
    return Meeting(**given, duration_min=table.duration, first=first)
