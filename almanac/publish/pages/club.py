"""The club's own pages: the front page, Sun safety, methods; and the assets all pages share."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from almanac.publish.charts.drawing import DARK, LIGHT, PRINT, css
from almanac.publish.pages import methods
from almanac.publish.pages.book import FIND_HREF, month_href, night_href, quality
from almanac.publish.pages.engine import Frame, Link, assets, render
from almanac.publish.steps import best_window, spans
from almanac.publish.window_limits import window_limits
from almanac.publish.wording import Wording
from almanac.records.config import ClubConfig, Site
from almanac.records.year import Night, YearAlmanac

NEW_MOON_CODE = "near_new_moon"


@dataclass(frozen=True)
class BestNight:
    """A month's best night, for readers without script."""

    month: Link
    night: Link | None
    hours: str
    detail: str
    limits: tuple[str, ...]


@dataclass(frozen=True)
class SiteYear:
    """A year of a site on the front page."""

    link: Link
    find: Link
    """The page on which to find a night."""
    summary: str
    best: tuple[BestNight, ...]


@dataclass(frozen=True)
class SiteLine:
    """A site on the front page."""

    name: str
    slug: str
    timezone: str
    years: tuple[SiteYear, ...]
    """In order."""
    year_list: str
    """The same years as the script reads them: 2027 2028."""


@dataclass(frozen=True)
class FrontView:
    """All that the front page shows."""

    club: str
    notes: str
    years: str
    sites: tuple[SiteLine, ...]


@dataclass(frozen=True)
class DangerDays:
    """Evenings on which the Moon is too near the Sun to be looked for."""

    sites: str
    """Those that share the days."""
    year: str
    spans: tuple[Link, ...]
    """Each to its first night, at the first of the sites."""


@dataclass(frozen=True)
class SunView:
    """All that the Sun-safety page shows."""

    days: tuple[DangerDays, ...]
    caution: str
    stop: str
    cap: str


def club_pages(almanacs: Sequence[YearAlmanac], config: ClubConfig) -> dict[str, str | bytes]:
    """The front page, Sun safety, methods and assets, by path from the site's top folder."""
    words = Wording(config.club.language, config.sites[0].timezone)
    front = FrontView(
        club=config.club.name,
        notes=config.club.notes,
        years=", ".join(str(year) for year in sorted({a.year for a in almanacs})),
        sites=tuple(_sites(almanacs, config)),
    )
    method_view = methods.methods_view(almanacs, config, words)
    sun = _frame("sun", words.gettext("Sun safety"), "sun-safety.html", config, almanacs)
    how = _frame("methods", words.gettext("Methods and accuracy"), "methods.html", config, almanacs)
    home = Frame("front", config.club.name, "", config.club.name, config.club.language)
    return {
        "index.html": render("front.html", home, front, words),
        "sun-safety.html": render("sun-safety.html", sun, _sun_view(almanacs, config), words),
        "methods.html": render("methods.html", how, method_view, words),
        "assets/themes.css": themes(),
        **assets(),
    }


def themes() -> str:
    """The colours as a stylesheet: light, dark by the reader's setting, paper."""
    return (
        f":root{{{css(LIGHT)}}}\n"
        f"@media (prefers-color-scheme:dark){{:root{{{css(DARK)}}}}}\n"
        f"@media print{{:root{{{css(PRINT)}}}}}\n"
    )


def _frame(
    kind: str, title: str, href: str, config: ClubConfig, almanacs: Sequence[YearAlmanac]
) -> Frame:
    return Frame(
        kind=kind,
        title=f"{title} · {config.club.name}",
        root="",
        club=config.club.name,
        language=config.club.language,
        trail=(Link(href, title, True),),
        more=tuple(
            Link(f"{a.site.slug}/{a.year}/index.html", f"{a.site.name} {a.year}") for a in almanacs
        ),
    )


