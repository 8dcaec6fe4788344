"""What a reader's browser keeps of a site's year for use without a network.

``assets/kept.js`` reads the list beside the pages; the service worker serves what it names.
"""

import json
from collections.abc import Mapping
from hashlib import sha256

KEPT = "kept.json"
LEFT_OUT = (".pdf", ".schema.json", ".ics", ".csv")
"""Sheets to print and feeds for other programs: no page needs them."""


def kept_list(
    hashes: Mapping[str, str],
    sizes: Mapping[str, int],
    folder: str,
    title: str,
    shared: tuple[str, ...],
) -> str:
    """The title of a folder and its files with a digest of each, as JSON.

    ``hashes`` are the files' SHA-256 and ``sizes`` their bytes, by path. ``shared`` are the files
    all folders need, from the site's top folder; they carry no digest and are fetched anew with
    every change.
    """
    own = sorted(path for path in hashes if not path.endswith(LEFT_OUT))
    digests = {path.removeprefix(folder): hashes[path][:12] for path in own}
    found = {
        "title": title,
        "version": _version(digests),
        "bytes": sum(sizes[path] for path in own),
        "shared": shared,
        "files": digests,
    }
    return json.dumps(found, ensure_ascii=False, separators=(",", ":")) + "\n"


def _version(digests: Mapping[str, str]) -> str:
    return sha256(json.dumps(digests).encode()).hexdigest()[:12]
