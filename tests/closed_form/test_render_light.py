"""Light that a back end renders, against closed forms. Sources are named beside each check."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from oracles.photometry import form_factor_rectangle

from previz.catalog import Catalog
from previz.geometry.gear.emitter import EmitterShape
from previz.geometry.piece import Piece
from previz.model.lights import Light
from previz.physics import beam, emitters
from previz.physics.colour import LUMINANCE_WEIGHTS
from previz.physics.ies import read_ies
from previz.render.backends import TABLE
from previz.render.contract import Ability, RenderSettings
from previz.render.qualities import EFFORTS
from previz.stage.emission import emission
from previz.stage.environment import Environment
from previz.stage.stage import Emitter


def _render(back_end, stage, samples, size=(64, 36), max_depth=-1):
    exposing = back_end.load(stage).expose("A", RenderSettings(*size, samples, max_depth))
    exposing.advance(samples)
    return exposing.light()


@pytest.mark.needs(Ability.BOUNCES, Ability.LIT_LAMPS)
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
    samples = 240 if Ability.ONE_PASS in back_end.abilities else 960
    light = _render(back_end, stage, samples)
    mean = float((light.beauty @ LUMINANCE_WEIGHTS).mean())
    assert mean == pytest.approx(expected, rel=0.003)


@pytest.mark.needs(Ability.BOUNCES, Ability.METER)
@pytest.mark.parametrize("reflectance", [0.5, 0.8])
def test_no_light_is_lost_on_long_paths(back_end, make_stage, kit, reflectance):
    """A lit white room, rendered and metered as the product does it, within 1 %.

    Ulbricht's sphere: light that is scattered inside a closed matt sphere of reflectance rho
    adds the same everywhere, E = rho / (1 - rho) x flux / surface (R. Ulbricht 1900, as in any
    text on integrating spheres). A small lamp in the middle gives E = flux / surface besides.
    """
    sphere = trimesh.creation.icosphere(4, 2.0)
    sphere.invert()
    walls = Piece("walls", sphere, "grey", smooth=True)
    shape = EmitterShape("sphere", np.eye(4), radius_m=0.05)
    lamp = Emitter("lamp", "lights.lamp", shape, 5000.0, np.ones(3))
    view = kit.camera((0.0, -1.0, 0.0), (0.0, -2.0, 0.0))
    stage = make_stage([walls], [lamp], view, reflectance)
    flux = np.pi * 5000.0 * 4.0 * np.pi * 0.05**2
    # The lamp is black and takes its share of what comes back to it.
    held = 1.0 - 0.05**2 / 2.0**2
    surface = 4.0 * np.pi * 2.0**2
    lux = flux / surface / (1.0 - reflectance * held)
    renderer = back_end.load(stage)
    effort = EFFORTS["review"]
    exposing = renderer.expose("A", RenderSettings(64, 36, effort.samples))
    for _ in range(24):
        exposing.advance(effort.samples)
    seen = float((exposing.light().beauty @ LUMINANCE_WEIGHTS).mean())
    assert seen == pytest.approx(reflectance * lux / np.pi, rel=0.01)
    at = np.array([[0.0, 1.9, 0.0]])
    metered = renderer.meter(at, np.array([[0.0, -1.0, 0.0]]), 32768)["lamp"] @ LUMINANCE_WEIGHTS
    scattered = lux - flux / surface
    direct = np.pi * 5000.0 * 0.05**2 / 1.9**2
    assert float(metered[0]) == pytest.approx(direct + scattered, rel=0.01)


@pytest.mark.needs(Ability.BOUNCES, Ability.LIGHT_LAYERS)
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


@pytest.mark.needs(Ability.BOUNCES, Ability.ONE_PASS)
def test_layers_equal_plain_path_tracing(back_end, make_stage, kit):
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
    ours = _render(back_end, stage, 512, max_depth=8).beauty
    scene = assemble(stage).scene()
    path = mi.load_dict({"type": "path", "max_depth": 8})
    view = sensor(stage.cameras["A"], (64, 36))
    theirs = np.array(mi.render(scene, sensor=view, integrator=path, spp=512))
    assert float(ours.mean()) == pytest.approx(float(theirs.mean()), rel=0.005)
    blocks = (6, 6, 8, 8)
    mine = ours.mean(axis=2).reshape(blocks).mean(axis=(1, 3))
    other = theirs.mean(axis=2).reshape(blocks).mean(axis=(1, 3))
    np.testing.assert_allclose(mine, other, rtol=0.05)


@pytest.mark.needs(Ability.BOUNCES)
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
    # A bake reads a lamp as near as its own size at 20 unlike points, within 3 % at each corner.
    rel = 0.03 if Ability.NOISELESS in back_end.abilities else 0.005
    assert float(middle.mean()) == pytest.approx(expected, rel=rel)


UP = (0.0, 0.0, 1.0)


def metered(back_end, make_stage, kit, light, points, normals=None, samples=16384):
    """Lux at points (n, 3), on receptors facing up unless told otherwise."""
    at = np.array(points, float)
    facing = np.tile(UP, (len(at), 1)) if normals is None else np.array(normals, float)
    stage = make_stage([], [light], kit.camera())
    read = back_end.load(stage).meter(at, facing, samples)
    return read[light.layer] @ LUMINANCE_WEIGHTS


@pytest.mark.needs(Ability.METER)
def test_a_meter_reads_the_form_factor_of_a_rectangle(back_end, make_stage, kit):
    light = kit.rectangle_light("key", kit.facing((0, 0, 1), (0, 0, -1)), 1000.0)
    points = [[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 0.0, -9.0]]
    read = metered(back_end, make_stage, kit, light, points)
    # Howell, "A catalog of radiation configuration factors", 1982, section B.
    np.testing.assert_allclose(read, [752.275, 265.005, 230.837, 9.96678], rtol=0.01)


@pytest.mark.needs(Ability.METER)
def test_a_meter_reads_the_floor_before_an_upright_panel(back_end, make_stage, kit):
    """A panel of 1 m, 1 m away, standing on the floor; then 1 m over it: Tregenza and Sharples,
    "Daylighting algorithms", 1993, 3.15."""
    for bottom_m, expected in ((0.0, 223.347), (1.0, 141.919)):
        pose = kit.facing((0, 1, bottom_m + 0.5), (0, -1, 0))
        light = kit.rectangle_light("key", pose, 1000.0)
        read = metered(back_end, make_stage, kit, light, [[0.0, 0.0, 0.0]], samples=65536)
        assert read[0] == pytest.approx(expected, rel=0.01)


def disc_light(kit, position, radius_m, luminance, profile=None):
    shape = EmitterShape("disc", kit.facing(position, (0, 0, -1)), radius_m=radius_m)
    return Emitter("key", "lights.key", shape, luminance, np.ones(3), profile=profile)


@pytest.mark.needs(Ability.METER)
def test_a_meter_reads_the_form_factor_of_a_disc(back_end, make_stage, kit):
    """On and off the axis: Howell, "A catalog of radiation configuration factors", 1982, B."""
    light = disc_light(kit, (0, 0, 1), 1.0, 1000.0)
    points = [[0.0, 0.0, 0.0], [0.0, 0.0, -1.0], [1.0, 0.0, 0.0]]
    read = metered(back_end, make_stage, kit, light, points)
    np.testing.assert_allclose(read, [1570.796, 628.319, 868.315], rtol=0.01)


@pytest.mark.needs(Ability.METER)
def test_a_meter_reads_a_sphere(back_end, make_stage, kit):
    """Closed form, far and near: E = pi L (R / d)^2 at any distance."""
    shape = EmitterShape("sphere", kit.facing((0, 0, 2), (0, 0, -1)), radius_m=0.25)
    light = Emitter("key", "lights.key", shape, 1000.0, np.ones(3))
    read = metered(back_end, make_stage, kit, light, [[0.0, 0.0, 0.0], [0.0, 0.0, 1.5]])
    np.testing.assert_allclose(read, [49.0874, np.pi * 1000.0 * 0.25], rtol=0.01)


@pytest.mark.needs(Ability.METER)
@pytest.mark.parametrize(("sizes", "excess"), [(1.0, 0.25), (2.0, 0.0625), (5.0, 0.01)])
def test_inverse_square_fails_near_a_disc_as_it_must(back_end, make_stage, kit, sizes, excess):
    """What the law says too much at so many diameters, by the disc's r^2 / (r^2 + h^2)."""
    light = disc_light(kit, (0, 0, 0), 0.25, 1000.0)
    distance = sizes * 0.5
    read = metered(back_end, make_stage, kit, light, [[0.0, 0.0, -distance]])
    by_law = 1000.0 * np.pi * 0.25**2 / distance**2
    assert by_law / read[0] - 1.0 == pytest.approx(excess, abs=0.004)


