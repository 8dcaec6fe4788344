"""Numbers, instants and codes -> text in the reader's language, local time, rounded, never cut."""

import math
from datetime import date, datetime, timedelta
from functools import cached_property, lru_cache
from gettext import NullTranslations
from zoneinfo import ZoneInfo

from babel import Locale
from babel.dates import get_timezone_name
from babel.numbers import get_decimal_symbol, get_group_symbol
from msgspec import Struct

from almanac.publish import terms
from almanac.publish.catalogues import translations
from almanac.publish.date_texts import date_text

DECIMALS = tuple(f"z,.{digits}f" for digits in range(10))
"""Grouped by thousands, with so many decimals, never a negative zero."""
HALF_MINUTE = timedelta(seconds=30)
HALF_HOUR = timedelta(minutes=30)

ENGLISH = NullTranslations()
"""The texts as they stand in the source."""

GAPS = {"fr": "\u202f"}
"""What a language sets between a text and the colon or semicolon after it."""

LOCALES = {"en": "en_GB"}
"""Region whose date order a language takes: day before month, 24-hour clock."""

GROUPS = {"es": "\u202f"}
"""What parts thousands where a point could be taken for the decimal sign, as in half of the lands
of a language."""

AGREEMENTS = {"es": ("las 01:", "la 01:")}
"""What a language says otherwise once a time stands in the text: one o'clock is singular."""


@lru_cache(maxsize=16384)
def _clock_text(instant: datetime, zone: ZoneInfo) -> str:
    local = (instant + HALF_MINUTE).astimezone(zone)
    return f"{local.hour:02d}:{local.minute:02d}"


@lru_cache
def _names(locale: str, part: str, short: bool) -> dict[int, str]:
    """The names of months or days, standing alone."""
    table = getattr(Locale.parse(locale), part)["stand-alone"]
    return dict(table["abbreviated" if short else "wide"])


