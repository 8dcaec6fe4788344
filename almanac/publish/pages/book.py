"""A site's year made ready for its pages: each night in one line, addresses, neighbours."""

import re
import unicodedata
from bisect import bisect_left
from datetime import date, datetime
from functools import cached_property, lru_cache

from msgspec import Struct

from almanac.publish import steps
from almanac.publish.calendar_names import DOWNLOADS_HREF
from almanac.publish.charts.moon_disc import tiny_moon_disc
from almanac.publish.charts.night_scale import NightScale, night_scale
from almanac.publish.charts.star_year import Ground, star_year_ground
from almanac.publish.eclipse_words import mark
from almanac.publish.meeting_words import approach_mark, occultation_mark
from almanac.publish.night_lines import moment
from almanac.publish.pages.club_marks import DATES_HREF, club_links
from almanac.publish.pages.elsewhere import NOWHERE, Elsewhere
from almanac.publish.pages.engine import Frame, Link
from almanac.publish.pages.night_line import NightLine, quality, reason
from almanac.publish.window_hours import spans
from almanac.publish.window_limits import window_limits
from almanac.publish.wording import Wording
from almanac.records.catalogue import Catalogue
from almanac.records.config import ClubConfig
from almanac.records.events import Eclipse
from almanac.records.meetings import Approach, Occultation
from almanac.records.year import Night, StarYear, YearAlmanac

ROOT = "../../"
"""From a page of a site's year to the front page's folder."""
MEANINGS_HREF = "figures.html"
FEATURES_HREF, LIGHT_HREF = "moon-features.html", "moon-light.html"
EVENTS_HREF, SUN_HREF, FIND_HREF = "events.html", "sun.html", "find.html"


def night_href(day: date) -> str:
    """The file of a night's page."""
    return f"{day.isoformat()}.html"


def month_href(year: int, month: int) -> str:
    """The file of a month's page."""
    return f"{year}-{month:02d}.html"


def plain(name: str) -> str:
    """A name for an address: letters without accents, figures and hyphens."""
    letters = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode()
    return re.sub("[^a-z0-9]+", "-", letters.lower()).strip("-")


def star_href(name: str) -> str:
    """The file of a star's page."""
    return f"star-{plain(name)}.html"


def feature_href(name: str) -> str:
    """The file of the page of a feature of the Moon."""
    return f"feature-{plain(name)}.html"


def booklet_href(paper: str) -> str:
    """The booklet for a size of paper."""
    return f"booklet-{paper}.pdf"


def cards_href(year: int, month: int) -> str:
    """The file of the page of a month's cards."""
    return f"cards-{year}-{month:02d}.html"


def card_href(day: date) -> str:
    """The way to one night's card: opened by it, the page shows that card alone."""
    return f"{cards_href(day.year, day.month)}#{day}"


def month_sky_href(year: int, month: int) -> str:
    """The file of the page of a month's star chart."""
    return f"sky-{year}-{month:02d}.html"


def eclipse_href(eclipse: Eclipse) -> str:
    """The file of an eclipse's page."""
    return f"eclipse-{eclipse.slug}.html"


def occultation_href(one: Occultation) -> str:
    """The file of the page of an occultation that can be seen."""
    return f"occultation-{one.date}-{f'hip{one.hip}' if one.hip else one.name}.html"


def approaches_href(year: int, month: int) -> str:
    """The file of the page of a month's close approaches."""
    return f"approaches-{year}-{month:02d}.html"


def approach_anchor(one: Approach) -> str:
    """Where on its month's page a close approach stands."""
    return f"{plain(one.name)}-{one.date}"


def approach_href(one: Approach) -> str:
    """The way to a close approach, on the page of its month."""
    return f"{approaches_href(one.date.year, one.date.month)}#{approach_anchor(one)}"


def season_href(season: str) -> str:
    """The file of a season chart's page."""
    return f"season-{season}.html"


