"""Surfaces with the light that arrives at them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from previz.model.records import Material
from previz.render.bake.surfaces import FIRST, SECOND, UV, Ints, Net
from previz.render.drawn import DrawnMesh, Pattern

F32 = NDArray[np.float32]


@dataclass(frozen=True, eq=False)
class Lit:
    """A net with light, r receptors.

    receptor  (v,) of each vertex
    straight  (r, layers, 3) light that comes from lamps, windows and the sun without a bounce, lx
    bounced   (r, layers, 3) light that has met a surface before
    layers    names of the light layers
    """

    net: Net
    receptor: Ints
    straight: F32
    bounced: F32
    layers: tuple[str, ...]

    @property
    def materials(self) -> tuple[Material, ...]:
        """Whose patterns there are."""
        return self.net.materials


@dataclass(frozen=True, eq=False)
class Shown:
    """A lit net as meshes to draw, and which of its vertices each has."""

    meshes: tuple[DrawnMesh, ...]
    vertices: tuple[Ints, ...]

    def light(self, lit: Lit, gains: dict[str, NDArray[np.float64]]) -> list[F32]:
        """Light over pi at the vertices of each mesh (v, 3), with each layer times its gains.

        Layers without any are dark.
        """
        both = lit.straight + lit.bounced
        factor = np.array([gains.get(layer, np.zeros(3)) for layer in lit.layers], np.float32)
        total = np.einsum("rlc,lc->rc", both, factor.reshape(-1, 3) / np.float32(np.pi))
        return [total[lit.receptor[vertices]] for vertices in self.vertices]


def shown(lit: Lit) -> Shown:
    """The meshes of a lit net: one for each kind."""
    net = lit.net
    order = np.argsort(net.kinds, kind="stable")
    ends = np.cumsum(np.bincount(net.kinds, minlength=len(net.table)))
    meshes, vertices = [], []
    for place, end in enumerate(ends):
        faces = order[end - np.sum(net.kinds == place) : end]
        if not len(faces):
            continue
        used, corners = np.unique(net.faces[faces], return_inverse=True)
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
            faces=corners.reshape(-1, 3).astype(np.uint32),
            albedo=np.ascontiguousarray(carried[:, FIRST]),
            pattern=pattern,
            hollow=not kind.hair,
            clear=kind.clear,
        )
        meshes.append(mesh)
        vertices.append(used)
    return Shown(tuple(meshes), tuple(vertices))


def dimmed(lit: Lit, gains: dict[str, NDArray[np.float32]]) -> Lit:
    """The same light with each layer times its gains (3,)."""
    factor = np.array([gains[layer] for layer in lit.layers], np.float32).reshape(-1, 3)
    return replace(lit, straight=lit.straight * factor, bounced=lit.bounced * factor)
