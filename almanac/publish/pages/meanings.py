"""The page that tells what the figures of the nights' pages mean."""

from typing import NamedTuple

from almanac.publish.pages.book import MEANINGS_HREF, Book
from almanac.publish.pages.engine import Link, render
from almanac.publish.pages.figure import Figure
from almanac.publish.pages.figures import meanings


class MeaningsView(NamedTuple):
    """All that the page shows."""

    figures: tuple[Figure, ...]


def meanings_page(book: Book) -> str:
    """The page of a site's year."""
    title = book.words.gettext("What the figures mean")
    view = MeaningsView(meanings(book.almanac.nights, book.words))
    frame = book.frame("meanings", title, Link(MEANINGS_HREF, title, True))
    return render("meanings.html", frame, view, book.words)
