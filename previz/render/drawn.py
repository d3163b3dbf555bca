"""What is drawn at once: triangles with the light they already have. The bake makes it, a back end
that draws takes it in; neither knows the other.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

F32 = NDArray[np.float32]


@dataclass(frozen=True, eq=False)
class Pattern:
    """What makes a mesh patterned, v vertices.

    number  (v,) place in `Drawn.patterns`, from 0; the same at a triangle's three corners
    uv      (v, 2) place in the pattern, metres, u along the grain
    second  (v, 3) the pattern's second colour, as `DrawnMesh.albedo` is its first
    """

    number: NDArray[np.uint16]
    uv: F32
    second: F32


@dataclass(frozen=True, eq=False)
class DrawnMesh:
    """One mesh of a thing, v vertices and f triangles.

    thing      number of the thing, as in `Stage.object_ids`
    owner      camera whose own gear it is, which does not see it; "": nobody's
    positions  (v, 3) metres, world
    normals    (v, 3) unit vectors
    faces      (f, 3) outward counter-clockwise; of a sheet's two sides each has its own
    albedo     (v, 3) reflectance, linear BT.709, even over a triangle or painted smoothly
    pattern    None where the mesh is plain
    hollow     whether only the side that faces the camera is drawn
    clear      clear glass: what is behind it is seen through it, a little darker
    """

    thing: int
    owner: str
    positions: F32
    normals: F32
    faces: NDArray[np.uint32]
    albedo: F32
    pattern: Pattern | None = None
    hollow: bool = False
    clear: bool = False
