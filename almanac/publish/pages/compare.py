"""Where to go: the nights of neighbouring sites side by side, a page for each month and year."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby
from typing import NamedTuple

from markupsafe import Markup, escape

from almanac.publish.meeting_words import capital
from almanac.publish.neighbours import MOST_TOGETHER, neighbourhoods
from almanac.publish.pages.comparison import Comparison
from almanac.publish.pages.digest import Digest
from almanac.publish.pages.elsewhere import years_beside
from almanac.publish.pages.engine import Frame, Link, render
from almanac.publish.verdicts import Verdict, listed, reason, why_not
from almanac.records.config import ClubConfig
from almanac.records.neighbours import Neighbourhood

BEST_FEW = 5
"""Sites of a night where all the sites of a large club are compared."""


class MonthView(NamedTuple):
    """All that the page of a month shows."""

    title: str
    sites: str
    """Which ones are compared."""
    zone: str
    """Their time zone, or empty if they do not share one."""
    nights: Markup
    """HTML of a table's bodies, one a night."""
    cut: bool
    """Whether of many sites only the best few of each night are shown."""
    previous: Link | None
    next: Link | None
    others: tuple[Link, ...]
    """The same month in other comparisons of the club's sites."""


class MonthLine(NamedTuple):
    """A month in one line of the year."""

    link: Link
    nights: str
    """How many have a window somewhere."""
    best: Link | None
    """The finest of them, at the site where it is."""
    where: str
    detail: str


class YearView(NamedTuple):
    """All that the page of a year shows."""

    title: str
    sites: str
    months: tuple[MonthLine, ...]
    firsts: tuple[tuple[str, str], ...]
    """Each site and on how many nights none is better; empty for very many sites."""
    others: tuple[Link, ...]


def compare_pages(digests: Iterable[Digest], config: ClubConfig) -> Iterator[dict[str, str]]:
    """The pages of each comparison of each year, by path; none where there is but one site.

    A large club's sites are compared in groups of neighbours, and the best few of all as well.
    """
    groups = neighbourhoods(config.sites)
    by_year: dict[int, dict[str, Digest]] = {}
    for one in digests:
        by_year.setdefault(one.year, {})[one.slug] = one
    for year, sites in by_year.items():
        together = [(group.key, [sites[site.slug] for site in group.sites]) for group in groups]
        if len(sites) > MOST_TOGETHER:
            together.append(("", list(sites.values())))
        for key, members in together:
            yield Pages(Comparison(key, tuple(members), year, config), groups).files()


