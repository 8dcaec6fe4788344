"""What a published page allows: nothing but its own site's files; what an attack in a name does."""

import csv
import json
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import icalendar
import pypdf
import pytest
from start_tags import start_tags

POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; "
    "connect-src 'self'; manifest-src 'self'; worker-src 'self'; base-uri 'none'; "
    "form-action 'none'"
)
HEAD = f"""<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="{POLICY}">
"""
"""The policy comes before anything that it rules (Content Security Policy Level 3, section 3.3)."""
PLAIN = {
    *(
        "a",
        "abbr",
        "article",
        "aside",
        "b",
        "body",
        "br",
        "button",
        "caption",
        "circle",
        "clippath",
    ),
    *("col", "colgroup", "dd", "defs", "desc", "details", "div", "dl", "dt", "ellipse", "em"),
    *("figcaption", "figure", "footer", "form", "fieldset", "g", "h1", "h2", "h3", "h4", "head"),
    *("header", "html", "image", "img", "input", "label", "legend", "li", "line", "link", "main"),
    *("meta", "nav", "ol", "option", "output", "p", "path", "pattern", "polygon", "polyline"),
    *("rect", "script", "section", "select", "small", "span", "strong", "summary", "sup", "svg"),
    *("symbol", "table", "tbody", "td", "text", "tfoot", "th", "thead", "time", "title", "tr"),
    *("tspan", "ul", "use", "hr", "noscript", "template", "sub", "i", "cite", "code", "data"),
    *("lineargradient", "stop", "mask", "marker", "search", "q", "s", "u", "kbd", "pre"),
}
"""Elements that the templates use or may; frames, objects and styles are not among them."""


ACTING = {"ATTACH", "ATTENDEE", "ORGANIZER", "ACTION", "TRIGGER", "METHOD", "IMAGE", "CONFERENCE"}
"""Properties of a calendar that make programs load, ring or send something (RFC 5545, 7986)."""


def odd_elements(text: str) -> list[str]:
    """What a page holds that none of ours should: what could run or load."""
    odd = []
    for tag, attributes in start_tags(text):
        if tag not in PLAIN:
            odd.append(tag)
        for name, value in attributes:
            if name.startswith("on") or name in ("style", "srcdoc", "formaction"):
                odd.append(f"{tag} {name}")
            if value.strip().lower().startswith(("javascript:", "vbscript:", "data:text")):
                odd.append(f"{tag} {name}={value}")
    return odd


def careless_links(text: str) -> list[str]:
    """Links of a page that leave the site without saying so."""
    links = [dict(attributes) for tag, attributes in start_tags(text) if tag == "a"]
    return [
        link["href"]
        for link in links
        if re.match(r"[a-z]+:|//", link.get("href", ""), re.IGNORECASE)
        if link.get("rel") != "external noopener noreferrer"
    ]


def test_every_page_carries_the_policy(demo_site: Path) -> None:
    """First in its head, and no page sends to others where a reader comes from."""
    pages = [path.read_text(encoding="utf-8") for path in demo_site.rglob("*.html")]
    assert len(pages) > 800
    assert all(page.count(HEAD) == 1 for page in pages)
    assert all('<meta name="referrer" content="no-referrer">' in page for page in pages)


def test_what_leaves_the_site_says_so(hostile_site: Path, demo_site: Path) -> None:
    """A link elsewhere, if only to a program, tells browsers and machines what it is."""
    elsewhere = 0
    for path in [*demo_site.rglob("*.html"), *hostile_site.rglob("*.html")]:
        text = path.read_text(encoding="utf-8")
        assert careless_links(text) == [], path
        elsewhere += text.count('rel="external noopener noreferrer"')
    assert elsewhere >= 6
    careless = '<a href="https://x.example">x</a><a href="//x" rel="external">x</a>'
    assert careless_links(careless) == ["https://x.example", "//x"]


def kinds(site: Path) -> set[str]:
    """The kinds of page that a site has."""
    bodies = (
        re.search(r'<body class="([^"]*)"', path.read_text("utf-8"))
        for path in site.rglob("*.html")
    )
    return {body[1] for body in bodies if body}


def test_the_hostile_club_has_every_kind_of_page(hostile_site: Path, demo_site: Path) -> None:
    """What is shown to hold for its pages holds for all."""
    assert len(kinds(demo_site)) > 20
    assert kinds(demo_site) - kinds(hostile_site) == set()


def test_the_headers_for_a_server_are_those_of_the_pages(root: Path) -> None:
    """The documented policy is the pages' own, and what a page cannot say of itself."""
    readme = (root / "README.md").read_text(encoding="utf-8")
    assert f"\nContent-Security-Policy: {POLICY}; frame-ancestors 'none'\n" in readme


def test_markup_in_a_name_stays_text(hostile_site: Path) -> None:
    """However a club's texts look, a page has none but our own elements, and shows the texts."""
    pages = {path: path.read_text(encoding="utf-8") for path in hostile_site.rglob("*.html")}
    assert {str(path): odd for path, page in pages.items() if (odd := odd_elements(page))} == {}
    front = pages[hostile_site / "index.html"]
    assert "&lt;img src=x onerror=" in front
    assert "{{7*7}}#read(" in front
    assert "&amp;amp;lt;" in front  # not unescaped once too often


def test_odd_elements_are_seen() -> None:
    """The reader finds what must not be there."""
    page = '<iframe></iframe><p onclick="x"><a href=" javascript:1">x</a><b style="y">'
    assert odd_elements(page) == ["iframe", "p onclick", "a href= javascript:1", "b style"]


