"""Meshes of ours against a library that works the same out in another way."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from previz.geometry import turned
from previz.geometry.mesh import Mesh, welded

OUTLINE = [(0.0, -0.1), (0.026, -0.1), (0.026, 0.005), (0.023, 0.008), (0.0, 0.008)]
PLACED = trimesh.transformations.rotation_matrix(0.3, [1.0, 2.0, 3.0])
PLACED[:3, 3] = 1.0, 2.0, 3.0


def lopsided() -> Mesh:
    """A ball flattened, with one triangle that is a line and a vertex that nothing uses."""
    ball = turned.ball(3, 0.3)
    points = ball.vertices * [1.0, 2.0, 0.3]
    faces = np.concatenate([ball.faces, [(5, 9, 9)]])
    return Mesh(np.concatenate([points, [(9.0, 9.0, 9.0)]]), faces)


@pytest.mark.parametrize(
    "name", ["face_normals", "vertex_normals", "area_faces", "bounds", "triangles", "area"]
)
@pytest.mark.parametrize("mirror", [False, True])
def test_answers_are_those_of_the_library(name: str, mirror: bool) -> None:
    matrix = PLACED @ np.diag([-1.0 if mirror else 1.0, 1.0, 1.0, 1.0])
    ours = lopsided().moved(matrix)
    theirs = lopsided().exact.apply_transform(matrix)
    np.testing.assert_array_equal(ours.faces, theirs.faces)
    found, wanted = getattr(ours, name), np.asarray(getattr(theirs, name))
    np.testing.assert_allclose(found, wanted, rtol=1e-12, atol=1e-14)


def test_volume_and_closing() -> None:
    ball = turned.ball(3, 0.3)
    assert ball.closed and ball.volume == pytest.approx(float(ball.exact.volume), rel=1e-12)
    assert ball.inverted().volume == -ball.volume
    assert ball.inverted().outward().volume == ball.volume
    assert not Mesh(ball.vertices, ball.faces[1:]).closed
    assert not Mesh(np.zeros((0, 3)), np.zeros((0, 3))).closed


@pytest.mark.parametrize(
    ("ours", "theirs"),
    [
        (turned.ball(2, 0.009), trimesh.creation.icosphere(2, 0.009)),
        (turned.cylinder(0.3, 0.7, 20), trimesh.creation.cylinder(0.3, 0.7, sections=20)),
        (turned.torus(0.1, 0.03, 32, 16), trimesh.creation.torus(0.1, 0.03, 32, 16)),
        (turned.revolved(OUTLINE), trimesh.creation.revolve(np.array(OUTLINE), sections=32)),
        (
            turned.bar(0.02, [(0.4, 0.1, 1.0), (-0.2, 0.1, 1.0)]),
            trimesh.creation.cylinder(0.02, segment=[(0.4, 0.1, 1.0), (-0.2, 0.1, 1.0)]),
        ),
    ],
    ids=["ball", "cylinder", "torus", "revolved", "bar"],
)
def test_round_things_are_those_of_the_library(ours: Mesh, theirs: trimesh.Trimesh) -> None:
    assert ours.closed and ours.volume > 0.0
    np.testing.assert_array_equal(ours.faces, theirs.faces)
    np.testing.assert_allclose(ours.vertices, theirs.vertices, atol=1e-15)


def test_welding_makes_one_vertex_of_one_place() -> None:
    points = np.array([(0, 0, 0), (9, 9, 9), (1, 0, 0), (0, 1, 0), (1, 1e-10, 0), (1, 1, 0.0)])
    mesh = welded(points, np.array([(0, 2, 3), (4, 5, 3)]))
    assert mesh.faces.tolist() == [[0, 1, 2], [1, 3, 2]]
    np.testing.assert_array_equal(mesh.vertices, points[[0, 2, 3, 5]])


def test_a_mesh_cannot_be_changed() -> None:
    mesh = turned.ball(1)
    with pytest.raises(ValueError, match="read-only"):
        mesh.vertices[0] = 0.0
    with pytest.raises(ValueError, match="read-only"):
        mesh.faces[0] = 0


def test_what_a_mesh_was_made_of_stays_its_makers() -> None:
    points = np.zeros((3, 3))
    Mesh(points, [(0, 1, 2)])
    points[0] = 1.0