class Pages(NamedTuple):
    """The pages of one comparison."""

    it: Comparison
    groups: tuple[Neighbourhood, ...]
    """All there are."""

    def files(self) -> dict[str, str]:
        """The year's page and the months', by path from the site's top folder."""
        months = {self.it.href(month): self._month_page(month) for month in range(1, 13)}
        return {self.it.href(): self._year_page(), **months}

    @property
    def _cut(self) -> bool:
        return len(self.it.sites) > MOST_TOGETHER

    def _month_page(self, month: int) -> str:
        words, zones = self.it.words, {site.timezone for site in self.it.sites}
        title = words.gettext("Where to go: %(month)s", month=words.month(month))
        view = MonthView(
            title=title,
            sites=self._which(),
            zone=words.zone_name if len(zones) == 1 else "",
            nights=Markup("\n").join(self._nights(month)),
            cut=self._cut,
            previous=self._month_link(month - 1) if month > 1 else None,
            next=self._month_link(month + 1) if month < 12 else None,
            others=self._others(month),
        )
        here = self._month_link(month, current=True)
        return render("compare.html", self._frame(title, month, here), view, words)

    def _year_page(self) -> str:
        words = self.it.words
        title = words.gettext("Where to go: %(year)s", year=self.it.year)
        view = YearView(
            title=title,
            sites=self._which(),
            months=tuple(self._month_line(month) for month in range(1, 13)),
            firsts=() if self._cut else tuple(self._firsts()),
            others=self._others(None),
        )
        return render("compare-year.html", self._frame(title, None), view, words)

    def _which(self) -> str:
        words, names = self.it.words, self.it.names
        if not self._cut:
            return listed(names, words, MOST_TOGETHER)
        return words.gettext(
            "The best %(few)s of %(all)s sites each night", few=BEST_FEW, all=len(names)
        )

    def _nights(self, month: int) -> Iterator[Markup]:
        """HTML of the month's nights; those in a row without a window, and alike, share a line."""
        it = self.it
        runs = groupby(
            it.of_month(month), lambda one: why_not(one, it.nights(one.day)) or (one.day,)
        )
        for _, alike in runs:
            run = tuple(alike)
            yield self._night(run[0]) if run[0].order else self._no_window(run)

    def _no_window(self, run: Sequence[Verdict]) -> Markup:
        """HTML of some nights in a row without a window for the same reasons."""
        it, first = self.it, run[0]
        days = dict.fromkeys(
            it.words.date(one.day, "short_weekday_day") for one in (first, run[-1])
        )
        marks = "".join(f'<span id="{one.day}"></span>' for one in run)
        return self._body(
            "",
            f"{marks}<b>{' – '.join(days)}</b>",
            reason(first, it.nights(first.day), it.names, it.words),
        )

    def _body(self, day: str, head: str, text: str, lines: str = "") -> Markup:
        return Markup(
            f'<tbody{day}>\n<tr class="night"><th colspan="4" scope="rowgroup">'
            f"{head} <span>{escape(text)}</span></th></tr>\n{lines}</tbody>"
        )

    def _night(self, found: Verdict) -> Markup:
        """HTML of a night: where to go, then its sites, best first."""
        it, nights = self.it, self.it.nights(found.day)
        shown = found.order[:BEST_FEW]
        if not self._cut:
            shown = (*found.order, *found.without)
        lines = "".join(
            ('<tr class="strong">' if rank < found.best else "<tr>")
            + f'<th scope="row"><a href="../{it.night_href(place, found.day)}">'
            f"{escape(it.names[place])}</a></th>{night.cells}</tr>\n"
            for rank, place in enumerate(shown)
            if (night := nights[place])
        )
        return self._body(
            f' id="{found.day}"',
            f"<b>{it.words.date(found.day, 'short_weekday_day')}</b>",
            reason(found, nights, it.names, it.words),
            lines,
        )

    def _month_line(self, month: int) -> MonthLine:
        it, words = self.it, self.it.words
        found = [one for one in it.of_month(month) if one.order]
        link = self._month_link(month)
        count = words.number(len(found))
        if not found:
            return MonthLine(link, count, None, "", "")
        finest = min(found, key=it.detail_km)
        href = it.night_href(finest.order[0], finest.day)
        return MonthLine(
            link=link,
            nights=count,
            best=Link(f"../{href}", words.date(finest.day, "short_weekday_day")),
            where=it.names[finest.order[0]],
            detail=words.gettext("%(size)s\u00a0km", size=words.number(it.detail_km(finest), 1)),
        )

    def _firsts(self) -> Iterator[tuple[str, str]]:
        counts = Counter(p for one in self.it.verdicts for p in one.order[: one.best])
        for place, name in enumerate(self.it.names):
            yield name, self.it.words.number(counts[place])

    def _month_link(self, month: int, current: bool = False, short: bool = False) -> Link:
        text = self.it.words.month(month, short=short)
        return Link(f"../{self.it.href(month)}", capital(text) if current else text, current)

    def _frame(self, title: str, month: int | None, *here: Link) -> Frame:
        it, club = self.it, self.it.config.club
        year = it.words.gettext("Where to go: %(year)s", year=it.year)
        return Frame(
            kind="compare",
            title=" · ".join((title, listed(it.names, it.words), str(it.year), club.name)),
            root="../",
            club=club.name,
            language=club.language,
            trail=(Link(f"../{it.href()}", year, not here), *here),
            months=tuple(self._month_link(m, m == month, short=True) for m in range(1, 13)),
            more=(*self._site_years(), *self._years(month)),
        )

    def _site_years(self) -> Iterator[Link]:
        year = self.it.year
        for site in self.it.sites[: 0 if self._cut else None]:
            yield Link(f"../{site.slug}/{year}/index.html", f"{site.name} {year}")

    def _years(self, month: int | None) -> Iterator[Link]:
        for year in years_beside(self.it.config.club.years, self.it.year):
            text = self.it.words.gettext("Where to go: %(year)s", year=year)
            yield Link(f"../{self.it.href(month, year=year)}", text)

    def _others(self, month: int | None) -> tuple[Link, ...]:
        """Of a large club: the way from all sites to each group, and back."""
        it = self.it
        if it.key:
            text = it.words.gettext("The best of all sites")
            return (Link(f"../{it.href(month, key='')}", text),)
        names = {group.key: [site.name for site in group.sites] for group in self.groups}
        return tuple(
            Link(f"../{it.href(month, key=key)}", listed(together, it.words))
            for key, together in names.items()
            if key
        )
