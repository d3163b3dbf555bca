"""From metres on the set to millimetres on paper: which scale fits, and where a point lies."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from previz.deliver.paper.figure import Array, Box
from previz.telling.numbers import fixed
from previz.telling.tape import Units
from previz.units import M_PER_INCH, m_to_mm

SCALES: dict[Units, tuple[int, ...]] = {
    "metres": (10, 20, 25, 50, 100, 200, 500),
    "feet": (12, 16, 24, 48, 96, 192, 384),
}
"""Scales of rulers, largest first: ISO 5455 (from memory), with 1:25; in feet those of an
architect's scale, from 1 inch to the foot on: common practice, no source."""


class ScaleError(ValueError):
    """The drawing does not fit its paper at the scale that was asked for."""


@dataclass(frozen=True, eq=False)
class View:
    """A drawing to scale: `origin_mm` is where (0, 0) of the set lies; y goes up on the set."""

    scale: int
    origin_mm: tuple[float, float]

    def length(self, value_m: float) -> float:
        """A length on paper, millimetres."""
        return m_to_mm(value_m) / self.scale

    def points(self, points_m: ArrayLike) -> Array:
        """Points (n, 2) or (2,) of the set on paper."""
        points = np.asarray(points_m, float)[..., :2]
        return np.asarray(np.asarray(self.origin_mm) + m_to_mm(1.0) / self.scale * points * (1, -1))

    def point(self, point_m: ArrayLike) -> tuple[float, float]:
        """One point of the set on paper."""
        x, y = self.points(point_m)
        return float(x), float(y)

    @property
    def data(self) -> dict[str, str]:
        """What a reader of the drawing needs to find points of the set: scale and origin."""
        x, y = self.origin_mm
        return {"scale": str(self.scale), "origin-x-mm": f"{x:.4f}", "origin-y-mm": f"{y:.4f}"}


def fitting_scale(
    size_m: tuple[float, float], room_mm: tuple[float, float], units: Units, wanted: int | None
) -> int:
    """The largest usual scale at which a size fits, or the one wanted.

    ScaleError, with what would fit, when the wanted one does not, or none.
    """
    fits = [n for n in SCALES[units] if fits_at(size_m, room_mm, n)]
    if wanted is None and fits:
        return fits[0]
    if wanted is not None and fits_at(size_m, room_mm, wanted):
        return wanted
    cure = f"1:{fits[0]} fits" if fits else "no usual scale fits"
    shown = wanted or SCALES[units][-1]
    wide, high = (fixed(m_to_mm(side) / shown) for side in size_m)
    has = " × ".join(fixed(side_mm) for side_mm in room_mm)
    raise ScaleError(
        f"at 1:{shown} the drawing takes {wide} × {high} mm, and the paper has "
        f"{has} mm for it: {cure}, or take larger paper"
    )


def fits_at(size_m: tuple[float, float], room_mm: tuple[float, float], scale: int) -> bool:
    """Whether a size fits at a scale."""
    return all(m_to_mm(m) / scale <= mm + 1e-9 for m, mm in zip(size_m, room_mm, strict=True))


def centred(extent_m: Array, box: Box, scale: int) -> View:
    """A view that has the middle of an extent (2, 2) in the middle of a box."""
    middle = extent_m.mean(axis=0) * m_to_mm(1.0) / scale
    x, y = box.centre
    return View(scale, (x - float(middle[0]), y + float(middle[1])))


def bar_steps_m(scale: int, units: Units) -> tuple[float, int]:
    """Length of one part of a scale bar, metres, and how many: about 12 mm each."""
    unit = 1.0 if units == "metres" else 12.0 * M_PER_INCH
    for step in (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0):
        if m_to_mm(step * unit) / scale >= 8.0:
            return step * unit, 4
    return 20.0 * unit, 4
