"""The published folder: the same bytes each time, whole, closed in itself, every link good."""

import getpass
import json
import multiprocessing
import os
import platform
import re
import signal
import socket
import subprocess
import sys
import time
import tomllib
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cache
from hashlib import sha256
from html import unescape
from importlib.metadata import version
from importlib.resources import files
from pathlib import Path
from urllib.parse import unquote, urlsplit

import jsonschema
import numpy as np
import pytest
import tzdata
from start_tags import start_tags

from almanac import __version__, build, site_files
from almanac.errors import AlmanacError
from almanac.inputs.choice import Choice, narrowed
from almanac.inputs.config import load_config
from almanac.records.config import ClubConfig, Site

Run = Callable[..., subprocess.CompletedProcess[str]]

LOADED = {"link", "script", "img", "source", "use", "image", "iframe", "object", "video", "audio"}
"""Elements whose address a browser fetches unasked, to show a page."""
EMBEDDED = "data:image/png;base64,"
"""A picture that stands in the page itself."""
REFERENCES = {"href", "src", "srcset", "data", "poster", "action"}
IDS = {"aria-labelledby", "aria-describedby", "aria-controls", "for"}
PDF_PAGE = re.compile(r"page=\d+")
"""A fragment that opens a PDF at a page (RFC 8118)."""
EVENTS = re.compile(r"on[a-z]+")


@dataclass
class Page:
    """What a page holds, for tests."""

    ids: list[str] = field(default_factory=list)
    links: list[tuple[str, str, str]] = field(default_factory=list)
    """(tag, attribute, address)."""
    labels: list[str] = field(default_factory=list)
    """Ids that other elements speak of."""
    inline: list[str] = field(default_factory=list)
    """Styles and scripts that stand in the page itself."""
    title: str = ""


@cache
def read_page(path: Path) -> Page:
    """A page's contents."""
    text = path.read_text(encoding="utf-8")
    title = re.search(r"<title>([^<]*)", text)
    page = Page(title=unescape(title[1]).strip() if title else "")
    for tag, attributes in start_tags(text):
        note(page, tag, dict(attributes))
    return page


def note(page: Page, tag: str, given: dict[str, str]) -> None:
    """Add an element's ids, links and inline code to a page's."""
    if "id" in given:
        page.ids.append(given["id"])
    for name, value in given.items():
        if name in REFERENCES or name.endswith(":href"):
            page.links.append((tag, name, value))
        if name in IDS:
            page.labels += value.split()
        if name == "style" or EVENTS.fullmatch(name):
            page.inline.append(f"{tag} {name}={value}")
    if tag == "style" or (tag == "script" and "src" not in given):
        page.inline.append(tag)


@cache
def pages(site: Path) -> dict[str, Page]:
    """Every page of a site by its path in it."""
    return {path.relative_to(site).as_posix(): read_page(path) for path in site.rglob("*.html")}


@cache
def target(page: str, address: str) -> tuple[str, str]:
    """The path in the site and the fragment that a page's relative address leads to."""
    parts = urlsplit(address)
    path = os.path.normpath(os.path.join(os.path.dirname(page), unquote(parts.path)))
    return (path if parts.path else page), parts.fragment


def digests(folder: Path) -> dict[str, str]:
    """SHA-256 of each file by its path in the folder."""
    files = sorted(path for path in folder.rglob("*") if path.is_file())
    return {
        path.relative_to(folder).as_posix(): sha256(path.read_bytes()).hexdigest() for path in files
    }


# The same input, the same bytes

OLD_KERNEL = os.environ.get(
    "OPENBLAS_CORETYPE", "ARMV8" if platform.machine() in ("aarch64", "arm64") else "Prescott"
)
"""Matrix products as an old processor makes them, without fused sums; a machine on which these
could go wrong names its own."""
SPARE_FEATURES = np.show_config(mode="dicts")["SIMD Extensions"].get("found", [])
"""What NumPy uses of this processor beyond the least that it needs."""


