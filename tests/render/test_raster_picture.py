"""What is drawn at once, held to closed forms: where things are, and how bright."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from previz.catalog import Catalog
from previz.develop.exposure import expose, exposure_scale
from previz.develop.table import table_of
from previz.develop.view import develop
from previz.geometry.gear.emitter import EmitterShape
from previz.physics.beam import gaussian_like, luminance_angles_rad, relative_luminance
from previz.physics.white import neutral_gains, white_xy
from previz.render.drawn import DrawnMesh, Pattern
from previz.render.patterns import figure_of, tile_of, two_colours
from previz.render.raster import Canvas
from previz.stage.environment import Environment, Sun
from previz.stage.placing import looking
from previz.stage.stage import Emitter, StageCamera

SIZE = (320, 180)
WHITE = np.ones(3)
CATALOG = Catalog.load()


def camera(
    position: tuple[float, float, float] = (0.0, -2.0, 1.0),
    target: tuple[float, float, float] = (0.0, 0.0, 1.0),
    focal_length_m: float = 0.035,
    name: str = "A",
) -> StageCamera:
    lens = (0.036, 0.02025, focal_length_m, 2.8, 3.0, 2.0, 25.0, 0.02, 800.0, 0.0)
    return StageCamera(name, looking(position, target), *lens)


def quad(
    corners: np.ndarray | None = None, thing: int = 1, albedo: float = 0.5, **other: object
) -> DrawnMesh:
    """Four corners, counter-clockwise from the side that they face; to -Y by default."""
    if corners is None:
        corners = np.array([[-1, 0, 0], [1, 0, 0], [1, 0, 2], [-1, 0, 2]], float)
    normal = np.cross(corners[1] - corners[0], corners[3] - corners[0])
    normal = np.repeat(normal[None] / np.linalg.norm(normal), 4, axis=0)
    return DrawnMesh(
        thing,
        str(other.pop("owner", "")),
        corners.astype(np.float32),
        normal.astype(np.float32),
        np.array([[0, 1, 2], [0, 2, 3]], np.uint32),
        np.full((4, 3), albedo, np.float32) * np.array([1.0, 0.8, 0.5], np.float32),
        **other,
    )


def even(meshes: list[DrawnMesh], light: float = 100.0) -> list[np.ndarray]:
    return [np.full(mesh.positions.shape, light, np.float32) for mesh in meshes]


def shown(canvas: Canvas, *meshes: DrawnMesh, emitters=(), environment=None, patterns=()) -> None:
    things = [40 + n for n in range(len(emitters))]
    canvas.load(list(meshes), list(patterns), list(emitters), environment, things)
    canvas.shine(even(list(meshes)))


def centres(size: tuple[int, int] = SIZE) -> np.ndarray:
    """Centres of pixels, (height, width, 2)."""
    return np.stack(np.meshgrid(np.arange(size[0]) + 0.5, np.arange(size[1]) + 0.5), axis=-1)


def rays(seen_by: StageCamera, size: tuple[int, int] = SIZE) -> np.ndarray:
    """Directions through the centres with a depth of 1 m along the axis, (height, width, 3)."""
    at = centres(size) / size - 0.5
    local = np.stack(
        [
            at[..., 0] * seen_by.sensor_width_m / seen_by.focal_length_m,
            -at[..., 1] * seen_by.sensor_height_m / seen_by.focal_length_m,
            -np.ones(at.shape[:2]),
        ],
        axis=-1,
    )
    return local @ seen_by.pose[:3, :3].T


# --- where things are ------------------------------------------------------------------------


TILTED = np.array([[-0.5, 0.1, 0.6], [0.7, -0.3, 0.5], [0.6, 0.4, 1.5], [-0.6, 0.8, 1.6]])
TILTED[3] = TILTED[0] + TILTED[2] - TILTED[1]


@pytest.mark.parametrize("size", [SIZE, (200, 200)])
def test_edges_lie_where_the_camera_projects_them(canvas, size):
    seen_by = camera((0.3, -1.7, 1.2), (0.0, 0.0, 1.0))
    shown(canvas, quad(TILTED))
    found = canvas.guides(seen_by, size).objects == 1
    outline = seen_by.project(TILTED, *size)
    inside = np.full(found.shape, np.inf)
    for start, end in zip(outline, np.roll(outline, -1, axis=0), strict=True):
        along = (end - start) / np.linalg.norm(end - start)
        across = np.array([along[1], -along[0]])
        inside = np.minimum(inside, (centres(size) - start) @ across)
    assert 3000 < found.sum() < 0.6 * found.size
    clear_of_edges = np.abs(inside) > 0.02
    np.testing.assert_array_equal(found[clear_of_edges], inside[clear_of_edges] > 0.0)


def test_depth_is_that_of_the_plane_and_what_is_behind_is_hidden(canvas):
    seen_by = camera((0.3, -1.7, 1.2), (0.0, 0.0, 1.0))
    wall = quad(np.array([[-9, 3, -9], [9, 3, -9], [9, 3, 9], [-9, 3, 9]], float), 7)
    shown(canvas, wall, quad(TILTED, 300))
    guides = canvas.guides(seen_by, SIZE)
    assert set(np.unique(guides.objects)) == {7, 300}
    normal = np.cross(TILTED[1] - TILTED[0], TILTED[3] - TILTED[0])
    for thing, point, facing in ((300, TILTED[0], normal), (7, np.array([0, 3, 0]), [0, -1, 0])):
        here = guides.objects == thing
        depth = (point - seen_by.position_m) @ facing / (rays(seen_by)[here] @ facing)
        np.testing.assert_allclose(guides.depth[here], depth, rtol=1e-5)
        unit = np.asarray(facing, float) / np.linalg.norm(facing)
        np.testing.assert_allclose(guides.normal[here], np.tile(unit, (len(depth), 1)), atol=1e-4)


def test_nothing_is_infinitely_far(canvas):
    shown(canvas)
    guides = canvas.guides(camera(), SIZE)
    assert np.all(np.isinf(guides.depth)) and not guides.objects.any()
    assert not canvas.light(camera(), SIZE).any()


def test_sheets_a_tenth_of_a_millimetre_apart_are_told_apart_ten_metres_away(canvas):
    corners = np.array([[-3, 8, -3], [3, 8, -3], [3, 8, 3], [-3, 8, 3]], float)
    shown(canvas, quad(corners + np.array([0, 1e-4, 0]), 1), quad(corners, 2))
    assert np.all(canvas.guides(camera(focal_length_m=0.1), SIZE).objects == 2)


def test_a_camera_does_not_see_its_own_gear(canvas):
    shown(canvas, quad(thing=1), quad(quad().positions.astype(float) - [0, 0.5, 0], 2, owner="A"))
    assert np.all(canvas.guides(camera(), SIZE).objects[80:100, 100:200] == 1)
    assert np.all(canvas.guides(camera(name="B"), SIZE).objects[80:100, 100:200] == 2)


def test_of_what_is_hollow_only_the_face_is_seen(canvas):
    behind = camera((0.0, 2.0, 1.0))
    shown(canvas, quad())
    assert canvas.guides(behind, SIZE).objects[90, 160] == 1
    shown(canvas, quad(hollow=True))
    assert canvas.guides(behind, SIZE).objects[90, 160] == 0
    assert canvas.guides(camera(), SIZE).objects[90, 160] == 1


def test_each_side_of_a_sheet_has_its_own_light(canvas):
    front = quad()
    both = replace(
        front,
        positions=np.concatenate([front.positions, front.positions]),
        normals=np.concatenate([front.normals, -front.normals]),
        albedo=np.concatenate([front.albedo, front.albedo]),
        faces=np.concatenate([front.faces, front.faces[:, ::-1] + 4]).astype(np.uint32),
    )
    canvas.load([both], [], [], None, [])
    canvas.shine([np.repeat([[100.0] * 3, [10.0] * 3], 4, axis=0).astype(np.float32)])
    for place, light in ((-2.0, 100.0), (2.0, 10.0)):
        found = canvas.light(camera((0.0, place, 1.0)), SIZE)[90, 160, 0]
        assert found == pytest.approx(0.5 * light, rel=2e-3)


# --- how bright ------------------------------------------------------------------------------


def test_light_is_albedo_times_light(canvas):
    mesh = quad(albedo=0.37)
    canvas.load([mesh], [], [], None, [])
    canvas.shine([np.array([[50, 60, 70]] * 2 + [[250, 260, 270]] * 2, np.float32)])
    seen_by = camera()
    light = canvas.light(seen_by, SIZE)
    albedo = 0.37 * np.array([1.0, 0.8, 0.5])
    for row, column in ((90, 160), (40, 100), (150, 210)):
        height = seen_by.position_m[2] + 2.0 * rays(seen_by)[row, column, 2]
        expected = albedo * (np.array([50, 60, 70]) + 200.0 * height / 2.0)
        np.testing.assert_allclose(light[row, column], expected, rtol=2e-3)
    np.testing.assert_allclose(canvas.guides(seen_by, SIZE).albedo[90, 160], albedo, rtol=1e-3)


def patterned(name: str, side_m: float, offset_m: float = 0.0) -> tuple[DrawnMesh, object]:
    material = CATALOG.material(name)
    first, second = two_colours(material)
    mesh = quad(np.array([[-1, 0, -1], [1, 0, -1], [1, 0, 1], [-1, 0, 1]]) * side_m / 2.0)
    pattern = Pattern(
        np.zeros(4, np.uint16),
        (mesh.positions[:, [0, 2]] + np.float32(offset_m)).astype(np.float32),
        np.tile(second, (4, 1)).astype(np.float32),
    )
    albedo = np.tile(first, (4, 1)).astype(np.float32)
    return replace(mesh, albedo=albedo, pattern=pattern), material


@pytest.mark.parametrize("name", ["oak", "brick_red", "cloth_linen"])
@pytest.mark.parametrize("tiles", [1, 40])
def test_a_pattern_has_the_mean_of_its_tile_near_and_far(canvas, name, tiles):
    size_m = figure_of(CATALOG.material(name)).size_m
    mesh, material = patterned(name, tiles * size_m)
    canvas.load([mesh], [material], [], None, [])
    canvas.shine(even([mesh]))
    # The picture is exactly as wide and as high as the mesh.
    seen_by = camera((0, -1.2 * tiles * size_m, 0), (0, 0, 0), 0.036 * 1.2)
    seen_by = replace(seen_by, sensor_height_m=0.036)
    tile = tile_of(material).colour
    mean = canvas.light(seen_by, (160, 160)).mean(axis=(0, 1))
    np.testing.assert_allclose(mean, 100.0 * tile.mean(axis=(0, 1)), rtol=0.02)


def test_a_pattern_lies_where_the_tile_has_it(canvas):
    size_m = figure_of(CATALOG.material("brick_red")).size_m
    mesh, material = patterned("brick_red", size_m, size_m / 2.0)
    canvas.load([mesh], [material], [], None, [])
    canvas.shine(even([mesh], 1.0))
    seen_by = replace(camera((0, -1, 0), (0, 0, 0), 0.036 / size_m), sensor_height_m=0.036)
    tile = tile_of(material).colour
    side = 128
    step = len(tile) // side
    reduced = (
        tile[: side * step, : side * step].reshape(side, step, side, step, 3).mean(axis=(1, 3))
    )
    # Columns run along u; rows along v, which rises in the picture.
    found = canvas.light(seen_by, (side, side))[::-1]
    here = np.corrcoef(found[..., 0].ravel(), reduced[..., 0].ravel())[0, 1]
    assert here > 0.97
    for turned in (found[::-1], found[:, ::-1], np.roll(found, 3, axis=1), np.roll(found, 3, 0)):
        assert np.corrcoef(turned[..., 0].ravel(), reduced[..., 0].ravel())[0, 1] < here - 0.02


def facing(position: tuple[float, float, float], towards: tuple[float, float, float]) -> np.ndarray:
    """A pose whose +Z points from a position to another: a camera's, turned round."""
    pose = np.array(looking(position, towards), float)
    pose[:3, 0] *= -1.0
    pose[:3, 2] *= -1.0
    return pose


