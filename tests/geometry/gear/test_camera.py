"""Cameras: the lens is where it should be, and nothing of the camera is ahead of its pupil."""

from __future__ import annotations

import numpy as np
import pytest

from previz.geometry.gear.camera import PUPIL_MARGIN_M, CameraShape, TripodShape, build_camera
from previz.geometry.piece import Array, bounds
from previz.geometry.shell import unit

PUPIL = np.array([0.4, -2.3, 1.22])
AIMS = {
    "level": np.array([0.4, 0.0, 1.22]),
    "down and left": np.array([-0.5, 0.0, 0.9]),
    "up": np.array([0.6, 0.0, 1.7]),
}
SHAPES = {
    "zoom": CameraShape(),
    "long lens": CameraShape(lens_length_m=0.22, lens_diameter_m=0.11),
    "small": CameraShape(lens_length_m=0.06, lens_diameter_m=0.07, matte_box=False, monitor=False),
}


def depth(points: Array, aim: Array) -> Array:
    """Distance ahead of the pupil along the axis."""
    return np.asarray((points - PUPIL) @ unit(aim - PUPIL), float)


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("aim", AIMS)
def test_closed_bodies_on_three_feet(shape: str, aim: str) -> None:
    pieces = build_camera(SHAPES[shape], PUPIL, AIMS[aim], TripodShape())
    for piece in pieces:
        assert piece.mesh.exact.is_watertight, piece.name
        assert piece.mesh.exact.is_winding_consistent, piece.name
        assert piece.mesh.exact.volume > 0, piece.name
    assert bounds(pieces)[0, 2] == pytest.approx(0, abs=1e-9)
    feet = next(p for p in pieces if p.name == "tripod feet").mesh.exact.split()
    assert [foot.bounds[0, 2] for foot in feet] == pytest.approx([0, 0, 0], abs=1e-9)
    assert sum(len(p.mesh.faces) for p in pieces) < 15_000


@pytest.mark.parametrize("shape", SHAPES)
@pytest.mark.parametrize("aim", AIMS)
def test_lens_front_is_just_behind_the_pupil_and_of_its_size(shape: str, aim: str) -> None:
    c = SHAPES[shape]
    pieces = build_camera(c, PUPIL, AIMS[aim])
    everything = np.concatenate([p.mesh.vertices for p in pieces])
    assert depth(everything, AIMS[aim]).max() == pytest.approx(-PUPIL_MARGIN_M, abs=1e-9)
    barrel = next(p for p in pieces if p.name == "lens barrel").mesh.vertices
    along = depth(barrel, AIMS[aim])
    assert along.max() == pytest.approx(-PUPIL_MARGIN_M, abs=1e-9)
    assert np.ptp(along) == pytest.approx(c.lens_length_m, abs=1e-9)
    axis = unit(AIMS[aim] - PUPIL)
    off = barrel - PUPIL - along[:, None] * axis
    assert 2 * np.linalg.norm(off, axis=1).max() == pytest.approx(c.lens_diameter_m, abs=1e-9)


def test_tripod_is_below_the_field_of_a_wide_lens() -> None:
    pieces = build_camera(CameraShape(), PUPIL, AIMS["level"], TripodShape())
    points = np.concatenate([p.mesh.vertices for p in pieces])
    ahead = depth(points, AIMS["level"])
    in_front = ahead > 0
    below = PUPIL[2] - points[in_front, 2]
    assert np.all(below > ahead[in_front] * np.tan(np.radians(40)))


def test_footprint_is_the_radius_asked_for() -> None:
    pieces = build_camera(CameraShape(), PUPIL, AIMS["level"], TripodShape(footprint_m=0.55))
    feet = next(p for p in pieces if p.name == "tripod feet").mesh.vertices
    bowl = next(p for p in pieces if p.name == "tripod bowl").mesh.bounds.mean(axis=0)
    assert np.hypot(*(feet - bowl)[:, :2].T).max() == pytest.approx(0.55, abs=1e-9)


def test_the_head_carries_the_camera() -> None:
    pieces = {
        p.name: p for p in build_camera(CameraShape(), PUPIL, AIMS["down and left"], TripodShape())
    }
    plate, cradle = pieces["base plate"].mesh.vertices, pieces["head cradle"].mesh.vertices
    gap = np.linalg.norm(plate[:, None] - cradle[None], axis=2).min()
    assert gap < 0.03
    assert pieces["tripod bowl"].mesh.bounds[1, 2] < PUPIL[2]


@pytest.mark.parametrize("height", [0.12, 0.35, 0.6, 1.9])
def test_any_height_of_lens_is_carried_cleanly(height: float) -> None:
    pupil = np.array([0, 0, height])
    pieces = build_camera(CameraShape(), pupil, pupil + np.array([0, 1, 0]), TripodShape())
    for piece in pieces:
        assert piece.mesh.exact.is_watertight, piece.name
        assert piece.mesh.exact.volume > 0, piece.name
    lowest = bounds(pieces)[0, 2]
    assert lowest == pytest.approx(0, abs=1e-9) if height > 0.3 else lowest >= -1e-9
