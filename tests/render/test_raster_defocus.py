"""Defocus held to the blur discs of a thin lens: how wide, of what, and over what."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import pytest

from previz.physics.focus import blur_disc
from previz.render.drawn import DrawnMesh
from previz.render.raster import Canvas, Shot
from previz.stage.placing import looking
from previz.stage.stage import StageCamera

SIZE = (640, 360)


@dataclass(frozen=True)
class Straight:
    """A table that shows scene-linear as it is, from 0 to 1."""

    toe: float = 1.0
    first_bits: int = int(np.float32(1.0).view(np.int32))
    step_bits: float = float((1 << 23) / 64)

    @property
    def values(self) -> np.ndarray:
        axis = np.arange(65) / 64.0
        blue, green, red = np.meshgrid(axis, axis, axis, indexing="ij")
        return np.stack([red, green, blue], axis=-1).astype(np.float32)


TABLE = Straight()


def camera(focus_m: float = 2.0, f_number: float = 1.4) -> StageCamera:
    """At the origin, looking north."""
    pose = looking((0.0, 0.0, 0.0), (0.0, 1.0, 0.0))
    return StageCamera(
        "A", pose, 0.036, 0.02025, 0.05, f_number, 3.0, focus_m, 25.0, 0.02, 800.0, 0.0
    )


def sheet(left_m: float, right_m: float, depth_m: float, high_m: float = 9.0) -> DrawnMesh:
    """An upright sheet that faces the camera, white."""
    corners = [(left_m, -high_m), (right_m, -high_m), (right_m, high_m), (left_m, high_m)]
    positions = np.array([[x, depth_m, z] for x, z in corners], np.float32)
    return DrawnMesh(
        1, "", positions, np.repeat(np.array([[0, -1, 0]], np.float32), 4, axis=0),
        np.array([[0, 1, 2], [0, 2, 3]], np.uint32), np.ones((4, 3), np.float32),
    )  # fmt: skip


def row(
    canvas: Canvas, lit: Sequence[tuple[DrawnMesh, float]], of: StageCamera, defocus: bool = True
) -> np.ndarray:
    """The middle row of the frame, 0 to 1."""
    canvas.load([mesh for mesh, _ in lit], [], [], None, [])
    canvas.shine([np.full((4, 3), light, np.float32) for _, light in lit])
    frame = canvas.frame(Shot([of], np.ones(3)), SIZE, TABLE, defocus=defocus)
    return frame[SIZE[1] // 2, :, 0] / 255.0


def spread_px(edge: np.ndarray) -> float:
    """How wide an edge has become, by its variance: of a disc's edge the disc's radius is twice
    the standard deviation."""
    slope = np.abs(np.diff(edge))
    at = np.arange(len(slope))
    middle = (slope * at).sum() / slope.sum()
    return 2.0 * float(np.sqrt((slope * (at - middle) ** 2).sum() / slope.sum()))


def radius_px(of: StageCamera, depth_m: float) -> float:
    disc_m = blur_disc(of.focal_length_m, of.f_number, of.focus_distance_m, depth_m)
    return 0.5 * disc_m / of.sensor_width_m * SIZE[0]


def test_what_is_in_focus_stays_as_it_was_drawn(canvas: Canvas) -> None:
    edge = [(sheet(-9.0, 0.013, 2.0), 0.8)]
    sharp, focused = (row(canvas, edge, camera(), defocus) for defocus in (False, True))
    np.testing.assert_allclose(focused, sharp, atol=0.01)


@pytest.mark.parametrize(("depth_m", "f_number"), [(6.0, 1.4), (3.0, 1.4), (6.0, 4.0)])
def test_an_edge_behind_is_as_soft_as_the_disc(
    canvas: Canvas, depth_m: float, f_number: float
) -> None:
    of = camera(f_number=f_number)
    backing = (sheet(-99.0, 99.0, depth_m + 0.01, 99.0), 0.1)
    edge = row(canvas, [backing, (sheet(-99.0, 0.0, depth_m), 0.9)], of)
    assert edge[20] == pytest.approx(0.9, abs=0.02) and edge[-20] == pytest.approx(0.1, abs=0.02)
    assert spread_px(edge) == pytest.approx(radius_px(of, depth_m), rel=0.1, abs=0.8)
    middle = SIZE[0] // 2
    assert edge[middle - 1 : middle + 1].mean() == pytest.approx(0.5, abs=0.1)


def test_an_edge_in_front_is_soft_over_what_is_sharp_behind_it(canvas: Canvas) -> None:
    of = camera(focus_m=4.0, f_number=2.0)
    wall = (sheet(-99.0, 99.0, 4.0, 99.0), 0.1)
    edge = row(canvas, [wall, (sheet(-9.0, 0.0, 2.0), 0.9)], of)
    assert edge[20] == pytest.approx(0.9, abs=0.02) and edge[-20] == pytest.approx(0.1, abs=0.02)
    beyond = edge[SIZE[0] // 2 + 2 : SIZE[0] // 2 + 1 + round(0.6 * radius_px(of, 2.0))]
    assert (beyond > 0.12).all(), "its blur reaches over the wall"


def test_what_is_behind_does_not_smear_over_what_is_sharp(canvas: Canvas) -> None:
    of = camera()
    bright = (sheet(-99.0, 99.0, 8.0, 99.0), 1.0)
    seen = row(canvas, [bright, (sheet(-0.3, 0.3, 2.0), 0.1)], of)
    inside = seen[SIZE[0] // 2 - 110 : SIZE[0] // 2 + 110]
    np.testing.assert_allclose(inside, 0.1, atol=0.01)


def test_an_even_field_stays_even_at_any_focus(canvas: Canvas) -> None:
    for focus_m in (0.04, 0.5, 3.0, 50.0):
        seen = row(canvas, [(sheet(-99.0, 99.0, 3.0, 99.0), 0.5)], camera(focus_m))
        np.testing.assert_allclose(seen, 0.5, atol=0.01)


def test_a_frame_of_several_is_the_mean_of_their_light(canvas: Canvas) -> None:
    canvas.load([sheet(-9.0, 0.0, 2.0)], [], [], None, [])
    canvas.shine([np.full((4, 3), 0.8, np.float32)])
    one = camera()
    moved = replace(one, pose=looking((0.1, 0.0, 0.0), (0.1, 1.0, 0.0)))
    frame = canvas.frame(Shot([one, moved], np.ones(3)), SIZE, TABLE)[180, :, 0] / 255.0
    # The second sees the edge 0.1 m farther to the left: 0.1 / 2 x 50 / 36 of the width.
    half = SIZE[0] // 2 - round(0.05 * 50 / 36 * SIZE[0] / 2)
    assert frame[half] == pytest.approx(0.4, abs=0.02)
    assert frame[20] == pytest.approx(0.8, abs=0.02) and frame[-20] == 0.0
