"""Which sites of a club stand together on a page that compares them."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Neighbour:
    """A site, as far as the pages of others need it."""

    slug: str
    name: str
    timezone: str
    """IANA name."""


@dataclass(frozen=True)
class Neighbourhood:
    """Sites that a member may choose between for one night, the site itself among them."""

    key: str
    """Slug of its first site; empty if it is all the club's sites."""
    sites: tuple[Neighbour, ...]
    """In the config's order."""
