"""A page of samples: every element of the visual system once, as a built site shows it.

    .venv/bin/python tests/tools/samples.py

builds the demo into .build/samples/site and writes .build/samples/index.html beside it. Elements
are quoted from the demo's own pages, so that a sample cannot grow old; inks and discs come from
the code that draws them.
"""

import re
import subprocess
import sys
from html import escape
from pathlib import Path

from almanac.publish.charts.drawing import DARK, LIGHT, PRINT, RED
from almanac.publish.charts.moon_disc import lit_path

ROOT = Path(__file__).parents[2]
FOLDER = ROOT / ".build" / "samples"
SITE_YEAR = "orchard-rise/2027/"
PALETTES = {"light": LIGHT, "dark": DARK, "red": RED, "paper": PRINT}
TYPE = (
    ("h1", "", "A page's title"),
    ("p", "subtitle", "What stands below a title"),
    ("p", "lead", "The sentence that answers the reader's question"),
    ("h2", "", "A part's heading"),
    ("h3", "", "A smaller heading"),
    ("p", "", "Running text, in lines of 60 to 70 letters where the window allows it."),
    ("p", "note", "A note in small sans, for what can be passed over."),
    ("p", "figure", "0123456789 in figures of one width: 11:11, 20:40"),
    ("p", "rule", "The rule of the Sun, in the colour of danger"),
)
STEPS = (0.8333, 1.0, 1.2, 1.44, 2.0736, 2.488)
"""Of the scale of 1.2, in rem: small, text, large, lead, title on phones and on a desk."""
PHASES_DEG = range(0, 181, 15)
QUOTED = (
    ("Cautions", "2027-03-16", "ul", "cautions"),
    ("A night's chart: the Moon thick, the star dashed", "2027-03-16", "figure", "chart"),
    ("The plan of a night", "2027-03-16", "ol", "steps"),
    ("The Moon with names", "2027-03-16", "figure", "portrait"),
    ("Figures with what they mean", "2027-03-16", "dl", "figures"),
    ("The year's chart", "index", "figure", "chart wide"),
    ("Nights in a list", "index", "ol", "nights"),
    ("Months in a list", "index", "ul", "monthlist"),
    ("A month of nights", "2027-03", "ol", "calendar from-1"),
    ("The sky of a season", "season-winter", "figure", "chart"),
    ("A star through the year", "star-capella", "figure", "chart"),
    ("A curve", "stars", "figure", "chart"),
    ("An eclipse of the Sun", "eclipse-2027-08-02-solar", "figure", "chart"),
    ("A table", "star-capella", "table", "dates"),
    ("Nights of a star", "star-capella", "table", "dates served"),
    ("Dates proposed", "club-dates", "ol", "proposals"),
    ("Files to take along", "downloads", "ul", "downloads files"),
    ("A card", "cards-2027-03", "article", "card usual"),
    ("The form that finds a night", "find", "form", "find-form"),
    ("Ways to other pages", "season-winter", "nav", "turns"),
)
"""Heading, page, and the element's tag and class: the first such element of the page."""
WIDE = ("calendar from-1", "proposals", "downloads files", "find-form", "turns")
"""Classes of what needs a page's whole width."""


def quoted(site: Path, page: str, tag: str, css_class: str) -> str:
    """An element as it stands on a page of the site; LookupError if it is not there."""
    text = (site / SITE_YEAR / f"{page}.html").read_text(encoding="utf-8")
    found = re.search(rf'<{tag}[^>]* ?class="{css_class}[ "].*?</{tag}>', text, re.DOTALL)
    if not found:
        raise LookupError(f"no <{tag} class={css_class}> on {page}.html")
    return found[0]


def bars() -> str:
    """The steps of the scale as bars, each long by its step."""
    rows = "".join(
        f'<rect y="{28 * i}" width="{120 * step:.0f}" height="4" fill="var(--ink)"/>'
        f'<text y="{28 * i + 20}" font-size="14" fill="var(--quiet)">{step} rem</text>'
        for i, step in enumerate(STEPS)
    )
    return f'<svg width="320" height="{28 * len(STEPS)}" role="img" aria-label="Steps">{rows}</svg>'


