"""The list of what a browser keeps names every page of the year and changes with each of them."""

import json

from almanac.publish.kept import kept_list

FILES: dict[str, str | bytes] = {
    "a/2027/index.html": "page",
    "a/2027/year.json": b"{}",
    "a/2027/year-a4.pdf": b"%PDF",
    "a/2027/windows.ics": b"BEGIN",
}


def test_pages_are_listed_and_sheets_to_print_are_not() -> None:
    """What no page needs is not fetched to a phone."""
    found = json.loads(kept_list(FILES, "a/2027/", "A 2027", ("index.html",)))
    assert list(found["files"]) == ["index.html", "year.json"]
    assert (found["title"], found["bytes"], found["shared"]) == ("A 2027", 6, ["index.html"])


def test_a_changed_page_changes_its_digest_and_the_edition_alone() -> None:
    """The same files give the same list; another page gives another edition."""
    first = json.loads(kept_list(FILES, "a/2027/", "A 2027", ()))
    again = json.loads(kept_list(FILES, "a/2027/", "A 2027", ()))
    other = json.loads(kept_list(FILES | {"a/2027/index.html": "new"}, "a/2027/", "A 2027", ()))
    assert first == again
    assert first["version"] != other["version"]
    assert first["files"]["year.json"] == other["files"]["year.json"]
    assert first["files"]["index.html"] != other["files"]["index.html"]
