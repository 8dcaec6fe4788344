"""The start tags of a page, each different one read but once: a site repeats most of them."""

import re
from collections.abc import Iterator
from functools import cache
from html.parser import HTMLParser

START = re.compile(r"<[a-z][^<>]*>", re.IGNORECASE)
QUOTED = re.compile(r'"[^"]*"|\'[^\']*\'')

Attributes = tuple[tuple[str, str], ...]


class _Reader(HTMLParser):
    """Notes the tag that it is given."""

    found: tuple[str, Attributes] = ("", ())

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note its name and attributes; one without a value has an empty one."""
        self.found = tag, tuple((name, value or "") for name, value in attrs)


@cache
def read_tag(text: str) -> tuple[str, Attributes]:
    """Name and attributes of a start tag, its entities resolved."""
    assert not set(QUOTED.sub("", text)) & {'"', "'"}, f"not written as a tag: {text}"
    reader = _Reader()
    reader.feed(text)
    assert reader.found[0], f"not read as a tag: {text}"
    return reader.found


def start_tags(page: str) -> Iterator[tuple[str, Attributes]]:
    """Name and attributes of each start tag in order; the page writes ``<`` nowhere but in tags."""
    tags = START.findall(page)
    others = len(re.findall(r"</[a-zA-Z][\w-]*>|<!(?:doctype html>|--)", page, re.IGNORECASE))
    assert len(tags) + others == page.count("<"), "a < that belongs to no tag"
    return map(read_tag, tags)