@pytest.mark.needs(Ability.METER, Ability.LIGHT_LAYERS)
def test_lights_add_up_at_a_meter(back_end, make_stage, kit):
    """Each light alone is the layer that it is among others."""
    lights = [
        kit.rectangle_light("key", kit.facing((0, 0, 1), (0, 0, -1)), 1000.0),
        kit.rectangle_light("fill", kit.facing((1, 0, 1), (0, 0, -1)), 500.0, rgb=(1.2, 0.9, 0.8)),
    ]
    point, up = np.zeros((1, 3)), np.array([UP])
    together = back_end.load(make_stage([], lights, kit.camera())).meter(point, up, 16384)
    for light in lights:
        alone = back_end.load(make_stage([], [light], kit.camera())).meter(point, up, 16384)
        np.testing.assert_allclose(together[light.layer], alone[light.layer], rtol=0.01)


# --- beams -----------------------------------------------------------------------------------


def disc_lux(profile, radius_m, height_m, off_m):
    """By hand: lux on a level receptor `height_m` under a disc that shines down, `off_m` aside.

    The sum over 400 x 720 parts of the disc of L(theta) cos cos' / r^2, L0 = 1.
    """
    rho = (np.arange(400) + 0.5) / 400 * radius_m
    phi = (np.arange(720) + 0.5) / 720 * 2.0 * np.pi
    x, y = rho[:, None] * np.cos(phi), rho[:, None] * np.sin(phi)
    square = (x - off_m) ** 2 + y**2 + height_m**2
    cosine = height_m / np.sqrt(square)
    part = rho[:, None] * radius_m / 400 * 2.0 * np.pi / 720
    return float(np.sum(profile(np.arccos(cosine)) * cosine / square * part))


