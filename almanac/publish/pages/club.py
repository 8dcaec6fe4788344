"""The club's own pages: the front page, Sun safety, methods; and the assets all pages share."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from typing import NamedTuple

from almanac.publish.pages import methods
from almanac.publish.pages.book import night_href
from almanac.publish.pages.digest import Digest, SiteYear
from almanac.publish.pages.elsewhere import compare_href
from almanac.publish.pages.engine import Frame, Link, assets, render
from almanac.publish.pages.field import SITES_SCRIPT, field_pages
from almanac.publish.verdicts import listed
from almanac.publish.wording import Wording
from almanac.records.config import ClubConfig

MOST_TONIGHT = 8
"""Sites whose nights the front page tells itself; of more it lists the names."""
MOST_TABLES = 12
"""Years of sites whose best nights stand on the front page; of more it has links."""
MOST_LINKS = 24
"""Years of sites at the foot of a page."""


class SiteLine(NamedTuple):
    """A site on the front page."""

    name: str
    slug: str
    timezone: str
    years: tuple[SiteYear, ...]
    """In order."""
    year_list: str
    """The same years as the script reads them: 2027 2028."""


class FrontView(NamedTuple):
    """All that the front page shows."""

    club: str
    notes: str
    years: str
    sites: tuple[SiteLine, ...]
    """Those whose nights the page tells: all of them, or none of very many."""
    places: tuple[tuple[str, tuple[Link, ...]], ...]
    """Of very many sites or years: each name with its years, by name."""
    compare: tuple[Link, ...]
    """The pages that compare the sites, one a year."""


class DangerDays(NamedTuple):
    """Evenings on which the Moon is too near the Sun to be looked for."""

    sites: str
    """Those that share the days."""
    year: str
    spans: tuple[Link, ...]
    """Each to its first night, at the first of the sites."""


class SunView(NamedTuple):
    """All that the Sun-safety page shows."""

    days: tuple[DangerDays, ...]
    caution: str
    stop: str
    cap: str


def club_pages(digests: Sequence[Digest], config: ClubConfig) -> dict[str, str | bytes]:
    """The front page, Sun safety, methods and assets, by path from the site's top folder."""
    words = Wording.of(config.club.language, config.sites[0].timezone)
    method_view = methods.methods_view(digests[0].made_with, config, words)
    sun = _frame("sun", words.gettext("Sun safety"), "sun-safety.html", config, digests)
    how = _frame("methods", words.gettext("Methods and accuracy"), "methods.html", config, digests)
    home = Frame("front", config.club.name, "", config.club.name, config.club.language)
    front = _front_view(digests, config, words)
    return {
        "index.html": render("front.html", home, front, words),
        "sun-safety.html": render("sun-safety.html", sun, sun_view(digests, config), words),
        "methods.html": render("methods.html", how, method_view, words),
        **field_pages(config, words),
        **{path: file for path, file in assets().items() if front.places or path != SITES_SCRIPT},
    }


def _frame(
    kind: str, title: str, href: str, config: ClubConfig, digests: Sequence[Digest]
) -> Frame:
    return Frame(
        kind=kind,
        title=f"{title} · {config.club.name}",
        root="",
        club=config.club.name,
        language=config.club.language,
        trail=(Link(href, title, True),),
        more=tuple(
            Link(one.front.link.href, f"{one.name} {one.year}")
            for one in digests[: len(digests) if len(digests) <= MOST_LINKS else 0]
        ),
    )


def _front_view(digests: Sequence[Digest], config: ClubConfig, words: Wording) -> FrontView:
    sites, years = tuple(_sites(digests)), sorted({one.year for one in digests})
    by_name = sorted(sites, key=lambda site: (site.name.casefold(), site.slug))
    return FrontView(
        club=config.club.name,
        notes=config.club.notes,
        years=_years_text(years),
        sites=sites if len(sites) <= MOST_TONIGHT else (),
        places=tuple((site.name, tuple(year.link for year in site.years)) for site in by_name)
        if len(digests) > MOST_TABLES
        else (),
        compare=tuple(
            Link(compare_href("", year), words.gettext("Where to go: %(year)s", year=year))
            for year in years
            if len(sites) > 1
        ),
    )


def _years_text(years: Sequence[int]) -> str:
    """The years as a row of some, or from the first to the last of many."""
    if len(years) > 3 and years[-1] - years[0] == len(years) - 1:
        return f"{years[0]} – {years[-1]}"
    return ", ".join(map(str, years))


def _sites(digests: Sequence[Digest]) -> Iterator[SiteLine]:
    by_site: dict[str, list[Digest]] = {}
    for one in digests:
        by_site.setdefault(one.slug, []).append(one)
    for slug, years in by_site.items():
        years.sort(key=lambda one: one.year)
        yield SiteLine(
            name=years[0].name,
            slug=slug,
            timezone=years[0].timezone,
            years=tuple(one.front for one in years),
            year_list=" ".join(str(one.year) for one in years),
        )


def sun_view(digests: Iterable[Digest], config: ClubConfig) -> SunView:
    """The view of Sun safety for these years of sites."""
    words = Wording.of(config.club.language, config.sites[0].timezone)
    return SunView(
        days=tuple(_danger_days(digests, words)),
        caution=words.degrees(config.safety.sun_caution_deg),
        stop=words.degrees(config.safety.sun_stop_deg),
        cap=words.duration(60 * config.safety.cap_before_sunrise_min),
    )


def _danger_days(digests: Iterable[Digest], words: Wording) -> Iterator[DangerDays]:
    shared: dict[tuple[int, tuple[tuple[date, date], ...]], list[Digest]] = {}
    for one in digests:
        shared.setdefault((one.year, one.near_sun), []).append(one)
    for (year, runs), alike in shared.items():
        spans = tuple(_day_span(alike[0], start, end, words) for start, end in runs)
        names = listed([one.name for one in alike], words)
        yield DangerDays(names, str(year), spans)


def _day_span(one: Digest, first: date, last: date, words: Wording) -> Link:
    start, end = (words.date(day, "short_day") for day in (first, last))
    href = f"{one.slug}/{one.year}/{night_href(first)}"
    return Link(href, start if first == last else f"{start} – {end}")
