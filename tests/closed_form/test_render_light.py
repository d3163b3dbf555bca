"""Light that a back end renders, against closed forms. Sources are named beside each check."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from previz.geometry.gear.emitter import EmitterShape
from previz.geometry.piece import Piece
from previz.physics.colour import LUMINANCE_WEIGHTS
from previz.physics.photometry import form_factor_rectangle
from previz.render.contract import Ability, Settings
from previz.stage.stage import Emitter


def _render(back_end, stage, samples, size=(64, 36), max_depth=-1):
    exposing = back_end.load(stage).expose("A", Settings(*size, samples, max_depth))
    exposing.advance(samples)
    return exposing.light()


@pytest.mark.parametrize(("reflectance", "expected"), [(0.18, 1.219512), (0.5, 2.0), (0.8, 5.0)])
def test_furnace_box_is_as_bright_as_the_geometric_series_says(
    back_end, make_stage, kit, reflectance, expected
):
    """L = Le / (1 - rho) in a closed diffuse box whose walls all glow (geometric series).

    The walls glow because six emitting rectangles line the box; each reflects like the walls.
    """
    sides = [((0, 0, 1), 2), ((0, 1, 0), 1), ((1, 0, 0), 0)]
    emitters = []
    for axis, _ in sides:
        for sign in (1.0, -1.0):
            direction = tuple(-sign * np.array(axis, float))
            pose = kit.facing(tuple(sign * np.array(axis, float)), direction)
            name = f"wall_{len(emitters)}"
            emitters.append(kit.rectangle_light(name, pose, 1.0, 2.0, 2.0, reflectance=reflectance))
    stage = make_stage([], emitters, kit.camera((0, 0, 0), (0.3, 1, 0.2)), reflectance)
    samples = 240 if back_end.variant.startswith("llvm") else 960
    light = _render(back_end, stage, samples)
    mean = float((light.beauty @ LUMINANCE_WEIGHTS).mean())
    assert mean == pytest.approx(expected, rel=0.003)


def test_layers_add_up_to_the_picture(back_end, make_stage, kit):
    """Light transport is linear: the layers' sum is the beauty, and it is a fresh render's."""
    pieces = [
        kit.box("room", (4, 4, 3), (0, 0, 0), inside=True),
        kit.box("cube", (1, 1, 1), (0, 1, -1)),
    ]
    emitters = [
        kit.rectangle_light(
            "key", kit.facing((-1.2, -1, 1.2), (0.8, 1, -0.8)), 900.0, rgb=(1.2, 0.9, 0.8)
        ),
        kit.rectangle_light("fill", kit.facing((1.5, -1, 0.5), (-1, 1, -0.2)), 150.0, 0.6, 0.3),
        kit.rectangle_light("top", kit.facing((0, 0.5, 1.45), (0, 0, -1)), 60.0, 0.4, 0.4),
    ]
    stage = make_stage(pieces, emitters, kit.camera((0, -1.8, 0), (0, 0, -0.2)))
    light = _render(back_end, stage, 48, max_depth=8)
    assert set(light.layers) == {"key", "fill", "top"}
    total = np.sum([image.astype(np.float64) for image in light.layers.values()], axis=0)
    np.testing.assert_allclose(light.beauty, total, rtol=1e-4, atol=1e-7)
    assert all(float(image.mean()) > 0.0 for image in light.layers.values())


def test_layers_equal_plain_path_tracing(compiled, make_stage, kit):
    """The sum of the layers against Mitsuba's own `path` on the same scene, by their means."""
    import mitsuba as mi

    from previz.render.pathtracer.assemble import assemble, sensor

    pieces = [
        kit.box("room", (4, 4, 3), (0, 0, 0), inside=True),
        kit.box("cube", (1, 1, 1), (0, 1, -1)),
    ]
    emitters = [
        kit.rectangle_light("key", kit.facing((-1.2, -1, 1.2), (0.8, 1, -0.8)), 900.0),
        kit.rectangle_light("fill", kit.facing((1.5, -1, 0.5), (-1, 1, -0.2)), 150.0, 0.6, 0.3),
    ]
    stage = make_stage(pieces, emitters, kit.camera((0, -1.8, 0), (0, 0, -0.2)))
    ours = _render(compiled, stage, 512, max_depth=8).beauty
    scene = assemble(stage).scene("A")
    path = mi.load_dict({"type": "path", "max_depth": 8})
    view = sensor(stage.cameras["A"], (64, 36))
    theirs = np.array(mi.render(scene, sensor=view, integrator=path, spp=512))
    assert float(ours.mean()) == pytest.approx(float(theirs.mean()), rel=0.005)
    blocks = (6, 6, 8, 8)
    mine = ours.mean(axis=2).reshape(blocks).mean(axis=(1, 3))
    other = theirs.mean(axis=2).reshape(blocks).mean(axis=(1, 3))
    np.testing.assert_allclose(mine, other, rtol=0.05)


