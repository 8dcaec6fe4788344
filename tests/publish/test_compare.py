"""Pages of several sites and years: true to the records, linked whole, small for large clubs."""

import pickle
import posixpath
import re
from collections.abc import Callable, Iterator
from datetime import date

import pytest
from msgspec.structs import replace

from almanac.publish.neighbours import neighbourhoods
from almanac.publish.pages import Digest, club_pages, compare_pages, digest, site_pages
from almanac.publish.window_hours import spans
from almanac.publish.wording import Wording
from almanac.records.catalogue import Catalogue
from almanac.records.config import ClubConfig, Site
from almanac.records.year import YearAlmanac

Pages = dict[str, str | bytes]
MakeConfig = Callable[..., ClubConfig]

pytestmark = pytest.mark.xdist_group("compare")  # one process makes the sites

HOSTILE = "<script>alert('x')</script> & Sons"
YEARS = (2027, 2029)


@pytest.fixture(scope="module")
def sites(make_site: Callable[..., Site]) -> tuple[Site, ...]:
    """Two in one country, one of a hostile name."""
    one = make_site("quarry-field", 44.6, 2.9, "Europe/Paris")
    return one, replace(make_site("mill", 47.1, 3.3, "Europe/Paris"), name=HOSTILE)


@pytest.fixture(scope="module")
def config(sites: tuple[Site, ...], make_config: MakeConfig) -> ClubConfig:
    """Of two sites and two years with a gap between them."""
    plain = make_config(sites)
    return replace(plain, club=replace(plain.club, years=YEARS))


@pytest.fixture(scope="module")
def almanacs(
    sites: tuple[Site, ...], make_year: Callable[..., YearAlmanac]
) -> tuple[YearAlmanac, ...]:
    """Made-up years, in the order of a build."""
    return tuple(make_year(site, year) for year in YEARS for site in sites)


@pytest.fixture(scope="module")
def built(
    almanacs: tuple[YearAlmanac, ...], config: ClubConfig, catalogue: Catalogue
) -> Iterator[Pages]:
    """The whole site, its sheets to print left blank."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("almanac.publish.pages.site.sheets_to_pdf", lambda *_, **__: b"sheet")
        patch.setattr("almanac.publish.pages.wall.typeset", lambda *_: b"sheet")
        yield whole(almanacs, config, catalogue)


def whole(almanacs: tuple[YearAlmanac, ...], config: ClubConfig, catalogue: Catalogue) -> Pages:
    """Every page of a club, as a build makes them."""
    (around,) = neighbourhoods(config.sites)
    digests = [digest(almanac, config) for almanac in almanacs]
    pages: Pages = dict(club_pages(digests, config))
    for almanac in almanacs:
        pages |= site_pages(almanac, config, catalogue, around)
    for part in compare_pages(digests, config):
        pages |= part
    return pages


def text(pages: Pages, path: str) -> str:
    """A page's HTML."""
    page = pages[path]
    assert isinstance(page, str)
    return page


def links(pages: Pages, path: str) -> set[tuple[str, str]]:
    """Where a page leads, as path and id."""
    found = set()
    for href in re.findall(r'(?:href|src)="([^"]+)"', text(pages, path)):
        if not href.startswith("data:"):
            way, _, mark = href.partition("#")
            there = posixpath.normpath(posixpath.join(posixpath.dirname(path), way))
            is_sheet = way.endswith(".pdf")  # whose mark is the number of a page
            found.add((there if way else path, "" if is_sheet else mark))
    return found


def nights(page: str) -> dict[str, list[tuple[str, str, bool]]]:
    """For each date of a month's page: path, hours and whether it is the best, of each site."""
    found = {}
    for body in page.split("<tbody")[1:]:
        for day in re.findall(r'id="(\d{4}-\d\d-\d\d)"', body):
            rows = re.findall(
                r'<tr( class="strong")?><th scope="row"><a href="([^"]+)">[^<]*</a></th>'
                r"<td(?: colspan=\"3\">|><b>)([^<]*)<",
                body,
            )
            found[day] = [(path, hours, bool(strong)) for strong, path, hours in rows]
    return found


