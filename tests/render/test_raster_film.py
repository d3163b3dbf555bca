"""A film of a moving camera: each frame is what it would be alone, smooth, with nothing missing."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from previz.render.drawn import DrawnMesh
from previz.render.raster import Canvas, Shot
from previz.render.raster.passage import FARTHEST, LONGEST, SHORTEST, stations
from previz.stage.moving.shutter import shift_px
from previz.stage.placing import looking
from previz.stage.stage import StageCamera

from .test_raster_defocus import TABLE, sheet

SIZE = (320, 180)
FRAMES = 24


def camera(x_m: float, turn: float = 0.0) -> StageCamera:
    """At the height of the sheets' middle, looking north; `turn` is how far east per metre."""
    pose = looking((x_m, 0.0, 0.0), (x_m + turn, 1.0, 0.0))
    return StageCamera("A", pose, 0.036, 0.02025, 0.05, 8.0, 8.0, 2.0, 25.0, 0.02, 800.0, 0.0)


def wall(depth_m: float, across: int, up: int) -> DrawnMesh:
    """A wall in many triangles, each corner of its own grey, so that none can go missing unseen."""
    x, z = np.meshgrid(np.linspace(-2, 2, across + 1), np.linspace(-1, 1, up + 1))
    at = np.arange(x.size).reshape(x.shape)
    a, b, c, d = at[:-1, :-1], at[:-1, 1:], at[1:, 1:], at[1:, :-1]
    faces = np.stack([np.stack([a, b, c], -1), np.stack([a, c, d], -1)]).reshape(-1, 3)
    positions = np.stack([x.ravel(), np.full(x.size, depth_m), z.ravel()], axis=1)
    grey = np.random.default_rng(5).uniform(0.4, 0.6, x.size)
    return DrawnMesh(
        1,
        "",
        positions.astype(np.float32),
        np.repeat(np.array([[0, -1, 0]], np.float32), x.size, axis=0),
        faces.astype(np.uint32),
        np.repeat(grey[:, None], 3, axis=1).astype(np.float32),
    )


def slats() -> list[DrawnMesh]:
    """Upright slats before a wall: what shows between them changes from frame to frame."""
    slats = [sheet(x, x + 0.05, 1.5, 0.4) for x in np.arange(-1.0, 1.0, 0.13)]
    return [*slats, wall(3.0, 120, 60)]


def load(canvas: Canvas, meshes: list[DrawnMesh]) -> None:
    canvas.load(meshes, [], [], None, [])
    canvas.shine([np.full(mesh.positions.shape, 0.9, np.float32) for mesh in meshes])


def shots(cameras: list[StageCamera]) -> list[Shot]:
    return [Shot([one], np.ones(3)) for one in cameras]


SLIDE = [camera(0.004 * n) for n in range(FRAMES)]


def test_each_frame_is_what_it_would_be_alone(canvas: Canvas) -> None:
    load(canvas, slats())
    film = list(canvas.film(shots(SLIDE), SIZE, TABLE, defocus=False))
    assert len(film) == FRAMES
    for number in (0, 1, 7, FRAMES - 1):
        alone = canvas.frame(Shot([SLIDE[number]] * 64, np.ones(3)), SIZE, TABLE, defocus=False)
        apart = np.abs(film[number].astype(int) - alone)
        assert apart.mean() < 2.5, number
        # Where a slat has just left, a pixel has one sample: at an edge half the contrast off.
        assert np.percentile(apart, 99) < 60, number
        assert film[number].min() > 0.5 * alone.min(), "no pinhole shows the nothing behind"


def test_what_moves_is_not_left_behind(canvas: Canvas) -> None:
    """A dark slat passes over a light wall: no frame keeps it where it was."""
    slat = replace(sheet(-0.1, 0.0, 1.0, 0.4), albedo=np.full((4, 3), 0.05, np.float32))
    load(canvas, [slat, sheet(-9.0, 9.0, 3.0)])
    film = list(canvas.film(shots(SLIDE), SIZE, TABLE, defocus=False))
    for number, frame in enumerate(film):
        left, right = (
            SLIDE[number].project(np.array([[x, 1.0, 0.0]]), *SIZE)[0, 0] for x in (-0.1, 0.0)
        )
        row = frame[SIZE[1] // 2, :, 0].astype(int)
        inside = row[int(np.ceil(left)) + 1 : int(right) - 1]
        outside = np.concatenate([row[: int(left) - 1], row[int(np.ceil(right)) + 2 :]])
        assert inside.max() < outside.min() - 100, number


def test_edges_of_a_film_are_as_smooth_as_of_many_samples(canvas: Canvas) -> None:
    slanted = sheet(-9.0, 0.0, 2.0)
    slanted.positions[1:3, 0] += np.float32([-0.7, 0.7])
    behind = replace(sheet(-9.0, 9.0, 3.0), albedo=np.full((4, 3), 0.05, np.float32))
    load(canvas, [slanted, behind])
    standing = [camera(0.0)] * 20
    film = list(canvas.film(shots(standing), SIZE, TABLE, defocus=False))
    many = canvas.frame(Shot([camera(0.0)] * 64, np.ones(3)), SIZE, TABLE, defocus=False)
    edge = (many > many.min() + 10) & (many < many.max() - 10)
    assert edge.sum() > 300
    error = [np.abs(one.astype(int) - many)[edge].mean() for one in (film[0], film[-1])]
    assert error[1] < 0.75 * error[0], "smoother than with four samples"


def test_stretches_are_short_enough_that_nothing_passes_in_between() -> None:
    pan = [camera(0.0, turn=0.02 * n) for n in range(60)]
    whip = [camera(0.0, turn=0.3 * n) for n in range(6)]
    for cameras in (SLIDE, pan, [camera(0.0)] * 40):
        found = stations(cameras, SIZE[0])
        assert found[0] == 0 and found[-1] == len(cameras) - 1
        assert max(np.diff(found)) <= LONGEST
        for first, end in pairwise(found):
            assert shift_px(cameras[first], cameras[end], SIZE[0]) <= FARTHEST * SIZE[0]
    assert max(np.diff(stations(whip, SIZE[0]))) < SHORTEST


@pytest.mark.parametrize("step", [0.004, 0.3])
def test_a_frame_on_its_passage_is_the_same_picture(canvas: Canvas, step: float) -> None:
    load(canvas, slats())
    cameras = [camera(step * n) for n in range(8)]
    passage = canvas.passage(cameras, SIZE)
    for number in (0, 3, 7):
        on = canvas.picture(cameras[number], SIZE, np.ones(3), TABLE, on=(passage, number))
        plain = canvas.picture(cameras[number], SIZE, np.ones(3), TABLE)
        assert (np.abs(on.astype(int) - plain) > 2).mean() < 0.002
    load(canvas, [wall(3.0, 40, 20)])
    on = canvas.picture(cameras[0], SIZE, np.ones(3), TABLE, on=(passage, 0))
    plain = canvas.picture(cameras[0], SIZE, np.ones(3), TABLE)
    assert np.array_equal(on, plain), "it finds out anew what another set shows"
    passage.close()


def test_a_smear_within_a_film_is_the_smear_alone(canvas: Canvas) -> None:
    load(canvas, slats())
    quick = [Shot([camera(0.02 * n + 0.002 * k) for k in range(6)], np.ones(3)) for n in range(5)]
    film = list(canvas.film(quick, SIZE, TABLE))
    alone = canvas.frame(quick[3], SIZE, TABLE)
    assert np.abs(film[3].astype(int) - alone).mean() < 0.5