@pytest.mark.needs(Ability.METER, Ability.BEAMS)
@pytest.mark.parametrize("beam_deg", [10.0, 20.0, 40.0, 60.0])
def test_a_fresnel_lights_its_axis_and_its_edge_near_and_far(back_end, make_stage, kit, beam_deg):
    """Beams of 10 to 60 degrees from a 15 cm lens, 0.3 to 8 m away: axis, half value, a third."""
    profile = beam.gaussian_like(beam_deg, 1.6 * beam_deg)
    light = disc_light(kit, (0, 0, 0), 0.075, 1.0e5, beam.relative_luminance(profile))
    points, expected = [], []
    for distance in (0.3, 1.0, 3.0, 8.0):
        for share in (0.0, 0.5, 0.33):
            off = distance * np.tan(np.radians(share * beam_deg))
            points.append([off, 0.0, -distance])
            expected.append(1.0e5 * disc_lux(profile, 0.075, distance, off))
    # Near, few samples of the lens are seen within a narrow beam.
    read = metered(back_end, make_stage, kit, light, points, samples=1 << 18)
    np.testing.assert_allclose(read, expected, rtol=0.01)


def test_the_sum_by_hand_is_the_ring_integral_on_the_axis():
    profile = beam.gaussian_like(10.0, 16.0)
    lens = emitters.Disc(0.15)
    for distance in (0.3, 3.0):
        by_rings = emitters.axis_illuminance_lx(lens, 1.0, distance, profile)
        assert disc_lux(profile, 0.075, distance, 0.0) == pytest.approx(by_rings, rel=1e-4)


@pytest.mark.needs(Ability.METER)
@pytest.mark.parametrize("beam_deg", [10.0, 40.0])
def test_a_beam_keeps_its_axis_intensity_and_half_value_angle(back_end, make_stage, kit, beam_deg):
    """E = I / d^2 on the axis, half of I at half the beam angle.

    Far enough (4 m from a 10 cm disc) that inverse square holds to 0.1 %.
    """
    profile = beam.gaussian_like(beam_deg, 1.6 * beam_deg)
    light = disc_light(kit, (0, 0, 0), 0.05, 1.0e5, beam.relative_luminance(profile))
    half = np.radians(beam_deg / 2.0)
    points = [[0.0, 0.0, -4.0], [4.0 * np.tan(half), 0.0, -4.0]]
    read = metered(back_end, make_stage, kit, light, points)
    axis = 1.0e5 * np.pi * 0.05**2 / 16.0
    # A small disc is not a point: its near and far rim see the steep edge differently.
    np.testing.assert_allclose(read, [axis, 0.5 * axis * np.cos(half) ** 3], rtol=0.01)


