"""Renew the catalogues of languages from the texts in the source: run it after changing a text.

    .venv/bin/python tests/tools/translations.py [--missing]

New texts come in empty, texts that are gone go out, translations stay. ``--missing`` only lists
what is still to be translated. ``tests/publish/test_translations.py`` reads the same source.
"""

import argparse
import csv
from collections.abc import Iterator
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import read_po, write_po

ROOT = Path(__file__).parents[2]
LOCALE = ROOT / "almanac" / "publish" / "locale"
KEYWORDS = {
    "_": None,
    "N_": None,
    "gettext": None,
    "ngettext": (1, 2),
    "pgettext": ((1, "c"), 2),
}
TEMPLATE_OPTIONS = {
    "extensions": "jinja2.ext.i18n",
    "trim_blocks": "true",
    "lstrip_blocks": "true",
    "newstyle_gettext": "true",
    "silent": "false",
}
TRANSLATED = ("de", "es", "fr")
HEADER = """\
# The almanac's texts in another language; tests/tools/translations.py keeps the list of texts.
msgid ""
msgstr ""
"Language: {language}\\n"
"Plural-Forms: {plurals}\\n"
"Content-Type: text/plain; charset=utf-8\\n"

"""


def source_catalogue() -> Catalog:
    """Every text that the source and the bundled tables show to readers, in the source's order."""
    catalogue = Catalog(project="moon-night-almanac", fuzzy=False)
    for folder, kind, pattern in (
        ("almanac", "python", "**.py"),
        ("templates", "jinja2", "**.html"),
    ):
        for file, _line, message, _comments, context in extract_from_dir(
            ROOT / folder,
            [(pattern, kind)],
            {pattern: TEMPLATE_OPTIONS} if kind == "jinja2" else {},
            KEYWORDS,
        ):
            catalogue.add(message, locations=[(f"{folder}/{file}", None)], context=context)
    for note in star_notes():
        catalogue.add(note, locations=[("almanac/inputs/data/stars.csv", None)])
    return catalogue


def star_notes() -> Iterator[str]:
    """The notes of the stars' table, which the pages translate."""
    with (ROOT / "almanac/inputs/data/stars.csv").open(encoding="utf-8") as file:
        rows = csv.DictReader(line for line in file if not line.startswith("#"))
        yield from dict.fromkeys(row["note"] for row in rows if row["note"])


def catalogue_of(language: str) -> Catalog:
    """A language's catalogue as it stands."""
    path = LOCALE / f"{language}.po"
    if not path.exists():
        return Catalog(locale=language, project="moon-night-almanac", fuzzy=False)
    with path.open("rb") as file:
        return read_po(file, locale=language)


def renew(language: str, source: Catalog) -> Catalog:
    """Bring a language's catalogue up to the source and write it, the same bytes every time."""
    found = catalogue_of(language)
    found.update(source, no_fuzzy_matching=True, update_header_comment=False)
    found.obsolete.clear()
    with (LOCALE / f"{language}.po").open("wb") as file:
        file.write(HEADER.format(language=language, plurals=found.plural_forms).encode())
        write_po(file, found, width=100, omit_header=True, include_lineno=False)
    return found


def missing(catalogue: Catalog) -> list[str]:
    """The texts without a translation."""
    return [
        str(message.id) for message in catalogue if message.id and not all(_texts(message.string))
    ]


def _texts(string: str | tuple[str, ...] | list[str] | None) -> tuple[str, ...]:
    return (string or "",) if isinstance(string, str | None) else tuple(string)


def main() -> None:
    """Renew or look through all catalogues."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--missing", action="store_true", help="list only")
    only_list = parser.parse_args().missing
    source = source_catalogue()
    LOCALE.mkdir(exist_ok=True)
    for language in TRANSLATED:
        catalogue = catalogue_of(language) if only_list else renew(language, source)
        empty = missing(catalogue)
        print(f"{language}: {len(catalogue)} texts, {len(empty)} without translation")
        for text in empty if only_list else []:
            print(f"  {text}")


if __name__ == "__main__":
    main()
