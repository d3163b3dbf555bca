"""Nets and stages made by hand, for the tests of the bake."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import trimesh

from previz.geometry.gear.emitter import EmitterShape
from previz.geometry.piece import Piece
from previz.model.records import Material
from previz.render.bake.surfaces import FACING, FIRST, PLACE, WIDTH, Kind, Net
from previz.stage.placing import looking
from previz.stage.stage import Emitter, Stage, StageCamera, Thing

WALL = Kind(1, "", 0.0, clear=False, patterned=False)


def net_from(
    vertices: np.ndarray, faces: np.ndarray, facings: np.ndarray, kind: Kind = WALL
) -> Net:
    """A net of one kind; each face's pattern is its own number, so that parts know their parent."""
    carried = np.zeros((len(vertices), WIDTH), np.float32)
    carried[:, PLACE], carried[:, FACING], carried[:, FIRST] = vertices, facings, 0.5
    count = len(faces)
    return Net(
        carried=carried,
        faces=np.asarray(faces, np.int64),
        kinds=np.zeros(count, np.int32),
        patterns=np.arange(count, dtype=np.int32),
        table=(kind,),
        materials=(),
        opened=np.ones(count, np.float32),
    )


def box_net(size: Sequence[float] = (1.0, 0.6, 0.35)) -> Net:
    """A box with corners of its own for each side, as flat surfaces have."""
    mesh = trimesh.creation.box(size)
    corners = mesh.triangles.reshape(-1, 3)
    normals = np.repeat(mesh.face_normals, 3, axis=0)
    both, number = np.unique(
        np.concatenate([corners, normals], axis=1).round(9), axis=0, return_inverse=True
    )
    return net_from(both[:, :3], number.reshape(-1, 3), both[:, 3:])


def lamp(layer: str, height_m: float, luminance: float) -> Emitter:
    """A square lamp that shines down."""
    pose = looking((0.0, 0.0, height_m), (0.0, 0.0, height_m - 1.0))
    pose[:3, 0] *= -1.0
    pose[:3, 2] *= -1.0
    shape = EmitterShape("rectangle", pose, width_m=0.5, height_m=0.5)
    return Emitter(layer, f"lights.{layer}", shape, luminance, np.array([1.1, 0.97, 0.9]))


def stage_of(pieces: Sequence[Piece], emitters: Sequence[Emitter]) -> Stage:
    """A stage of grey pieces with one camera."""
    grey = Material.model_validate(
        {
            "label": "test",
            "kind": "memory",
            "source": "made for a test",
            "reflectance": (0.5, 0.5, 0.5),
        }
    )
    lens = (0.036, 0.02025, 0.035, 400.0, 400.0, 2.0, 25.0, 0.02, 800.0, 0.0)
    return Stage(
        title="test",
        digest="test",
        seed=1,
        things=tuple(Thing(piece.name, "furniture", (piece,)) for piece in pieces),
        emitters=tuple(emitters),
        cameras={"A": StageCamera("A", looking((0.0, -1.0, 0.5), (0.0, 0.0, 0.5)), *lens)},
        people={},
        materials={"grey": grey},
    )


def box_piece(name: str, size: Sequence[float], centre: Sequence[float]) -> Piece:
    """A box of the material `grey`."""
    mesh = trimesh.creation.box(size)
    mesh.apply_translation(centre)
    return Piece(name, mesh, "grey")
