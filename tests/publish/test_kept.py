"""The list of what a browser keeps names every page of the year and changes with each of them."""

import json
from hashlib import sha256
from typing import Any

from almanac.publish.kept import kept_list


def listed(files: dict[str, str | bytes], shared: tuple[str, ...] = ()) -> dict[str, Any]:
    """The list of these files, read back."""
    own = {path: file.encode() if isinstance(file, str) else file for path, file in files.items()}
    hashes = {path: sha256(file).hexdigest() for path, file in own.items()}
    sizes = {path: len(file) for path, file in own.items()}
    found: dict[str, Any] = json.loads(kept_list(hashes, sizes, "a/2027/", "A 2027", shared))
    return found


FILES: dict[str, str | bytes] = {
    "a/2027/index.html": "page",
    "a/2027/year.json": b"{}",
    "a/2027/year-a4.pdf": b"%PDF",
    "a/2027/windows.ics": b"BEGIN",
}


def test_pages_are_listed_and_sheets_to_print_are_not() -> None:
    """What no page needs is not fetched to a phone."""
    found = listed(FILES, ("index.html",))
    assert list(found["files"]) == ["index.html", "year.json"]
    assert (found["title"], found["bytes"], found["shared"]) == ("A 2027", 6, ["index.html"])


def test_a_changed_page_changes_its_digest_and_the_edition_alone() -> None:
    """The same files give the same list; another page gives another edition."""
    first = listed(FILES)
    again = listed(FILES)
    other = listed(FILES | {"a/2027/index.html": "new"})
    assert first == again
    assert first["version"] != other["version"]
    assert first["files"]["year.json"] == other["files"]["year.json"]
    assert first["files"]["index.html"] != other["files"]["index.html"]
