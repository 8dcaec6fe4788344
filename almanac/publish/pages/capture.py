"""What a window's picture can show: its blur part by part, the Moon in the frame, the clip."""

from collections.abc import Iterator

from almanac.publish.pages.figure import Figure
from almanac.publish.steps import USUAL_CLIP_S
from almanac.publish.wording import Wording
from almanac.records.globe import Framing
from almanac.records.year import Window


def blur_figures(window: Window, words: Wording) -> Iterator[Figure]:
    """The four parts of the blur, their sum, and what that is on the Moon."""
    _ = words.gettext
    parts = (
        (_("Seeing"), window.seeing_arcsec, _("unsteady air, more of it the lower the Moon")),
        (_("Diffraction"), window.diffraction_arcsec, _("the aperture's own")),
        (_("Dispersion"), window.dispersion_arcsec, _("spread of the colours by the air")),
        (_("Sampling"), window.sampling_arcsec, _("one pixel of the sensor")),
        (_("Together"), total_blur_arcsec(window), _("root of the sum of the squares")),
    )
    for term, arcsec, meaning in parts:
        yield Figure(term, f"{words.number(arcsec, 2)}″", meaning)
    yield Figure(
        _("Finest detail"),
        f"{words.number(window.finest_detail_km, 1)} km",
        _("the smallest thing on the Moon that the blur leaves apart"),
    )


def total_blur_arcsec(window: Window) -> float:
    """The four parts added in squares."""
    parts = (
        window.seeing_arcsec,
        window.diffraction_arcsec,
        window.dispersion_arcsec,
        window.sampling_arcsec,
    )
    return float(sum(part**2 for part in parts) ** 0.5)


def frame_figures(window: Window, words: Wording) -> Iterator[Figure]:
    """The Moon in the whole frame and in cropped ones, the turning field, the exposure."""
    _, number = words.gettext, words.number
    pixels = _("%(pixels)s px", pixels=number(window.diameter_px))
    yield Figure(_("Moon on the sensor"), pixels, _("its diameter"))
    for framing in window.framings:
        yield _framing(framing, words)
    yield from _clip(window, words)
    stops = number(window.exposure_stops, 1)
    yield Figure(
        _("Exposure"),
        _("%(stops)s stops", stops=stops if stops.startswith("−") else f"+{stops}"),
        _("more light than a full Moon overhead needs"),
    )


def _framing(framing: Framing, words: Wording) -> Figure:
    _ = words.gettext
    term = _("Cropped %(crop)d×", crop=framing.crop) if framing.crop > 1 else _("Whole frame, 1×")
    share = words.percent(framing.share)
    if framing.share <= 1.0:
        return Figure(term, share, note=_("of the frame's short side: it fits"))
    return Figure(
        term,
        _("%(share)s, %(panels)s frames", share=share, panels=panels(framing, words)),
        note=_("of the short side; frames across × up cover the disc, with some overlap"),
    )


def panels(framing: Framing, words: Wording) -> str:
    """Frames across and up that cover the disc."""
    return words.gettext("%(across)d × %(up)d", across=framing.panels_across, up=framing.panels_up)


def _clip(window: Window, words: Wording) -> Iterator[Figure]:
    _ = words.gettext
    if window.longest_clip_s is None:
        yield Figure(_("Field rotation"), _("none"), note=_("the mount turns with the sky"))
        yield Figure(
            _("Longest clip"),
            _("any length"),
            note=_("so far as rotation goes; the usual %(usual)d s fit", usual=USUAL_CLIP_S),
        )
        return
    yield Figure(
        _("Field rotation"),
        f"{words.number(window.field_rotation_deg_per_hour, 1)}°/h",
        _("how fast the picture turns in the frame"),
    )
    fits = _("the usual %(usual)d s fit", usual=USUAL_CLIP_S)
    short = _("too short for the usual %(usual)d s", usual=USUAL_CLIP_S)
    yield Figure(
        _("Longest clip"),
        f"{words.number(window.longest_clip_s)} s",
        note=_(
            "before the turning smears the limb by a pixel: %(usual)s",
            usual=fits if window.usual_clip_fits else short,
        ),
    )