def _sites(almanacs: Sequence[YearAlmanac], config: ClubConfig) -> Iterator[SiteLine]:
    by_site: dict[Site, list[YearAlmanac]] = {}
    for almanac in almanacs:
        by_site.setdefault(almanac.site, []).append(almanac)
    for site, years in by_site.items():
        words = Wording(config.club.language, site.timezone)
        years.sort(key=lambda almanac: almanac.year)
        yield SiteLine(
            name=site.name,
            slug=site.slug,
            timezone=site.timezone,
            years=tuple(_site_year(almanac, words) for almanac in years),
            year_list=" ".join(str(almanac.year) for almanac in years),
        )


def _site_year(almanac: YearAlmanac, words: Wording) -> SiteYear:
    ranked = [night for night in almanac.nights if night.rank]
    good = sum(quality(night.rank, len(ranked)) == "good" for night in ranked)
    folder = f"{almanac.site.slug}/{almanac.year}/"
    finding = words.gettext("Find a night of %(year)s", year=almanac.year)
    return SiteYear(
        link=Link(f"{folder}index.html", str(almanac.year)),
        find=Link(folder + FIND_HREF, finding),
        summary=words.gettext(
            "%(count)s nights with a window, %(good)s of them good",
            count=words.number(len(ranked)),
            good=words.number(good),
        ),
        best=tuple(_best_night(almanac, month, words) for month in range(1, 13)),
    )


def _best_night(almanac: YearAlmanac, month: int, words: Wording) -> BestNight:
    folder = f"{almanac.site.slug}/{almanac.year}/"
    link = Link(folder + month_href(almanac.year, month), words.month(month, short=True))
    nights = [night for night in almanac.nights if night.date.month == month and night.rank]
    if not nights:
        return BestNight(link, None, "", "", ())
    night = min(nights, key=lambda night: night.rank or 0)
    window = best_window(night)
    detail = words.number(window.finest_detail_km, 1)
    return BestNight(
        month=link,
        night=Link(folder + night_href(night.date), words.date(night.date, "short_weekday_day")),
        hours=spans(night, words),
        detail=words.gettext("%(size)s\u00a0km", size=detail),
        limits=window_limits(window, words),
    )


def _sun_view(almanacs: Iterable[YearAlmanac], config: ClubConfig) -> SunView:
    words = Wording(config.club.language, config.sites[0].timezone)
    return SunView(
        days=tuple(_danger_days(almanacs, words)),
        caution=words.degrees(config.safety.sun_caution_deg),
        stop=words.degrees(config.safety.sun_stop_deg),
        cap=words.duration(60 * config.safety.cap_before_sunrise_min),
    )


def _danger_days(almanacs: Iterable[YearAlmanac], words: Wording) -> Iterator[DangerDays]:
    shared: dict[tuple[int, tuple[tuple[date, date], ...]], list[YearAlmanac]] = {}
    for almanac in almanacs:
        near = [night for night in almanac.nights if NEW_MOON_CODE in night.cautions]
        shared.setdefault((almanac.year, tuple(_day_runs(near))), []).append(almanac)
    for (year, runs), alike in shared.items():
        spans = tuple(_day_span(alike[0], start, end, words) for start, end in runs)
        names = ", ".join(almanac.site.name for almanac in alike)
        yield DangerDays(names, str(year), spans)


def _day_runs(nights: Sequence[Night]) -> Iterator[tuple[date, date]]:
    """First and last date of each run of consecutive nights."""
    days = [night.date for night in nights]
    cuts = [i for i, (a, b) in enumerate(pairwise(days), 1) if b - a > timedelta(days=1)]
    for start, end in pairwise([0, *cuts, len(days)]):
        if start < end:
            yield days[start], days[end - 1]


def _day_span(almanac: YearAlmanac, first: date, last: date, words: Wording) -> Link:
    start, end = (words.date(day, "short_day") for day in (first, last))
    href = f"{almanac.site.slug}/{almanac.year}/{night_href(first)}"
    return Link(href, start if first == last else f"{start} – {end}")
