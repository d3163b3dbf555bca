"""The environment outside the windows: a sky in absolute units and what stands under it.

Not a photograph: behind a window and out of focus it must read as a place, with the
luminance that a meter would find there. One panorama serves all windows; without a sun of
its own every side of the house looks away from one.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from previz.physics.checks import not_negative
from previz.stage.backdrop.canvas import Canvas
from previz.stage.backdrop.skies import (
    Lighting,
    Sky,
    facing,
    lighting,
    sky_planes,
    typical,
)
from previz.stage.backdrop.views import EYE_M, VIEWS, View
from previz.stage.environment import Environment, Sun
from previz.stage.lattice import F32

__all__ = ["Lighting", "Sky", "View", "build_environment", "lighting", "sky_planes", "typical"]

SIZE_PX = (1024, 2048)
"""Height and width: 0.18 degrees a pixel, a tenth of what an 85 mm lens at f/2.8 that is
focused at two metres blurs together."""

_VISIBILITY_M = {"overcast": 1800.0, "clear": 4000.0, "dusk": 1800.0, "night": 3000.0}
"""Distance over which the air takes 63 % of contrast: haze of an ordinary day, from memory."""


def build_environment(
    sky: Sky, horizontal_lx: float, cct_k: float, view: View, seed: int, sun: Sun | None = None
) -> Environment:
    """The panorama of a place under a sky.

    sky            overcast; clear; dusk; night
    horizontal_lx  illuminance on open level ground from the sky, without the sun
    cct_k          colour temperature of that light, 1700 to 25 000 K
    view           garden (ground floor), street (first floor), rooftops (fifth), plain

    sun            the sun of a clear sky; it shines on ground and fronts from where it stands

    Under a clear sky without `sun` one shines from behind the house on every side, on what
    stands beyond its shadow, in the proportion it has to the sky at 45 degrees; street lamps
    and lit windows at dusk and night have levels of their own. ValueError for an illuminance
    or temperature out of range.
    """
    not_negative("horizontal_lx", horizontal_lx)
    planes = sky_planes(sky, horizontal_lx, cct_k, SIZE_PX, seed, sun)
    light = lighting(sky, horizontal_lx, cct_k, sun, SIZE_PX[1])
    if sun is None:
        _paint(planes, light, sky, view, seed)
    else:
        # What is seen against the sun has its shadow side to the window. Light adds up, so the
        # picture lies between one with all fronts in the sun and one with all turned away.
        away = planes.copy()
        _paint(planes, light, sky, view, seed)
        _paint(away, replace(light, sun_wall=np.zeros(3)), sky, view, seed)
        planes = away + facing(sun, SIZE_PX[1], -1.0) * (planes - away)
    return Environment(np.ascontiguousarray(np.moveaxis(planes, 0, -1)), sun)


def _paint(planes: F32, light: Lighting, sky: Sky, view: View, seed: int) -> None:
    """Paint what stands under a sky, in place; the same seed stands the same things there."""
    horizon = planes[:, SIZE_PX[0] // 2 - 24 : SIZE_PX[0] // 2].mean(axis=(1, 2)).astype(float)
    canvas = Canvas(planes, EYE_M[view], np.random.default_rng(seed), horizon, _VISIBILITY_M[sky])
    VIEWS[view](canvas, light)
