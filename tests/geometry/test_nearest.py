"""The nearest of many triangles: by hand, and against a library that finds it another way."""

from __future__ import annotations

import math

import numpy as np
import pytest
import trimesh

from previz.geometry.nearest import distance_m

FLAT = np.array([[(0.0, 0.0, 0.0), (4.0, 0.0, 0.0), (0.0, 3.0, 0.0)]])
LINE = np.array([[(0.0, 0.0, 0.0), (2.0, 0.0, 0.0), (1.0, 0.0, 0.0)]])
DOT = np.zeros((1, 3, 3))


@pytest.mark.parametrize(
    ("triangles", "point", "away"),
    [
        (FLAT, (1.0, 1.0, 0.7), 0.7),  # over the inside
        (FLAT, (1.0, 1.0, -0.7), 0.7),  # under it
        (FLAT, (2.0, -0.3, 0.4), 0.5),  # beside a side
        (FLAT, (4.0, 3.0, 0.0), 2.4),  # the height over the long side: 3 x 4 / 5
        (FLAT, (7.0, 0.0, 4.0), 5.0),  # past a corner
        (FLAT, (1.0, 0.5, 0.0), 0.0),  # in it
        (LINE, (1.5, 0.3, 0.4), 0.5),
        (LINE, (5.0, 0.0, 4.0), 5.0),
        (DOT, (0.0, 3.0, 4.0), 5.0),
    ],
)
def test_distances_worked_by_hand(
    triangles: np.ndarray, point: tuple[float, float, float], away: float
) -> None:
    turned = triangles[:, ::-1]
    for corners in (triangles, turned):
        assert distance_m(corners, np.array(point), 9.0) == pytest.approx(away, abs=1e-12)


def test_what_is_farther_than_asked_for_is_infinite() -> None:
    above = np.array([1.0, 1.0, 0.7])
    assert distance_m(FLAT, above, 0.71) == pytest.approx(0.7)
    assert distance_m(FLAT, above, 0.69) == math.inf
    # In the box round the triangle, but not near the triangle itself.
    assert distance_m(FLAT, np.array([4.0, 3.0, 0.0]), 2.3) == math.inf
    assert distance_m(np.zeros((0, 3, 3)), above, 9.0) == math.inf


def test_a_cloud_of_triangles_against_a_library() -> None:
    random = np.random.default_rng(5)
    for _ in range(50):
        triangles = random.normal(size=(40, 1, 3)) + random.normal(size=(40, 3, 3), scale=0.4)
        point = random.normal(size=3)
        places = trimesh.triangles.closest_point(triangles, np.tile(point, (40, 1)))
        expected = np.linalg.norm(places - point, axis=1).min()
        assert distance_m(triangles, point, 99.0) == pytest.approx(expected, abs=1e-12)
