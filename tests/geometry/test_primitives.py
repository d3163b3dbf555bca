"""Every primitive is a closed outward body of known size and volume."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from previz.geometry import primitives as p
from previz.geometry import shell as sh


def mesh_of(shell: sh.Shell) -> trimesh.Trimesh:
    return trimesh.Trimesh(shell.vertices, shell.faces, process=False)


def prism_area(sides: int, radius: float) -> float:
    return sides / 2 * radius**2 * np.sin(2 * np.pi / sides)


L_SHAPE = [(0, 0), (2, 0), (2, 1), (1, 1), (1, 2), (0, 2)]
S = np.linspace(0, 1, 7)
FIELD = np.stack(np.broadcast_arrays(S[:, None], S[None, :], 0.5 + 0.1 * np.sin(5 * S)), axis=-1)
CUSHION, CORDS = p.cushion((0.6, 0.5, 0.14), 0.03, 0.02, 0.005)
assert CORDS is not None

SOLIDS = {
    "box": p.box((0, 0, 0), (1, 2, 3), 0.01),
    "tiny box": p.box((0, 0, 0), (0.001, 0.2, 0.3), 0.01),
    "rounded box": p.rounded_box((1, 2, 3), 0.1),
    "plank": p.plank((0, 0, 0), (1, 1, 1), 0.1, 0.02, 0.002),
    "cushion": CUSHION,
    "cords": CORDS,
    "pillow": p.pillow((0.5, 0.5, 0.16)),
    "rod": p.rod((0, 0, 0), (1, 2, 3), 0.05, 0.02),
    "rod straight down": p.rod((0, 0, 1), (0, 0, 0), 0.05),
    "lathe": p.lathe([(0, 0), (0.2, 0), (0.1, 0.4), (0, 0.5)]),
    "hoop": p.lathe([(0.5, 0), (0.6, 0.05), (0.5, 0.1)], ring=True),
    "tube": p.tube([(0, 0, 0), (1, 0, 0), (1, 1, 0), (1, 1, 2)], 0.05),
    "loop": p.tube([(0, 0, 0), (1, 0, 0), (1, 1, 0), (0, 1, 0)], 0.05, closed=True),
    "leg": p.leg((0.3, -0.2, 0), (0.1, 0, 0.7), (0.03, 0.03), (0.05, 0.04)),
    "extruded": p.extruded(L_SHAPE, 0.4, 0.01),
    "slab": p.slab(FIELD, 0.2),
}


@pytest.mark.parametrize("shell", SOLIDS.values(), ids=SOLIDS.keys())
def test_closed_outward_and_without_slivers_of_nothing(shell: sh.Shell) -> None:
    mesh = mesh_of(shell)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert all(body.volume > 0 for body in mesh.split(only_watertight=False))
    assert mesh.area_faces.min() > 0


def test_sizes_are_exact() -> None:
    np.testing.assert_allclose(p.bounds_of([SOLIDS["box"]]), [(0, 0, 0), (1, 2, 3)], atol=1e-12)
    for name, size in (
        ("rounded box", (1, 2, 3)),
        ("cushion", (0.6, 0.5, 0.14)),
        ("pillow", (0.5, 0.5, 0.16)),
    ):
        half = np.array(size) / 2
        np.testing.assert_allclose(p.bounds_of([SOLIDS[name]]), [-half, half], atol=1e-12)
    np.testing.assert_allclose(p.bounds_of([SOLIDS["extruded"]]), [(0, 0, 0), (2, 2, 0.4)])


def test_piping_stays_within_the_cushion() -> None:
    low, high = p.bounds_of([CORDS]) if CORDS else (0, 0)
    assert np.all(np.abs(low) <= (0.3, 0.25, 0.07))
    assert np.all(np.abs(high) <= (0.3, 0.25, 0.07))


def test_box_volume_lacks_only_its_chamfers() -> None:
    b = 0.01
    # Each edge of length l loses l b^2 / 2 and at a corner the three cuts meet in 5/6 b^3.
    edges = sum(4 * (side - 2 * b) * b**2 / 2 for side in (1, 2, 3))
    assert mesh_of(SOLIDS["box"]).volume == pytest.approx(6 - edges - 8 * 5 / 6 * b**3, abs=1e-12)


def test_rod_and_tube_volumes() -> None:
    straight = p.rod((0, 0, 0), (0, 0, 2), 0.1, sections=16, bevel=1e-7)
    assert mesh_of(straight).volume == pytest.approx(2 * prism_area(16, 0.1), rel=1e-5)
    # A mitred tube holds its section times the length of its centre line, whatever the corners.
    assert mesh_of(SOLIDS["tube"]).volume == pytest.approx(4 * prism_area(8, 0.05), rel=1e-9)
    assert mesh_of(SOLIDS["loop"]).volume == pytest.approx(4 * prism_area(8, 0.05), rel=1e-9)


def test_leg_stands_level() -> None:
    vertices = SOLIDS["leg"].vertices
    foot = vertices[np.isclose(vertices[:, 2], 0, atol=1e-12)]
    assert len(foot) == 9
    assert vertices[:, 2].min() == 0
    np.testing.assert_allclose(foot[:, :2].mean(axis=0), (0.3, -0.2))


def test_look_along_is_a_right_handed_frame() -> None:
    for direction in ((0, 0, 1), (0, 0, -1), (1, 2, -0.5)):
        frame = sh.look_along((1, 2, 3), direction)
        np.testing.assert_allclose(frame[:3, :3].T @ frame[:3, :3], np.eye(3), atol=1e-12)
        assert np.linalg.det(frame[:3, :3]) == pytest.approx(1)
        np.testing.assert_allclose(frame[:3, 2], sh.unit(direction), atol=1e-12)
    assert sh.look_along((0, 0, 0), (1, 2, -0.5))[2, 1] > 0


def test_mirroring_keeps_outward() -> None:
    assert mesh_of(SOLIDS["leg"].mirrored_x()).volume == pytest.approx(
        mesh_of(SOLIDS["leg"]).volume
    )


def test_sheet_faces_rows_by_columns() -> None:
    mesh = mesh_of(p.sheet(FIELD * [1, 1, 0]))
    np.testing.assert_allclose(mesh.face_normals, np.tile([0, 0, 1.0], (72, 1)), atol=1e-12)


def test_join_keeps_colour_only_when_all_have_it() -> None:
    red = SOLIDS["box"].painted((0.5, 0, 0))
    assert sh.join([red, red]).colour is not None
    assert sh.join([red, SOLIDS["box"]]).colour is None
