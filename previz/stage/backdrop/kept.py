"""The world outside kept between runs: the same sky over the same view is painted once."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np

from previz import cache as store
from previz import physics
from previz.stage import backdrop, lattice
from previz.stage.backdrop.skies import Sky
from previz.stage.backdrop.views import View
from previz.stage.outside import Outside, Sun

KIND = "outside"
MOST = 8
"""A panorama has 25 MB."""


def build_outside(
    sky: Sky, horizontal_lx: float, cct_k: float, view: View, seed: int, sun: Sun | None = None
) -> Outside:
    """As `backdrop.build_outside`, from the cache if this very world was painted before."""
    shines = None
    if sun is not None:
        shines = (sun.direction.tolist(), float(sun.normal_lx), sun.rgb.tolist(), sun.radius_rad)
    key = store.key_of((), _code(), sky, float(horizontal_lx), float(cct_k), view, seed, shines)
    arrays = store.load(KIND, key)
    if arrays is not None:
        return Outside(arrays["panorama"], sun)
    outside = backdrop.build_outside(sky, horizontal_lx, cct_k, view, seed, sun)
    store.keep(KIND, key, {"panorama": outside.panorama}, MOST)
    return outside


@cache
def _code() -> str:
    """Changes with the code that paints, the laws it paints by and the package that counts."""
    laws = Path(physics.__file__).parent.glob("*.py")
    painters = Path(__file__).parent.glob("*.py")
    return store.key_of([*painters, *laws, Path(lattice.__file__)], np.__version__)
