"""A group of sites in one year: each night's order of them, and where its pages stand."""

from datetime import date, timedelta
from functools import cached_property

from msgspec import Struct

from almanac.publish.pages.book import night_href
from almanac.publish.pages.digest import Digest
from almanac.publish.pages.elsewhere import compare_href
from almanac.publish.verdicts import NightDigest, Verdict, verdict
from almanac.publish.wording import Wording
from almanac.records.config import ClubConfig


class Comparison(Struct, frozen=True, dict=True):
    """The sites of a group in one year."""

    key: str
    """Of the group; empty for all of the club's sites."""
    sites: tuple[Digest, ...]
    year: int
    config: ClubConfig

    @cached_property
    def words(self) -> Wording:
        """For dates and numbers; a site's times come worded in its own zone."""
        return Wording.of(self.config.club.language, self.sites[0].timezone)

    @cached_property
    def names(self) -> tuple[str, ...]:
        """The sites' names."""
        return tuple(site.name for site in self.sites)

    @cached_property
    def verdicts(self) -> tuple[Verdict, ...]:
        """One for each date that any of the sites has."""
        days = (date(self.year, 1, 1) + timedelta(days=k) for k in range(366))
        known = (day for day in days if any(day in site.nights for site in self.sites))
        return tuple(verdict(day, self.nights(day)) for day in known)

    def nights(self, day: date) -> list[NightDigest | None]:
        """The date's night at each site."""
        return [site.nights.get(day) for site in self.sites]

    def of_month(self, month: int) -> list[Verdict]:
        """The verdicts on a month's nights."""
        return [one for one in self.verdicts if one.day.month == month]

    def detail_km(self, found: Verdict) -> float:
        """The finest detail at the best site of a night that has one."""
        return self.sites[found.order[0]].nights[found.day].detail_km

    def night_href(self, place: int, day: date) -> str:
        """The page of a night at one of the sites, from the front page's folder."""
        return f"{self.sites[place].slug}/{self.year}/{night_href(day)}"

    def href(
        self, month: int | None = None, *, year: int | None = None, key: str | None = None
    ) -> str:
        """The page of the year or a month, here or in another year or group."""
        return compare_href(self.key if key is None else key, year or self.year, month)
