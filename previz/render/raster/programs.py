"""Shaders from the folder beside this file. Import after a context is open."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import ArrayLike
from OpenGL import GL as gl  # noqa: N811

FOLDER = Path(__file__).with_name("shaders")


class Program:
    """A vertex and a fragment shader, by the names of their files.

    `constants` are whole numbers that the shaders know by name while they are compiled: a loop up
    to one is twice as fast in software as a loop up to a uniform.
    """

    def __init__(self, vertex: str, fragment: str, **constants: int) -> None:
        self._number = gl.glCreateProgram()
        for kind, name in (
            (gl.GL_VERTEX_SHADER, f"{vertex}.vert"),
            (gl.GL_FRAGMENT_SHADER, f"{fragment}.frag"),
        ):
            gl.glAttachShader(self._number, _compiled(kind, name, constants))
        gl.glLinkProgram(self._number)
        if not gl.glGetProgramiv(self._number, gl.GL_LINK_STATUS):
            raise RuntimeError(
                f"{vertex}, {fragment}: {_said(gl.glGetProgramInfoLog, self._number)}"
            )
        self._places: dict[str, int] = {}

    def use(self, **values: Any) -> None:
        """Draw with it from now on, and set uniforms: whole numbers, floats, vectors, matrices."""
        gl.glUseProgram(self._number)
        for name, value in values.items():
            self._set(name, value)

    def _set(self, name: str, value: Any) -> None:
        if name not in self._places:
            self._places[name] = gl.glGetUniformLocation(self._number, name)
        place = self._places[name]
        if isinstance(value, (int, np.integer)):
            gl.glUniform1i(place, int(value))
            return
        array = np.asarray(value, np.float32)
        if array.ndim == 0:
            gl.glUniform1f(place, float(array))
        elif array.shape == (4, 4):
            gl.glUniformMatrix4fv(place, 1, True, array)
        elif array.shape == (3,):
            gl.glUniform3fv(place, 1, array)
        else:
            gl.glUniform2fv(place, 1, array)


def _compiled(kind: Any, name: str, constants: Mapping[str, int]) -> int:
    shader = gl.glCreateShader(kind)
    version, rest = _text(name).split("\n", 1)
    known = "".join(f"const int {key} = {value};\n" for key, value in constants.items())
    gl.glShaderSource(shader, f"{version}\n{known}{rest}")
    gl.glCompileShader(shader)
    if not gl.glGetShaderiv(shader, gl.GL_COMPILE_STATUS):
        raise RuntimeError(f"{name}: {_said(gl.glGetShaderInfoLog, shader)}")
    return int(shader)


@cache
def _text(name: str) -> str:
    return (FOLDER / name).read_text(encoding="utf-8")


def _said(ask: Any, number: int) -> str:
    said: ArrayLike | bytes | str = ask(number)
    return said.decode(errors="replace") if isinstance(said, bytes) else str(said)
