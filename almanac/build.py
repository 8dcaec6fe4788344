"""From a club's config to a published site: read, compute, draw, write. Start reading here."""

from collections.abc import Callable, Generator, Sequence
from contextlib import closing
from functools import lru_cache, partial
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec.structs import replace

from almanac.almanac import compute, year_sky
from almanac.inputs.catalogue import load_catalogue
from almanac.inputs.choice import Choice, narrowed
from almanac.inputs.config import load_config
from almanac.publish.neighbours import neighbourhoods
from almanac.publish.output import Part, Publication, Published, publishing
from almanac.records.config import ClubConfig
from almanac.records.neighbours import Neighbourhood
from almanac.records.year import YearAlmanac
from almanac.sky.year_sky import YearSky
from almanac.workers import beside, each, forks

if TYPE_CHECKING:
    from almanac.publish.pages import Digest
    from almanac.site_files import SiteYear

Task = tuple[ClubConfig, int, Neighbourhood | None]
"""A config of one site, a year, and the sites that it is compared with."""
Progress = Callable[[int], None]


def wanted(config_path: Path, choice: Choice) -> ClubConfig:
    """What of a config a build is to publish."""
    return narrowed(load_config(config_path), choice)


def plan_size(config: ClubConfig) -> int:
    """How many site-years a build will compute."""
    return len(config.sites) * len(config.club.years)


def build(
    config: ClubConfig, folder: Path, booklet: bool, jobs: int, progress: Progress
) -> Published:
    """Build the whole site beside its folder, then swap it in; progress counts site-years.

    Each site-year is computed, drawn and written by one of up to jobs processes; only a digest
    comes back, for the pages of several sites.
    """
    parts: list[Part] = []
    digests: list[Digest] = []
    with (
        publishing(folder) as publication,
        closing(site_years(publication, booklet, tasks(config), jobs)) as made,
    ):
        for part, found in made:
            parts.append(part)
            digests.append(found)
            progress(1)
        from almanac.site_files import put_club

        return publication.finish(chain(parts, put_club(publication, config, digests)))


def tasks(config: ClubConfig) -> list[Task]:
    """What is to be computed, year by year."""
    groups = neighbourhoods(config.sites)
    around = {site.slug: group for group in groups for site in group.sites}
    return [
        (replace(config, sites=(site,)), year, around.get(site.slug))
        for year in config.club.years
        for site in config.sites
    ]


def site_years(
    publication: Publication, booklet: bool, todo: Sequence[Task], jobs: int
) -> "Generator[SiteYear, None, None]":
    """All of them, shared among processes; or each one's work, where they are too few to share."""
    if len(todo) < jobs and forks():
        yield from map(partial(site_year, publication, booklet, jobs), todo)
    else:
        from almanac.site_files import make_ready

        make_ready(todo[0][0])  # once, for all processes that begin as copies of this one
        yield from each(partial(site_year, publication, booklet, 1), todo, jobs)


def site_year(publication: Publication, booklet: bool, jobs: int, task: Task) -> "SiteYear":
    """Publish a site's year, and keep what the pages of several sites need of it."""
    config, year, around = task
    with beside(partial(computed, config, year), jobs) as coming:
        from almanac.site_files import make_ready, put_site_year  # as long as the sky takes

        make_ready(config)
        almanac = coming()
    return put_site_year(publication, almanac, config, around, booklet, jobs)


def computed(config: ClubConfig, year: int) -> YearAlmanac:
    """Everything about a config's first site in a year."""
    return compute(config, config.sites[0], shared_sky(year), load_catalogue())


@lru_cache(maxsize=1)
def shared_sky(year: int) -> YearSky:
    """The sky of the year at hand, made once in each process."""
    return year_sky(year, load_catalogue())
