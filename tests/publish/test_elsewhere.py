"""The same page at another site and in another year."""

import pytest

from almanac.publish.pages.elsewhere import NOWHERE, Elsewhere, compare_href, years_beside
from almanac.records.neighbours import Neighbour, Neighbourhood

TOGETHER = Neighbourhood(
    "",
    (
        Neighbour("quarry", "Quarry", "Pacific/Pago_Pago"),
        Neighbour("mill", "Mill", "Pacific/Apia"),
    ),
)
EVENTS_AT = {
    "eclipse": ("events.html#eclipse-2011-06-15-moon", "events.html", "events.html"),
    "meeting": ("events.html#2011-03", "events.html", "events.html"),
}
"""At the other site the same event in its list; another year has others."""
HERE = Elsewhere("quarry", 2011, (2012, 2008, 2011), TOGETHER)


@pytest.mark.parametrize(
    ("years", "year", "beside"),
    [
        ((2027,), 2027, ()),
        ((2027, 2028), 2027, (2028,)),
        ((2029, 2027, 2028), 2028, (2027, 2029)),
        ((2020, 2030, 2040), 2030, (2020, 2040)),
        ((), 2027, ()),
    ],
)
def test_the_years_beside_are_the_nearest_published(
    years: tuple[int, ...], year: int, beside: tuple[int, ...]
) -> None:
    """Whatever the gap, and in whatever order the config has them."""
    assert years_beside(years, year) == beside


@pytest.mark.parametrize(
    ("kind", "href", "links"),
    [
        ("year", "index.html", ("index.html", "index.html", "index.html")),
        ("month", "2011-03.html", ("2011-03.html", "2008-03.html", "2012-03.html")),
        ("night", "2011-03-14.html", ("2011-03-14.html", "2008-03.html", "2012-03.html")),
        ("cards", "cards-2011-03.html", tuple(f"cards-{y}-03.html" for y in (2011, 2008, 2012))),
        ("star", "star-vega.html", ("star-vega.html",) * 3),
        ("eclipse", "eclipse-2011-06-15-moon.html", EVENTS_AT["eclipse"]),
        ("meeting", "approaches-2011-03.html", EVENTS_AT["meeting"]),
        ("meeting", "occultation-2011-03-14-hip7.html", EVENTS_AT["meeting"]),
        ("some-new-kind", "only-2011-here.html", ("index.html",) * 3),
    ],
)
def test_the_same_page_where_there_is_one(kind: str, href: str, links: tuple[str, ...]) -> None:
    """Else the nearest thing: a night's month, the list of events, the year."""
    site, before, after = links
    assert [(link.href, link.text) for link in HERE.links(kind, href)] == [
        (f"../../mill/2011/{site}", "Mill"),
        (f"../2008/{before}", "2008"),
        (f"../2012/{after}", "2012"),
    ]


def test_a_date_that_a_zone_skipped_leads_to_its_month() -> None:
    """Samoa had no 30 December 2011 and so no night of that evening."""
    skipped, whole = (next(HERE.links("night", f"2011-12-{day}.html")).href for day in ("30", "29"))
    assert skipped == "../../mill/2011/2011-12.html"
    assert whole == "../../mill/2011/2011-12-29.html"


def test_comparisons_have_addresses_of_their_own() -> None:
    """By group, year and month; from a site's page one climbs two folders."""
    assert compare_href("", 2027) == "compare/2027.html"
    assert compare_href("mill", 2027, 3) == "compare/mill-2027-03.html"
    assert HERE.compared(3) == "../../compare/2011-03.html"
    assert [link.href for link in HERE.comparison("Where to go")] == ["../../compare/2011.html"]


def test_a_year_that_stands_alone_leads_nowhere() -> None:
    """No neighbour, no other year, no comparison."""
    assert list(NOWHERE.links("night", "2027-03-14.html")) == []
    assert (NOWHERE.compared(), NOWHERE.comparison("Where to go")) == ("", ())
