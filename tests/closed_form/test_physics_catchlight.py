"""Catchlights against mirror optics: half vector, mirror equation, the clock."""

from __future__ import annotations

import math

import numpy as np
import pytest
from oracles.lens import mirrored_size_m

from previz.physics import catchlight as law

EYE = np.array([0.3, -0.2, 1.2])
R = law.CORNEA_RADIUS_M


@pytest.mark.parametrize("seed", range(6))
def test_light_leaves_the_mirror_as_it_came(seed: int) -> None:
    rng = np.random.default_rng(seed)
    lights, viewer = EYE + rng.normal(size=(20, 3)), EYE + rng.normal(size=3)
    normals = law.mirror_normals(lights, viewer, EYE, R)
    points = EYE + R * normals
    there = (lights - points) / np.linalg.norm(lights - points, axis=1, keepdims=True)
    back = (viewer - points) / np.linalg.norm(viewer - points, axis=1, keepdims=True)
    mirrored = 2.0 * np.sum(there * normals, axis=1, keepdims=True) * normals - there
    assert np.abs(mirrored - back).max() < 1e-9
    assert np.allclose(np.linalg.norm(normals, axis=1), 1.0)


def test_a_far_light_lies_at_the_sine_of_half_its_angle() -> None:
    # Light and viewer 1 km away, 60 degrees apart: 30 degrees round the cornea.
    viewer = np.array([0.0, -1000.0, 0.0])
    light = 1000.0 * np.array([math.sin(math.radians(60.0)), -math.cos(math.radians(60.0)), 0.0])
    normal = law.mirror_normals(light, viewer, np.zeros(3), R)[0]
    assert R * normal[0] == pytest.approx(R * math.sin(math.radians(30.0)), rel=1e-5)


def test_a_light_at_the_lens_is_mirrored_in_the_middle() -> None:
    spot = EYE + np.array([0.4, -2.0, 0.1])
    normal = law.mirror_normals(spot, spot, EYE, R)[0]
    assert np.allclose(normal, (spot - EYE) / np.linalg.norm(spot - EYE))


@pytest.mark.parametrize(("size_m", "distance_m"), [(0.02, 0.5), (0.05, 2.0)])
def test_the_image_of_a_small_light_obeys_the_mirror_equation(
    size_m: float, distance_m: float
) -> None:
    image_m = 1.0 / (2.0 / R + 1.0 / distance_m)  # 1/d + 1/i = -2/R, behind the mirror
    expected = size_m * image_m / distance_m
    assert mirrored_size_m(size_m, distance_m) == pytest.approx(expected, rel=1e-12)
    # From far away the two edges are seen that far apart on the mirror itself.
    front = np.array([0.0, -R, 0.0])
    edges = front + np.array([[x, -distance_m, 0.0] for x in (-size_m / 2, size_m / 2)])
    normals = law.mirror_normals(edges, [0.0, -1e4, 0.0], np.zeros(3), R)
    assert R * np.ptp(normals[:, 0]) == pytest.approx(expected, rel=1e-3)


def test_a_softbox_of_90_cm_at_160_cm_is_2_mm_wide() -> None:
    assert 1000.0 * mirrored_size_m(0.9, 1.6) == pytest.approx(2.19, abs=0.01)


def test_the_cornea_ends_at_its_rim() -> None:
    eye = law.cornea_of_eye(EYE, [0.0, -2.0, 0.0])
    rim = math.asin(5.9 / 7.8)
    inside, outside = rim - 0.01, rim + 0.01
    normals = [[math.sin(a), -math.cos(a), 0.0] for a in (0.0, inside, outside, math.pi)]
    assert eye.reaches(normals).tolist() == [True, True, False, False]
    assert np.allclose(eye.centre_m, np.add(EYE, [0.0, -0.0056, 0.0]))
    assert np.allclose(eye.pupil_m, np.add(eye.centre_m, [0.0, -0.00475, 0.0]))
    assert eye.scale == 1.0


@pytest.mark.parametrize(
    ("right", "up", "hours"), [(0, 1, 12), (1, 0, 3), (0, -1, 6), (-1, 0, 9), (-0.866, 0.5, 10)]
)
def test_the_clock(right: float, up: float, hours: float) -> None:
    assert law.clock_hours(right, up) == pytest.approx(hours, abs=1e-3)


def test_a_light_inside_the_eye_is_refused() -> None:
    with pytest.raises(ValueError, match="outside"):
        law.mirror_normals(np.add(EYE, [0.001, 0.0, 0.0]), np.add(EYE, [0.0, -1.0, 0.0]), EYE, R)