@pytest.mark.parametrize("kind", ["rectangle", "disc", "cylinder", "sphere"])
def test_a_matt_lamp_has_its_luminance_from_everywhere_before_it(canvas, kind):
    pose = facing((0, 0, 1), (0, -1, 1))
    shape = EmitterShape(kind, pose, 0.8, 0.6, 0.3, 0.7)
    lamp = Emitter("key", "lights.key", shape, 1.0e6, np.array([1.2, 0.9, 1.3]))
    shown(canvas, emitters=[lamp])
    for place in ((0.0, -2.0, 1.0), (1.2, -1.5, 1.4)):
        light = canvas.light(camera(place), SIZE)
        np.testing.assert_allclose(light[90, 160], lamp.power, rtol=1e-5)
        assert canvas.guides(camera(place), SIZE).objects[90, 160] == 40
    # A flat face is dark from behind, and hides what it stands before.
    light = canvas.light(camera((0.1, 2.0, 1.0)), SIZE)[90, 160]
    if kind in ("rectangle", "disc"):
        assert not light.any()
    else:
        np.testing.assert_allclose(light, lamp.power, rtol=1e-5)


@pytest.mark.parametrize(
    ("shape", "area_m2"),
    [
        (EmitterShape("rectangle", np.eye(4), 0.8, 0.6), 0.48),
        (EmitterShape("disc", np.eye(4), radius_m=0.3), np.pi * 0.09),
        (EmitterShape("sphere", np.eye(4), radius_m=0.3), np.pi * 0.09),
    ],
)
def test_a_lamp_has_its_size(canvas, shape, area_m2):
    far = 30.0
    placed = replace(shape, pose=facing((0, far, 1), (0, 0, 1)))
    shown(canvas, emitters=[Emitter("key", "lights.key", placed, 1.0, np.ones(3))])
    seen_by = camera((0, 0, 1), (0, far, 1), 1.0)
    pixel_m = seen_by.sensor_width_m / seen_by.focal_length_m * far / 640
    found = canvas.light(seen_by, (640, 360))[..., 1].sum() * pixel_m**2
    assert found == pytest.approx(area_m2, rel=3e-3)


