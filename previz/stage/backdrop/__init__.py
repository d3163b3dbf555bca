"""The world outside the windows: a sky in absolute units and what stands under it.

Not a photograph: behind a window and out of focus it must read as a place, with the
luminance that a meter would find there. One panorama serves all windows, so every side of
the house looks at the same kind of place, away from the sun.
"""

from __future__ import annotations

import numpy as np

from previz.physics.checks import not_negative
from previz.stage.backdrop.canvas import Canvas
from previz.stage.backdrop.skies import Lighting, Sky, lighting, sky_planes, typical
from previz.stage.backdrop.views import EYE_M, VIEWS, View
from previz.stage.outside import Outside

__all__ = ["Lighting", "Sky", "View", "build_outside", "lighting", "sky_planes", "typical"]

SIZE_PX = (1024, 2048)
"""Height and width: 0.18 degrees a pixel, a tenth of what an 85 mm lens at f/2.8 that is
focused at two metres blurs together."""

_VISIBILITY_M = {"overcast": 1800.0, "clear": 4000.0, "dusk": 1800.0, "night": 3000.0}
"""Distance over which the air takes 63 % of contrast: haze of an ordinary day, from memory."""


def build_outside(sky: Sky, horizontal_lx: float, cct_k: float, view: View, seed: int) -> Outside:
    """The panorama of a place under a sky.

    sky            overcast; clear (sun behind the house on every side); dusk; night
    horizontal_lx  illuminance on open level ground from the sky, without the sun
    cct_k          colour temperature of that light, 1700 to 25 000 K
    view           garden (ground floor), street (first floor), rooftops (fifth), plain

    Under a clear sky the sun shines on what stands beyond the shadow of the house, in the
    proportion it has to the sky at 45 degrees; street lamps and lit windows at dusk and night
    have levels of their own. ValueError for an illuminance or temperature out of range.
    """
    not_negative("horizontal_lx", horizontal_lx)
    planes = sky_planes(sky, horizontal_lx, cct_k, SIZE_PX, seed)
    horizon = planes[:, SIZE_PX[0] // 2 - 24 : SIZE_PX[0] // 2].mean(axis=(1, 2)).astype(float)
    random = np.random.default_rng(seed)
    canvas = Canvas(planes, EYE_M[view], random, horizon, _VISIBILITY_M[sky])
    VIEWS[view](canvas, lighting(sky, horizontal_lx, cct_k))
    return Outside(np.ascontiguousarray(np.moveaxis(planes, 0, -1)))
