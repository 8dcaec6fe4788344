"""Checks of single texts in a config: names, addresses, zones, folder names."""

import re
import unicodedata
from functools import cache
from importlib.resources import files
from itertools import groupby
from urllib.parse import urlsplit

from almanac.inputs.faults import found, near_match

LANGUAGES = ("de", "en", "es", "fr")
"""Those with a catalogue of translated text."""
MOUNTS = ("altaz", "equatorial")
NEEDS = ("moon", "dark", "either")
"""What a meeting outdoors asks of the sky."""
MOST_SLUG_CHARACTERS = 60
SLUG_WORDS = (
    f"a folder name of 1 to {MOST_SLUG_CHARACTERS} characters: a to z, 0 to 9 and single hyphens"
)
TIMEZONE_WORDS = 'an IANA time zone such as "Europe/Paris"'
MEETING_SITE_WORDS = "the slug of one of the sites; left out, the sky of every site is told"
RESERVED_SLUGS = ("assets", "compare")
"""Folders that the published site keeps beside those of the sites."""
DEVICES = re.compile(r"con|prn|aux|nul|(com|lpt)[0-9]")
"""Names that no folder may have on Windows ("Naming Files, Paths, and Namespaces", Microsoft)."""
MOST_MARKS = 8
"""Twice what a letter bears in writing (from memory); a pile would hide the lines above it."""
URL_WORDS = 'a web address that starts with "https://" or "http://"'

_BIDI_CONTROLS = frozenset(
    "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
)
"""They can make a page show other text than it holds (Unicode Standard Annex 9, section 2)."""
_SLUG = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_WHOLE_LETTERS = str.maketrans(
    {"ß": "ss", "æ": "ae", "œ": "oe", "ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "ı": "i"}
)
"""Latin letters that NFKD does not take apart."""


def one_line(text: str) -> str:
    """A text to show on one line."""
    return _printable(text, "")


def prose(text: str) -> str:
    """A text of several lines."""
    return _printable(text, "\n\t")


def _printable(text: str, also: str) -> str:
    for character in text:
        hidden = unicodedata.category(character) in ("Cc", "Cs", "Zl", "Zp")
        if character in _BIDI_CONTROLS or (hidden and character not in also):
            name = unicodedata.name(character, "a control character").lower()
            raise found(f"text without U+{ord(character):04X} ({name})")
    if text and not any(unicodedata.category(character)[0] in "LNPS" for character in text):
        raise found("text with something to read in it")
    if _highest_stack(text) > MOST_MARKS:
        raise found(f"text with at most {MOST_MARKS} marks above or below a letter")
    return text


def _highest_stack(text: str) -> int:
    """Most marks in a row that take no room of their own."""
    runs = groupby(text, lambda character: unicodedata.category(character) in ("Mn", "Me"))
    return max((sum(1 for _ in run) for is_mark, run in runs if is_mark), default=0)


def language(code: str) -> str:
    """A language that the almanac is translated into."""
    return _one_of(code, LANGUAGES)


def mount(kind: str) -> str:
    """How the telescope turns."""
    return _one_of(kind, MOUNTS)


def need(word: str) -> str:
    """What a meeting outdoors asks of the sky."""
    return _one_of(word, NEEDS)


def _one_of(word: str, choices: tuple[str, ...]) -> str:
    if word not in choices:
        raise found(f"one of: {', '.join(choices)}", lambda: near_match(word, choices))
    return word


def url(address: str) -> str:
    """An absolute web address of a folder, with no name or password in it."""
    try:
        parts = urlsplit(address)
        host = parts.hostname
    except ValueError:
        host = None
    visible = all(character.isprintable() and character != " " for character in address)
    if not host or not visible or parts.scheme not in ("http", "https") or "@" in parts.netloc:
        raise found(URL_WORDS)
    if "?" in address or "#" in address:
        raise found(f"{URL_WORDS}, of a folder: without ? and #")
    return address


@cache
def _timezones() -> frozenset[str]:
    """Every IANA name, from the tzdata package rather than from this machine's own files."""
    names = files("tzdata").joinpath("zones").read_text(encoding="utf-8").split()
    return frozenset(names) - {"Factory"}  # means "not set"


def timezone(name: str) -> str:
    """A time zone of the IANA database."""
    if name not in _timezones():
        raise found(TIMEZONE_WORDS, lambda: near_match(name, sorted(_timezones())))
    return name


def slug(text: str) -> str:
    """A folder name given by the club."""
    if len(text) > MOST_SLUG_CHARACTERS or not _SLUG.fullmatch(text):
        raise found(SLUG_WORDS, lambda: slug_of(text[:MOST_SLUG_CHARACTERS]) or None)
    return text


def unreserved(slug: str) -> str:
    """A folder name that the published site does not need for itself, and every system takes."""
    if slug in RESERVED_SLUGS or DEVICES.fullmatch(slug):
        raise found(f"{SLUG_WORDS}, other than {', '.join(RESERVED_SLUGS)} and names of devices")
    return slug


def slug_of(name: str) -> str:
    """The folder name made from a site's name; empty where no letter or digit has a Latin form."""
    decomposed = unicodedata.normalize("NFKD", name.lower().translate(_WHOLE_LETTERS))
    plain = "".join(char for char in decomposed if not unicodedata.combining(char))
    hyphenated = re.sub(r"[^a-z0-9]+", "-", plain.replace("'", "").lower()).strip("-")
    return hyphenated[:MOST_SLUG_CHARACTERS].strip("-")
