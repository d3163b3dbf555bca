"""Surfaces with the light that arrives at them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from previz.render.bake.surfaces import FIRST, SECOND, UV, Ints, Net, needed
from previz.render.drawn import DrawnMesh, Pattern

F32 = NDArray[np.float32]


@dataclass(frozen=True, eq=False)
class Lit:
    """Surfaces with light, r receptors.

    receptor  (v,) of each vertex
    light     (r, layers, 3) that arrives, linear BT.709, Y in lux
    layers    names of the light layers
    """

    surfaces: Net
    receptor: Ints
    light: F32
    layers: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Shown:
    """A lit net as meshes to draw, and which of its vertices each has."""

    meshes: tuple[DrawnMesh, ...]
    vertices: tuple[Ints, ...]

    def light(self, lit: Lit, gains: Mapping[str, NDArray[np.float64]]) -> list[F32]:
        """Light over pi at the vertices of each mesh (v, 3), with each layer times its gains.

        Layers without any are dark.
        """
        factor = np.zeros((len(lit.layers), 3), np.float32)
        for number, layer in enumerate(lit.layers):
            if layer in gains:
                factor[number] = gains[layer] / np.pi
        total = np.einsum("rlc,lc->rc", lit.light, factor)
        return [total[lit.receptor[vertices]] for vertices in self.vertices]


def shown(lit: Lit) -> Shown:
    """The meshes of a lit net: one for each kind."""
    net = lit.surfaces
    order = np.argsort(net.kinds, kind="stable")
    ends = np.cumsum(np.bincount(net.kinds, minlength=len(net.table)))
    meshes, vertices = [], []
    for place, faces in enumerate(np.split(order, ends[:-1])):
        if not len(faces):
            continue
        used, corners = needed(net.faces[faces], len(net.carried))
        kind = net.table[place]
        carried = net.carried[used]
        pattern = None
        if kind.patterned:
            number = np.zeros(len(used), np.uint16)
            number[corners.reshape(-1)] = np.repeat(net.patterns[faces], 3)
            pattern = Pattern(number, carried[:, UV], carried[:, SECOND])
        mesh = DrawnMesh(
            thing=kind.thing,
            owner=kind.owner,
            positions=np.ascontiguousarray(net.places[used]),
            normals=np.ascontiguousarray(net.facings[used]),
            faces=corners.astype(np.uint32),
            albedo=np.ascontiguousarray(carried[:, FIRST]),
            pattern=pattern,
            hollow=not kind.hair,
            clear=kind.clear,
        )
        meshes.append(mesh)
        vertices.append(used)
    return Shown(tuple(meshes), tuple(vertices))
