"""Hair in every style: outside the head, clear of the eyes, no more than it may cost."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from bodies import built
from scipy.spatial import cKDTree

from previz.geometry.people import Body, Figure
from previz.geometry.people.hair.styles import BEARDS, STYLES
from previz.geometry.people.meshing import normals

SAMPLED = 6000
SKIN_DEEP_M = 0.003
"""The form of the head that strands are kept out of has a point every five degrees."""


def body(**looks: Any) -> Body:
    return built(Figure(**looks))


def over(built: Body, points: np.ndarray) -> np.ndarray:
    """Height over the nearest point of skin or jumper, along its normal."""
    meshes = [piece.mesh for piece in built.pieces if piece.name in ("skin", "jumper")]
    vertices = np.concatenate([np.asarray(mesh.vertices) for mesh in meshes])
    out = np.concatenate([normals(np.asarray(m.vertices), np.asarray(m.faces)) for m in meshes])
    near = cKDTree(vertices).query(points)[1]
    return ((points - vertices[near]) * out[near]).sum(axis=1)


@pytest.mark.parametrize("hair", sorted(STYLES))
def test_no_strand_is_in_the_head_or_before_an_eye(hair: str) -> None:
    built = body(hair=hair, seed=3)
    assert built.strands is not None
    points = built.strands.points
    count, along, _ = points.shape
    assert 5000 <= count <= 26_000
    assert count * along <= 290_000
    assert np.isfinite(points).all()
    assert np.linalg.norm(np.diff(points, axis=1), axis=2).min() > 1e-7
    sample = np.random.default_rng(1).choice(points[:, 1:].reshape(-1, 3), SAMPLED)
    deep = over(built, sample) < -SKIN_DEEP_M
    assert deep.mean() < 0.004
    for eye in (built.landmarks["eye_left"], built.landmarks["eye_right"]):
        away = points - eye
        ahead = away @ built.face_forward
        beside = np.linalg.norm(away - ahead[..., None] * built.face_forward, axis=2)
        assert not ((ahead > 0.0) & (beside < 0.012)).any()


@pytest.mark.parametrize("hair", ["medium", "long_loose", "side_parting"])
def test_hair_combed_aside_lies_on_the_head(hair: str) -> None:
    built = body(hair=hair, seed=3)
    assert built.strands is not None
    eyes = built.landmarks["eyes"]
    above_ears = built.strands.points[np.abs(built.strands.points[..., 2] - eyes[2] - 0.03) < 0.01]
    skin = next(np.asarray(p.mesh.vertices) for p in built.pieces if p.name == "skin")
    head = skin[np.abs(skin[:, 2] - eyes[2] - 0.03) < 0.01]
    wide, own = (np.ptp(np.quantile(p[:, 0], [0.01, 0.99])) for p in (above_ears, head))
    assert own < wide < own + 0.055


@pytest.mark.parametrize("beard", sorted(BEARDS))
def test_a_beard_grows_under_the_eyes_and_not_out_of_the_lips(beard: str) -> None:
    built = body(hair="bald", beard=beard, sex="male", seed=3)
    assert built.strands is not None
    roots = built.strands.points[:, 0]
    assert roots[:, 2].max() < built.landmarks["eyes"][2] - 0.01
    mouth = built.landmarks["mouth"]
    lips = (np.abs(roots - mouth) < [0.018, 0.02, 0.003]).all(axis=1)
    assert lips.sum() < 5
    if beard == "moustache":
        assert (roots[:, 2] > mouth[2] - 0.004).all()
    else:
        assert (roots[:, 2] < built.landmarks["chin"][2] + 0.01).any()


def test_beards_differ_in_length() -> None:
    lengths = []
    for beard in ("stubble", "short_beard", "full_beard"):
        strands = body(hair="bald", beard=beard, sex="male", seed=3).strands
        assert strands is not None
        steps = np.linalg.norm(np.diff(strands.points, axis=1), axis=2)
        lengths.append(np.median(steps.sum(axis=1)))
    assert lengths[0] < 0.002 < lengths[1] < 0.012 < lengths[2]


def test_a_blunt_cut_ends_at_one_level_and_long_hair_far_below() -> None:
    ends = {}
    for hair in ("bob", "long_loose"):
        strands = body(hair=hair, seed=3).strands
        assert strands is not None
        ends[hair] = np.sort(strands.points[:, -1, 2])
    chin = body(hair="bob", seed=3).landmarks["chin"][2]
    assert np.quantile(ends["bob"], 0.002) > chin - 0.06
    assert np.quantile(ends["long_loose"], 0.2) < chin - 0.10


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_brows_differ_from_person_to_person(seed: int) -> None:
    one, other = (
        next(p.mesh for p in body(hair="bald", seed=s).pieces if p.name == "brows")
        for s in (seed, seed + 1)
    )
    assert len(one.vertices) != len(other.vertices)
