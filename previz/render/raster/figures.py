"""Figures of patterns as textures. Import after a context is open.

A point of a figure shows tone x (first + share x (second - first)), so a texture holds what each
of the two colours is multiplied by: means of these are right, where means of tone and share are
not, since mortar is both of another tone and of the second colour.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from OpenGL import GL as gl  # noqa: N811

from previz.model.records import Material
from previz.render.patterns import figure_of
from previz.render.patterns.packed import STEPS, TONE_RANGE, packed_of

LEAST_M = 0.4e-3
"""Texels are joined while they stay below this: half of a pixel two metres from a 35 mm lens. A
weave of 1024 texels on a hand's breadth would be memory that no camera sees."""


@dataclass(frozen=True, eq=False)
class Figure:
    """One figure as a texture.

    size_m      length of its side
    half_texel  of the figure as it was drawn, over its side: texel 0 lies at place 0 there, and
                half a texel on in a texture
    most        of what the first and the second colour are multiplied by; texels are shares of it
    """

    texture: int
    size_m: float
    half_texel: float
    most: tuple[float, float]


class Figures:
    """All figures that are loaded, one texture for all materials that share a figure."""

    def __init__(self) -> None:
        self._loaded: dict[tuple[str, float | None], Figure] = {}

    def of(self, materials: Sequence[Material]) -> list[Figure]:
        """The figures of materials, in their order. Those that none has any more go."""
        keys = [(material.pattern, material.pattern_size_m) for material in materials]
        for key in self._loaded.keys() - set(keys):
            gl.glDeleteTextures([self._loaded.pop(key).texture])
        for key, material in zip(keys, materials, strict=True):
            if key not in self._loaded:
                self._loaded[key] = _loaded(material)
        return [self._loaded[key] for key in keys]


def factors(material: Material) -> NDArray[np.float32]:
    """What the first and the second colour are multiplied by, (n, n, 2), no finer than is seen."""
    packed = packed_of(material)
    tone = (packed >> 16).astype(np.float32) * np.float32(TONE_RANGE / STEPS)
    second = tone * (packed & STEPS).astype(np.float32) * np.float32(1.0 / STEPS)
    both = np.stack([tone - second, second], axis=-1)
    size_m = figure_of(material).size_m
    while len(both) % 2 == 0 and size_m / (len(both) / 2) < LEAST_M:
        both = _halved(both)
    return both


def _loaded(material: Material) -> Figure:
    both = factors(material)
    most = np.maximum(both.max(axis=(0, 1)), 1e-6)
    texture = gl.glGenTextures(1)
    gl.glBindTexture(gl.GL_TEXTURE_2D, texture)
    gl.glPixelStorei(gl.GL_UNPACK_ALIGNMENT, 1)
    for level, seen in enumerate(_ever_farther(both / most)):
        side = len(seen)
        texels = np.ascontiguousarray((seen * np.float32(255.0) + np.float32(0.5)).astype(np.uint8))
        shape = (gl.GL_TEXTURE_2D, level, gl.GL_RG8, side, side, 0, gl.GL_RG, gl.GL_UNSIGNED_BYTE)
        gl.glTexImage2D(*shape, texels)
    for name, value in (
        # To mix two levels as well would cost a third more, and far floors don't shimmer so.
        (gl.GL_TEXTURE_MIN_FILTER, gl.GL_LINEAR_MIPMAP_NEAREST),
        (gl.GL_TEXTURE_MAG_FILTER, gl.GL_LINEAR),
        (gl.GL_TEXTURE_WRAP_S, gl.GL_REPEAT),
        (gl.GL_TEXTURE_WRAP_T, gl.GL_REPEAT),
        (gl.GL_TEXTURE_MAX_LEVEL, level),
    ):
        gl.glTexParameteri(gl.GL_TEXTURE_2D, name, value)
    half = 0.5 / len(packed_of(material))
    return Figure(int(texture), figure_of(material).size_m, half, (float(most[0]), float(most[1])))


def _ever_farther(picture: NDArray[np.float32]) -> Iterator[NDArray[np.float32]]:
    """A square picture, and half of it again and again, each texel the mean of four.

    Not left to the graphics library: in software it rounds upward at each step, five per cent in
    all. Ends where a side is odd, which a figure's never is before it is 1.
    """
    while True:
        yield picture
        if len(picture) % 2:
            return
        picture = _halved(picture)


def _halved(picture: NDArray[np.float32]) -> NDArray[np.float32]:
    rows = picture[0::2] + picture[1::2]
    return np.asarray((rows[:, 0::2] + rows[:, 1::2]) * np.float32(0.25), np.float32)
