"""All patterns of a stage as one texture. Import after a compiled variant is set.

A compiled kernel holds the code of every surface it may meet, once per instance. Twenty
materials with a bitmap each make it ten times longer than one texture that looks up which
figure it is to draw; so figures lie one after another in a single array, and the two
colours of each come from the mesh.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import drjit as dr
import mitsuba as mi
import numpy as np
from numpy.typing import NDArray

from previz.model.records import Material
from previz.render.pathtracer.surfaces import COLOUR, PATTERN, SECOND
from previz.render.patterns import Figure, figure_of

TONE_RANGE = 2.0
STEPS = 65535


def packed(figure: Figure) -> NDArray[np.uint32]:
    """Tone (0 to 2) and share of the second colour (0 to 1), 16 bits each, flat."""
    tone = np.clip(figure.tone / TONE_RANGE, 0.0, 1.0) * STEPS + 0.5
    share = np.clip(figure.second, 0.0, 1.0) * STEPS + 0.5
    both = (tone.astype(np.uint32) << np.uint32(16)) | share.astype(np.uint32)
    return np.asarray(both.reshape(-1), np.uint32)


class PatternColour(mi.Texture):  # type: ignore[misc]  # a class of an untyped package
    """Reflectance from the mesh's colours and the figure that its pattern number names."""

    def __init__(self, props: Any) -> None:
        super().__init__(props)
        self._texels: Any = None

    def draw(self, patterns: Sequence[Material]) -> None:
        """Take the figures in; pattern number k is the k-th of them from 1."""
        figures = [figure_of(material) for material in patterns]
        if not figures:
            return
        # Number 0 is plain and looks at the first figure without using it.
        sides = [figures[0].tone.shape[0], *(figure.tone.shape[0] for figure in figures)]
        lengths = [figure.size_m for figure in (figures[0], *figures)]
        starts = np.cumsum([0, *(figure.tone.size for figure in figures[:-1])])
        self._texels = mi.UInt32(np.concatenate([packed(figure) for figure in figures]))
        self._side = mi.UInt32(np.array(sides, np.uint32))
        self._length_m = mi.Float(np.array(lengths, np.float32))
        self._start = mi.UInt32(np.array([0, *starts], np.uint32))

    def eval(self, si: Any, active: Any = True) -> Any:
        """Reflectance (3,) at a surface point."""
        first = si.shape.eval_attribute_3(COLOUR, si, active)
        if self._texels is None:
            return first
        number = mi.UInt32(si.shape.eval_attribute_1(PATTERN, si, active) + 0.5)
        second = si.shape.eval_attribute_3(SECOND, si, active)
        tone, share = self._look_up(number, si.uv, active)
        patterned = dr.clip(tone * dr.lerp(first, second, share), 0.01, 0.95)
        return dr.select(number > 0, patterned, first)

    def _look_up(self, number: Any, uv: Any, active: Any) -> tuple[Any, Any]:
        """Tone and share of the second colour, bilinear, repeated for ever."""
        side = dr.gather(mi.UInt32, self._side, number, active)
        start = dr.gather(mi.UInt32, self._start, number, active)
        place = uv / dr.gather(mi.Float, self._length_m, number, active)
        place = (place - dr.floor(place)) * mi.Float(side)
        low = mi.Point2u(dr.minimum(mi.Point2u(place), side - 1))
        weight = place - mi.Point2f(low)
        next_column = dr.select(low.x + 1 < side, low.x + 1, 0)
        next_row = dr.select(low.y + 1 < side, low.y + 1, 0)
        corners = [
            self._texel(start + row * side + column, active)
            for row in (low.y, next_row)
            for column in (low.x, next_column)
        ]
        above, below = (
            [dr.lerp(left, right, weight.x) for left, right in zip(*pair, strict=True)]
            for pair in (corners[:2], corners[2:])
        )
        return dr.lerp(above[0], below[0], weight.y), dr.lerp(above[1], below[1], weight.y)

    def _texel(self, index: Any, active: Any) -> tuple[Any, Any]:
        both = dr.gather(mi.UInt32, self._texels, index, active)
        tone = mi.Float(both >> 16) * (TONE_RANGE / STEPS)
        return tone, mi.Float(both & STEPS) * (1.0 / STEPS)

    def mean(self) -> Any:
        """A mean nobody asks for: the surfaces differ."""
        return mi.Float(0.5)

    def is_spatially_varying(self) -> bool:
        """Yes."""
        return True

    def to_string(self) -> str:
        """For messages."""
        return "PatternColour[]"


def pattern_colour(patterns: Sequence[Material]) -> Any:
    """The texture of all these patterns."""
    mi.register_texture("pattern_colour", PatternColour)
    texture = mi.load_dict({"type": "pattern_colour"})
    texture.draw(patterns)
    return texture
