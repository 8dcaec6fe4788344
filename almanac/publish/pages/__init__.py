"""Records -> the pages of the web site: ``site_pages`` for a site's year, the others once.

``site_rooms`` are a site's pages in groups that can be made apart, of the book that they share;
``digest`` keeps what the pages of several sites need of a year.
"""

from almanac.publish.pages.club import club_pages
from almanac.publish.pages.compare import compare_pages
from almanac.publish.pages.digest import Digest, digest
from almanac.publish.pages.site import Pages, site_book, site_pages, site_rooms

__all__ = [
    "Digest",
    "Pages",
    "club_pages",
    "compare_pages",
    "digest",
    "site_book",
    "site_pages",
    "site_rooms",
]
