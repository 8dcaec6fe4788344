"""What is made for paper in a site's year besides the charts: wall sheet, cards, booklet."""

from collections.abc import Iterator

from almanac.publish.charts.paper import PAPERS
from almanac.publish.pages import booklet, cards, wall
from almanac.publish.pages.book import Book, booklet_href, cards_href


def prints(book: Book) -> Iterator[tuple[str, str | bytes]]:
    """Pages and PDFs, each with its file's name."""
    yield from _wall(book)
    for month in range(1, 13):
        yield cards_href(book.almanac.year, month), cards.cards_page(book, month)
    if book.booklet:
        yield from _booklet(book)


def _wall(book: Book) -> Iterator[tuple[str, str | bytes]]:
    view = wall.wall_view(book)
    yield wall.WALL_HREF, wall.wall_page(book, view)
    for paper in PAPERS:
        yield f"wall-{paper}.pdf", wall.wall_sheet(view, paper)


def _booklet(book: Book) -> Iterator[tuple[str, str | bytes]]:
    view = booklet.booklet_view(book)
    for paper in PAPERS:
        yield booklet_href(paper), booklet.booklet_pdf(view, paper)
