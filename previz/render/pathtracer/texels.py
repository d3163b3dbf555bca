"""Square pictures in one array, looked up by number. Import after a compiled variant is set."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import drjit as dr
import mitsuba as mi
import numpy as np

from previz.render.pathtracer.loading import aligned
from previz.render.patterns.joined import Joined


class Texels:
    """Pictures of 32-bit texels, each repeated for ever over its own length."""

    def __init__(self, pictures: Joined, lengths_m: Sequence[float]) -> None:
        """`lengths_m` is the side that each picture spans."""
        self._texels = mi.UInt32(pictures.texels)
        self._side = mi.UInt32(aligned(pictures.sides, np.uint32))
        self._start = mi.UInt32(aligned(pictures.starts, np.uint32))
        self._length_m = mi.Float(aligned(lengths_m, np.float32))

    def near(self, number: Any, uv: Any, active: Any) -> Any:
        """One of the four texels round `uv` (metres), by a chance that makes their mean bilinear.

        The chance comes from digits of `uv` itself, which a camera's ray leaves to chance.
        """
        side, start, place = self._place(number, uv, active)
        digits = place * 97.31
        place += digits - dr.floor(digits)
        at = mi.Point2u(place)
        column, row = (dr.select(k < side, k, dr.minimum(k - side, side - 1)) for k in (at.x, at.y))
        return dr.gather(mi.UInt32, self._texels, start + row * side + column, active)

    def _place(self, number: Any, uv: Any, active: Any) -> tuple[Any, Any, Any]:
        """Side and start of a picture, and where in it `uv` falls, in texels."""
        side = dr.gather(mi.UInt32, self._side, number, active)
        start = dr.gather(mi.UInt32, self._start, number, active)
        place = uv / dr.gather(mi.Float, self._length_m, number, active)
        place = (place - dr.floor(place)) * mi.Float(side)
        # What is no number has no whole part: taken for one, it would point anywhere.
        return side, start, dr.select(dr.isfinite(place), place, 0.0)

    def around(self, number: Any, uv: Any, active: Any) -> tuple[list[Any], Any]:
        """The four texels round `uv` (metres) and the place among them, each axis 0 to 1.

        Order: at the place and right of it, then the same a row further on.
        """
        side, start, place = self._place(number, uv, active)
        low = mi.Point2u(dr.minimum(mi.Point2u(place), side - 1))
        weight = place - mi.Point2f(low)
        next_column = dr.select(low.x + 1 < side, low.x + 1, 0)
        next_row = dr.select(low.y + 1 < side, low.y + 1, 0)
        texels = [
            dr.gather(mi.UInt32, self._texels, start + row * side + column, active)
            for row in (low.y, next_row)
            for column in (low.x, next_column)
        ]
        return texels, weight


def between(corners: Sequence[Any], weight: Any) -> Any:
    """Bilinear value among four corners in the order of `Texels.around`."""
    above = dr.lerp(corners[0], corners[1], weight.x)
    return dr.lerp(above, dr.lerp(corners[2], corners[3], weight.x), weight.y)
