"""Where a point lands and how it blurs, against projection and thin-lens optics."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from oracles.lens import blur_pinhole_projection

from previz.geometry.gear.emitter import EmitterShape
from previz.geometry.piece import Piece
from previz.render.contract import Ability, RenderSettings
from previz.stage.stage import Emitter


def _picture(back_end, stage, size, samples):
    exposing = back_end.load(stage).expose("A", RenderSettings(*size, samples, 2))
    exposing.advance(samples)
    return exposing.light()


def _lamp(position, radius):
    pose = np.eye(4)
    pose[:3, 3] = position
    shape = EmitterShape("sphere", pose, radius_m=radius)
    return Emitter("lamp", "lights.lamp", shape, 1000.0, np.ones(3))


def test_a_known_point_lands_on_its_pixel(back_end, make_stage, kit):
    """Pinhole projection, as Mitsuba 3.9.1 gives it (`perspective.sample_direction`): the point
    (0.5, 0.25, -2) of a camera with 36 x 20.25 mm at 50 mm is pixel (1626.667, 206.667) of
    1920 x 1080. Here by the centroid of a small glowing sphere.
    """  # fmt: skip
    view = kit.camera((0, 0, 0), (0, 1, 0), f_number=64.0, focus_distance_m=2.0)
    point = np.array([0.5, 2.0, 0.25])  # right, ahead, up
    stage = make_stage([], [_lamp(point, 0.004)], view)
    np.testing.assert_allclose(
        view.project(point[None], 1920, 1080), [[1626.667, 206.667]], atol=1e-3
    )
    image = _picture(back_end, stage, (480, 270), 32).beauty[..., 1].astype(float)
    rows, columns = np.nonzero(image)
    weight = image[rows, columns]
    across = 4.0 * float((weight * (columns + 0.5)).sum() / weight.sum())
    down = 4.0 * float((weight * (rows + 0.5)).sum() / weight.sum())
    # Standard error of the centroid of a disc of radius r px from n paths: r / 2 / sqrt(n).
    radius_px = 0.004 / 2.0 * 0.050 / 0.036 * 1920
    error = radius_px / 2.0 / np.sqrt(np.pi * radius_px**2 * 32 / 16)
    assert across == pytest.approx(1626.667, abs=4.0 * error)
    assert down == pytest.approx(206.667, abs=4.0 * error)


@pytest.mark.needs(Ability.BOUNCES, Ability.THIN_LENS)
def test_a_pixel_looks_along_its_own_ray_to_a_hundredth(back_end, kit):
    """The rays the tracer shoots through known image points, against the projection."""
    import mitsuba as mi

    from previz.render.pathtracer.assemble import sensor

    view = kit.camera((0.3, -2.0, 1.2), (0.1, 0.4, 1.0))
    pinhole = sensor(view, (1920, 1080), pinhole=True)
    rng = np.random.default_rng(5)
    for pixel in rng.uniform((0, 0), (1920, 1080), (32, 2)):
        across = mi.Point2f(float(pixel[0]) / 1920, float(pixel[1]) / 1080)
        ray, _ = pinhole.sample_ray(0.0, 0.5, across, mi.Point2f(0.5))
        point = np.array(ray.o).reshape(3) + 3.0 * np.array(ray.d).reshape(3)
        np.testing.assert_allclose(view.project(point[None], 1920, 1080)[0], pixel, atol=0.01)


@pytest.mark.needs(Ability.THIN_LENS)
@pytest.mark.parametrize(
    ("focal_mm", "stop", "focus_m", "distance_m"),
    [(50, 2.0, 2.0, 3.0), (50, 2.0, 2.0, 1.5), (85, 1.8, 2.0, 4.0)],
)
def test_a_defocused_point_is_a_thin_lens_disc(
    back_end, make_stage, kit, focal_mm, stop, focus_m, distance_m
):
    """Diameter by the second moment of the picture along an axis, 4 sqrt(var), less the pixel's
    (1/12) and the source's own (r^2/4). Expected: the thin lens, by similar
    triangles.
    """  # fmt: skip
    side_px, px_per_m = 96, 1920 / 0.036  # a crop round the middle of a 1920 px wide picture
    view = kit.camera(
        (0, 0, 0), (0, 1, 0), focal_length_m=focal_mm / 1000, f_number=stop,
        focus_distance_m=focus_m, sensor_width_m=side_px / px_per_m,
        sensor_height_m=side_px / px_per_m,
    )  # fmt: skip
    radius_px = 3.0
    radius_m = radius_px / px_per_m * distance_m / (focal_mm / 1000)
    stage = make_stage([], [_lamp((0, distance_m, 0), radius_m)], view)
    expected_px = blur_pinhole_projection(focal_mm / 1000, stop, focus_m, distance_m) * px_per_m
    image = _picture(back_end, stage, (side_px, side_px), 512).beauty[..., 1].astype(float)
    rows, columns = np.nonzero(image)
    weight = image[rows, columns] / image[rows, columns].sum()
    spread = [float((weight * (v - (weight * v).sum()) ** 2).sum()) for v in (columns, rows)]
    variance = float(np.mean(spread)) - 1 / 12 - radius_px**2 / 4
    assert 4.0 * np.sqrt(variance) == pytest.approx(expected_px, rel=0.01)


def test_depth_and_objects_through_pixel_centres(back_end, make_stage, kit):
    """A cube of 1 m, its face 2 m ahead: depth is along the axis, edges fall by projection."""
    # Off the middle, so that no ray runs exactly along a diagonal of its triangles.
    cube = kit.box("cube", (1, 1, 1), (0.013, 2.5, 0.007))
    far = Piece("wall", trimesh.creation.box((20, 0.1, 20)), "grey")
    far.mesh.apply_translation((0, 6.05, 0))
    view = kit.camera((0, 0, 0), (0, 1, 0))
    stage = make_stage([cube, far], [_lamp((0, -1, 0), 0.1)], view)
    light = _picture(back_end, stage, (320, 180), 1)
    inside = light.objects == stage.object_ids["cube"]
    np.testing.assert_allclose(light.depth[inside], 2.0, atol=1e-4)
    np.testing.assert_allclose(
        light.depth[light.objects == stage.object_ids["wall"]], 6.0, atol=1e-4
    )
    edges = view.project(np.array([[-0.487, 2.0, 0.0], [0.513, 2.0, 0.0]]), 320, 180)[:, 0]
    columns = np.nonzero(inside[90])[0]
    assert columns[0] == int(np.ceil(edges[0] - 0.5))
    assert columns[-1] == int(np.floor(edges[1] - 0.5))