def discs() -> str:
    """The Moon from full to new, its lit side to the right."""
    row = "".join(
        f'<g transform="translate({40 * i + 20} 20)"><circle r="17" fill="var(--disc-dark)" '
        f'stroke="var(--quiet)"/><path fill="var(--disc-lit)" d="{lit_path(angle, 270, 17)}"/></g>'
        for i, angle in enumerate(PHASES_DEG)
    )
    view = f"0 0 {40 * len(PHASES_DEG)} 40"
    return f'<svg viewBox="{view}" role="img" aria-label="The Moon from full to new">{row}</svg>'


def inks() -> str:
    """Every ink in every palette, with its code."""
    heads = "".join(f'<th scope="col">{name}</th>' for name in PALETTES)
    rows = "".join(
        f'<tr><th scope="row">{name}</th>'
        + "".join(
            f'<td><svg width="32" height="24" aria-hidden="true">'
            f'<rect width="32" height="24" fill="{palette["paper"]}"/>'
            f'<rect x="6" y="6" width="20" height="12" fill="{palette[name]}"/></svg>'
            f'<span class="roomy">{palette[name]}</span></td>'
            for palette in PALETTES.values()
        )
        + "</tr>"
        for name in LIGHT
    )
    return (
        f'<table class="dates"><thead><tr><th scope="col">Ink</th>{heads}</tr></thead>'
        f"<tbody>{rows}</tbody></table>"
    )


def sample(site: Path, root: str, heading: str, name: str, tag: str, css_class: str) -> str:
    """A quoted element under its heading and the way to its page; its links lead to the site."""
    element = quoted(site, name, tag, css_class)
    element = re.sub(r'href="(?!#|[a-z]+:)', f'href="{root}{SITE_YEAR}', element)
    source = f'<p class="note"><a href="{root}{SITE_YEAR}{name}.html">{name}.html</a></p>'
    return f"<section><h2>{heading}</h2>{source}{element}</section>"


def page(site: Path, root: str) -> str:
    """The page of samples in the frame of the site's own pages; ``root`` is the way to the site."""
    types = (
        f'<{tag} class="{name}">{escape(text)}</{tag}>'
        if name
        else f"<{tag}>{escape(text)}</{tag}>"
        for tag, name, text in TYPE
    )
    own = (("Scale", bars()), ("Inks", inks()), ("The Moon by phase", discs()))
    parts = [f"<section>{''.join(types)}</section>"]
    parts += [f"<section><h2>{heading}</h2>{content}</section>" for heading, content in own]
    narrow = "".join(sample(site, root, *one) for one in QUOTED if one[-1] not in WIDE)
    parts.append(f'<div class="pair">{narrow}</div>')
    parts += [sample(site, root, *one) for one in QUOTED if one[-1] in WIDE]
    frame = (site / "methods.html").read_text(encoding="utf-8")
    frame = re.sub(r'(<title>|aria-current="page">)[^<]*', r"\1Samples", frame)
    frame = re.sub(r'(href|src)="(?!#|[a-z]+:)', rf'\1="{root}', frame)
    sheet = f'<link rel="stylesheet" href="{root}assets/paper.css">'
    frame = frame.replace("</head>", f"{sheet}</head>")
    before, after = frame.split('<main id="content">')[0], frame.split("</main>")[1]
    return f'{before}<main id="content">{"".join(parts)}</main>{after}'


if __name__ == "__main__":
    command = [sys.executable, "-c", "from almanac.cli import main; main()", "build"]
    demo = ["site_config/demo.toml", "--site", "orchard-rise", "--out", str(FOLDER / "site")]
    subprocess.run([*command, *demo], cwd=ROOT, check=True)
    (FOLDER / "index.html").write_text(page(FOLDER / "site", "site/"), encoding="utf-8")
    print(FOLDER / "index.html")
