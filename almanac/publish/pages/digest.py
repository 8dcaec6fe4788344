"""What the club's own pages need of a site's year: small, since all sites' are kept at once."""

import math
from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from itertools import pairwise

from markupsafe import escape
from msgspec import Struct

from almanac.publish.pages.book import FIND_HREF, month_href, night_href
from almanac.publish.pages.engine import Link
from almanac.publish.pages.night_line import quality
from almanac.publish.steps import NEW_MOON, best_window
from almanac.publish.verdicts import NightDigest
from almanac.publish.window_hours import spans
from almanac.publish.window_limits import short_clips, window_limits
from almanac.publish.wording import Wording
from almanac.records.config import ClubConfig
from almanac.records.year import Night, Provenance, Window, YearAlmanac


class BestNight(Struct, frozen=True):
    """A month's best night, for readers without script."""

    month: Link
    night: Link | None
    hours: str
    detail: str
    limits: tuple[str, ...]


class SiteYear(Struct, frozen=True):
    """A year of a site on the front page."""

    link: Link
    find: Link
    """The page on which to find a night."""
    summary: str
    best: tuple[BestNight, ...]


class Digest(Struct, frozen=True):
    """A site's year."""

    name: str
    slug: str
    timezone: str
    year: int
    made_with: Provenance
    front: SiteYear
    near_sun: tuple[tuple[date, date], ...]
    """First and last evening of each run on which the Moon is too near the Sun."""
    nights: dict[date, NightDigest]


def digest(almanac: YearAlmanac, config: ClubConfig) -> Digest:
    """The digest of a site's year, worded in the site's own time."""
    words = Wording.of(config.club.language, almanac.site.timezone)
    near_sun = [night.date for night in almanac.nights if NEW_MOON in night.cautions]
    return Digest(
        name=almanac.site.name,
        slug=almanac.site.slug,
        timezone=almanac.site.timezone,
        year=almanac.year,
        made_with=almanac.made_with,
        front=_site_year(almanac, words),
        near_sun=tuple(_runs(near_sun)),
        nights={night.date: _night(night, words) for night in almanac.nights},
    )


def _runs(days: Sequence[date]) -> Iterator[tuple[date, date]]:
    """First and last date of each run of consecutive days."""
    cuts = [i for i, (a, b) in enumerate(pairwise(days), 1) if b - a > timedelta(days=1)]
    for start, end in pairwise([0, *cuts, len(days)]):
        if start < end:
            yield days[start], days[end - 1]


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
    return BestNight(
        month=link,
        night=Link(folder + night_href(night.date), words.date(night.date, "short_weekday_day")),
        hours=spans(night, words),
        detail=_detail(window, words),
        limits=window_limits(window, words),
    )


def _detail(window: Window, words: Wording) -> str:
    return words.gettext("%(size)s\u00a0km", size=words.number(window.finest_detail_km, 1))


def _night(night: Night, words: Wording) -> NightDigest:
    if not night.windows:
        assert night.no_window is not None
        why = words.gettext("Near the Sun: do not look")
        if NEW_MOON not in night.cautions:
            why = words.no_window(night.no_window)
        return NightDigest(math.inf, 0, f'<td colspan="3">{escape(why)}</td>', why)
    window = best_window(night)
    open_s = sum((one.end_utc - one.start_utc).total_seconds() for one in night.windows)
    return NightDigest(window.finest_detail_km, round(open_s / 60), _cells(night, window, words))


def _cells(night: Night, window: Window, words: Wording) -> str:
    star = window.calibration and window.calibration.chosen
    start = words.gettext("by eye")
    if star:
        start = f"{escape(star.star)} {words.chance(star.landing_chance)}"
    clips = short_clips(window, words)
    limit = f" <small>{escape(clips)}</small>" if clips else ""
    return (
        f'<td><b>{spans(night, words)}</b> <span class="star">{start}</span>{limit}</td>'
        f'<td class="number">{words.degrees(window.altitude_deg)}</td>'
        f'<td class="number">{_detail(window, words)}</td>'
    )
