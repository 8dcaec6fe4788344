"""A night's figures: each with its unit and, in a few words, what it means."""

from collections.abc import Callable, Iterator, Sequence
from datetime import datetime
from typing import NamedTuple

from almanac.publish import steps
from almanac.publish.night_lines import beside_sun, moon_by_day
from almanac.publish.pages.capture import blur_figures, frame_figures
from almanac.publish.pages.figure import Figure
from almanac.publish.wording import Wording
from almanac.records.year import Night, SunNight, Window


class FigureGroup(NamedTuple):
    """Figures that belong together."""

    title: str
    figures: tuple[Figure, ...]


def figure_groups(night: Night, words: Wording) -> Iterator[FigureGroup]:
    """The best moment's figures, the Moon's, and the hours of Sun and Moon."""
    if night.windows:
        window = steps.best_window(night)
        title = words.gettext("At the best moment, %(time)s", time=words.clock(window.best_utc))
        yield FigureGroup(title, tuple(_window(window, words)))
        yield FigureGroup(words.gettext("What blurs it then"), tuple(blur_figures(window, words)))
        yield FigureGroup(words.gettext("In the frame then"), tuple(frame_figures(window, words)))
    yield FigureGroup(_moon_title(night, words), tuple(_moon(night, words)))
    yield FigureGroup(words.gettext("Hours of the Moon"), tuple(_moon_hours(night, words)))
    yield FigureGroup(words.gettext("Hours of the Sun"), tuple(_sun(night.sun, words)))


def _moon_title(night: Night, words: Wording) -> str:
    at_utc = night.moon.at_utc
    if beside_sun(night, at_utc):
        return moon_by_day(at_utc, words)
    return words.gettext("The Moon at %(time)s", time=words.clock(at_utc))


def night_groups(night: Night, words: Wording) -> tuple[FigureGroup, ...]:
    """The same for a night's page: what is alike on all nights is told once, on its own page."""
    return tuple(
        FigureGroup(group.title, tuple(figure._replace(meaning="") for figure in group.figures))
        for group in figure_groups(night, words)
    )


def meanings(nights: Sequence[Night], words: Wording) -> tuple[Figure, ...]:
    """What each figure of these nights' pages is, in their order, without values."""
    kinds: tuple[Callable[[Night], object], ...] = (
        lambda night: night.windows,
        lambda night: night.dark,
        lambda night: night.moon.transits,
        lambda night: night,
    )
    shown = [next(filter(kind, nights), None) for kind in kinds]
    found: dict[str, Figure] = {}
    for group in (group for night in shown if night for group in figure_groups(night, words)):
        for term, _value, meaning, _note in group.figures:
            if meaning:
                found.setdefault(term, Figure(term, "", meaning))
    return tuple(found.values())


def _window(window: Window, words: Wording) -> Iterator[Figure]:
    _ = words.gettext
    yield Figure(
        _("Altitude"),
        words.degrees(window.altitude_deg, 1),
        _("height above a flat horizon, as refraction lifts it"),
    )
    direction = f"{words.bearing(window.azimuth_deg, 1)} {words.compass_short(window.azimuth_deg)}"
    yield Figure(_("Azimuth"), direction, _("from north through east"))
    yield Figure(_("Airmass"), words.number(window.airmass, 2), _("air in the way; 1 overhead"))
    yield Figure(
        _("From the Sun"),
        words.degrees(window.sun_separation_deg),
        _("least distance between Moon and Sun in the window"),
    )


def _moon(night: Night, words: Wording) -> Iterator[Figure]:
    _, number, moon = words.gettext, words.number, night.moon
    yield Figure(_("Lit"), words.percent(moon.illuminated_fraction), _("part of the disc"))
    yield Figure(
        _("Phase angle"),
        words.degrees(moon.phase_angle_deg),
        _("Sun, Moon, site: 0° is full"),
    )
    yield Figure(_("Age"), _("%(days)s days", days=number(moon.age_days, 1)), _("since New Moon"))
    yield Figure(_("Distance"), f"{number(moon.distance_km)} km", _("from the site"))
    yield Figure(_("Diameter"), f"{number(moon.angular_diameter_arcmin, 1)}′", _("across the sky"))
    yield Figure(_("Magnitude"), number(moon.magnitude, 1), _("brightness; less is more"))
    yield from _globe(night, words)


def _globe(night: Night, words: Wording) -> Iterator[Figure]:
    _, moon, degrees = words.gettext, night.moon, words.degrees
    east, north = degrees(moon.libration_longitude_deg, 1), degrees(moon.libration_latitude_deg, 1)
    yield Figure(_("Libration east"), east, _("how far its east limb is turned to us"))
    yield Figure(_("Libration north"), north, _("how far its north limb is turned to us"))
    line = degrees(moon.colongitude_deg, 1)
    yield Figure(_("Colongitude"), line, _("where on the Moon the Sun rises, from its middle west"))


def _sun(sun: SunNight, words: Wording) -> Iterator[Figure]:
    _ = words.gettext
    rows: Sequence[tuple[str, datetime | None, str]] = (
        (_("Sunset"), sun.set_utc, ""),
        (_("Civil dusk"), sun.civil_dusk_utc, _("Sun 6° down: first bright stars")),
        (_("Nautical dusk"), sun.nautical_dusk_utc, _("Sun 12° down")),
        (_("Full dark"), sun.astronomical_dusk_utc, _("Sun 18° down")),
        (_("Dark ends"), sun.astronomical_dawn_utc, ""),
        (_("Nautical dawn"), sun.nautical_dawn_utc, ""),
        (_("Civil dawn"), sun.civil_dawn_utc, ""),
        (_("Sunrise"), sun.rise_utc, ""),
        (_("Cap by"), sun.cap_by_utc, _("cover a telescope that stays out")),
    )
    for term, at, meaning in rows:
        yield Figure(term, words.clock(at) if at else _("does not happen"), meaning)


def _moon_hours(night: Night, words: Wording) -> Iterator[Figure]:
    _, moon = words.gettext, night.moon
    never = _("not this night")

    def note(*instants: datetime) -> str:
        near = any(beside_sun(night, at) for at in instants)
        return _("Near the Sun: do not look") if near else ""

    rises, sets = moon.rises_utc, moon.sets_utc
    yield Figure(_("Moonrise"), _clocks(rises, words) or never, _("flat horizon"), note(*rises))
    for transit in moon.transits:
        at_utc = transit.at_utc
        height = _("%(altitude)s up", altitude=words.degrees(transit.altitude_deg))
        highest = f"{words.clock(at_utc)}, {height}"
        yield Figure(_("Highest"), highest, _("transit"), note(at_utc))
    yield Figure(_("Moonset"), _clocks(sets, words) or never, _("flat horizon"), note(*sets))
    if night.dark:
        dark = steps.span(night.dark.start_utc, night.dark.end_utc, words)
        yield Figure(_("Dark, no Moon"), dark, _("Sun 18° down, Moon set"))


def _clocks(instants: Sequence[datetime], words: Wording) -> str:
    return ", ".join(words.clock(at) for at in instants)