def test_a_beam_fades_off_its_axis(canvas):
    profile = gaussian_like(30.0, 55.0)
    table = relative_luminance(profile)
    rows = np.stack([table, table * 0.5, table * 0.25, table * 0.5])
    for given, by_azimuth in ((table, (1.0, 1.0)), (rows, (1.0, 0.25))):
        shape = EmitterShape("disc", facing((0, 0, 1), (0, -1, 1)), radius_m=0.3)
        lamp = Emitter("key", "lights.key", shape, 1000.0, np.ones(3), profile=given)
        shown(canvas, emitters=[lamp])
        angle = float(luminance_angles_rad()[120])
        for sign, share in zip((1.0, -1.0), by_azimuth, strict=True):
            # Azimuth 0 lies to the right seen from behind the light, which throws to -Y.
            place = (-sign * 2.0 * np.sin(angle), -2.0 * np.cos(angle), 1.0)
            # The lens axis passes between four pixels.
            light = canvas.light(camera(place), SIZE)[89:91, 159:161].mean(axis=(0, 1))
            np.testing.assert_allclose(light, 1000.0 * share * table[120], rtol=0.01)


def panorama() -> np.ndarray:
    rng = np.random.default_rng(3)
    coarse = rng.uniform(100.0, 9000.0, (8, 16, 3))
    return np.repeat(np.repeat(coarse, 16, axis=0), 16, axis=1).astype(np.float32)


