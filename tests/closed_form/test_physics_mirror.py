"""Mirrors of glass and rays against plain shapes, held to closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest

from previz.physics import mirror, rays


def unit(vectors) -> np.ndarray:
    vectors = np.asarray(vectors, float)
    return vectors / np.linalg.norm(vectors, axis=-1, keepdims=True)


def test_a_plane_mirror_shows_the_light_at_its_image_behind_the_glass() -> None:
    """The way to the image of a light in a plane, mirrored there, leads to the light itself."""
    rng = np.random.default_rng(3)
    light, viewer = rng.normal(size=(50, 3)), rng.normal(size=(50, 3))
    light[:, 2], viewer[:, 2] = np.abs(light[:, 2]) + 0.1, np.abs(viewer[:, 2]) + 0.1
    image = light * [1.0, 1.0, -1.0]
    share = viewer[:, 2] / (viewer[:, 2] - image[:, 2])
    on_glass = viewer + share[:, None] * (image - viewer)
    up = np.broadcast_to([0.0, 0.0, 1.0], light.shape)
    ways = mirror.mirrored(unit(viewer - on_glass), up)
    assert np.allclose(ways, unit(light - on_glass), atol=1e-12)


def test_turning_a_mirror_turns_what_is_seen_in_it_twice_as_far() -> None:
    angle = math.radians(7.0)
    way = mirror.mirrored(
        np.array([[0.0, -1.0, 0.0]]), np.array([[0.0, -math.cos(angle), -math.sin(angle)]])
    )[0]
    assert math.degrees(math.asin(-way[2])) == pytest.approx(14.0)


@pytest.mark.parametrize(
    ("index", "one", "both"), [(1.5, 0.04, 2 * 0.04 / 1.04), (1.6, (0.6 / 2.6) ** 2, None)]
)
def test_head_on_a_surface_mirrors_the_square_of_the_index_ratio(index, one, both) -> None:
    assert float(mirror.surface_share(1.0, index)) == pytest.approx(one)
    assert float(mirror.pane_share(1.0, index)) == pytest.approx(both or 2 * one / (1 + one))


def test_half_of_the_light_is_free_of_the_other_half_at_the_polarising_angle() -> None:
    """There one polarisation is not mirrored; of the other it is ((n^2 - 1) / (n^2 + 1))^2."""
    n = 1.5
    share = float(mirror.surface_share(math.cos(math.atan(n)), n))
    assert share == pytest.approx(0.5 * ((n * n - 1) / (n * n + 1)) ** 2)


def test_grazing_light_is_mirrored_whole_and_air_mirrors_nothing() -> None:
    assert float(mirror.pane_share(0.0, 1.5)) == pytest.approx(1.0)
    assert mirror.surface_share([0.0, 0.4, 1.0], 1.0) == pytest.approx([0.0, 0.0, 0.0])
    shares = mirror.pane_share(np.linspace(1.0, 0.0, 40), 1.5)
    assert (np.diff(shares) > -1e-12).all()


def test_the_index_of_a_share_is_the_inverse_of_the_share() -> None:
    for share in (0.0, 0.0104, 0.04, 0.3):
        assert float(mirror.surface_share(1.0, mirror.index_of_share(share))) == pytest.approx(
            share
        )
    for wrong in (-0.1, 1.0):
        with pytest.raises(ValueError, match="share"):
            mirror.index_of_share(wrong)
    with pytest.raises(ValueError, match="index"):
        mirror.surface_share(1.0, 0.9)


STARTS = np.array([[0.0, 0.0, 2.0]] * 3)
WAYS = unit([[0.0, 0.0, -1.0], [0.4, 0.0, -2.0], [0.0, 0.0, 1.0]])


def test_rays_meet_flat_faces_only_from_before_and_within_their_edges() -> None:
    far = rays.to_rectangle(STARTS, WAYS, 1.0, 0.2)
    assert far == pytest.approx([2.0, math.hypot(2.0, 0.4), np.inf])
    assert rays.to_rectangle(STARTS, WAYS, 0.7, 0.2) == pytest.approx([2.0, np.inf, np.inf])
    assert rays.to_disc(STARTS, WAYS, 0.39)[1] == np.inf
    assert rays.to_disc(STARTS, WAYS, 0.41)[1] == pytest.approx(math.hypot(2.0, 0.4))
    behind = -STARTS
    assert np.isinf(rays.to_disc(behind, -WAYS, 5.0)).all()


def test_rays_meet_round_bodies_at_their_near_side() -> None:
    assert rays.to_sphere(STARTS, WAYS, 0.5)[0] == pytest.approx(1.5)
    # 0.4 in 2 leads past the middle at 2 sin(atan 0.2) = 0.392.
    assert np.isfinite(rays.to_sphere(STARTS, WAYS, 0.393)[1])
    assert np.isinf(rays.to_sphere(STARTS, WAYS, 0.391)[1])
    assert np.isinf(rays.to_sphere(STARTS, WAYS, 0.5)[2])
    assert rays.to_tube(STARTS, WAYS, 0.5, 1.0)[0] == pytest.approx(1.5)
    ahead = unit([[0.0, 0.5, -1.5]])
    assert np.isfinite(rays.to_tube(STARTS[:1], ahead, 0.5, 1.02)[0])
    assert np.isinf(rays.to_tube(STARTS[:1], ahead, 0.5, 0.98)[0])
    assert np.isinf(rays.to_tube(STARTS[:1], unit([[0.0, 1.0, 0.0]]), 0.5, 9.0)[0])


def test_a_triangle_blocks_what_passes_it_before_the_end() -> None:
    triangle = np.array([[[-1.0, -1.0, 1.0], [1.0, -1.0, 1.0], [0.0, 1.0, 1.0]]])
    start, down = np.array([0.0, 0.0, 2.0]), np.array([0.0, 0.0, -1.0])
    assert rays.blocked(start, down, 2.0, triangle)
    assert not rays.blocked(start, down, 0.9, triangle)
    assert not rays.blocked(start, -down, 2.0, triangle)
    assert not rays.blocked(start + np.array([2.0, 0.0, 0.0]), down, 2.0, triangle)
    assert not rays.blocked(start, down, 2.0, np.zeros((0, 3, 3)))
