"""Templates -> HTML: one Jinja environment a language, and the frame that every page shares."""

from functools import lru_cache
from gettext import NullTranslations
from pathlib import Path
from typing import NamedTuple

from jinja2 import Environment, FileSystemLoader, StrictUndefined, nodes
from jinja2.ext import InternationalizationExtension
from jinja2.parser import Parser
from markupsafe import Markup

from almanac.publish.charts.drawing import DARK, LIGHT, PRINT, RED, css
from almanac.publish.pages.figure import figure_list
from almanac.publish.wording import Wording

PACKAGE = Path(__file__).parents[2]
FOLDERS = (PACKAGE / "_templates", PACKAGE.parent / "templates")
"""In an installed wheel; in a checkout."""


STYLES = "assets/almanac.css"


class Link(NamedTuple):
    """A way to another page, relative to the page it stands on."""

    href: str
    text: str
    current: bool = False


class Frame(NamedTuple):
    """What surrounds the content of every page."""

    kind: str
    """Name of the page's type; ``page-`` and it make the body's class."""
    title: str
    root: str
    """Way from the page to the front page's folder: empty or ``../../``."""
    club: str
    language: str
    trail: tuple[Link, ...] = ()
    """From the front page down to the page itself, without the front page."""
    months: tuple[Link, ...] = ()
    more: tuple[Link, ...] = ()
    """Other pages of the same site and year."""
    elsewhere: tuple[Link, ...] = ()
    """The same page at neighbouring sites and in the years beside."""
    scripts: tuple[str, ...] = ()


def templates_folder() -> Path:
    """Where the templates and assets lie; FileNotFoundError if the installation lacks them."""
    for folder in FOLDERS:
        if folder.is_dir():
            return folder
    raise FileNotFoundError(f"no templates in any of {', '.join(map(str, FOLDERS))}")


class _Worded(InternationalizationExtension):
    """``{% trans %}`` without variables is put into words once, when its template is compiled."""

    def parse(self, parser: Parser) -> nodes.Node | list[nodes.Node]:
        """The node of the texts; a call by night and page only where values are filled in."""
        node = super().parse(parser)
        match node:
            case nodes.Output(
                nodes=[
                    nodes.Call(
                        node=nodes.Name(name="gettext"), args=[nodes.Const(value=text)], kwargs=[]
                    )
                ]
            ):
                worded = self.environment.words(text) % {}  # type: ignore[attr-defined]
                return nodes.Output([nodes.TemplateData(worded)], lineno=node.lineno)
        return node


@lru_cache
def _environment(translations: NullTranslations) -> Environment:
    environment = Environment(
        loader=FileSystemLoader(templates_folder()),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
        extensions=[_Worded],
    )
    environment.extend(words=translations.gettext)
    environment.filters["figure_list"] = figure_list
    environment.install_gettext_callables(  # type: ignore[attr-defined]
        translations.gettext, translations.ngettext, newstyle=True
    )
    return environment


def compile_templates(translations: NullTranslations) -> None:
    """Have all templates of pages ready in this process, as ``render`` finds them."""
    environment = _environment(translations)
    for name in sorted(path.name for path in templates_folder().glob("*.html")):
        environment.get_template(name)


def render(template: str, frame: Frame, view: object, words: Wording) -> str:
    """A page from its template, its frame and the view that holds its texts and drawings."""
    page = _environment(words.translations).get_template(template)
    text = page.render(
        frame=frame,
        view=view,
        months=_shared("foot-months.html", words.translations, months=frame.months),
        more=_shared("foot-more.html", words.translations, root=frame.root, more=frame.more),
    )
    return words.agreed(text)


@lru_cache(maxsize=64)
def _shared(
    template: str, translations: NullTranslations, **values: str | tuple[Link, ...]
) -> Markup:
    """A part that many pages have alike, such as the thirty nights of a month."""
    return Markup(_environment(translations).get_template(template).render(values).rstrip())


def assets(folder: str = "assets") -> dict[str, bytes]:
    """The stylesheets, with the colours, and the scripts, by relative path."""
    files = sorted((templates_folder() / folder).iterdir())
    found = {f"{folder}/{file.name}": file.read_bytes() for file in files}
    return found | {STYLES: themes().encode() + found[STYLES]}


def themes() -> str:
    """The colours as a stylesheet: light, dark by the reader's setting, red by choice, paper."""
    return (
        f":root{{{css(LIGHT)}}}\n"
        f"@media (prefers-color-scheme:dark){{:root{{{css(DARK)}}}}}\n"
        f":root[data-red]{{{css(RED)}}}\n"
        f"@media print{{:root,:root[data-red]{{{css(PRINT)}}}}}\n"
    )
