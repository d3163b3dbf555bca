"""The skeleton and what hangs on it: few enough joints for a person who sits and talks."""

from __future__ import annotations

from typing import Any

import numpy as np

from making.wheel import Array, Index, Wheel

# Joints of the face, the toes, the tongue and the breast are left out: what hung on them hangs on
# the joint above. A face moves by its muscles, and feet are in shoes.
LEFT_OUT = (
    "breast",
    "eye.",
    "jaw",
    "levator",
    "oculi",
    "orbicularis",
    "oris",
    "risorius",
    "special",
    "temporalis",
    "toe",
    "tongue",
)
MOST = 6  # joints that a vertex follows
WHOLE = 255  # the sum of its weights


class Rig:
    """The joints that are kept, in order of the tree, with their parents' numbers."""

    def __init__(self, wheel: Wheel):
        self._bones: dict[str, Any] = wheel.json("rigs/standard/rig.default.json")
        self._groups: dict[str, Any] = wheel.json("mesh_metadata/basemesh_vertex_groups.json")
        self._weights: Any = wheel.json("rigs/standard/weights.default.json")["weights"]
        self.names = [name for name in self._below("root") if not name.startswith(LEFT_OUT)]
        numbers = {name: i for i, name in enumerate(self.names)}
        self.parents = [numbers.get(self._bones[name]["parent"], -1) for name in self.names]

    def joints(self, vertices: Array) -> Array:
        """Where the joints are (J, 3) when all vertices of the mesh are at `vertices`, metres.

        Linear, so that it holds for moves of vertices as well.
        """
        return np.array([self._head(self._bones[name]["head"], vertices) for name in self.names])

    def followed(self, kept: Index) -> tuple[Index, Index]:
        """Joints (V, 6) that the kept vertices follow, and weights (V, 6) that sum to 255."""
        dense = np.zeros((int(kept.max()) + 1, len(self.names)))
        for bone, pairs in self._weights.items():
            column = self.names.index(self._kept_above(bone))
            for vertex, weight in pairs:
                if vertex < len(dense):
                    dense[vertex, column] += weight
        dense = dense[kept]
        order = np.argsort(-dense, axis=1, kind="stable")[:, :MOST]
        strongest = np.take_along_axis(dense, order, axis=1)
        steps = np.rint(WHOLE * strongest / strongest.sum(axis=1, keepdims=True)).astype(int)
        steps[:, 0] += WHOLE - steps.sum(axis=1)
        return order, steps

    def _head(self, place: dict[str, Any], vertices: Array) -> Array:
        if place["strategy"] == "CUBE":
            ranges = self._groups[place["cube_name"]]
            corners = np.concatenate([np.arange(first, last + 1) for first, last in ranges])
        elif place["strategy"] == "MEAN":
            corners = np.array(place["vertex_indices"])
        else:
            corners = np.array([place["vertex_index"]])
        return np.asarray(vertices[corners].mean(axis=0))

    def _below(self, name: str) -> list[str]:
        children = sorted(n for n, bone in self._bones.items() if bone["parent"] == name)
        return [name, *(below for child in children for below in self._below(child))]

    def _kept_above(self, name: str) -> str:
        while name not in self.names:
            name = self._bones[name]["parent"]
        return name
