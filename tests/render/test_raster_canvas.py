"""Opening and closing what draws; meshes cut into chunks."""

from __future__ import annotations

import subprocess
import sys
import threading
from concurrent.futures import ThreadPoolExecutor

import numpy as np
import pytest
import trimesh

from previz.errors import MissingError
from previz.render.drawn import DrawnMesh
from previz.render.raster import Canvas, context
from previz.render.raster.chunks import TRIANGLES, bounds_a_volume, chunks_of, in_view
from previz.render.raster.view import View
from previz.stage.placing import looking
from previz.stage.stage import StageCamera

CAMERA = StageCamera(
    "A", looking((0, -2, 0), (0, 0, 0)), 0.036, 0.02025, 0.05, 2.8, 3.0, 2.0, 25.0, 0.02, 800.0, 0.0
)


def ball(radius_m: float = 0.5, fineness: int = 3) -> DrawnMesh:
    sphere = trimesh.creation.icosphere(fineness, radius_m)
    positions = np.asarray(sphere.vertices, np.float32)
    return DrawnMesh(
        3, "", positions, positions / radius_m, np.asarray(sphere.faces, np.uint32),
        np.full(positions.shape, 0.5, np.float32),
    )  # fmt: skip


def middle_thing() -> int:
    """Open, draw, close."""
    with Canvas() as canvas:
        canvas.load([ball()], [], [], None, [])
        return int(canvas.guides(CAMERA, (64, 36)).objects[18, 32])


def test_a_canvas_can_be_opened_again_and_again():
    assert [middle_thing() for _ in range(3)] == [3, 3, 3]


def test_another_thread_may_have_one_after_this_one_and_beside_it():
    with ThreadPoolExecutor(1) as other:
        assert other.submit(middle_thing).result() == 3
        with Canvas() as canvas:
            canvas.load([ball()], [], [], None, [])
            assert other.submit(middle_thing).result() == 3
            # The other's end is not the end of this one.
            assert canvas.guides(CAMERA, (64, 36)).objects[18, 32] == 3
    assert middle_thing() == 3


def test_two_threads_may_draw_at_once():
    barrier = threading.Barrier(2)

    def several() -> list[int]:
        barrier.wait()
        return [middle_thing() for _ in range(3)]

    with ThreadPoolExecutor(2) as threads:
        found = [threads.submit(several) for _ in range(2)]
        assert [task.result() for task in found] == [[3, 3, 3]] * 2


def test_a_canvas_is_its_thread_s_own_and_nobody_s_once_closed():
    canvas = Canvas()
    assert "OpenGL" in canvas.drawn_by
    with ThreadPoolExecutor(1) as other, pytest.raises(ValueError, match="thread"):
        other.submit(canvas.guides, CAMERA, (64, 36)).result()
    canvas.close()
    canvas.close()
    with pytest.raises(ValueError, match="closed"):
        canvas.guides(CAMERA, (64, 36))


@pytest.mark.skipif(sys.platform in ("darwin", "win32"), reason="the desktop has its own OpenGL")
def test_without_a_library_one_line_says_what_to_install(monkeypatch):
    monkeypatch.setattr(context, "_loads", lambda _: False)
    with pytest.raises(MissingError, match="apt install libegl1 libgl1-mesa-dri") as raised:
        Canvas()
    assert "\n" not in str(raised.value)


def test_without_a_driver_the_same_line_says_why(monkeypatch):
    def fails(library: str) -> object:
        raise AssertionError("eglInitialize")

    monkeypatch.setattr(context, "_platform_of", fails)
    with pytest.raises(MissingError, match=r"libgl1-mesa-dri\).*eglInitialize") as raised:
        Canvas()
    assert "\n" not in str(raised.value)


def test_importing_it_loads_nothing_that_draws_and_opening_it_no_viewer():
    code = (
        "import sys, previz.render.raster as r\n"
        "assert not {'OpenGL', 'pyrender', 'pyglet'} & set(sys.modules)\n"
        "r.Canvas().close()\n"
        "assert not {'trimesh', 'pyglet', 'scipy', 'freetype'} & set(sys.modules)\n"
    )
    subprocess.run([sys.executable, "-W", "error", "-c", code], check=True)


def test_light_of_another_size_is_refused():
    with Canvas() as canvas:
        canvas.load([ball()], [], [], None, [])
        with pytest.raises(ValueError, match="light"):
            canvas.shine([np.zeros((3, 3), np.float32)])


def test_chunks_hold_every_triangle_once_and_lie_within_their_bounds():
    mesh = ball(fineness=5)
    chunks = chunks_of(mesh)
    assert len(chunks) > 10 and max(len(chunk.faces) for chunk in chunks) <= TRIANGLES
    joined = np.concatenate([chunk.faces for chunk in chunks])
    np.testing.assert_array_equal(np.unique(joined, axis=0), np.unique(mesh.faces, axis=0))
    for chunk in chunks:
        assert chunk.one_side
        corners = mesh.positions[chunk.faces]
        assert np.all(corners >= chunk.bounds[0]) and np.all(corners <= chunk.bounds[1])
    extents = [np.ptp(chunk.bounds, axis=0).max() for chunk in chunks]
    assert np.median(extents) < 0.5


def test_what_bounds_a_volume_is_told_apart():
    mesh = ball()
    assert bounds_a_volume(mesh.positions, mesh.faces)
    assert not bounds_a_volume(mesh.positions, mesh.faces[1:])
    turned = mesh.faces.copy()
    turned[5] = turned[5, ::-1]
    assert not bounds_a_volume(mesh.positions, turned)
    # Every corner a vertex of its own; both sides of a sheet; a tube without ends.
    apart = mesh.positions[mesh.faces.reshape(-1)]
    assert bounds_a_volume(apart, np.arange(len(apart), dtype=np.uint32).reshape(-1, 3))
    sheet = np.concatenate([mesh.faces[:1], mesh.faces[:1, ::-1]])
    assert bounds_a_volume(mesh.positions, sheet)
    tube = trimesh.creation.cylinder(0.2, 1.0)
    side = np.abs(tube.face_normals[:, 2]) < 0.5
    assert not bounds_a_volume(
        np.asarray(tube.vertices, np.float32), np.asarray(tube.faces[side], np.uint32)
    )


def test_boxes_that_a_camera_sees_are_not_left_out():
    rng = np.random.default_rng(11)
    low = rng.uniform(-6.0, 6.0, (2000, 3))
    bounds = np.stack([low, low + rng.uniform(0.01, 1.0, (2000, 3))], axis=1).astype(np.float32)
    to_clip = View(CAMERA, True).to_clip
    seen = in_view(bounds, to_clip)
    share = rng.uniform(0.0, 1.0, (2000, 200, 3))
    points = bounds[:, None, 0] + share * (bounds[:, None, 1] - bounds[:, None, 0])
    clip = points @ to_clip[:3, :3].T + to_clip[:3, 3]
    w = points @ to_clip[3, :3] + to_clip[3, 3]
    inside = np.any((np.abs(clip[..., :2]) < w[..., None]).all(axis=-1) & (w > 0.01), axis=1)
    assert not np.any(inside & ~seen)
    assert seen.mean() < 0.25
