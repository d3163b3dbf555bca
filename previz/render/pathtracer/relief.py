"""Relief of patterns, seen where a camera's ray first meets a surface.

Import after a compiled variant is set. The slope of a pattern's height tilts the shading
normal there and nowhere further along a path: light that has been scattered once carries no
trace of a brick's edge, and looking the height up at every vertex would cost a tenth of the
time. The tilted normal also tells the denoiser where edges are.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import drjit as dr
import mitsuba as mi
import numpy as np

from previz.model.records import Material
from previz.render.pathtracer.loading import aligned
from previz.render.pathtracer.rows import Rows
from previz.render.pathtracer.texels import Texels
from previz.render.patterns import figure_of
from previz.render.patterns.joined import kept_joined
from previz.render.patterns.slopes import STEEPEST, STEPS, Slopes, slopes_of


class Relief:
    """Tilts shading normals by the slope of each pattern's height."""

    def __init__(self, rows: Rows, patterns: Sequence[Material]) -> None:
        """Pattern number k is the k-th of `patterns` from 1; `relief_mm` is its depth."""
        self._rows = rows
        flat = Slopes(np.full((1, 1), STEPS << 16 | STEPS, np.uint32), 0.0, 1.0)
        slopes, lengths, depths = [flat], [1.0], [0.0]
        for material in patterns:
            slopes.append(slopes_of(material) or flat)
            lengths.append(figure_of(material).size_m)
            depths.append(material.relief_mm / 1000.0)
        what = ("slopes", [(m.pattern, m.pattern_size_m) for m in patterns])
        pictures = kept_joined(what, lambda: [each.picture for each in slopes])
        self._texels = Texels(pictures, lengths)
        scale = [each.steepest * deep / STEPS for each, deep in zip(slopes, depths, strict=True)]
        self._scale = mi.Float(aligned(scale, np.float32))
        self._detail_m = mi.Float(aligned([each.detail_m for each in slopes], np.float32))
        self.flat = all(each is flat for each in slopes)

    def tilted(self, si: Any, ray: Any, pixel_m: Any, active: Any) -> Any:
        """`si` with its shading frame tilted; `pixel_m` is how far apart two pixels lie there.

        What is finer than a pixel fades, since its slopes would only be noise.
        """
        row = self._rows.at(si, active)
        number = dr.gather(mi.UInt32, self._rows.pattern, row, active)
        texel = self._texels.near(number, si.uv, active)
        finer = pixel_m / (2.0 * dr.gather(mi.Float, self._detail_m, number, active))
        scale = dr.gather(mi.Float, self._scale, number, active) / (1.0 + finer * finer)
        along = scale * (mi.Float(texel >> 16) - STEPS)
        across = scale * (mi.Float(texel & 0xFFFF) - STEPS)
        limit = dr.minimum(1.0, STEEPEST * dr.rsqrt(along * along + across * across + 1e-12))
        # Patterns are mapped in metres, so these are unit vectors but on slanted faces.
        tilt = along * si.dp_du / dr.maximum(dr.squared_norm(si.dp_du), 1e-6)
        tilt += across * si.dp_dv / dr.maximum(dr.squared_norm(si.dp_dv), 1e-6)
        old = si.sh_frame.n
        new = dr.normalize(old - limit * tilt)
        # A normal that turns away from the eye would show the surface's dark side.
        seen = dr.dot(new, ray.d) * dr.dot(old, ray.d) > 0.0
        use = active & (number > 0) & seen
        si.sh_frame = mi.Frame3f(dr.select(use, new, old))
        si.wi = dr.select(use, si.to_local(-ray.d), si.wi)
        return si
