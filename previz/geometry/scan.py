"""A room from a scan: any mesh file trimesh reads, set upright, in metres, on the floor."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from previz.geometry.mesh import Mesh
from previz.geometry.piece import Array, Piece
from previz.physics.colour import srgb_decode

if TYPE_CHECKING:
    import trimesh

MOST_TRIANGLES = 2_000_000
MOST_BYTES = 1_000_000_000
LARGEST_SIZE_M = 1000.0
SUFFIXES = (".glb", ".gltf", ".obj", ".ply", ".stl")
DEFAULT_MATERIAL = "painted_plaster"

UpAxis = Literal["x", "y", "z"]

# Rows that turn the file's axes into the world's, with the named axis upright.
_UPRIGHT: dict[str, list[list[float]]] = {
    "x": [[0, 1, 0], [0, 0, 1], [1, 0, 0]],
    "y": [[1, 0, 0], [0, 0, -1], [0, 1, 0]],
    "z": [[1, 0, 0], [0, 1, 0], [0, 0, 1]],
}


def load_scan(
    path: Path,
    scale: float = 1.0,
    up_axis: UpAxis = "y",
    floor: Literal["lowest"] | float = "lowest",
    turn_deg: float = 0.0,
    *,
    centre: bool = False,
    material: str = DEFAULT_MATERIAL,
) -> tuple[Piece, ...]:
    """The meshes of a scan in world metres, one piece each.

    scale     metres per unit of the file
    floor     height in the upright, scaled scan that becomes z = 0; "lowest": its lowest point
    turn_deg  turn about the vertical, counter-clockwise from above, after setting it upright
    centre    put the middle of its plan on x = y = 0 (after turning)

    Colour per vertex or face, a texture's colour at each vertex, or a material's base colour
    becomes `Piece.colour` as linear reflectance. ValueError, one line, when the file cannot be
    used.
    """
    parts = _read(path)
    matrix = np.eye(4)
    matrix[:3, :3] = scale * (_turn(turn_deg) @ np.array(_UPRIGHT[up_axis], dtype=float))
    placed = [part.placed(matrix) for part in parts]
    low = np.min([points.min(axis=0) for points in placed], axis=0)
    high = np.max([points.max(axis=0) for points in placed], axis=0)
    if not 0 < np.max(high - low) <= LARGEST_SIZE_M:
        raise ValueError(
            f"{path.name}: the scan is {np.max(high - low):.4g} m across after scaling by "
            f"{scale:g}; at most {LARGEST_SIZE_M:.0f} m is a room"
        )
    middle = (low + high) / 2
    ground = low[2] if floor == "lowest" else floor
    shift = np.array([-middle[0] if centre else 0.0, -middle[1] if centre else 0.0, -ground])
    # glTF 2.0 (3.9.2 and 3.7.2.1) stores factors and vertex colours linear; others in sRGB.
    linear = path.suffix.lower() in {".glb", ".gltf"}
    return tuple(
        _piece(f"scan_{index}", part, points + shift, material, linear)
        for index, (part, points) in enumerate(zip(parts, placed, strict=True), 1)
    )


@dataclass(frozen=True, eq=False)
class _Part:
    """One mesh of the file and its 4x4 placing there. Meshes may be placed more than once."""

    mesh: trimesh.Trimesh
    matrix: Array

    def placed(self, matrix: Array) -> Array:
        """Its vertices (n, 3), placed in the file and then under `matrix`."""
        both = matrix @ self.matrix
        return np.asarray(self.mesh.vertices @ both[:3, :3].T + both[:3, 3])

    @property
    def faces(self) -> NDArray[np.int64]:
        """Its triangles, turned over where its placing mirrors them."""
        faces = np.asarray(self.mesh.faces, dtype=np.int64)
        return faces[:, ::-1] if np.linalg.det(self.matrix[:3, :3]) < 0 else faces


def _read(path: Path) -> list[_Part]:
    """The file's meshes, in its own axes and units, checked."""
    import trimesh  # noqa: PLC0415 - a second that only a scan needs

    if path.suffix.lower() not in SUFFIXES:
        raise ValueError(f"{path.name}: a scan is one of {', '.join(SUFFIXES)}")
    if not path.is_file():
        raise ValueError(f"{path.name}: there is no such file")
    if path.stat().st_size > MOST_BYTES:
        raise ValueError(f"{path.name}: larger than {MOST_BYTES // 1_000_000} MB")
    try:
        parts = _parts(trimesh.load_scene(path, process=False, allow_remote=False))
    # trimesh's readers raise whatever they trip over (struct, json, key, index, ...).
    except Exception as error:
        reason = str(error).splitlines()[0] if str(error) else type(error).__name__
        raise ValueError(f"{path.name}: cannot be read as a mesh ({reason})") from error
    _check(path, parts)
    return parts