@pytest.mark.needs(Ability.METER)
def test_a_measured_light_sends_its_candela_in_every_direction(back_end, make_stage, kit):
    """An LM-63 file, lopsided all round, behind a small face: E = I(theta, phi) cos / d^2."""
    vertical, around = np.arange(0, 91, 7.5), np.arange(0, 361, 22.5)
    shape = (2.0 + np.cos(np.radians(around)) + 0.5 * np.sin(np.radians(2.0 * around)))[:, None]
    candela = 400.0 + 300.0 * shape * (1.0 - np.cos(np.radians(3.0 * vertical)))
    rows = "\n".join(" ".join(f"{v:.3f}" for v in row) for row in candela)
    found = read_ies(
        "IESNA:LM-63-2002\nTILT=NONE\n1 -1 2.0 13 17 1 2 0.1 0.1 0\n1 1 50\n"
        f"{' '.join(map(str, vertical))}\n{' '.join(map(str, around))}\n{rows}\n"
    )
    light = Light.model_validate(
        {"fixture": "panel_40", "place": {"at_m": (0.0, 0.0), "height_m": 4.0}, "dimmer_pct": 50.0}
    )
    face = EmitterShape(
        "rectangle", kit.facing((0, 0, 4), (0, 1, 0)), width_m=0.005, height_m=0.005
    )
    out = emission(Catalog.load().fixture("panel_40"), light, face, (), found)
    lamp = Emitter("key", "lights.key", face, out.luminance_cd_m2, out.rgb, profile=out.profile)
    directions = [(t, p) for t in (0, 11, 30, 52, 75) for p in (0, 20, 90, 135, 250, 345)]
    theta, phi = np.radians(np.array(directions, float)).T
    # Seen from behind a light that shines along +Y, right is +X.
    way = np.stack([np.sin(theta) * np.cos(phi), np.cos(theta), np.sin(theta) * np.sin(phi)], 1)
    read = metered(back_end, make_stage, kit, lamp, [0, 0, 4] + 3.0 * way, -way, 4096)
    expected = 0.5 * found.intensity_cd(np.degrees(theta), np.degrees(phi)) / 9.0
    np.testing.assert_allclose(read, expected, rtol=0.01)


@pytest.mark.needs(Ability.METER)
def test_a_tinted_window_tints_what_it_lets_in(back_end, make_stage, kit):
    """An even sky of 1000 cd/m2 behind a window of 1 m that lets 40 % in, tinted by its gels."""
    tint = np.array([1.3, 0.95, 0.6])
    pose = kit.facing((0, 0, 1), (0, 0, -1))
    window = EmitterShape("rectangle", pose, width_m=1.0, height_m=1.0)
    light = Emitter("window", "openings.window", window, 0.4, tint, window=True)
    environment = Environment(np.full((16, 32, 3), 1000.0, np.float32))
    stage = make_stage([], [light], kit.camera(), environment=environment)
    read = back_end.load(stage).meter(np.zeros((1, 3)), np.array([UP]), 16384)["window"][0]
    np.testing.assert_allclose(read, 752.275 * 0.4 * tint, rtol=0.01)


@pytest.mark.needs(Ability.BOUNCES, Ability.ONE_PASS)
def test_light_doubles_exactly_with_the_lamp(back_end, make_stage, kit):
    """Linearity with the same seed: twice the luminance is twice the picture."""
    pieces = [kit.box("room", (4, 4, 3), (0, 0, 0), inside=True)]
    pose = kit.facing((0, 0, 1.4), (0, 0, -1))
    view = kit.camera((0, -1.8, 0), (0, 0, -0.2))
    pictures = [
        _render(back_end, make_stage(pieces, [kit.rectangle_light("key", pose, lum)], view), 8)
        for lum in (100.0, 200.0)
    ]
    np.testing.assert_allclose(pictures[1].beauty, 2.0 * pictures[0].beauty, rtol=1e-5)


def test_a_back_end_can_do_what_its_row_in_the_table_says(back_end):
    assert back_end.abilities == TABLE[back_end.name].abilities(back_end.variant)
