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
    files: Mapping[str, str | bytes], folder: str, title: str, shared: tuple[str, ...]
) -> str:
    """The title of a folder and its files with a digest of each, as JSON.

    ``shared`` are the files all folders need, from the site's top folder; they carry no digest and
    are fetched anew with every change.
    """
    own = {
        path.removeprefix(folder): file.encode() if isinstance(file, str) else file
        for path, file in sorted(files.items())
        if not path.endswith(LEFT_OUT)
    }
    digests = {path: sha256(file).hexdigest()[:12] for path, file in own.items()}
    size = sum(map(len, own.values()))
    found = {
        "title": title,
        "version": _version(digests),
        "bytes": size,
        "shared": shared,
        "files": digests,
    }
    return json.dumps(found, ensure_ascii=False, separators=(",", ":")) + "\n"


def _version(digests: Mapping[str, str]) -> str:
    return sha256(json.dumps(digests).encode()).hexdigest()[:12]
