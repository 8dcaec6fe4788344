"""Records -> the pages of the web site: ``site_pages`` for a site's year, the others once.

``digest`` keeps what these need of a year.
"""

from almanac.publish.pages.club import club_pages
from almanac.publish.pages.compare import compare_pages
from almanac.publish.pages.digest import Digest, digest
from almanac.publish.pages.site import site_pages

__all__ = ["Digest", "club_pages", "compare_pages", "digest", "site_pages"]
