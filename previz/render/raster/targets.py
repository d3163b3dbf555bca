"""What is drawn into, and how it comes back. Import after a context is open."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray
from OpenGL import GL as gl  # noqa: N811


class Target:
    """Pictures of one size to draw into, with depth where it is asked for.

    smooth  whether what is read between two pixels of it is of both
    """

    def __init__(
        self, size: tuple[int, int], formats: Sequence[int], depth: bool, smooth: bool = False
    ) -> None:
        self.size = size
        self._frame = gl.glGenFramebuffers(1)
        gl.glBindFramebuffer(gl.GL_FRAMEBUFFER, self._frame)
        self.textures = [_picture(size, kind, smooth) for kind in formats]
        places = [gl.GL_COLOR_ATTACHMENT0 + n for n in range(len(formats))]
        for place, texture in zip(places, self.textures, strict=True):
            gl.glFramebufferTexture2D(gl.GL_FRAMEBUFFER, place, gl.GL_TEXTURE_2D, texture, 0)
        gl.glDrawBuffers(len(places), np.array(places, np.uint32))
        self._depth = _depth(size) if depth else None
        state = gl.glCheckFramebufferStatus(gl.GL_FRAMEBUFFER)
        if state != gl.GL_FRAMEBUFFER_COMPLETE:
            raise RuntimeError(f"a picture of {size[0]} x {size[1]} cannot be drawn into ({state})")

    def use(self) -> None:
        """Draw into it from now on."""
        gl.glBindFramebuffer(gl.GL_FRAMEBUFFER, self._frame)
        gl.glViewport(0, 0, *self.size)

    def read(self, number: int, layout: int, kind: int, into: NDArray[Any]) -> None:
        """Read one of its pictures, row 0 first, into an array that lies in one piece."""
        gl.glBindFramebuffer(gl.GL_FRAMEBUFFER, self._frame)
        gl.glReadBuffer(gl.GL_COLOR_ATTACHMENT0 + number)
        gl.glPixelStorei(gl.GL_PACK_ALIGNMENT, 1)
        gl.glReadPixels(0, 0, *self.size, layout, kind, into)

    def delete(self) -> None:
        """Let go of its memory."""
        gl.glDeleteFramebuffers(1, [self._frame])
        gl.glDeleteTextures(self.textures)
        if self._depth is not None:
            gl.glDeleteRenderbuffers(1, [self._depth])


class Targets:
    """The latest few targets, by size and formats: a page asks for two or three kinds in turn,
    a frame with defocus for six."""

    MOST = 12

    def __init__(self) -> None:
        self._made: dict[tuple[Any, ...], Target] = {}

    def of(self, size: tuple[int, int], formats: Sequence[int], depth: bool = False) -> Target:
        """A target, made anew or taken again."""
        key = (size, tuple(formats), depth)
        target = self._made.pop(key, None) or Target(size, formats, depth)
        self._made[key] = target
        while len(self._made) > self.MOST:
            self._made.pop(next(iter(self._made))).delete()
        return target


def _picture(size: tuple[int, int], kind: int, smooth: bool) -> int:
    layout, of = (
        (gl.GL_RED_INTEGER, gl.GL_UNSIGNED_INT)
        if kind == gl.GL_R32UI
        else (gl.GL_RGBA, gl.GL_UNSIGNED_BYTE if kind == gl.GL_RGBA8 else gl.GL_FLOAT)
    )
    texture = gl.glGenTextures(1)
    gl.glBindTexture(gl.GL_TEXTURE_2D, texture)
    gl.glTexImage2D(gl.GL_TEXTURE_2D, 0, kind, *size, 0, layout, of, None)
    between = gl.GL_LINEAR if smooth else gl.GL_NEAREST
    for name in (gl.GL_TEXTURE_MIN_FILTER, gl.GL_TEXTURE_MAG_FILTER):
        gl.glTexParameteri(gl.GL_TEXTURE_2D, name, between)
    for name in (gl.GL_TEXTURE_WRAP_S, gl.GL_TEXTURE_WRAP_T):
        gl.glTexParameteri(gl.GL_TEXTURE_2D, name, gl.GL_CLAMP_TO_EDGE)
    return int(texture)


def _depth(size: tuple[int, int]) -> int:
    buffer = gl.glGenRenderbuffers(1)
    gl.glBindRenderbuffer(gl.GL_RENDERBUFFER, buffer)
    gl.glRenderbufferStorage(gl.GL_RENDERBUFFER, gl.GL_DEPTH_COMPONENT32F, *size)
    gl.glFramebufferRenderbuffer(
        gl.GL_FRAMEBUFFER, gl.GL_DEPTH_ATTACHMENT, gl.GL_RENDERBUFFER, buffer
    )
    return int(buffer)