def test_the_same_bytes_on_every_machine(
    almanac: Run, quarry_config: Path, quarry_site: Path, tmp_path: Path
) -> None:
    """Another zone, language, hash seed, folder, home and kind of processor: the same site."""
    home = tmp_path / "Zoë's home"
    config, out = home / "quarry" / "of the club.toml", home / "far" / "site"
    config.parent.mkdir(parents=True)
    config.write_bytes(quarry_config.read_bytes())
    run = almanac(
        "build",
        config,
        "--out",
        out,
        "--jobs",
        "1",
        cwd=home,
        TZ="Pacific/Kiritimati",
        LC_ALL="C",
        LANG="tr_TR.UTF-8",
        PYTHONHASHSEED="7",
        HOME=str(home),
        USER="zoë",
        COLUMNS="40",
        OMP_NUM_THREADS="1",
        OPENBLAS_NUM_THREADS="1",
        NPY_DISABLE_CPU_FEATURES=" ".join(SPARE_FEATURES),
        OPENBLAS_CORETYPE=OLD_KERNEL,
    )
    assert (run.returncode, run.stderr) == (0, "")
    assert digests(out) == digests(quarry_site)


def test_no_byte_turns_on_a_last_bit(
    quarry_config: Path, quarry_site: Path, root: Path, tmp_path: Path
) -> None:
    """Where every interpolated number is off by a rounding, on other threads, no file differs."""
    out = tmp_path / "site"
    program = [sys.executable, "-W", "error", root / "tests/tools/other_processor.py"]
    environment = {
        "PATH": os.environ["PATH"],
        "HOME": str(tmp_path),
        "TZ": "Asia/Kathmandu",
        "LC_ALL": "tr_TR.UTF-8",
        "PYTHONHASHSEED": "99",
        "PYTHONPATH": str(root),
        "OMP_NUM_THREADS": "4",
        "OPENBLAS_NUM_THREADS": "4",
    }
    run = subprocess.run(
        [*program, "build", quarry_config, "--out", out, "--jobs", "3"],
        cwd=tmp_path,
        env=environment,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert (run.returncode, run.stderr) == (0, "")
    assert digests(out) == digests(quarry_site)


def test_an_unchanged_rebuild_writes_nothing(
    almanac: Run, quarry_config: Path, quarry_site: Path
) -> None:
    """Building again leaves every file with its old bytes, time and inode.

    Into a pipe goes one plain line, with neither bar nor escape codes.
    """

    def marks() -> dict[str, tuple[int, int, int]]:
        found = ((path, path.stat()) for path in quarry_site.rglob("*"))
        return {str(path): (stat.st_mtime_ns, stat.st_ino, stat.st_size) for path, stat in found}

    before = marks()
    run = almanac("build", quarry_config, "--out", quarry_site)
    assert (run.returncode, run.stderr) == (0, "")
    assert re.fullmatch(r"\S+/index.html: 0 files written, \d+ unchanged, 0 removed\n", run.stdout)
    assert marks() == before


def test_the_output_says_what_made_it(demo_site: Path, root: Path) -> None:
    """Data and methods page name version, ephemeris, tables and config, digests in full."""
    demo = root / "site_config/demo.toml"
    sites = tomllib.loads(demo.read_text("utf-8"))["site"]
    sources = [demo, *(demo.parent / site["horizon"] for site in sites)]
    ephemeris = Path(str(files("skyfield_data"))) / "data/de421.bsp"
    made_with = {
        "version": __version__,
        "ephemeris": "DE421",
        "ephemeris_sha256": sha256(ephemeris.read_bytes()).hexdigest(),
        "delta_t": f"Skyfield {version('skyfield')}",
        "timezones": f"IANA {tzdata.IANA_VERSION}",
        "config_sha256": sha256(b"".join(path.read_bytes() for path in sources)).hexdigest(),
    }
    for path in demo_site.rglob("year.json"):
        assert json.loads(path.read_bytes())["made_with"] == made_with
    methods = (demo_site / "methods.html").read_text("utf-8")
    assert [value for value in made_with.values() if f"<dd>{value}</dd>" not in methods] == []


def test_nothing_of_this_machine_is_published(demo_site: Path, root: Path) -> None:
    """No path, user or host of the machine that built a site stands in its files."""
    words = {str(root), str(Path.home()), str(demo_site.parent), socket.gethostname()}
    words |= {f"/home/{getpass.getuser()}", f"user={getpass.getuser()}", "site-packages"}
    files = [path for path in demo_site.rglob("*") if path.is_file()]
    tell = {word.encode() for word in words if len(word) > 3}
    betrayed = [(path.name, word) for path in files for word in tell if word in path.read_bytes()]
    assert len(files) > 900
    assert betrayed == []


# Only a part


def demo(root: Path, choice: Choice) -> ClubConfig:
    """Some of the demo club's sites and years."""
    return narrowed(load_config(root / "site_config/demo.toml"), choice)


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> list[tuple[str, int]]:
    """A build without a sky: what would have been computed is noted, in order."""
    asked: list[tuple[str, int]] = []

    def compute(_config: object, site: Site, sky: int, _catalogue: object) -> tuple[str, int]:
        asked.append((site.slug, sky))
        return asked[-1]

    def rooms(it: tuple[str, int]) -> list[Callable[[], Iterator[tuple[str, str]]]]:
        return [lambda: iter([(f"{it[0]}/{it[1]}/index.html", "x")])]

    monkeypatch.setattr(build, "shared_sky", lambda year: year)
    monkeypatch.setattr(site_files, "make_ready", lambda _: None)
    monkeypatch.setattr(build, "compute", compute)
    monkeypatch.setattr(site_files, "digest", lambda almanac, _: almanac)
    monkeypatch.setattr(site_files, "site_book", lambda almanac, *_: almanac)
    monkeypatch.setattr(site_files, "site_rooms", rooms)
    for made in ("site_data", "site_feeds", "site_downloads", "site_kept"):
        monkeypatch.setattr(site_files, made, lambda *_: iter(()))
    monkeypatch.setattr(site_files, "lasting_calendars", lambda *_: {})
    monkeypatch.setattr(site_files, "club_pages", lambda *_: {"index.html": "x"})
    monkeypatch.setattr(site_files, "compare_pages", lambda *_: [{"compare/2027.html": "x"}])
    return asked


@pytest.mark.parametrize(
    ("choice", "asked"),
    [
        (Choice(), [("orchard-rise", 2027), ("mill-pond", 2027)]),
        (Choice(sites=("mill-pond",)), [("mill-pond", 2027)]),
        (Choice(sites=("mill-pond", "mill-pond")), [("mill-pond", 2027)]),
        (
            Choice((2030,), ("mill-pond", "orchard-rise")),
            [("orchard-rise", 2030), ("mill-pond", 2030)],
        ),
        (
            Choice((2028, 2029), ("orchard-rise",)),
            [("orchard-rise", 2028), ("orchard-rise", 2029)],
        ),
    ],
)
def test_a_part_is_built_alone(
    choice: Choice,
    asked: list[tuple[str, int]],
    quick: list[tuple[str, int]],
    root: Path,
    tmp_path: Path,
) -> None:
    """--site and --year narrow what is computed, what is written, and what the bar counts."""
    config, done = demo(root, choice), list[int]()
    build.build(config, tmp_path / "site", True, 1, done.append)
    assert quick == asked
    assert sum(done) == build.plan_size(config) == len(asked)
    written = {f"{slug}/{year}/index.html" for slug, year in asked}
    found = digests(tmp_path / "site").keys() - {".almanac-files.json"}
    assert found == {"index.html", "compare/2027.html", *written}


def test_a_failing_build_leaves_the_old_site(
    quick: list[tuple[str, int]], root: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A build that fails at its last site-year has not touched a byte of what was there."""
    out = tmp_path / "site"
    build.build(demo(root, Choice()), out, True, 1, lambda _: None)
    before = digests(tmp_path)

    def fail(*_: object) -> None:
        raise AlmanacError("the last page fails")

    monkeypatch.setattr(site_files, "club_pages", fail)
    with pytest.raises(AlmanacError, match="the last page fails"):
        build.build(demo(root, Choice(years=(2028,))), out, True, 1, lambda _: None)
    assert digests(tmp_path) == before
    assert len(before) == 5


def dead(*_: object) -> None:
    """End this process as a kill or a lack of memory does."""
    os.kill(os.getpid(), signal.SIGKILL)


def failing(*_: object) -> None:
    """Fail on purpose."""
    raise AlmanacError("a page fails")


@pytest.mark.skipif(sys.platform != "linux", reason="the stand-ins reach workers by fork alone")
@pytest.mark.parametrize(
    ("end", "message"), [(dead, r"was killed, .* \(--jobs\)"), (failing, "a page fails")]
)
def test_a_worker_that_ends_badly_ends_the_build(
    end: Callable[..., None],
    message: str,
    quick: list[tuple[str, int]],
    root: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """One killed or failing process of several: one sentence, the old site, nothing beside it."""
    out = tmp_path / "site"
    build.build(demo(root, Choice()), out, True, 2, lambda _: None)
    before = digests(tmp_path)
    assert len(before) == 5
    plain = build.compute

    def last_ends(config: object, site: Site, *rest: object) -> object:
        if site.slug == "mill-pond":
            end()
        return plain(config, site, *rest)

    monkeypatch.setattr(build, "compute", last_ends)
    with pytest.raises(AlmanacError, match=message):
        build.build(demo(root, Choice(years=(2028,))), out, True, 2, lambda _: None)
    assert digests(tmp_path) == before


@pytest.mark.skipif(sys.platform != "linux", reason="the stand-ins reach workers by fork alone")
def test_no_worker_writes_on_after_the_build_has_ended(
    quick: list[tuple[str, int]], root: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A build that is stopped between two site-years ends its workers before it tidies up."""

    def slow(config: object, site: Site, *_: object) -> tuple[str, int]:
        time.sleep(0.5 if site.slug == "orchard-rise" else 60)
        return site.slug, 2027

    def stop(_: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(build, "compute", slow)
    started = time.monotonic()
    with pytest.raises(KeyboardInterrupt) as stopped:
        build.build(demo(root, Choice()), tmp_path / "site", True, 2, stop)
    assert multiprocessing.active_children() == []
    assert time.monotonic() - started < 30
    assert os.listdir(tmp_path) == []
    assert stopped.value.__notes__ == [f"nothing was published in {tmp_path / 'site'}"]


def test_jobs_change_no_byte(quick: list[tuple[str, int]], root: Path, tmp_path: Path) -> None:
    """Several processes write what one writes, the marker included."""
    config = demo(root, Choice(years=(2027, 2028, 2029)))
    sites = [tmp_path / "one" / "site", tmp_path / "many" / "site"]
    for site, jobs in zip(sites, (1, 4), strict=True):
        done = list[int]()
        build.build(config, site, True, jobs, done.append)
        assert sum(done) == 6
    assert digests(sites[0]) == digests(sites[1])
    assert len(digests(sites[0])) == 9


# Links


def test_every_reference_leads_somewhere(demo_site: Path) -> None:
    """Every link, source and #id of every page meets a file of the site or an id on its page."""
    found = pages(demo_site)
    published = {
        path.relative_to(demo_site).as_posix() for path in demo_site.rglob("*") if path.is_file()
    }
    lost = set()
    for page, content in found.items():
        for address in {address for _, _, address in content.links}:
            if urlsplit(address).scheme:
                continue
            path, fragment = target(page, address)
            there = path in published
            of_sheet = path.endswith(".pdf") and PDF_PAGE.fullmatch(fragment)
            if not there or (fragment and not of_sheet and fragment not in found[path].ids):
                lost.add((page, address))
        lost |= {(page, f"#{label}") for label in content.labels if label not in content.ids}
    assert len(found) > 800
    assert lost == set()


def test_every_page_and_file_is_reachable(demo_site: Path) -> None:
    """From the front page one comes, link by link, to every page, chart and data file."""
    found, seen, ahead = pages(demo_site), set[str](), ["index.html"]
    while ahead:
        page = ahead.pop()
        if page in seen:
            continue
        seen.add(page)
        if page in found:
            ahead += [target(page, address)[0] for _, _, address in found[page].links]
    published = set(digests(demo_site)) - {".almanac-files.json"}
    by_script = ("/2027/tonight.js", "/2027/kept.json")  # two of each, for the two sites
    called = {path for path in published if path.endswith(by_script)}
    assert len(called) == 4
    called |= {"service-worker.js", "almanac.webmanifest", "not-kept.html"}
    assert published - seen - called == set()


def test_nothing_is_loaded_from_elsewhere(demo_site: Path) -> None:
    """No page, style or script fetches anything by itself from another place."""
    foreign = [
        (page, address)
        for page, content in pages(demo_site).items()
        for tag, _, address in content.links
        if tag in LOADED and not address.startswith(EMBEDDED)
        if urlsplit(address).scheme or address.startswith("//")
    ]
    assert foreign == []
    styles = [*demo_site.rglob("*.css"), *demo_site.rglob("*.js")]
    assert {"almanac.css", "paper.css", "find.js", "tonight.js", "service-worker.js"} <= {
        path.name for path in styles
    }
    outside = re.compile(r"https?://|@import|url\(\s*['\"]?//")
    assert [path.name for path in styles if outside.search(path.read_text("utf-8"))] == []


def test_outside_links_are_safe_to_follow(demo_site: Path) -> None:
    """A link that leaves the site is an https address, or opens the reader's own calendar."""
    schemes = {
        urlsplit(address).scheme
        for content in pages(demo_site).values()
        for tag, _, address in content.links
        if tag not in LOADED
    }
    assert schemes <= {"", "https", "webcal"}


# Markup


def test_ids_are_unique_on_their_page(demo_site: Path) -> None:
    """No page gives an id twice, drawings included."""
    twice = {
        page: [name for name, count in Counter(content.ids).items() if count > 1]
        for page, content in pages(demo_site).items()
    }
    assert {page: names for page, names in twice.items() if names} == {}


def test_no_page_holds_code_of_its_own(demo_site: Path) -> None:
    """Style and script come from files alone, so that a strict content policy can be served."""
    inline = {page: content.inline for page, content in pages(demo_site).items() if content.inline}
    assert inline == {}


def test_titles_tell_pages_apart(demo_site: Path) -> None:
    """Each page has a title of its own that names the club."""
    titles = {page: content.title for page, content in pages(demo_site).items()}
    assert [page for page, title in titles.items() if "Stork Meadow" not in title] == []
    assert {title for title, count in Counter(titles.values()).items() if count > 1} == set()


# Data


def test_the_years_data_hold_to_their_schema(demo_site: Path) -> None:
    """year.json is valid by the Schema beside it, and the Schema by its own."""
    data = sorted(demo_site.rglob("year.json"))
    assert len(data) == 2
    for path in data:
        year = json.loads(path.read_bytes())
        schema = json.loads((path.parent / year["schema"]).read_bytes())
        checker = jsonschema.validators.validator_for(schema)
        checker.check_schema(schema)
        assert list(checker(schema).iter_errors(year)) == []
        assert len(year["nights"]) == 365


def test_every_night_of_the_data_has_its_page(demo_site: Path) -> None:
    """Pages and data speak of the same nights."""
    for path in demo_site.rglob("year.json"):
        dates = {night["date"] for night in json.loads(path.read_bytes())["nights"]}
        named = {page.stem for page in path.parent.glob("????-??-??.html")}
        assert named == dates


def test_the_reader_sees_faults(tmp_path: Path) -> None:
    """The page reader finds ids, links, labels and inline code where they are."""
    path = tmp_path / "page.html"
    path.write_text(
        '<title>T</title><p id="a" style="x" onclick="y"><a href="b.html#c">d</a>'
        '<svg aria-labelledby="e f"><use xlink:href="#g"/></svg><script>1</script>',
        encoding="utf-8",
    )
    page = read_page(path)
    assert (page.title, page.ids, page.labels) == ("T", ["a"], ["e", "f"])
    assert page.links == [("a", "href", "b.html#c"), ("use", "xlink:href", "#g")]
    assert page.inline == ["p style=x", "p onclick=y", "script"]
    assert target("s/2027/x.html", "../../a.html#b") == ("a.html", "b")
    assert target("s/x.html", "#b") == ("s/x.html", "b")
