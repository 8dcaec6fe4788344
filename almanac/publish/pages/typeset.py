"""Views -> PDFs: a typst template of templates/print places what its view holds."""

import msgspec
import typst

from almanac.publish.charts.paper import TYPST_PAPER, Paper
from almanac.publish.pages.engine import templates_folder


def as_data(view: msgspec.Struct) -> str:
    """The view as JSON, its marked-up texts as they are."""
    return msgspec.json.encode(view, enc_hook=str).decode()


def typeset(template: str, view: msgspec.Struct, paper: Paper) -> bytes:
    """The view on sheets of paper as a tagged PDF, the same bytes each time.

    Texts reach the template as data, so that no markup in them is obeyed. Only the fonts that typst
    carries are used. KeyError for an unknown paper.
    """
    folder = templates_folder() / "print"
    return typst.compile(
        folder / f"{template}.typ",
        root=folder,
        format="pdf",
        sys_inputs={"paper": TYPST_PAPER[paper], "view": as_data(view)},
        ignore_system_fonts=True,
    )
