"""A date as text, in the order and with the words of a language."""

import re
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
    "month": "yMMMM",  # March 2027
}
DATE_PATTERNS = {
    ("de", "weekday_day"): "EEEE, d. MMMM",
    ("es", "full"): "EEEE d 'de' MMMM 'de' y",
    ("es", "weekday_day"): "EEEE d 'de' MMMM",
    ("es", "short_weekday_day"): "EEE d MMM",
    ("fr", "weekday_day"): "EEEE d MMMM",
}
"""Where Babel has no pattern with the whole weekday, and Spanish without the comma after it that
would break up a list of dates (common practice, no source)."""


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