class Wording(Struct, frozen=True, dict=True):
    """The words of one site in one language: every text a reader sees comes through here.

    Instants are aware datetimes; times come out in the site's zone.
    """

    language: str
    """BCP 47 language such as ``en``."""
    timezone: str
    """IANA name of the site's zone."""
    translations: NullTranslations = ENGLISH

    @classmethod
    def of(cls, language: str, timezone: str) -> "Wording":
        """The words of a language whose catalogue the almanac has."""
        return cls(language, timezone, translations(language))

    @cached_property
    def locale(self) -> Locale:
        """The Babel locale whose date and number patterns are used."""
        return Locale.parse(LOCALES.get(self.language, self.language.replace("-", "_")))

    @cached_property
    def _locale_name(self) -> str:
        return str(self.locale)

    @property
    def gap(self) -> str:
        """What stands before a colon or semicolon that joins two texts."""
        return GAPS.get(self.language, "")

    @cached_property
    def zone(self) -> ZoneInfo:
        """The site's time zone."""
        return ZoneInfo(self.timezone)

    @cached_property
    def zone_name(self) -> str:
        """The zone as a reader calls it, such as Central European Time."""
        return get_timezone_name(self.zone, locale=self.locale)

    @cached_property
    def _zone_names(self) -> dict[tuple[timedelta | None, timedelta | None], str]:
        """The zone's names found so far, by offset and summer time, on which alone they depend."""
        return {}

    def zone_name_at(self, instant: datetime) -> str:
        """The zone's name at an instant, such as Central European Summer Time."""
        local = self.local(instant)
        kind = local.utcoffset(), local.dst()
        if kind not in self._zone_names:
            self._zone_names[kind] = get_timezone_name(local, locale=self.locale)
        return self._zone_names[kind]

    def gettext(self, message: str, **values: object) -> str:
        """The message in the reader's language, its ``%(name)s`` fields filled in."""
        text = self.translations.gettext(message)
        return self.agreed(text % values) if values else text

    def agreed(self, text: str) -> str:
        """A text with its times filled in, the articles before them in agreement."""
        said = AGREEMENTS.get(self.language)
        return text.replace(*said) if said else text

    def ngettext(self, singular: str, plural: str, n: int) -> str:
        """The message for n things in the reader's language; ``%(n)d`` is the number."""
        return self.translations.ngettext(singular, plural, n) % {"n": n}

    # Time

    def local(self, instant: datetime) -> datetime:
        """The instant in the site's zone, not rounded."""
        return instant.astimezone(self.zone)

    def clock(self, instant: datetime) -> str:
        """Local time as HH:MM, rounded to the nearest minute, halves up."""
        return _clock_text(instant, self.zone)

    def day(self, instant: datetime) -> date:
        """The local date of the minute that ``clock`` shows: 23:59:45 is the next day's 00:00."""
        return (instant + HALF_MINUTE).astimezone(self.zone).date()

    def hour(self, instant: datetime) -> str:
        """The nearest local hour in two digits, for the marks of a time axis."""
        return f"{(instant + HALF_HOUR).astimezone(self.zone).hour:02d}"

    def offset(self, instant: datetime) -> str:
        """The zone's offset at the instant, such as UTC+1 or UTC−3:30."""
        shift = self.local(instant).utcoffset() or timedelta()
        minutes = round(abs(shift).total_seconds() / 60)
        sign = "−" if shift < timedelta() else "+"
        tail = f":{minutes % 60:02d}" if minutes % 60 else ""
        return f"UTC{sign}{minutes // 60}{tail}"

    def duration(self, seconds: float) -> str:
        """A span as hours and minutes, rounded to the minute: 1 h 05 min, 35 min."""
        hours, minutes = divmod(round(seconds / 60), 60)
        if not hours:
            return self.gettext("%(minutes)d min", minutes=minutes)
        return self.gettext("%(hours)d h %(minutes)02d min", hours=hours, minutes=minutes)

    def date(self, value: date, form: str = "long") -> str:
        """A date in one of the forms of DATE_FORMS and DATE_SKELETONS; KeyError for another."""
        return date_text(value, form, self._locale_name)

    def month(self, number: int, short: bool = False) -> str:
        """The name of month 1 to 12, standing alone."""
        return _names(self._locale_name, "months", short)[number]

    def weekday(self, number: int, short: bool = False) -> str:
        """The name of weekday 0 (Monday) to 6, standing alone."""
        return _names(self._locale_name, "days", short)[number]

    # Numbers

    @cached_property
    def _separators(self) -> dict[int, str]:
        symbols = {
            ",": GROUPS.get(self.language) or get_group_symbol(self.locale),
            ".": get_decimal_symbol(self.locale),
            "-": "−",
        }
        return str.maketrans(symbols)

    @cached_property
    def _percent_tail(self) -> str:
        return str(self.locale.percent_formats[None].suffix[0])

    def number(self, value: float, digits: int = 0) -> str:
        """A number rounded to so many decimals, grouped by thousands, with a true minus sign."""
        return format(value, DECIMALS[digits]).translate(self._separators)

    def degrees(self, value: float, digits: int = 0) -> str:
        """An angle with its degree sign."""
        return f"{self.number(value, digits)}°"

    def bearing(self, azimuth_deg: float, digits: int = 0) -> str:
        """An azimuth with its degree sign, 0 up to but not including 360."""
        return self.degrees(round(azimuth_deg, digits) % 360.0, digits)

    def percent(self, fraction: float, digits: int = 0) -> str:
        """A fraction 0 to 1 as a percentage."""
        return f"{self.number(100 * fraction, digits)}{self._percent_tail}"

    def chance(self, probability: float) -> str:
        """A probability as a percentage that never claims certainty either way."""
        if probability > 0.99:
            return self.gettext("over %(percent)s", percent=self.percent(0.99))
        if probability < 0.01:
            return self.gettext("under %(percent)s", percent=self.percent(0.01))
        return self.percent(probability)

    # Directions

    def compass(self, azimuth_deg: float) -> str:
        """The nearest of eight directions in full, such as south-west."""
        return self.gettext(terms.COMPASS[round(azimuth_deg / 45) % 8])

    def compass_short(self, azimuth_deg: float) -> str:
        """The nearest of sixteen directions in letters, such as WSW."""
        return self.gettext(terms.COMPASS_SHORT[round(azimuth_deg / 22.5) % 16])

    def hop(self, azimuth_deg: float, altitude_deg: float) -> str:
        """A move as the handset makes it, such as 31° left, 12° down.

        Positive azimuth turns right, positive altitude goes up; whole degrees.
        """
        parts = [
            self._move(azimuth_deg, self.gettext("right"), self.gettext("left")),
            self._move(altitude_deg, self.gettext("up"), self.gettext("down")),
        ]
        return ", ".join(part for part in parts if part) or self.gettext("less than 1°")

    def _move(self, angle_deg: float, plus: str, minus: str) -> str:
        whole = round(abs(angle_deg))
        return f"{self.degrees(whole)} {plus if angle_deg > 0 else minus}" if whole else ""

    # Names and codes; an unknown code is a KeyError

    def phase(self, kind: str) -> str:
        """The name of a principal phase by its kind."""
        return self.gettext(terms.PHASES[kind])

    def moon_shape(self, fraction: float, waxing: bool) -> str:
        """The name of the Moon's shape by lit fraction 0 to 1 and whether it grows."""
        return self.gettext(terms.moon_shape(fraction, waxing))

    def quality(self, grade: str) -> str:
        """A night's grade as words: good, fair, poor or none."""
        return self.gettext(terms.QUALITIES[grade])

    def apsis(self, kind: str) -> str:
        """perigee or apogee with its meaning."""
        return self.gettext(terms.APSIDES[kind])

    def season(self, name: str) -> str:
        """The name of a season."""
        return self.gettext(terms.SEASONS[name])

    def season_sky(self, name: str) -> str:
        """The name of a season's sky."""
        return self.gettext(terms.SEASON_SKIES[name])

    def pick(self, code: str) -> str:
        """What stands out in the year, by the code of the pick or of its stage of the month."""
        return self.gettext(terms.PICKS[code])

    def feature_kind(self, kind: str) -> str:
        """The kind of a feature of the Moon."""
        return self.gettext(terms.FEATURE_KINDS[kind])

    def terminator(self, side: str) -> str:
        """morning or evening, on the Moon."""
        return self.gettext(terms.TERMINATORS[side])

    def disc_place(self, right: float, up: float) -> str:
        """Where on the disc, from its middle in its radii, as the frame shows it."""
        if math.hypot(right, up) < 0.25:
            return self.gettext(terms.NEAR_CENTRE)
        eighth = round(math.atan2(up, right) / (math.pi / 4)) % 8
        return self.gettext(terms.DISC_PLACES[eighth])

    def no_window(self, code: str) -> str:
        """Why a night has no Moon window, in a few words."""
        return self.gettext(terms.NO_WINDOW[code].label)

    def no_window_reason(self, code: str) -> str:
        """Why a night has no Moon window, as a sentence."""
        return self.gettext(terms.NO_WINDOW[code].sentence)

    def no_star(self, code: str) -> str:
        """Why a window has no calibration star, in a few words."""
        return self.gettext(terms.NO_STAR[code].label)

    def no_star_reason(self, code: str) -> str:
        """Why a window has no calibration star and what to do, as sentences."""
        return self.gettext(terms.NO_STAR[code].sentence)

    def caution(self, code: str) -> str:
        """A caution of a night as a short sentence."""
        return self.gettext(terms.CAUTIONS[code])
