"""A material's tile: the figure of its pattern in its own colours, with its own mean."""

from __future__ import annotations

import zlib
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from previz import cache as store
from previz.geometry.people import chart
from previz.geometry.people.archive import default_archive
from previz.geometry.people.chart import SIDE_M, Complexion
from previz.model.records import Material
from previz.render.patterns import cloth, masonry, mineral, small, timber
from previz.render.patterns.face import face
from previz.render.patterns.figure import PatternFigure

F32 = NDArray[np.float32]

DARKEST, LIGHTEST = 0.01, 0.95
LEAST_SHARE_OF_BODY = 0.55
"""How far a light second colour may darken the first to keep the mean. Without a limit, red
brick between pale joints would have to be almost black in blue."""

KIND = "patterns"
MOST = 60
"""Figures kept between runs: drawing one takes a tenth of a second, reading it a hundredth."""

_MAKERS: dict[str, tuple[Callable[[np.random.Generator, float], PatternFigure], float]] = {
    "wood": (timber.wood, 0.12),
    "boards": (timber.boards, 0.14),
    "parquet": (timber.parquet, 0.07),
    "plaster": (mineral.plaster, 0.6),
    "brick": (masonry.brick, 0.215),
    "painted_brick": (masonry.painted_brick, 0.215),
    "concrete": (mineral.concrete, 0.6),
    "tiles": (masonry.tiles, 0.2),
    "weave": (cloth.weave, 0.0012),
    "fine_weave": (cloth.fine_weave, 0.0004),
    "knit": (cloth.knit, 0.003),
    "carpet": (cloth.carpet, 0.006),
    "leather": (cloth.leather, 0.004),
    "stone": (mineral.stone, 0.4),
    "leaf": (small.leaf, 0.01),
    "speckle": (small.speckle, 0.005),
    "handled": (small.handled, 0.02),
}
"""What draws each pattern, and the size of its unit where the material gives none."""

_KEEP_SECOND = ("brick", "tiles")
"""Patterns whose second colour, mortar, does not follow when the first is painted over."""

_LEAST_RELIEF_MM = {
    "brick": 0.5,
    "painted_brick": 0.5,
    "boards": 0.3,
    "leather": 0.1,
    "plaster": 0.5,
    "tiles": 0.5,
}
"""Relief that a tile's `relief_m` holds, for the renderer that pays for each of them: what is
shallower does not show two metres away."""


@dataclass(frozen=True, eq=False)
class Tile:
    """One repeat of a pattern.

    colour    (n, n, 3) float32, linear BT.709 reflectance
    size_m    length of the tile's side
    relief_m  (n, n) float32 height of the surface in metres, or None when it is flat
    """

    colour: F32
    size_m: float
    relief_m: F32 | None


@lru_cache(maxsize=24)
def tile_of(material: Material, base: tuple[float, ...] | None = None) -> Tile:
    """The tile of a patterned material; `base` replaces its reflectance.

    The mean of the tile is the reflectance; the figure is the same for materials that share
    pattern and size. Columns run along the grain (u), rows across it (v).
    """
    mean = np.asarray(base or material.reflectance, np.float64)
    if material.pattern == "none":
        return Tile(np.broadcast_to(mean.astype(np.float32), (8, 8, 3)).copy(), 1.0, None)
    figure = figure_of(material)
    relief = None
    least = _LEAST_RELIEF_MM.get(material.pattern)
    if figure.height is not None and least is not None and material.relief_mm >= least:
        relief = figure.height * np.float32(material.relief_mm / 1000.0)
    return Tile(_coloured(figure, *two_colours(material, base), mean), figure.size_m, relief)


def figure_of(material: Material) -> PatternFigure:
    """The figure of a patterned material; the same object for all that share it."""
    return figure_by(material.pattern, material.pattern_size_m)


