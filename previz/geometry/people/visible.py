"""The skin of a person that no garment hides."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from previz.geometry.people.archive import Array, Index
from previz.geometry.people.meshing import normals


@dataclass(frozen=True, eq=False)
class VisibleSkin:
    """The skin that shows, subdivided: at rest and posed, with colour, where each point is on the
    base body, the edges of hair and beard (see `scalp`), and how much it is of the upper lip and
    of an ear."""

    rest: Array
    posed: Array
    faces: Index
    colour: Array
    base: Array
    hair: Array
    beard: Array
    lip: Array
    ears: Array

    @property
    def normals(self) -> Array:
        """Unit normals of the posed skin."""
        return normals(self.posed, self.faces)

    @property
    def front(self) -> Index:
        """Triangles of the upper face, for looking up where brows grow."""
        middle = self.rest[self.faces].mean(axis=1)
        top = float(self.rest[:, 2].max())
        head = self.rest[self.rest[:, 2] > top - 0.18]
        near = (middle[:, 2] > top - 0.18) & (middle[:, 1] < float(head[:, 1].min()) + 0.09)
        facing = np.cross(
            self.rest[self.faces[:, 1]] - self.rest[self.faces[:, 0]],
            self.rest[self.faces[:, 2]] - self.rest[self.faces[:, 0]],
        )
        return np.asarray(self.faces[near & (facing[:, 1] < 0.0)])