def test_a_script_or_sheet_is_not_left_by_a_name(hostile_site: Path) -> None:
    """Scripts made from data hold no end of their element, and JSON reads back the very names."""
    for path in hostile_site.rglob("*.js"):
        assert "</script" not in path.read_text(encoding="utf-8").lower()
    year = json.loads((hostile_site / "hostile/2027/year.json").read_bytes())
    assert year["site"]["name"].startswith('"><svg onload=')
    titles = {meeting["title"] for meeting in year["club_meetings"]}
    assert any("window.hit='meeting'" in title for title in titles)


def test_a_name_runs_nothing_on_paper(hostile_site: Path) -> None:
    """The sheets show the words as they are: no file is read into them and no script put in."""
    sheets = list(hostile_site.rglob("*.pdf"))
    assert len(sheets) >= 8
    for path in sheets:
        data = path.read_bytes()
        assert not re.search(rb"/(JavaScript|JS|Launch|OpenAction|AA|EmbeddedFile)\b", data)
    booklet = pypdf.PdfReader(hostile_site / "hostile/2027/booklet-a4.pdf")
    cover = re.sub(r"\s", "", booklet.pages[0].extract_text())
    assert "</title><script>window.hit='club'</script>{{7*7}}#read(\"/etc/passwd\")" in cover
    assert "root:" not in cover


@pytest.fixture
def texts(root: Path) -> dict[str, Any]:
    """What the hostile club says."""
    return tomllib.loads((root / "tests/tools/hostile.toml").read_text(encoding="utf-8"))


def test_a_sheet_tells_nothing_of_its_maker(hostile_site: Path, texts: dict[str, Any]) -> None:
    """A PDF's properties are its title, its language and the program that set it, without a date
    or a user; a name in them is a name."""
    titles = set()
    for path in hostile_site.rglob("*.pdf"):
        found = pypdf.PdfReader(path).metadata or {}
        assert set(found) <= {"/Title", "/Creator", "/Producer", "/Author"}, path
        assert re.fullmatch(r"[Tt]ypst [0-9.]+", found["/Creator"]), found
        assert found.get("/Author", texts["club"]["name"]) == texts["club"]["name"]
        titles.add(found["/Title"])
    for site in texts["site"]:
        assert f"{site['name']} 2027" in titles


def properties(calendar: icalendar.Component) -> Iterator[tuple[str, str]]:
    """Every property of a calendar with its value, as a strict reader has it."""
    return ((name, str(value)) for name, value in calendar.property_items())


def test_a_calendar_reads_back_the_very_texts(hostile_site: Path, texts: dict[str, Any]) -> None:
    """Nothing rings, runs, invites or is attached; titles come back to the letter."""
    summaries = set()
    for path in hostile_site.rglob("*.ics"):
        calendar = icalendar.Calendar.from_ical(path.read_bytes())
        found = list(properties(calendar))
        assert {name for name, _ in found} & ACTING == set(), path
        assert {part.name for part in calendar.walk()} == {"VCALENDAR", "VEVENT"}
        assert all(value.startswith("https://x.example/") for name, value in found if name == "URL")
        summaries |= {value for name, value in found if name == "SUMMARY"}
    for meeting in texts["meeting"]:
        assert any(meeting["title"] in summary for summary in summaries), meeting


def test_a_list_or_manifest_reads_back_the_very_texts(
    hostile_site: Path, texts: dict[str, Any]
) -> None:
    """The web app's name, the list of what a browser keeps, and the table's cells."""
    manifest = json.loads((hostile_site / "almanac.webmanifest").read_bytes())
    assert manifest["name"] == texts["club"]["name"]
    assert (manifest["start_url"], manifest["scope"]) == ("index.html", "./")
    for site in texts["site"]:
        folder = hostile_site / site["slug"] / "2027"
        kept = json.loads((folder / "kept.json").read_bytes())
        assert site["name"] in kept["title"]
        assert all(
            re.fullmatch(r"[a-z0-9./-]+", path) for path in (*kept["files"], *kept["shared"])
        )
        with (folder / "nights.csv").open(encoding="utf-8-sig", newline="") as file:
            rows = list(csv.reader(file))
        assert len({len(row) for row in rows}) == 1
        assert len(rows) > 365


def test_a_feed_is_not_left_by_a_name(hostile_site: Path) -> None:
    """A title with line ends and marks of the format stays one event's title."""
    for path in hostile_site.rglob("*.ics"):
        lines = path.read_bytes().decode("utf-8").split("\r\n")
        assert lines.count("BEGIN:VCALENDAR") == lines.count("END:VCALENDAR") == 1
        assert lines.count("BEGIN:VEVENT") == lines.count("END:VEVENT") > 0
        unfolded = "\r\n".join(lines).replace("\r\n ", "")
        names = {line.partition(":")[0].partition(";")[0] for line in unfolded.split("\r\n")}
        assert all(re.fullmatch(r"[A-Z-]*", name) for name in names)


def test_a_table_holds_no_formula(hostile_site: Path) -> None:
    """No cell of a table begins as a formula would."""
    for path in hostile_site.rglob("*.csv"):
        cells = re.split(r'[,"\r\n]+', path.read_text(encoding="utf-8-sig"))
        assert not [cell for cell in cells if re.match(r"[=@]|[+-]\D", cell)]