def two_colours(
    material: Material, base: tuple[float, ...] | None = None
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """First and second colour (3,) with which a material's figure has its mean reflectance.

    A point of the figure shows tone x (first + second share x (second - first)).
    """
    # No paint is blacker than this in any channel. A channel at 0 would make the second colour 0
    # there too.
    mean = np.maximum(np.asarray(base or material.reflectance, np.float64), DARKEST)
    second = _second(material, mean)
    of_tone, of_second = _means(material.pattern, material.pattern_size_m)
    of_first = of_tone - of_second
    # Where the first colour would have to be too dark to keep the mean, the second is darkened.
    room = (mean - LEAST_SHARE_OF_BODY * mean * of_first) / np.maximum(of_second * second, 1e-9)
    second = second * min(1.0, float(room.min()))
    return (mean - of_second * second) / of_first, second


@lru_cache(maxsize=64)
def _means(pattern: str, size_m: float | None) -> tuple[float, float]:
    """Mean of a figure's tone, and of its tone times the share of the second colour."""
    figure = figure_by(pattern, size_m)
    return float(figure.tone.mean()), float((figure.tone * figure.second).mean())


@lru_cache(maxsize=24)
def figure_by(pattern: str, size_m: float | None) -> PatternFigure:
    """The figure of a pattern; `size_m` None takes the pattern's usual size."""
    of_face = Complexion.names(pattern)
    usual_m = SIDE_M if of_face else _MAKERS[pattern][1]
    size_m = usual_m if of_face else size_m or usual_m
    key = store.key_of([default_archive()] if of_face else (), code(), pattern, size_m)
    kept = store.load(KIND, key)
    if kept is not None:
        return PatternFigure(
            float(kept["size_m"]), kept["second"], kept["tone"], kept.get("height")
        )
    figure = face(Complexion.named(pattern)) if of_face else _made(pattern, size_m)
    arrays = {"size_m": np.array(figure.size_m), "second": figure.second, "tone": figure.tone}
    if figure.height is not None:
        arrays["height"] = figure.height
    store.keep(KIND, key, arrays, MOST)
    return figure


def _made(pattern: str, size_m: float) -> PatternFigure:
    seed = zlib.crc32(f"{pattern} {size_m:.6f}".encode())
    return _MAKERS[pattern][0](np.random.default_rng(seed), size_m)


@cache
def code() -> str:
    """Changes with this package."""
    return store.key_of([*Path(__file__).parent.glob("*.py"), Path(chart.__file__)])


def _second(material: Material, mean: NDArray[np.float64]) -> NDArray[np.float64]:
    own = np.asarray(material.reflectance, float)
    if material.second is None:
        return 0.7 * mean
    second = np.asarray(material.second, float)
    if material.pattern in _KEEP_SECOND:
        return second
    return np.asarray(mean * np.clip(second / np.maximum(own, 1e-3), 0.25, 4.0))


def _coloured(
    figure: PatternFigure,
    first: NDArray[np.float64],
    second: NDArray[np.float64],
    mean: NDArray[np.float64],
) -> F32:
    """The figure in two colours, so that each channel has exactly `mean`."""
    second_part = figure.tone * figure.second
    colour = np.empty((*figure.tone.shape, 3), np.float32)
    for channel in range(3):
        plane = colour[..., channel]
        np.multiply(second_part, np.float32(second[channel] - first[channel]), out=plane)
        plane += figure.tone * np.float32(first[channel])
        _within_limits(plane, float(mean[channel]))
    return colour


def _within_limits(plane: F32, mean: float) -> None:
    """Take contrast off about the mean, in place, until all values can be a surface's."""
    above, below = float(plane.max()) - mean, mean - float(plane.min())
    keep = min(
        1.0,
        max(LIGHTEST - mean, 0.0) / max(above, 1e-9),
        max(mean - DARKEST, 0.0) / max(below, 1e-9),
    )
    plane -= np.float32(mean)
    plane *= np.float32(keep)
    plane += np.float32(mean)