DETAILS = frozenset({"night", "star", "feature", "meeting", "eclipse", "month-sky", "season"})
"""Kinds of page of which there are many: the year's page, one step up, leads on from them."""


@lru_cache(maxsize=16)
def _month_links(words: Wording, year: int, current: int | None) -> tuple[Link, ...]:
    return tuple(
        Link(month_href(year, m), words.month(m, short=True), m == current) for m in range(1, 13)
    )


@lru_cache(maxsize=16)
def _more_links(
    words: Wording, kind: str, home: Link, compared: tuple[Link, ...], seasons: tuple[str, ...]
) -> tuple[Link, ...]:
    """The other pages of a site's year; those of one kind share them."""
    _ = words.gettext
    nearest = (
        home,
        Link(FIND_HREF, _("Find a night"), kind == "find"),
        Link(DATES_HREF, _("The club's dates"), kind == "dates"),
        *compared,
    )
    if kind in DETAILS:
        return nearest
    return (
        *nearest,
        Link("stars.html", _("Stars"), kind == "stars"),
        Link(EVENTS_HREF, _("Events"), kind == "events"),
        Link(SUN_HREF, _("The Sun's danger"), kind == "danger"),
        Link(FEATURES_HREF, _("Features of the Moon"), kind == "features"),
        Link(LIGHT_HREF, _("Light on the Moon"), kind == "light"),
        Link(DOWNLOADS_HREF, _("Calendars and files"), kind == "downloads"),
        *(Link(season_href(name), words.season_sky(name)) for name in seasons),
    )


