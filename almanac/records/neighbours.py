"""Which sites of a club stand together on a page that compares them."""

from msgspec import Struct


class Neighbour(Struct, frozen=True):
    """A site, as far as the pages of others need it."""

    slug: str
    name: str
    timezone: str
    """IANA name."""


class Neighbourhood(Struct, frozen=True):
    """Sites that a member may choose between for one night, the site itself among them."""

    key: str
    """Slug of its first site; empty if it is all the club's sites."""
    sites: tuple[Neighbour, ...]
    """In the config's order."""
