"""Where light is read: points spread over the part of the surface that each receptor stands for.

A receptor stands for the parts of its triangles that are nearest to it, and reads their mean: what
is read at a vertex itself would be the dark of the joint that it lies in, and the edge of a shadow
would have stairs.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from previz.render.bake.surfaces import Ints, Net, areas_m2
from previz.render.contract import Held

BEFORE_M, BEFORE_HAIR_M = 4e-4, 8e-3
"""How far before a surface light is read: less than anything casts a shadow that one sees; before
hair, as far as it takes to be out of it."""


class Corners:
    """The corners of all triangles by the receptor that they belong to.

    area_m2  (r,) open area that each receptor stands for
    """

    def __init__(self, net: Net, receptor: Ints, count: int, *, by_corner: bool = False) -> None:
        """`receptor` of each vertex, or of each corner."""
        self._both = np.ascontiguousarray(net.carried[:, :6])
        self._faces = net.faces.reshape(-1)
        corner = net.faces.reshape(-1)
        owner = receptor if by_corner else receptor[corner]
        self._order = np.argsort(owner, kind="stable")
        area = np.repeat(areas_m2(net) * net.opened, 3)[self._order] + 1e-12
        self._ends = np.cumsum(area)
        total = np.bincount(owner[self._order], area, minlength=count)
        self.area_m2 = np.asarray(total, float)
        self._starts = np.cumsum(self.area_m2) - self.area_m2
        kinds = np.repeat(net.kinds, 3)[self._order]
        through = np.array([kind.through for kind in net.table])
        self._through = np.zeros(count)
        self._through[owner[self._order]] = through[kinds]
        before = np.array([BEFORE_HAIR_M if kind.hair else BEFORE_M for kind in net.table])
        self._before_m = np.zeros(count, np.float32)
        self._before_m[owner[self._order]] = before[kinds]

    def held(self, receptors: Ints, index: Ints, samples: int, rng: np.random.Generator) -> Held:
        """`samples` points for each of `receptors`, whose light counts for `index`."""
        which = np.repeat(receptors, samples)
        order = np.tile(np.arange(samples), len(receptors))
        share = (order + rng.random(len(which))) / samples
        at = self._starts[which] + share * self.area_m2[which]
        corner = self._order[np.minimum(np.searchsorted(self._ends, at), len(self._ends) - 1)]
        points, normals = self._near(corner, rng)
        weight = np.full(len(which), 1.0 / samples)
        # Half the points of a sheet look out of its far side.
        through = self._through[which]
        side = order if samples > 1 else rng.integers(2, size=len(which))
        far = (through > 0.0) & (side % 2 == 1)
        weight *= np.where(through > 0.0, np.where(far, through, 1.0 - through) * 2.0, 1.0)
        normals = np.where(far[:, None], -normals, normals)
        return Held(
            points_m=points + self._before_m[which][:, None] * normals,
            normals=normals,
            index=np.repeat(index, samples).astype(np.uint32),
            order=order.astype(np.uint32),
            weight=weight.astype(np.float32),
        )

    def _near(
        self, corner: Ints, rng: np.random.Generator
    ) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
        """A point of each triangle that is nearest to that corner, and its normal."""
        face, own = corner // 3, corner % 3
        one, two = rng.random((2, len(corner)), np.float32)
        over = one + two > 1.0
        one, two = np.where(over, 1.0 - one, one), np.where(over, 1.0 - two, two)
        three = np.float32(1.0) - one - two
        most = np.maximum(np.maximum(one, two), three)
        least = np.minimum(np.minimum(one, two), three)
        shares = (most, least, np.float32(1.0) - most - least)
        carried = np.zeros((len(corner), 6), np.float32)
        for step, share in enumerate(shares):
            carried += share[:, None] * self._both[self._faces[face * 3 + (own + step) % 3]]
        normals = carried[:, 3:]
        length = np.sqrt(np.einsum("ij,ij->i", normals, normals))
        normals /= np.maximum(length, 1e-12)[:, None]
        return carried[:, :3], normals


def middles(net: Net, samples: int, rng: np.random.Generator) -> Held:
    """`samples` points on every face, for itself."""
    count = len(net.faces)
    alone = replace(net, opened=np.ones(count, np.float32))
    corners = Corners(alone, np.repeat(np.arange(count), 3), count, by_corner=True)
    return corners.held(np.arange(count), np.arange(count), samples, rng)
