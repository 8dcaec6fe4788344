"""What is made for paper in a site's year besides the charts: the wall sheet and the cards."""

from collections.abc import Iterator

from almanac.publish.charts.paper import Paper
from almanac.publish.pages import cards, wall
from almanac.publish.pages.book import Book, cards_href

PAPERS: tuple[Paper, ...] = ("a4", "letter")


def prints(book: Book) -> Iterator[tuple[str, str | bytes]]:
    """Pages and PDFs, each with its file's name."""
    yield from _wall(book)
    for month in range(1, 13):
        yield cards_href(book.almanac.year, month), cards.cards_page(book, month)


def _wall(book: Book) -> Iterator[tuple[str, str | bytes]]:
    view = wall.wall_view(book)
    yield wall.WALL_HREF, wall.wall_page(book, view)
    for paper in PAPERS:
        yield f"wall-{paper}.pdf", wall.wall_sheet(view, paper)
