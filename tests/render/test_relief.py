"""Relief in the compiled path tracer, and edges that stay sharp on smooth pieces."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from previz.catalog import Catalog
from previz.render.backends import open_back_end
from previz.render.patterns import PatternFigure, figure_of
from previz.render.shading import creases, smooth_normals

BRICK = Catalog.load().material("brick_red")


@pytest.fixture(scope="module", autouse=True)
def _compiled() -> None:
    open_back_end("llvm_ad_rgb")


def test_slopes_are_those_of_the_height():
    from previz.render.patterns.slopes import STEPS, drawn

    n, size_m = 64, 0.5
    place = (np.arange(n) + 0.5) / n * size_m
    wave = 0.01 * np.sin(2 * np.pi * place / size_m)
    flat = np.zeros((n, n), np.float32)
    height = np.broadcast_to(wave, (n, n)).astype(np.float32)
    slopes = drawn(PatternFigure(size_m, flat, flat + 1.0, height))
    along = ((slopes.picture >> 16).astype(float) - STEPS) / STEPS * slopes.steepest
    across = ((slopes.picture & 0xFFFF).astype(float) - STEPS) / STEPS * slopes.steepest
    expected = 0.01 * 2 * np.pi / size_m * np.cos(2 * np.pi * place / size_m)
    np.testing.assert_allclose(along, np.broadcast_to(expected, (n, n)), atol=5e-4)
    np.testing.assert_allclose(across, 0.0, atol=1e-5)
    # A sine's slope over its bend is the wavelength over two pi.
    assert slopes.detail_m == pytest.approx(size_m / (2 * np.pi), rel=0.02)


@pytest.mark.parametrize("far_m", [0.5, 60.0])
def test_normals_tilt_near_by_and_fade_far_away(far_m):
    import drjit as dr
    import mitsuba as mi

    from previz.render.pathtracer.relief import Relief

    shape = mi.Mesh("m", vertex_count=3, face_count=1, has_vertex_texcoords=True)
    parameters = mi.traverse(shape)
    parameters["vertex_positions"] = np.array([0, 0, 0, 1, 0, 0, 0, 1, 0], np.float32)
    parameters["faces"] = np.array([0, 1, 2], np.uint32)
    parameters.update()
    count = 4000
    uv = np.random.default_rng(5).uniform(0.0, 3.0, (count, 2)).astype(np.float32)
    si = dr.zeros(mi.SurfaceInteraction3f, count)
    si.shape = mi.ShapePtr(shape)
    si.p, si.t = mi.Point3f(0.2, 0.2, 0.0), mi.Float(far_m)
    si.uv = mi.Point2f(*uv.T)
    si.sh_frame = mi.Frame3f(mi.Normal3f(0, 0, 1))
    si.dp_du, si.dp_dv = mi.Vector3f(1, 0, 0), mi.Vector3f(0, 1, 0)
    ray = mi.Ray3f(mi.Point3f(0, 0, far_m), mi.Vector3f(0, 0, -1))
    pixel_m = mi.Float(1e-3 * far_m)
    tilted = Relief(_all_of_brick(shape), [BRICK]).tilted(si, ray, pixel_m, mi.Bool(True))
    normals = np.array(tilted.sh_frame.n).T
    assert np.linalg.norm(normals, axis=1) == pytest.approx(1.0, abs=1e-5)
    # Toward the eye is the normal's own axis: the frame must know it.
    np.testing.assert_allclose(np.array(tilted.wi).T[:, 2], normals[:, 2], atol=1e-5)
    lean = np.degrees(np.arccos(np.clip(normals[:, 2], -1.0, 1.0)))
    if far_m < 1.0:
        # Joints of 6 mm take a tenth of the wall and more, their flanks are steep.
        assert np.percentile(lean, 97) > 20.0
        assert np.percentile(lean, 40) < 10.0
    else:
        assert np.percentile(lean, 97) < 2.0


def _all_of_brick(shape):
    """Rows in which the one triangle of `shape` has pattern number 1."""
    from types import SimpleNamespace

    from previz.render.merge import Looks
    from previz.render.pathtracer.rows import Rows

    grey = np.full((2, 3), 0.5, np.float32)
    level = np.zeros(2, np.float32)
    none = np.zeros(2, bool)
    rows = Rows(Looks(grey, grey, np.array([0, 1], np.uint32), level, level, none, level))
    rows.place([(SimpleNamespace(rows=np.ones(1, np.uint32)), shape)], [])
    return rows


def test_a_brick_is_proud_of_its_joints():
    figure = figure_of(BRICK)
    assert figure.height is not None
    joint = figure.second > 0.9
    assert figure.height[joint].mean() < figure.height[~joint].mean() - 0.5


def test_a_drums_lid_and_wall_keep_their_own_normals():
    drum = trimesh.creation.cylinder(radius=0.1, height=0.2, sections=48)
    vertices, faces = np.asarray(drum.vertices), np.asarray(drum.faces)
    smooth = smooth_normals(vertices, faces)
    sharp, own = creases(vertices, faces, smooth)
    normals = smooth[faces.reshape(-1)]
    normals[sharp] = own
    lids = np.repeat(np.abs(drum.face_normals[:, 2]) > 0.99, 3)
    np.testing.assert_allclose(np.abs(normals[lids, 2]), 1.0, atol=1e-9)
    np.testing.assert_allclose(normals[~lids, 2], 0.0, atol=1e-9)
    # Round the wall they still run on smoothly.
    radial = vertices[faces.reshape(-1)][~lids, :2] / 0.1
    assert np.einsum("ij,ij->i", normals[~lids, :2], radial).min() > 0.995


def test_a_ball_has_no_creases():
    ball = trimesh.creation.icosphere(3, 0.2)
    vertices, faces = np.asarray(ball.vertices), np.asarray(ball.faces)
    sharp, _ = creases(vertices, faces, smooth_normals(vertices, faces))
    assert len(sharp) == 0