@pytest.mark.parametrize(
    ("distance", "offset", "share"),
    [(1.0, (0.0, 0.0), 0.2394565), (2.0, (0.0, 0.0), 0.0734776), (1.0, (1.0, 0.0), 0.0843537)],
)
def test_a_rectangle_lights_a_plane_by_its_form_factor(
    back_end, make_stage, kit, distance, offset, share
):
    """E = pi L F, with F of a parallel rectangle: Howell's catalogue B-3 (number from memory)
    and the polygon form of Baum, Rushmeier and Winget 1989, equal to 1e-14.

    A card of reflectance 0.5 seen at a point shows L = rho E / pi.
    """  # fmt: skip
    assert form_factor_rectangle(1.0, 1.0, distance, *offset) == pytest.approx(share, rel=1e-5)
    card = Piece("card", trimesh.creation.box((0.02, 0.02, 0.001)), "grey")
    pose = kit.facing((offset[0], offset[1], distance + 0.0005), (0, 0, -1))
    light = kit.rectangle_light("key", pose, 1000.0)
    view = kit.camera(
        (-0.0, -0.35, 0.35),
        (0, 0, 0.0005),
        focal_length_m=1.2,
        focus_distance_m=0.495,
        f_number=400.0,
    )
    stage = make_stage([card], [light], view)
    rendered = _render(back_end, stage, 8192, size=(16, 8), max_depth=2)
    middle = rendered.beauty[2:6, 5:11] @ LUMINANCE_WEIGHTS
    expected = 0.5 * 1000.0 * share
    assert float(middle.mean()) == pytest.approx(expected, rel=0.005)


def test_a_meter_reads_the_form_factor(back_end, make_stage, kit):
    """The same rectangle, read by the meter; and the floor beside a panel that stands on it."""
    light = kit.rectangle_light("key", kit.facing((0, 0, 1), (0, 0, -1)), 1000.0)
    stage = make_stage([], [light], kit.camera())
    points = np.array([[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, -1.0]])
    up = np.tile([0.0, 0.0, 1.0], (3, 1))
    read = back_end.load(stage).meter(points, up, 16384)["key"] @ LUMINANCE_WEIGHTS
    # Rows 3.5 and 3.6: 752.275, 265.005 and 230.837 lx.
    np.testing.assert_allclose(read, [752.275, 265.005, 230.837], rtol=0.01)


def test_a_beam_keeps_its_axis_intensity_and_half_value_angle(back_end, make_stage, kit):
    """A fresnel of beam angle 40 degrees: E = I / d^2 on the axis, half of I at 20 degrees.

    Far enough (4 m from a 10 cm disc) that inverse square holds to 0.1 %.
    """
    cosines = np.linspace(0.0, 1.0, 64)
    angle = np.degrees(np.arccos(np.maximum(cosines, 1e-3)))
    profile = np.exp(-np.log(2.0) * (angle / 20.0) ** 2) / np.maximum(cosines, 1e-3)
    disc = EmitterShape("disc", kit.facing((0, 0, 4), (0, 0, -1)), radius_m=0.05)
    lamp = Emitter("hair", "lights.hair", disc, 1.0e5, np.ones(3), profile=profile)
    axis_cd = 1.0e5 * np.pi * 0.05**2
    for tilt_deg, relative in ((0.0, 1.0), (20.0, 0.5)):
        tilt = np.radians(tilt_deg)
        spot = np.array([4.0 * np.tan(tilt), 0.0, 0.0])
        card = trimesh.creation.box((0.02, 0.02, 0.001))
        card.apply_translation(spot - [0, 0, 0.0005])
        view = kit.camera(
            tuple(np.add(spot, [0.0, -0.35, 0.35])), tuple(spot),
            focal_length_m=1.2, focus_distance_m=0.495, f_number=400.0,
        )  # fmt: skip
        stage = make_stage([Piece("card", card, "grey")], [lamp], view)
        rendered = _render(back_end, stage, 256, size=(16, 8), max_depth=2)
        lux = float((rendered.beauty[2:6, 5:11] @ LUMINANCE_WEIGHTS).mean()) * np.pi / 0.5
        distance_m = 4.0 / np.cos(tilt)
        expected = axis_cd * relative * np.cos(tilt) / distance_m**2
        # A spot light's ramp is straight where the profile is round: same axis, same half value.
        assert lux == pytest.approx(expected, rel=0.02)


def test_light_doubles_exactly_with_the_lamp(compiled, make_stage, kit):
    """Linearity with the same seed: twice the luminance is twice the picture."""
    pieces = [kit.box("room", (4, 4, 3), (0, 0, 0), inside=True)]
    pose = kit.facing((0, 0, 1.4), (0, 0, -1))
    view = kit.camera((0, -1.8, 0), (0, 0, -0.2))
    pictures = [
        _render(compiled, make_stage(pieces, [kit.rectangle_light("key", pose, lum)], view), 8)
        for lum in (100.0, 200.0)
    ]
    np.testing.assert_allclose(pictures[1].beauty, 2.0 * pictures[0].beauty, rtol=1e-5)


def test_only_abilities_that_are_held_to_account_are_claimed(back_end):
    held = {Ability.LIGHT_LAYERS, Ability.THIN_LENS, Ability.BOUNCES, Ability.METER, Ability.HAIR}
    assert held <= back_end.abilities
    assert (Ability.BEAMS in back_end.abilities) == back_end.compiled
    assert (Ability.OUTSIDE in back_end.abilities) == back_end.compiled
