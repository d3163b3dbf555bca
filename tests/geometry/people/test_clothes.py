"""How clothes sit: collars on necks, soles on floors, stripes along sleeves, light enough."""

from __future__ import annotations

import numpy as np
import pytest
from bodies import built

from previz.geometry.people import Body, Figure, Pose
from previz.geometry.people.lying import sheet


def _points(body: Body, name: str) -> np.ndarray:
    return np.asarray(next(p for p in body.pieces if p.name == name).mesh.vertices)


@pytest.mark.parametrize("sex", ["female", "male"])
def test_a_shirt_collar_stands_about_a_centimetre_off_the_neck(sex: str) -> None:
    body = built(Figure(sex=sex, clothes="shirt", hair="bald"), Pose())  # type: ignore[arg-type]
    collar, skin = _points(body, "collar"), _points(body, "skin")
    neck = body.landmarks["neck"]
    # At the sides, where a wide collar shows most: the band's inner face, not the leaf's outer one.
    high = collar[:, 2] > np.quantile(collar[:, 2], 0.75)
    side = np.abs(collar[:, 1] - neck[1]) < 0.02
    gaps = [float(np.linalg.norm(skin - point, axis=1).min()) for point in collar[high & side]]
    assert 0.002 < np.quantile(gaps, 0.1) < 0.014


@pytest.mark.parametrize("posture", ["standing", "seated"])
def test_soles_are_on_the_floor(posture: str) -> None:
    body = built(
        Figure(sex="male", hair="bald"),
        Pose(posture=posture, seat_height_m=0.42),  # type: ignore[arg-type]
    )
    sole = _points(body, "soles")
    assert sole[:, 2].min() == pytest.approx(0.0, abs=0.002)
    # A heel and an edge that show.
    assert np.ptp(sole[:, 2]) > 0.015


def test_stripes_run_along_a_sleeve() -> None:
    figure = Figure(sex="male", clothes="shirt", hair="bald", stripe_m=0.008)
    body = built(figure, Pose(posture="standing"))
    mesh = next(p for p in body.pieces if p.name == "shirt_stripes").mesh
    elbow, wrist = body.landmarks["elbow_left"], body.landmarks["wrist_left"]
    along = (wrist - elbow) / np.linalg.norm(wrist - elbow)
    # Open edges of a stripe on the forearm lie along it.
    edges = mesh.exact.edges_sorted
    pairs, used = np.unique(edges, axis=0, return_counts=True)
    rim = mesh.vertices[pairs[used == 1]]
    share = ((rim.mean(axis=1) - elbow) @ along) / np.linalg.norm(wrist - elbow)
    near = np.linalg.norm(rim.mean(axis=1) - elbow - np.outer(share, wrist - elbow), axis=1) < 0.08
    part = rim[near & (share > 0.25) & (share < 0.75)]
    step = part[:, 1] - part[:, 0]
    size = np.linalg.norm(step, axis=1)
    lengthwise = np.abs(step @ along)[size > 1e-4] / size[size > 1e-4]
    assert len(lengthwise) > 200
    assert np.median(lengthwise) > 0.9


@pytest.mark.parametrize("clothes", ["shirt", "jumper", "jacket", "dress"])
def test_a_person_without_hair_has_at_most_220_thousand_triangles(clothes: str) -> None:
    body = built(Figure(sex="male", clothes=clothes, hair="bald"), Pose())  # type: ignore[arg-type]
    assert sum(len(piece.mesh.faces) for piece in body.pieces) < 220_000


@pytest.mark.parametrize("clothes", ["work_jacket", "hoodie"])
def test_pockets_lie_whole_on_the_cloth_above_its_hem(clothes: str) -> None:
    body = built(Figure(build="heavy", clothes=clothes, hair="bald"), Pose())  # type: ignore[arg-type]
    pockets = [p for p in body.pieces if p.name.startswith(("patch_", "pocket"))]
    assert len(pockets) == (3 if clothes == "work_jacket" else 1)
    for piece in pockets:
        corner = piece.mesh.vertices[piece.mesh.faces]
        assert np.isfinite(corner).all(), piece.name
        area = np.linalg.norm(
            np.cross(corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]), axis=1
        )
        # What is cut beyond the cloth would be drawn to its edge.
        assert (area < 1e-10).mean() < 0.02, piece.name


def test_a_sheet_drawn_to_a_point_faces_as_its_neighbours_do() -> None:
    x, y = np.meshgrid(np.linspace(0.0, 0.1, 9), np.linspace(0.0, 0.1, 9), indexing="ij")
    rows = np.stack([x, y, 0.0 * x], axis=-1)
    rows[-3:] = rows[-3]
    rows[:, -3:] = rows[:, -3:-2]
    points = np.asarray(sheet("flap", rows, 0.002, "denim", np.ones(3)).mesh.vertices)
    assert np.isfinite(points).all()
    assert np.abs(points[:, 2]) == pytest.approx(0.001)


@pytest.mark.parametrize("clothes", ["shirt", "jacket"])
def test_what_lies_on_cloth_is_wound_outwards(clothes: str) -> None:
    body = built(Figure(clothes=clothes), Pose())  # type: ignore[arg-type]
    for piece in body.pieces:
        if piece.closed and piece.smooth:
            assert piece.mesh.exact.is_winding_consistent, piece.name
            assert piece.mesh.exact.volume > 0.0, piece.name
