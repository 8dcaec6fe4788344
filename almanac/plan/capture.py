"""How the Moon fits into the frame, and whether a clip of the usual length is allowed."""

from math import ceil

from almanac.plan.detail import pixel_arcsec
from almanac.records.config import Telescope
from almanac.records.globe import Framing

CROPS = (1, 2, 4)
"""The frame is cut to this part of the sensor's width and height."""
OVERLAP = 0.2
"""Of a mosaic's panels with their neighbours; common practice, no source."""
USUAL_CLIP_S = 20.0
"""Common practice, no source."""


def diameter_px(diameter_arcmin: float, telescope: Telescope) -> float:
    """The Moon's diameter in pixels."""
    return diameter_arcmin * 60 / pixel_arcsec(telescope)


def panels(size_px: float, side_px: float) -> int:
    """Frames in a row that cover a size, each overlapping the next by OVERLAP of its side.

    One frame covers its side; each more adds 1 - OVERLAP of it.
    """
    return 1 + max(0, ceil((size_px / side_px - 1) / (1 - OVERLAP)))


def framings(size_px: float, sensor_px: tuple[int, int]) -> tuple[Framing, ...]:
    """The Moon's share of the frame's short side, and panels that cover it, for each crop."""
    return tuple(
        Framing(
            crop=crop,
            share=size_px / (min(sensor_px) / crop),
            panels_across=panels(size_px, sensor_px[0] / crop),
            panels_up=panels(size_px, sensor_px[1] / crop),
        )
        for crop in CROPS
    )


def usual_clip_fits(longest_clip_s: float | None) -> bool:
    """Whether a clip of USUAL_CLIP_S ends before rotation smears the limb by a pixel."""
    return longest_clip_s is None or longest_clip_s >= USUAL_CLIP_S
