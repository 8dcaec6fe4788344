"""From a club's TOML file to a checked ClubConfig, or to every fault in it at once."""

import hashlib
import re
import tomllib
from dataclasses import replace
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from almanac.errors import ConfigError, Fault
from almanac.inputs.catalogue import load_catalogue
from almanac.inputs.faults import capped, fault_of
from almanac.inputs.horizon import FLAT, inline_horizon, read_horizon
from almanac.inputs.schema import ConfigTables, MeetingTable, MoonTable, SiteTable, Surroundings
from almanac.inputs.source import FILE, decoded, file_error, read_source
from almanac.records.config import (
    Club,
    ClubConfig,
    Horizon,
    Meeting,
    MoonLimits,
    SafetyLimits,
    Site,
    StarLimits,
    Telescope,
)

MOST_BYTES = 1024 * 1024

_LONG_DOTTED_KEY = re.compile(
    r"""(?<![\w-])(?:[\w-]++|"(?:[^"\\\n]|\\.)*+"|'[^'\n]*+')"""
    r"""(?:[ \t]*+\.[ \t]*+(?:[\w-]++|"(?:[^"\\\n]|\\.)*+"|'[^'\n]*+')){16}"""
)
"""tomllib needs memory that grows with the square of such a key's length; ours have three parts."""


def load_config(path: Path) -> ClubConfig:
    """The club's config, checked, with every default filled in.

    Raises ConfigError with all faults of the file and of the horizon files that it names. A
    horizon file's name is relative to the config's folder.
    """
    source = read_source(path, MOST_BYTES)
    data = _parsed(decoded(source, path), path)
    faults: list[Fault] = []
    tables = _checked(data, path, faults)
    digest = hashlib.sha256(source)
    horizons = _horizons(data.get("site"), path, digest, faults)
    if tables is None or faults:
        raise ConfigError(capped(faults))
    return _record(tables, horizons, digest.hexdigest())


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


def _checked(data: dict[str, Any], path: Path, faults: list[Fault]) -> ConfigTables | None:
    """The tables as the schema has them, or None and their faults added."""
    hip_by_name = {star.name: star.hip for star in load_catalogue().stars}
    try:
        return ConfigTables.model_validate(data, context=Surroundings(hip_by_name))
    except ValidationError as error:
        errors = error.errors(include_url=False)
        faults += [fault_of(one, ConfigTables, str(path)) for one in errors]
        return None


def _horizons(sites: object, path: Path, digest: Any, faults: list[Fault]) -> list[Horizon]:
    """Each site's profile in order; files go into the digest, what is wrong into the faults."""
    profiles = []
    for index, site in enumerate(sites if isinstance(sites, list) else []):
        value = site.get("horizon") if isinstance(site, dict) else None
        key = f"site[{index}].horizon"
        try:
            profiles.append(_horizon(value, path, key, digest))
        except ConfigError as error:
            whole_file = (replace(fault, key=key) for fault in error.faults if fault.key == FILE)
            faults += [*whole_file, *(fault for fault in error.faults if fault.key != FILE)]
    return profiles


def _horizon(value: object, path: Path, key: str, digest: Any) -> Horizon:
    if isinstance(value, list):
        return inline_horizon(value, str(path), key)
    if isinstance(value, str):
        profile, source = read_horizon(path.parent / value)
        digest.update(hashlib.sha256(source).digest())
        return profile
    return FLAT  # left out, or of another type, which the schema reports


def _record(tables: ConfigTables, horizons: list[Horizon], digest: str) -> ClubConfig:
    pairs = zip(tables.site, horizons, strict=True)
    return ClubConfig(
        club=Club(**{**tables.club.model_dump(), "years": tuple(tables.club.years)}),
        sites=tuple(_site(site, horizon) for site, horizon in pairs),
        telescope=Telescope(**tables.telescope.model_dump()),
        moon=_moon(tables.moon),
        stars=StarLimits(**{**tables.stars.model_dump(), "known": tuple(tables.stars.known)}),
        safety=SafetyLimits(**tables.safety.model_dump()),
        meetings=tuple(map(_meeting, tables.meeting)),
        source_sha256=digest,
    )


def _site(table: SiteTable, horizon: Horizon) -> Site:
    clear_sky = None if table.clear_sky is None else tuple(table.clear_sky)
    return Site(**{**table.model_dump(), "horizon": horizon, "clear_sky": clear_sky})


def _moon(table: MoonTable) -> MoonLimits:
    return MoonLimits(**table.model_dump(exclude={"hours"}), hours=table.hours.by_weekday())


def _meeting(table: MeetingTable) -> Meeting:
    return Meeting(**table.model_dump(exclude={"duration"}), duration_min=table.duration)
