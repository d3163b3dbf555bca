"""Part of a frame that is rendered alone, for judging at the frame's own pixels."""

from __future__ import annotations

from dataclasses import dataclass

from previz.api.opening import OpenScene
from previz.errors import InputError, Place, Problem
from previz.render.part import Part, part_of
from previz.stage.stage import StageCamera

RegionPct = tuple[float, float, float, float]
"""x, y, width and height in per cent of a frame, from its top left corner."""


@dataclass(frozen=True)
class Region:
    """Part of a frame: as asked for, and in pixels of the whole frame of `whole_px`."""

    pct: RegionPct
    part: Part
    whole_px: tuple[int, int]


def region_of(
    opened: OpenScene, camera: StageCamera, pct: RegionPct | None, width_px: int
) -> Region | None:
    """A region of a camera's frame of that width; None where all of it is wanted.

    InputError for a region that is empty or reaches past the frame.
    """
    if pct is None:
        return None
    size = camera.picture_size(width_px)
    try:
        return Region(pct, part_of(pct, size), size)
    except ValueError as error:
        raise InputError([Problem(Place(opened.path), f"--region: {error}")]) from None
