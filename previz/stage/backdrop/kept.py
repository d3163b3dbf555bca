"""Environments kept between runs: the same sky over the same view is painted once."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np

from previz import cache as store
from previz import physics
from previz.memory import remembered
from previz.stage import backdrop, lattice
from previz.stage.backdrop.skies import Sky
from previz.stage.backdrop.views import View
from previz.stage.environment import Environment, Sun

KIND = "outside"
"""The folder in the user's cache. It keeps its name: what lies in a folder of an older name would
never be cleared away."""
MOST = 8
"""A panorama has 25 MB."""


def build_environment(
    sky: Sky, horizontal_lx: float, cct_k: float, view: View, seed: int, sun: Sun | None = None
) -> Environment:
    """As `backdrop.build_environment`, from the cache if this very one was painted before."""
    shines = None
    if sun is not None:
        shines = (sun.direction.tolist(), float(sun.normal_lx), sun.rgb.tolist(), sun.radius_rad)
    key = store.key_of((), _code(), sky, float(horizontal_lx), float(cct_k), view, seed, shines)

    def read_or_paint() -> Environment:
        arrays = store.load(KIND, key)
        if arrays is not None:
            return Environment(arrays["panorama"], sun)
        environment = backdrop.build_environment(sky, horizontal_lx, cct_k, view, seed, sun)
        store.keep(KIND, key, {"panorama": environment.panorama}, MOST)
        return environment

    return remembered((KIND, key), read_or_paint)


@cache
def _code() -> str:
    """Changes with the code that paints, the laws it paints by and the package that counts."""
    laws = Path(physics.__file__).parent.glob("*.py")
    painters = Path(__file__).parent.glob("*.py")
    return store.key_of([*painters, *laws, Path(lattice.__file__)], np.__version__)