def test_every_link_leads_somewhere(built: Pages) -> None:
    """Between sites, years and comparisons no link is dead, down to the night on the page."""
    made_last = ("year.json", "year.schema.json", "downloads.html")  # from all other files
    by_others = {f"{site}/{year}/{name}" for site in ("quarry-field", "mill")
                 for year in YEARS for name in made_last}  # fmt: skip
    dead = [
        (path, there, mark)
        for path in built
        if path.endswith(".html")
        for there, mark in links(built, path)
        if there not in by_others
        and (there not in built or (mark and f'id="{mark}"' not in text(built, there)))
    ]
    assert len(built) > 1500
    assert dead == []


def test_every_page_of_a_site_leads_elsewhere(built: Pages) -> None:
    """To the other site in the same year, to the same site in the other year, to the comparison."""
    missing = []
    for path in built:
        if not path.startswith("quarry-field/2027/") or not path.endswith(".html"):
            continue
        there = {way for way, _ in links(built, path)}
        for way in ("mill/2027/", "quarry-field/2029/", "compare/2027"):
            if not any(one.startswith(way) for one in there):
                missing.append((path, way))
    assert missing == []
    assert ("mill/2027/2027-03-14.html", "") in links(built, "quarry-field/2027/2027-03-14.html")
    assert ("quarry-field/2029/2029-03.html", "") in links(built, "quarry-field/2027/2027-03.html")


def test_a_night_leads_to_its_line_in_the_comparison(built: Pages) -> None:
    """And the comparison back to the night at each site."""
    line = ("compare/2027-03.html", "2027-03-14")
    assert line in links(built, "mill/2027/2027-03-14.html")
    assert ("mill/2027/2027-03-16.html", "") in links(built, "compare/2027-03.html")
    assert ("compare/2027.html", "") in links(built, "index.html")


def test_every_night_is_compared_as_the_records_have_it(
    built: Pages, almanacs: tuple[YearAlmanac, ...]
) -> None:
    """The best is first and strong, hours are those of the night's page, nobody is left out."""
    words, seen = Wording("en", "Europe/Paris"), 0
    for month in range(1, 13):
        for day, rows in nights(text(built, f"compare/2027-{month:02d}.html")).items():
            mine = {
                almanac.site.slug: night
                for almanac in almanacs[:2]
                for night in almanac.nights
                if night.date == date.fromisoformat(day)
            }
            seen += 1
            if not any(night.windows for night in mine.values()):
                assert rows == []
                continue
            assert {path.split("/")[1] for path, _, _ in rows} == set(mine)
            for path, hours, _ in rows:
                night = mine[path.split("/")[1]]
                assert hours.replace("&#39;", "'") == spans(night, words) or not night.windows
            details = [
                round(min(w.finest_detail_km for w in mine[path.split("/")[1]].windows), 1)
                for path, _, _ in rows
                if mine[path.split("/")[1]].windows
            ]
            assert details == sorted(details)
            assert rows[0][2]
    assert seen == 365


def test_a_hostile_name_stays_text(built: Pages) -> None:
    """In comparisons and in the ways elsewhere."""
    for path in ("compare/2027.html", "compare/2027-03.html", "quarry-field/2027/2027-03.html"):
        page = text(built, path)
        assert "<script>alert" not in page
        assert "&lt;script&gt;alert" in page


def test_one_site_is_not_compared(
    almanacs: tuple[YearAlmanac, ...], make_config: MakeConfig
) -> None:
    """Neither pages nor links where there is nothing to choose."""
    config = make_config((almanacs[0].site,))
    digests = [digest(almanacs[0], config)]
    assert list(compare_pages(digests, config)) == []
    assert "compare/" not in text(club_pages(digests, config), "index.html")


def test_sites_in_several_zones_keep_their_own_clocks(
    north: YearAlmanac, south: YearAlmanac, make_config: MakeConfig
) -> None:
    """The page says so, and names no zone as that of all."""
    config = make_config((north.site, south.site))
    (part,) = compare_pages([digest(north, config), digest(south, config)], config)
    page = part["compare/2027-03.html"]
    assert "Times are those of each site's own clock." in page
    assert "Central European" not in page


