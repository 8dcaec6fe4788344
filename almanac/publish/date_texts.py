"""A date as text, in the order and with the words of a language."""

import re
from collections.abc import Iterable
from datetime import date
from functools import cache, lru_cache

from babel import Locale
from babel.dates import DateTimePattern, match_skeleton, parse_pattern

DATE_FORMS = {
    "full": "full",  # Sunday 21 March 2027
    "long": "long",  # 21 March 2027
    "short": "medium",  # 21 Mar 2027
}
DATE_SKELETONS = {
    "day": "MMMMd",  # 21 March
    "short_day": "MMMd",  # 21 Mar
    "weekday_day": "MMMMEEEEd",  # Sunday 21 March
    "short_weekday_day": "MMMEd",  # Sun 21 Mar
    "weekday_number": "Ed",  # Sun 21
    "month": "yMMMM",  # March 2027
}
DATE_PATTERNS = {
    ("de", "short"): "d. MMM y",
    ("de", "weekday_day"): "EEEE, d. MMMM",
    ("de", "weekday_number"): "ccc d.",
    ("es", "full"): "EEEE d 'de' MMMM 'de' y",
    ("es", "weekday_day"): "EEEE d 'de' MMMM",
    ("es", "short_weekday_day"): "EEE d MMM",
    ("fr", "weekday_day"): "EEEE d MMMM",
}
"""Where Babel has no pattern with the whole weekday; German with the month's name and without the
comma in a few characters, Spanish without the one that would break up a list of dates (common
practice, no source)."""


FIRST_OF_MONTH = {"fr": "1er"}
"""What a language writes for the day 1; Babel has the bare figure."""


@lru_cache(maxsize=16384)
def date_text(value: date, form: str, locale: str) -> str:
    """A date in one of the forms above; KeyError for another."""
    text = _figures(value, form, locale)
    if value.day == 1 and locale in FIRST_OF_MONTH:
        return re.sub(r"\b1\b", FIRST_OF_MONTH[locale], text)
    return text


def _figures(value: date, form: str, locale: str) -> str:
    pattern, known = _pattern(form, locale)
    return pattern.apply(value, known)


@cache
def _pattern(form: str, locale: str) -> tuple[DateTimePattern, Locale]:
    """How a form is written, looked up once: a site-year writes thousands of dates."""
    known = Locale.parse(locale)
    if pattern := DATE_PATTERNS.get((locale, form)):
        return parse_pattern(pattern), known
    if form in DATE_FORMS:
        return known.date_formats[DATE_FORMS[form]], known
    skeletons = known.datetime_skeletons
    return skeletons[match_skeleton(DATE_SKELETONS[form], skeletons)], known


def date_list(dates: Iterable[str]) -> str:
    """Dates that end a sentence; its full stop also serves an abbreviated month at their end."""
    return ", ".join(dates).removesuffix(".")
