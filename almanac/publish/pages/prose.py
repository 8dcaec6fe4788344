"""The words of a rendered page as plain blocks, so that paper has the same text as the screen."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser

from msgspec import Struct

LEAVES = {
    "h2": "heading",
    "h3": "subheading",
    "p": "text",
    "li": "item",
    "dt": "term",
    "dd": "cell",
    "th": "cell",
    "td": "cell",
}
"""Elements that hold words, and the kind of block that each becomes."""
TABLE_ROW = "tr"
SKIPPED = {"nav", "svg", "thead", "caption"}
SOURCE = {"source", "note"}
"""Classes of words that are set small."""


class Block(Struct, frozen=True):
    """A heading, a paragraph, an item of a list, a source or a row of a table."""

    kind: str
    """heading, subheading, text, rule, item, source or row."""
    texts: tuple[str, ...]
    """One, or a row's cells."""


def prose(page: str) -> tuple[Block, ...]:
    """The blocks of a page's main part, in order, without its title and ways to other pages."""
    reader = _Reader()
    reader.feed(page)
    return tuple(_rows(block for block in reader.blocks if block.texts[0]))


def _rows(blocks: Iterator[Block]) -> Iterator[Block]:
    """A term and what follows it, and the cells of a table's row, each as one block."""
    row: list[str] = []
    for block in blocks:
        if row and block.kind != "cell":
            yield Block("row", tuple(row))
            row = []
        if block.kind in ("term", "cell"):
            row += block.texts
        elif block.kind != TABLE_ROW:
            yield block
    if row:
        yield Block("row", tuple(row))


@dataclass
class _Reader(HTMLParser):
    """Collects blocks; words outside a leaf, such as those of a link between lists, are dropped."""

    blocks: list[Block] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__()
        self.inside = 0
        """Depth in main; 0 is outside."""
        self.skipping = ""
        self.kind, self.words = "", ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "main":
            self.inside = 1
        if not self.inside or self.skipping:
            return
        classes = set((dict(attrs).get("class") or "").split())
        if tag in SKIPPED:
            self.skipping = tag
        elif tag == TABLE_ROW:
            self.blocks.append(Block(TABLE_ROW, (TABLE_ROW,)))
        elif tag in LEAVES:
            self._close()
            self.kind = self._kind(tag, classes)
        elif tag == "span" and classes & SOURCE:
            self._close()
            self.kind = "source"

    def handle_endtag(self, tag: str) -> None:
        if tag == self.skipping:
            self.skipping = ""
        elif tag in LEAVES:
            self._close()
        elif tag == "main":
            self.inside = 0

    def handle_data(self, data: str) -> None:
        if self.kind and not self.skipping:
            self.words += data

    @staticmethod
    def _kind(tag: str, classes: set[str]) -> str:
        if tag == "p" and classes & SOURCE:
            return "source"
        return "rule" if "rule" in classes else LEAVES[tag]

    def _close(self) -> None:
        if self.kind:
            self.blocks.append(Block(self.kind, (" ".join(self.words.split()),)))
        self.kind, self.words = "", ""