# A large club


@pytest.fixture(scope="module")
def federation(north: YearAlmanac, make_config: MakeConfig) -> tuple[ClubConfig, list[Digest]]:
    """A thousand sites, each with a made-up year a little better or worse than the first's."""
    sites = tuple(
        replace(
            north.site,
            name=f"Place {i:04d}",
            slug=f"place-{i:04d}",
            latitude_deg=44 + i % 50 / 10,
            longitude_deg=2 + i // 50 / 10,
        )
        for i in range(1000)
    )
    config = make_config(sites)
    one = digest(north, config)
    return config, [_like(one, site, index) for index, site in enumerate(sites)]


def _like(one: Digest, site: Site, index: int) -> Digest:
    link = one.front.link._replace(href=f"{site.slug}/2027/index.html")
    shift = index * 7919 % 1000 / 500
    nights = {
        day: replace(night, detail_km=round(night.detail_km + shift, 1))
        for day, night in one.nights.items()
    }
    return replace(
        one, name=site.name, slug=site.slug, front=replace(one.front, link=link), nights=nights
    )


def test_the_front_page_of_a_thousand_sites_is_small(
    federation: tuple[ClubConfig, list[Digest]],
) -> None:
    """A list of names to narrow, under 100 kB, with every site; no page lists all at its foot."""
    config, digests = federation
    pages = club_pages(digests, config)
    front = text(pages, "index.html")
    assert len(front.encode()) < 100_000
    assert len(re.findall(r'href="place-\d{4}/2027/index.html"', front)) == 1000
    assert 'src="assets/sites.js"' in front
    assert "tonight.js" not in front
    assert len(text(pages, "sun-safety.html").encode()) < 20_000


@pytest.fixture(scope="module")
def compared(federation: tuple[ClubConfig, list[Digest]]) -> Pages:
    """Every page that compares its sites."""
    config, digests = federation
    return {path: page for part in compare_pages(digests, config) for path, page in part.items()}


def test_a_thousand_sites_are_compared_with_neighbours_and_in_the_best_few(
    federation: tuple[ClubConfig, list[Digest]], compared: Pages
) -> None:
    """Pages stay small, each group leads to the best of all, and that to each group."""
    groups, pages = neighbourhoods(federation[0].sites), compared
    assert len(groups) == 125
    assert len(pages) == 13 * (125 + 1)
    assert max(len(text(pages, path).encode()) for path in pages) < 100_000
    everywhere = nights(text(pages, "compare/2027-03.html"))
    assert max(len(rows) for rows in everywhere.values()) == 5
    assert "The best 5 of 1000 sites each night" in text(pages, "compare/2027-03.html")
    grouped = nights(text(pages, f"compare/{groups[3].key}-2027-03.html"))
    assert max(len(rows) for rows in grouped.values()) == 8
    there = {way for way, _ in links(pages, "compare/2027-03.html")}
    assert {f"compare/{group.key}-2027-03.html" for group in groups} <= there
    back = links(pages, f"compare/{groups[3].key}-2027-03.html")
    assert ("compare/2027-03.html", "") in back


def test_the_best_few_are_the_best_of_all(
    federation: tuple[ClubConfig, list[Digest]], compared: Pages
) -> None:
    """Against brute force over the thousand digests."""
    _, digests = federation
    for day, rows in nights(text(compared, "compare/2027-03.html")).items():
        usable = sorted(
            (one.nights[date.fromisoformat(day)].detail_km, one.slug)
            for one in digests
            if one.nights[date.fromisoformat(day)].open
        )
        details = {slug: detail for detail, slug in usable}
        shown = [details[path.split("/")[1]] for path, _, _ in rows]
        assert shown == [detail for detail, _ in usable[:5]]


def test_a_digest_is_small(federation: tuple[ClubConfig, list[Digest]]) -> None:
    """A process sends no more than a tenth of a megabyte for a site's year."""
    assert len(pickle.dumps(federation[1][0])) < 100_000
