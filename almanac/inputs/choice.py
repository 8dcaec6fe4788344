"""Which part of a club's config is wanted: some of its sites, some of its years or others."""

from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from almanac.errors import AlmanacError
from almanac.records.config import ClubConfig, Site


class UnknownSiteError(AlmanacError):
    """A site that the config does not have was asked for."""

    exit_code = 2


class Choice(Struct, frozen=True):
    """Which part of a config to build; empty means all of it."""

    years: tuple[int, ...] = ()
    sites: tuple[str, ...] = ()


def chosen_sites(config: ClubConfig, slugs: Sequence[str]) -> tuple[Site, ...]:
    """The config's sites of these slugs in its own order, or all; UnknownSiteError otherwise."""
    known = [site.slug for site in config.sites]
    for slug in slugs:
        if slug not in known:
            raise UnknownSiteError(f"no site {slug!r} in the config; it has: {', '.join(known)}")
    return tuple(site for site in config.sites if not slugs or site.slug in slugs)


def narrowed(config: ClubConfig, choice: Choice) -> ClubConfig:
    """The config with only the years and sites chosen, so that no page links to one not built."""
    years = choice.years or config.club.years
    return replace(
        config,
        club=replace(config.club, years=tuple(dict.fromkeys(years))),
        sites=chosen_sites(config, choice.sites),
    )
