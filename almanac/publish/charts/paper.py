"""Drawings on sheets of paper: the pages' own SVG, black on white, as a PDF."""

import json
from collections.abc import Sequence
from typing import Literal, NamedTuple

import typst

from almanac.publish.charts.drawing import on_paper

Paper = Literal["a4", "letter"]

PAPERS: tuple[Paper, ...] = ("a4", "letter")
TYPST_PAPER: dict[Paper, str] = {"a4": "a4", "letter": "us-letter"}

SHEETS = """
#set document(title: sys.inputs.title, date: none)
#set page(paper: sys.inputs.paper, flipped: sys.inputs.landscape == "yes", margin: 12mm)
#set text(font: "Libertinus Serif", size: 11pt, number-type: "lining")
#set par(leading: 0.5em)
#let sheet(one) = grid(
  rows: (auto, 1fr, auto, auto),
  gutter: 5mm,
  heading(text(size: 20pt, weight: "regular", one.title)),
  align(center + horizon, image(
    bytes(one.svg), format: "svg", width: 100%, height: 100%, fit: "contain", alt: one.caption,
  )),
  one.caption,
  text(size: 12pt, grid(columns: (1fr, 1fr), gutter: 3mm, ..one.notes.split("\n")
    .filter(line => line != "")
    .map(line => { let (term, words) = line.split("\t"); [#strong(term) #words] }))),
)
#json(bytes(sys.inputs.sheets)).map(sheet).join(pagebreak())
"""
"""A page a sheet: title, the drawing as large as the sheet allows, caption; no date, so that the
same input gives the same bytes."""


class Sheet(NamedTuple):
    """What stands on one page."""

    svg: str
    title: str
    caption: str
    """Also the drawing's text alternative."""
    notes: str = ""
    """Each line is a term, a tab and its text, set below in two columns."""


def sheets_to_pdf(
    sheets: Sequence[Sheet], paper: Paper, title: str, landscape: bool = False
) -> bytes:
    """Drawings with titles and captions as a tagged PDF, a page each, black on white.

    Sheets of one kind share a file, and so its fonts. Only those that typst carries are used, so
    the bytes do not depend on the machine. KeyError for an unknown paper.
    """
    pages = [sheet._replace(svg=on_paper(sheet.svg))._asdict() for sheet in sheets]
    inputs = {
        "sheets": json.dumps(pages),
        "paper": TYPST_PAPER[paper],
        "title": title,
        "landscape": "yes" if landscape else "no",
    }
    return typst.compile(SHEETS.encode(), format="pdf", sys_inputs=inputs, ignore_system_fonts=True)
