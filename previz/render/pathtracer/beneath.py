"""Light that travels under skin, where a camera looks. Import after a compiled variant is set.

A stand-in for walking each path through the skin: light that a lamp sends straight to skin is
smoothed over the angle at which it falls, by colour and by how much the skin bends there, and the
finest relief counts less in red than in blue. It is linear in every lamp's light.
"""

from __future__ import annotations

import math
from typing import Any

import drjit as dr
import mitsuba as mi

from previz.physics.subsurface import relief_left, spread_m
from previz.render.pathtracer.rows import Rows

LIFT_M = 0.0008
"""So far above the skin stands what looks for lamps: then it sees a little round the bend."""
RELIEF_M = 0.0015
"""Period of the relief that matters: pores and fine lines."""


class Beneath:
    """What is to be added to a surface's own light where it is skin."""

    def __init__(self, rows: Rows) -> None:
        self._rows = rows
        self._spread_m = spread_m()
        self._left = relief_left(RELIEF_M)

    def bend(self, si: Any, active: Any) -> Any:
        """One over the skin's radius at a surface point, 1/m; 0 where there is no skin."""
        return self._rows.bend(si, active & (si.wi.z > 0.0))

    def more(self, si: Any, plain: Any, bend: Any, albedo: Any, towards: Any) -> Any:
        """What skin sends back of light from `towards` more than its surface says, over that light.

        plain  its normal without relief; the surface has it with relief
        """
        embossed = dr.dot(si.sh_frame.n, towards)
        flat = dr.dot(plain, towards)
        colours = []
        for spread, left in zip(self._spread_m, self._left, strict=True):
            cosine = flat + left * (embossed - flat)
            colours.append(_smoothed(cosine, dr.maximum(spread * bend, 1e-3)))
        before = dr.maximum(embossed, 0.0)
        more = dr.inv_pi * albedo * (mi.Color3f(*colours) - before)
        return dr.select(bend > 0.0, more, 0.0)


def _smoothed(cosine: Any, angle: Any) -> Any:
    """A clamped cosine smoothed by a Gaussian: on a ball of 12 mm within 0.010 of full light."""
    x = dr.clip(cosine / angle, -6.0, 1e4)
    below = 0.5 + 0.5 * dr.erf(x * math.sqrt(0.5))
    density = dr.exp(-0.5 * x * x) * (1.0 / math.sqrt(2.0 * math.pi))
    return angle * (x * below + density) * dr.exp(-angle * angle)
