"""Records -> the pages of the web site: ``site_pages`` for a site's year, ``club_pages`` once."""

from almanac.publish.pages.club import club_pages
from almanac.publish.pages.site import site_pages

__all__ = ["club_pages", "site_pages"]