class Book(Struct, frozen=True, dict=True):
    """Everything that the pages of one site's year share."""

    almanac: YearAlmanac
    config: ClubConfig
    catalogue: Catalogue
    words: Wording
    elsewhere: Elsewhere = NOWHERE
    """What there is beside this site's year."""
    booklet: bool = True
    """Whether the year is also made a booklet to print."""

    @property
    def folder(self) -> str:
        """Where the pages lie, from the front page's folder, with a slash at the end."""
        return f"{self.almanac.site.slug}/{self.almanac.year}/"

    @cached_property
    def scale(self) -> NightScale:
        """The scale that all night charts share."""
        return night_scale(self.almanac)

    @cached_property
    def star_ground(self) -> Ground:
        """What all stars' charts of the year share."""
        return star_year_ground(self.almanac.nights, self.words)

    @cached_property
    def ranked_count(self) -> int:
        """How many nights of the year have a window."""
        return sum(night.rank is not None for night in self.almanac.nights)

    @cached_property
    def lines(self) -> tuple[NightLine, ...]:
        """The year's nights in order."""
        return tuple(self._line(night) for night in self.almanac.nights)

    @cached_property
    def best(self) -> tuple[NightLine, ...]:
        """The nights with a window, finest first."""
        ranked = [
            pair for pair in zip(self.almanac.nights, self.lines, strict=True) if pair[0].rank
        ]
        ranked.sort(key=lambda pair: pair[0].rank or 0)
        return tuple(line for _, line in ranked)

    @cached_property
    def learn(self) -> tuple[StarYear, ...]:
        """The stars to learn, in the order in which they are advised."""
        found = self.almanac.stars_to_learn
        by_name = {star.name: star for star in self.almanac.stars}
        return tuple(by_name[name] for name in found.advised) if found else ()

    @cached_property
    def _events(self) -> tuple[tuple[datetime, str], ...]:
        words = self.words
        phases = [(p.at_utc, words.phase(p.kind)) for p in self.almanac.phases]
        apsides = [(a.at_utc, words.apsis(a.kind)) for a in self.almanac.apsides]
        return tuple(sorted(phases + apsides))

    def marks(self, night: Night) -> tuple[str, ...]:
        """The phases and apsides inside a night, and its eclipses, with their local times."""
        first, last = (bisect_left(self._events, (at,)) for at in (night.start_utc, night.end_utc))
        moments = tuple(
            f"{name} {moment(at, night, self.words)}" for at, name in self._events[first:last]
        )
        eclipses = tuple(mark(one, self.words) for one in self.eclipses_of(night))
        links = (*self.meetings_of(night), *self.club_links.get(night.date, ()))
        return moments + eclipses + tuple(link.text for link in links)

    @cached_property
    def club_links(self) -> dict[date, tuple[Link, ...]]:
        """The club's meetings and proposed outings by night."""
        return club_links(self.almanac.diary, self.words)

    def eclipses_of(self, night: Night) -> tuple[Eclipse, ...]:
        """The visible eclipses of a night, or of the Sun on its date."""
        eclipses = self.almanac.eclipses
        return tuple(one for one in eclipses if one.visible and one.date == night.date)

    def meetings_of(self, night: Night) -> tuple[Link, ...]:
        """A night's occultations that can be seen and its approaches, each with its page."""
        return self._meetings.get(night.date, ())

    @cached_property
    def _meetings(self) -> dict[date, tuple[Link, ...]]:
        found, words = self.almanac.meetings, self.words
        links: dict[date, tuple[Link, ...]] = {}
        for o in found.occultations:
            if o.seen:
                link = Link(occultation_href(o), occultation_mark(o, words))
                links[o.date] = (*links.get(o.date, ()), link)
        for a in found.approaches:
            link = Link(approach_href(a), approach_mark(a, words))
            links[a.date] = (*links.get(a.date, ()), link)
        return links

    def _line(self, night: Night) -> NightLine:
        words, grade = self.words, quality(night.rank, self.ranked_count)
        window = steps.best_window(night) if night.windows else None
        return NightLine(
            href=night_href(night.date),
            date=night.date,
            day=str(night.date.day),
            weekday=words.weekday(night.date.weekday(), short=True),
            title=words.date(night.date, "weekday_day"),
            short=words.date(night.date, "short_weekday_day"),
            disc=tiny_moon_disc(night.moon),
            shape=words.moon_shape(night.moon.illuminated_fraction, night.moon.waxing),
            hours=spans(night, words),
            reason=reason(night, words),
            star=window.calibration.chosen.star if window and window.calibration else "",
            detail=self.detail(window.finest_detail_km) if window else "",
            limits=window_limits(window, words) if window else (),
            quality=grade,
            quality_text=words.quality(grade),
            marks=self.marks(night),
        )

    def detail(self, kilometres: float) -> str:
        """A finest detail with its unit."""
        return self.words.gettext("%(size)s\u00a0km", size=self.words.number(kilometres, 1))

    def month_lines(self, month: int) -> tuple[NightLine, ...]:
        """The nights of a month."""
        return tuple(line for line in self.lines if line.date.month == month)

    def month_links(self, current: int | None = None) -> tuple[Link, ...]:
        """The twelve months, short."""
        return _month_links(self.words, self.almanac.year, current)

    def frame(self, kind: str, title: str, *trail: Link, month: int | None = None) -> Frame:
        """The frame of a page of this book; the trail goes on from the year."""
        site, year, words = self.almanac.site.name, str(self.almanac.year), self.words
        home = Link("index.html", f"{site} {year}", not trail)
        here = trail[-1].href if trail else home.href
        compared = tuple(self.elsewhere.comparison(words.gettext("Where to go")))
        seasons = tuple(season.season for season in self.almanac.seasons)
        return Frame(
            kind=kind,
            title=" · ".join(dict.fromkeys((title, site, year, self.config.club.name))),
            root=ROOT,
            club=self.config.club.name,
            language=self.config.club.language,
            trail=(home, *trail),
            months=self.month_links(month) if kind == "night" or kind not in DETAILS else (),
            more=_more_links(words, kind, home, compared, seasons),
            elsewhere=tuple(self.elsewhere.links(kind, here)),
        )
