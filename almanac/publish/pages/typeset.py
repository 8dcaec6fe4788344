"""Views -> PDFs: a typst template of templates/print places what its view holds."""

import json
from dataclasses import asdict
from typing import TYPE_CHECKING

import typst

from almanac.publish.charts.paper import TYPST_PAPER, Paper
from almanac.publish.pages.engine import templates_folder

if TYPE_CHECKING:
    from _typeshed import DataclassInstance


def typeset(template: str, view: "DataclassInstance", paper: Paper) -> bytes:
    """The view on sheets of paper as a tagged PDF, the same bytes each time.

    Texts reach the template as data, so that no markup in them is obeyed. Only the fonts that typst
    carries are used. KeyError for an unknown paper.
    """
    folder = templates_folder() / "print"
    return typst.compile(
        folder / f"{template}.typ",
        root=folder,
        format="pdf",
        sys_inputs={"paper": TYPST_PAPER[paper], "view": json.dumps(asdict(view))},
        ignore_system_fonts=True,
    )
