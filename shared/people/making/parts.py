"""Which vertices of the base mesh are kept, in which order, and what each part is."""

from __future__ import annotations

import numpy as np

from making.wheel import Array, Index, Mesh

# Groups of the mesh that make a part, in the order in which the archive has them. Their vertices
# lie one after the other.
PARTS: dict[str, tuple[str, ...]] = {
    "body": ("body",),
    "tongue": ("helper-tongue",),
    "eye_left": ("helper-l-eye",),
    "eye_right": ("helper-r-eye",),
    "lashes": (
        "helper-l-eyelashes-1",
        "helper-l-eyelashes-2",
        "helper-r-eyelashes-1",
        "helper-r-eyelashes-2",
    ),
    "teeth": ("helper-upper-teeth", "helper-lower-teeth"),
    "suit": ("helper-tights",),
    "skirt": ("helper-skirt",),
}
MASKS = {
    "lips": "lips",
    "ears": "ears",
    "nails": "fingernails",
    "eyelids": "eyelids",
    "mouth_inside": "inside-mouth",
}


class Kept:
    """What the archive keeps of the mesh.

    vertices  (V,) numbers in the mesh, part after part
    ranges    part -> first vertex and one past the last, in the archive
    faces     part -> (F, 4) corners, in the archive
    """

    def __init__(self, mesh: Mesh):
        places: list[Index] = []
        self.ranges: dict[str, tuple[int, int]] = {}
        quads = {
            part: np.concatenate([mesh.quads[mesh.groups == group] for group in groups])
            for part, groups in PARTS.items()
        }
        first = 0
        for part, corners in quads.items():
            used = np.unique(corners)
            numbers = np.arange(used[0], used[-1] + 1)
            assert len(numbers) == len(used), f"the vertices of {part} are not in a row"
            places.append(numbers)
            self.ranges[part] = (first, first + len(numbers))
            first += len(numbers)
        self.vertices = np.concatenate(places)
        into = np.full(len(mesh.vertices), -1)
        into[self.vertices] = np.arange(first)
        self.faces = {part: into[corners] for part, corners in quads.items()}


def mask(mesh: Mesh, picture: Array, count: int) -> Array:
    """A mask over the UVs as a value 0 to 255 for each of the first `count` vertices.

    A vertex on a seam has several UVs: it takes the mean over its corners.
    """
    height, width = picture.shape
    across, up = mesh.uv[:, 0], 1.0 - mesh.uv[:, 1]
    row = np.clip(up * height, 0, height - 1).astype(int)
    column = np.clip(across * width, 0, width - 1).astype(int)
    total, corners = np.zeros(count), np.zeros(count)
    np.add.at(total, mesh.corners[:, 0], picture[row, column][mesh.corners[:, 1]])
    np.add.at(corners, mesh.corners[:, 0], 1.0)
    return np.rint(total / np.maximum(corners, 1.0))
