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
from previz.render.pathtracer.texels import Texels, between
from previz.render.patterns import Figure, figure_of

TONE_RANGE = 2.0
STEPS = 65535


def packed(figure: Figure) -> NDArray[np.uint32]:
    """Tone (0 to 2) and share of the second colour (0 to 1), 16 bits each, (n, n)."""
    tone = np.clip(figure.tone / TONE_RANGE, 0.0, 1.0) * STEPS + 0.5
    share = np.clip(figure.second, 0.0, 1.0) * STEPS + 0.5
    both = (tone.astype(np.uint32) << np.uint32(16)) | share.astype(np.uint32)
    return np.asarray(both, np.uint32)


class PatternColour(mi.Texture):  # type: ignore[misc]  # a class of an untyped package
    """Reflectance from the mesh's colours and the figure that its pattern number names."""

    def __init__(self, props: Any) -> None:
        super().__init__(props)
        self._texels: Texels | None = None

    def draw(self, patterns: Sequence[Material]) -> None:
        """Take the figures in; pattern number k is the k-th of them from 1."""
        figures = [figure_of(material) for material in patterns]
        if not figures:
            return
        unlike = {id(figure): packed(figure) for figure in figures}
        pictures = [unlike[id(figure)] for figure in figures]
        # Number 0 is plain and looks at the first figure without using it.
        lengths = [figure.size_m for figure in (figures[0], *figures)]
        self._texels = Texels([pictures[0], *pictures], lengths)

    def eval(self, si: Any, active: Any = True) -> Any:
        """Reflectance (3,) at a surface point."""
        first = si.shape.eval_attribute_3(COLOUR, si, active)
        if self._texels is None:
            return first
        number = mi.UInt32(si.shape.eval_attribute_1(PATTERN, si, active) + 0.5)
        second = si.shape.eval_attribute_3(SECOND, si, active)
        texels, weight = self._texels.around(number, si.uv, active)
        tone = between([mi.Float(t >> 16) * (TONE_RANGE / STEPS) for t in texels], weight)
        share = between([mi.Float(t & STEPS) * (1.0 / STEPS) for t in texels], weight)
        patterned = dr.clip(tone * dr.lerp(first, second, share), 0.01, 0.95)
        return dr.select(number > 0, patterned, first)

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
