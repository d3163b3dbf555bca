"""What is read at points all over a set, and pictures without noise."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from oracles.photometry import form_factor_rectangle

from previz.geometry.piece import Piece
from previz.physics.colour import LUMINANCE_WEIGHTS
from previz.render.contract import Ability, Held, RenderSettings

UP = (0.0, 0.0, 1.0)


def held(points, samples: int) -> Held:
    """`samples` points for each receptor, all of them at its place, facing up."""
    count = len(points)
    return Held(
        points_m=np.repeat(np.array(points, np.float32), samples, axis=0),
        normals=np.tile(np.array(UP, np.float32), (count * samples, 1)),
        index=np.repeat(np.arange(count, dtype=np.uint32), samples),
        order=np.tile(np.arange(samples, dtype=np.uint32), count),
        weight=np.full(count * samples, 1.0 / samples, np.float32),
    )


def plate(height_m: float) -> Piece:
    """A plate of 1 m, its underside so high over the origin."""
    mesh = trimesh.creation.box((1.0, 1.0, 0.02))
    mesh.apply_translation((0.0, 0.0, height_m + 0.01))
    return Piece("plate", mesh, "grey")


@pytest.mark.needs(Ability.BAKE)
def test_light_straight_from_a_lamp_is_its_form_factor(back_end, make_stage, kit):
    """Howell, "A catalog of radiation configuration factors", 1982, section B, by layer."""
    lamps = [
        kit.rectangle_light("key", kit.facing((0, 0, 1), (0, 0, -1)), 1000.0),
        kit.rectangle_light("fill", kit.facing((2, 0, 1), (0, 0, -1)), 100.0),
    ]
    points = [[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 0.0, -9.0]]
    stage = make_stage([], lamps, kit.camera())
    assert stage.layers == ("key", "fill")
    *_, (done, light) = back_end.load(stage).arriving().straight(held(points, 4096), len(points))
    assert done == 4096 * len(points)
    for number, (lamp, aside) in enumerate(zip(lamps, (0.0, 2.0), strict=True)):
        shares = [form_factor_rectangle(1.0, 1.0, 1.0 - z, x - aside, 0.0) for x, _, z in points]
        expected = np.pi * lamp.luminance_cd_m2 * np.array(shares)
        np.testing.assert_allclose(light[:, number] @ LUMINANCE_WEIGHTS, expected, rtol=0.005)


@pytest.mark.needs(Ability.BAKE)
def test_how_open_a_point_lies_is_what_a_plate_before_it_leaves_of_the_sky(
    back_end, make_stage, kit
):
    stage = make_stage([plate(0.5)], [], kit.camera())
    arriving = back_end.load(stage).arriving()
    points = [[0.0, 0.0, 0.0], [0.0, 0.0, 2.0]]
    share = form_factor_rectangle(1.0, 1.0, 0.5, 0.0, 0.0)
    opened = arriving.opened(held(points, 16384), 2, 10.0, 4)
    assert opened == pytest.approx([1.0 - share, 1.0], abs=0.005)
    assert arriving.opened(held(points, 64), 2, 0.4, 4) == pytest.approx([1.0, 1.0], abs=1e-6)


@pytest.mark.needs(Ability.BAKE)
def test_rays_meet_the_plate_as_often_as_its_form_factor_says(back_end, make_stage, kit):
    stage = make_stage([plate(0.5)], [], kit.camera(), reflectance=0.3)
    points = held([[0.0, 0.0, 0.0]], 16384)
    *_, (done, met) = back_end.load(stage).arriving().met(points)
    assert done == len(points) == len(met.points_m)
    hit = met.albedo[:, 0] > 0.0
    share = form_factor_rectangle(1.0, 1.0, 0.5, 0.0, 0.0)
    assert hit.mean() == pytest.approx(share, abs=0.005)
    np.testing.assert_allclose(met.albedo[hit], 0.3, rtol=1e-4)
    np.testing.assert_allclose(met.points_m[hit, 2], 0.5, atol=1e-4)
    np.testing.assert_allclose(met.facings[hit], [[0.0, 0.0, -1.0]] * int(hit.sum()), atol=1e-5)


@pytest.mark.needs(Ability.NOISELESS)
def test_another_seed_and_more_samples_are_the_same_picture(back_end, make_stage, kit):
    room = kit.box("room", (4, 4, 3), (0, 0, 0), inside=True)
    light = kit.rectangle_light("key", kit.facing((0, 0, 1.4), (0, 0, -1)), 300.0)
    stage = make_stage([room], [light], kit.camera((0, -1.8, 0), (0, 0, -0.2)))
    renderer = back_end.load(stage)
    pictures = []
    for samples, seed in ((1, 1), (64, 2)):
        exposing = renderer.expose("A", RenderSettings(64, 36, samples, seed=seed))
        exposing.advance(samples)
        pictures.append(exposing.light().beauty)
    np.testing.assert_array_equal(*pictures)
    assert (pictures[0] > 0.0).mean() > 0.9