def _parts(scene: Any) -> list[_Part]:
    import trimesh  # noqa: PLC0415

    # Not scene.dump(): copying a mesh with face colours needs scipy.
    parts = []
    for node in scene.graph.nodes_geometry:
        matrix, name = scene.graph[node]
        mesh = scene.geometry[name]
        if isinstance(mesh, trimesh.Trimesh) and len(mesh.faces):
            parts.append(_Part(mesh, np.asarray(matrix, dtype=float)))
    return parts


def _check(path: Path, parts: list[_Part]) -> None:
    triangles = sum(len(part.faces) for part in parts)
    if triangles == 0:
        raise ValueError(f"{path.name}: holds no triangles")
    if triangles > MOST_TRIANGLES:
        raise ValueError(
            f"{path.name}: {triangles} triangles; at most {MOST_TRIANGLES} (reduce the mesh)"
        )
    if not all(np.isfinite(part.placed(np.eye(4))).all() for part in parts):
        raise ValueError(f"{path.name}: a vertex is not a finite number")
    if any(part.faces.min() < 0 or part.faces.max() >= len(part.mesh.vertices) for part in parts):
        raise ValueError(f"{path.name}: a triangle names a vertex that is not there")


def _turn(degrees: float) -> Array:
    cos, sin = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    return np.array([[cos, -sin, 0.0], [sin, cos, 0.0], [0.0, 0.0, 1.0]])


def _piece(name: str, part: _Part, points: Array, material: str, linear: bool) -> Piece:
    """One piece with its colour per vertex or as a whole; face colours part shared vertices.

    `linear`: the file's plain colours are linear already; a texture never is.
    """
    visual: Any = part.mesh.visual
    faces = part.faces
    colour: Array | None = None
    if visual.kind == "vertex":
        colour = _reflectance(visual.vertex_colors, linear)
    elif visual.kind == "face":
        points, faces = points[faces.ravel()], np.arange(faces.size).reshape(-1, 3)
        colour = _reflectance(np.repeat(visual.face_colors, 3, axis=0), linear)
    elif visual.kind == "texture" and visual.material is not None:
        colour = _textured(visual, linear)
    mesh = Mesh(points, faces)
    # A room is seen from within, and files turn its faces either way: both sides are drawn, and
    # whoever is inside it is inside no body.
    return Piece(name, mesh, material, colour=colour, closed=False)


def _textured(visual: Any, linear: bool) -> Array:
    """The texture's colour at each vertex, or the material's one colour where there is none."""
    from trimesh.visual.color import uv_to_color  # noqa: PLC0415

    material = visual.material
    base: Array = _reflectance(np.asarray(material.main_color), linear)
    image = getattr(material, "baseColorTexture", None) or getattr(material, "image", None)
    if image is None or visual.uv is None:
        return base
    seen: Array = _reflectance(uv_to_color(visual.uv, image), linear=False)
    factored = getattr(material, "baseColorFactor", None) is not None
    return np.asarray(seen * base) if factored else seen


def _reflectance(codes: ArrayLike, linear: bool) -> Array:
    """Linear BT.709 from 8-bit codes (n, 3 or 4)."""
    values: Array = np.asarray(codes, dtype=float)[..., :3] / 255.0
    return values if linear else srgb_decode(values)
