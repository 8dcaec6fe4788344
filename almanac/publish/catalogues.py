"""The catalogues of languages: what each text of the pages is in another language.

They are gettext's own text files (``locale/de.po`` and so on) and are read as they stand: nothing
to compile, nothing to forget. ``tests/tools/translations.py`` renews them from the source.
"""

from functools import cache
from gettext import GNUTranslations, NullTranslations
from io import BytesIO
from pathlib import Path

FOLDER = Path(__file__).parent / "locale"
SOURCE_LANGUAGE = "en"


@cache
def translations(language: str) -> NullTranslations:
    """The texts of a language such as ``de``; English stands in the source itself.

    Raises FileNotFoundError for a language without a catalogue.
    """
    if language == SOURCE_LANGUAGE:
        return NullTranslations()
    from babel.messages.mofile import write_mo  # only other languages pay for these imports
    from babel.messages.pofile import read_po

    with (FOLDER / f"{language}.po").open("rb") as file:
        catalogue = read_po(file, locale=language)
    compiled = BytesIO()
    write_mo(compiled, catalogue)
    compiled.seek(0)
    return GNUTranslations(compiled)
