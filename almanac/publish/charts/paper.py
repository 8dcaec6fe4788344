"""A drawing on one sheet of paper: the page's own SVG, black on white, as a PDF."""

from typing import Literal

import typst

from almanac.publish.charts.drawing import on_paper

Paper = Literal["a4", "letter"]

PAPERS: tuple[Paper, ...] = ("a4", "letter")
TYPST_PAPER: dict[Paper, str] = {"a4": "a4", "letter": "us-letter"}

SHEET = """
#set document(title: sys.inputs.title, date: none)
#set page(paper: sys.inputs.paper, flipped: sys.inputs.landscape == "yes", margin: 12mm)
#set text(font: "Libertinus Serif", size: 11pt, number-type: "lining")
#set par(leading: 0.5em)
#grid(
  rows: (auto, 1fr, auto, auto),
  gutter: 5mm,
  heading(text(size: 20pt, weight: "regular", sys.inputs.title)),
  align(center + horizon, image(
    bytes(sys.inputs.svg), format: "svg", width: 100%, height: 100%, fit: "contain",
    alt: sys.inputs.caption,
  )),
  sys.inputs.caption,
  text(size: 12pt, grid(columns: (1fr, 1fr), gutter: 3mm, ..sys.inputs.notes.split("\n")
    .filter(line => line != "")
    .map(line => { let (term, words) = line.split("\t"); [#strong(term) #words] }))),
)
"""
"""One page: title, the drawing as large as the sheet allows, caption; no date, so that the same
input gives the same bytes."""


def svg_to_pdf(
    svg: str, paper: Paper, title: str, caption: str, landscape: bool = False, notes: str = ""
) -> bytes:
    """The drawing with title and caption as a tagged PDF of one page, black on white.

    The caption is also the drawing's text alternative; each line of notes is a term, a tab and its
    text, set below in two columns. Only the fonts that typst carries are used,
    so the bytes do not depend on the machine. KeyError for an unknown paper.
    """
    inputs = {
        "svg": on_paper(svg),
        "paper": TYPST_PAPER[paper],
        "title": title,
        "caption": caption,
        "landscape": "yes" if landscape else "no",
        "notes": notes,
    }
    return typst.compile(SHEET.encode(), format="pdf", sys_inputs=inputs, ignore_system_fonts=True)
