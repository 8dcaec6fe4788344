"""The catalogues of languages are complete, hold nothing stale, and fill in the same figures."""

import importlib.util
import re
from pathlib import Path
from types import ModuleType

import pytest
from babel.messages.catalog import Catalog, Message

from almanac.inputs.texts import LANGUAGES
from almanac.publish.catalogues import FOLDER, translations
from almanac.publish.wording import Wording

TOOL = Path(__file__).parents[1] / "tools" / "translations.py"
FIELD = re.compile(r"%\(\w+\)[0-9.+]*[a-z]|%%")
TRANSLATED = [language for language in LANGUAGES if language != "en"]


def _tool() -> ModuleType:
    spec = importlib.util.spec_from_file_location("translations_tool", TOOL)
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


tool = _tool()


@pytest.fixture(scope="module")
def source() -> Catalog:
    """Every text of the source."""
    return tool.source_catalogue()


@pytest.fixture(scope="module", params=TRANSLATED)
def catalogue(request: pytest.FixtureRequest) -> Catalog:
    """A language's catalogue."""
    return tool.catalogue_of(request.param)


def _ids(catalogue: Catalog) -> set[object]:
    return {(message.context, message.id) for message in catalogue if message.id}


def _forms(text: object) -> tuple[str, ...]:
    return (text,) if isinstance(text, str) else tuple(text)  # type: ignore[arg-type]


def _fields(text: str) -> list[str]:
    return sorted(set(FIELD.findall(text)))


def _messages(catalogue: Catalog) -> list[Message]:
    return [message for message in catalogue if message.id]


def test_every_language_that_a_config_may_choose_has_its_catalogue() -> None:
    """A language is offered exactly when its catalogue is there."""
    assert sorted(TRANSLATED) == sorted(path.stem for path in FOLDER.glob("*.po"))
    assert sorted(TRANSLATED) == sorted(tool.TRANSLATED)


def test_no_text_is_missing_and_none_is_stale(source: Catalog, catalogue: Catalog) -> None:
    """Each text of the source stands in the catalogue, and none that the source no longer has."""
    assert _ids(catalogue) == _ids(source)


def test_every_text_is_translated(catalogue: Catalog) -> None:
    """No translation is empty or marked as doubtful."""
    assert tool.missing(catalogue) == []
    assert [message.id for message in _messages(catalogue) if message.fuzzy] == []


def test_translations_fill_in_the_same_figures(catalogue: Catalog) -> None:
    """Each form of a translation has exactly the fields of the English text."""
    wrong = [
        message.id
        for message in _messages(catalogue)
        for form in _forms(message.string)
        if _fields(form) != _fields(_forms(message.id)[-1])
    ]
    assert wrong == []


def test_translations_keep_the_space_around_a_text(catalogue: Catalog) -> None:
    """Texts that are joined to others begin and end as the English ones do."""
    wrong = [
        message.id
        for message in _messages(catalogue)
        for form in _forms(message.string)
        if (form[:1] == " ", form[-1:] == " ")
        != (_forms(message.id)[0][:1] == " ", _forms(message.id)[0][-1:] == " ")
    ]
    assert wrong == []


@pytest.mark.parametrize("language", TRANSLATED)
def test_a_language_s_plural_is_its_own(language: str) -> None:
    """None of something is singular in French, plural in the others."""
    found = translations(language)
    one, none = (found.ngettext("%(n)d night", "%(n)d nights", n) for n in (1, 0))
    assert (one == none) == (language == "fr")


def test_english_is_the_source_itself() -> None:
    """English needs no catalogue."""
    assert translations("en").gettext("New Moon") == "New Moon"


def test_one_o_clock_is_singular_in_spanish() -> None:
    """The article before a time of the hour after one is la, before every other las."""
    words = Wording.of("es", "Europe/Madrid")
    said = [words.gettext("Go out at %(time)s.", time=time) for time in ("01:05", "11:05", "21:05")]
    assert said == ["Salir a la 01:05.", "Salir a las 11:05.", "Salir a las 21:05."]