def outside(picture: np.ndarray, direction: np.ndarray) -> np.ndarray:
    height, width = picture.shape[:2]
    around = np.arctan2(direction[0], -direction[1]) / (2.0 * np.pi) % 1.0
    down = np.arccos(direction[2] / np.linalg.norm(direction)) / np.pi
    return picture[int(down * height), round(around * width) % width]


def window() -> Emitter:
    shape = EmitterShape("rectangle", facing((0, 3, 1), (0, 0, 1)), 2.0, 2.0)
    return Emitter("window", "openings.window", shape, 0.5, np.array([1.0, 0.9, 0.8]), window=True)


def test_the_world_is_seen_through_a_window(canvas):
    seen_by = camera()
    shown(canvas, emitters=[window()], environment=Environment(panorama()))
    light = canvas.light(seen_by, SIZE)
    compared = 0
    for row, column in ((90, 160), (70, 120), (110, 200), (60, 180)):
        expected = 0.5 * np.array([1.0, 0.9, 0.8]) * outside(panorama(), rays(seen_by)[row, column])
        # Not where the panorama changes within a pixel or two.
        if np.ptp(light[row - 2 : row + 3, column - 2 : column + 3, 0]) < 1.0:
            np.testing.assert_allclose(light[row, column], expected, rtol=2e-3)
            compared += 1
    assert compared >= 2
    assert light[5, 5].max() == 0.0


