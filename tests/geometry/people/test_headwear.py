"""What is worn on the head lies outside it, and hides the hair under it and no more."""

from __future__ import annotations

import numpy as np
import pytest
from bodies import built
from scipy.spatial import cKDTree

from previz.geometry.people import Figure, Pose
from previz.geometry.people.meshing import normals

WORN = ("headscarf", "loose_headscarf", "turban", "flat_cap", "beanie")


@pytest.mark.parametrize("kind", WORN)
def test_cloth_lies_outside_the_skin_and_leaves_the_face_open(kind: str) -> None:
    body = built(Figure(hair="short", headwear=kind, seed=5), Pose())  # type: ignore[arg-type]
    cloth = next(piece.mesh for piece in body.pieces if piece.name == kind)
    bare = built(Figure(hair="bald", seed=5), Pose())
    skin = next(piece.mesh for piece in bare.pieces if piece.name == "skin")
    points, vertices = np.asarray(cloth.vertices), np.asarray(skin.vertices)
    assert np.isfinite(points).all()
    near = cKDTree(vertices).query(points)[1]
    over = (points - vertices[near]) * normals(vertices, np.asarray(skin.faces))[near]
    # Ears are held flat under a scarf.
    ears = np.stack([body.landmarks["ear_left"], body.landmarks["ear_right"]])
    head = points[:, 2] > body.landmarks["chin"][2]
    head &= cKDTree(ears).query(points)[0] > 0.05
    assert (over.sum(axis=1)[head] < -0.004).mean() < 0.01
    assert points[:, 2].max() > body.landmarks["head_top"][2]
    # Straight ahead of each eye and of the mouth there is no cloth.
    for place in ("eye_left", "eye_right", "mouth"):
        away = points - body.landmarks[place]
        ahead = away @ body.face_forward
        beside = np.linalg.norm(away - ahead[:, None] * body.face_forward, axis=1)
        assert not ((ahead > 0.0) & (beside < 0.010)).any()


@pytest.mark.parametrize("kind", WORN)
def test_hair_shows_under_a_cap_and_not_under_a_scarf(kind: str) -> None:
    body = built(Figure(hair="short", headwear=kind, seed=5), Pose())  # type: ignore[arg-type]
    if kind.endswith("headscarf"):
        assert body.strands is None
        return
    assert body.strands is not None
    bare = built(Figure(hair="short", seed=5), Pose())
    assert bare.strands is not None
    assert 100 < len(body.strands.points) < 0.6 * len(bare.strands.points)
    top = body.landmarks["head_top"][2]
    assert body.strands.points[..., 2].max() < top - 0.02