def test_the_sun_is_seen_through_a_window(canvas):
    seen_by = camera()
    direction = rays(seen_by)[90, 160] / np.linalg.norm(rays(seen_by)[90, 160])
    sun = Sun(direction, 80_000.0, np.ones(3), np.radians(0.5))
    shown(canvas, emitters=[window()], environment=Environment(panorama() * 0.0, sun))
    light = canvas.light(seen_by, SIZE)[..., 0]
    disc = 0.5 * 80_000.0 / (np.pi * np.sin(np.radians(0.5)) ** 2)
    assert light[90, 160] == pytest.approx(disc, rel=1e-3)
    assert light[80, 160] == 0.0


def test_a_light_that_is_off_is_left_to_the_meshes(canvas):
    shape = EmitterShape("disc", facing((0, 0, 1), (0, -1, 1)), radius_m=0.3)
    shown(canvas, emitters=[Emitter("key", "lights.key", shape, 0.0, np.ones(3))])
    assert not canvas.guides(camera(), SIZE).objects.any()


def test_clear_glass_takes_a_twelfth_and_is_met_first(canvas):
    pane = quad(quad().positions.astype(float) * [0.5, 1, 1] - [0.5, 0.5, 0], 2, clear=True)
    shown(canvas, quad(), pane)
    light = canvas.light(camera(), SIZE)
    # Straight on: reflectance of a face 0.04, and all reflections between both.
    assert light[90, 150, 0] / light[90, 170, 0] == pytest.approx(1 - 2 * 0.04 / 1.04, rel=1e-3)
    guides = canvas.guides(camera(), SIZE)
    assert guides.objects[90, 150] == 2 and guides.objects[90, 170] == 1
    assert guides.depth[90, 150] == pytest.approx(1.5, rel=1e-5)


# --- pictures --------------------------------------------------------------------------------


@pytest.mark.parametrize("view", ["film", "video"])
def test_a_picture_is_its_light_developed(canvas, view):
    mesh, material = patterned("oak", 1.5)
    lamp = Emitter("key", "lights.key", EmitterShape(
        "sphere", facing((0.5, -0.5, 0.3), (0, 0, 0)), radius_m=0.1), 9e5, np.ones(3))  # fmt: skip
    canvas.load([mesh, quad(TILTED - [0, 0.8, 1.2])], [material], [lamp], None, [9])
    canvas.shine([mesh.positions * 100.0 + 80.0, np.full((4, 3), 40.0, np.float32)])
    seen_by = camera((0.2, -2, 0.1), (0, 0, 0))
    white = white_xy(4800)
    linear = expose(canvas.light(seen_by, SIZE), exposure_scale(seen_by), white)
    scale = exposure_scale(seen_by) * neutral_gains(white)
    picture = canvas.picture(seen_by, SIZE, scale, table_of(view), fine=True)
    assert picture.shape == (180, 320, 3) and picture.dtype == np.uint8
    off = np.abs(picture.astype(int) - develop(linear, view))
    assert np.mean(off <= 1) > 0.995
    assert np.mean(off <= 2) > 0.999
    assert off.max() <= 6


@pytest.mark.parametrize("fine", [False, True])
def test_who_stands_still_sees_the_same_again(canvas, fine):
    rng = np.random.default_rng(5)
    meshes = [
        quad(TILTED + rng.normal(0.0, 0.4, 3), n + 1, owner="A" if n == 3 else "")
        for n in range(30)
    ]
    grain, material = patterned("oak", 1.5)
    meshes.insert(11, replace(grain, positions=grain.positions + np.float32([0, 0.2, 1])))
    seen_by = camera()
    canvas.load(meshes, [material], [], None, [])
    for light in (100.0, 30.0):
        canvas.shine([np.full((4, 3), light * (1 + n % 7), np.float32) for n in range(31)])
        pictures = [
            canvas.picture(seen_by, SIZE, WHITE * 0.002, table_of("film"), fine=fine)
            for _ in range(3)
        ]
        for again in pictures[1:]:
            np.testing.assert_array_equal(pictures[0], again)
    canvas.load(meshes[:10], [], [], None, [])
    canvas.shine(even(meshes[:10]))
    assert np.any(canvas.picture(seen_by, SIZE, WHITE * 0.002, table_of("film")) != pictures[0])
