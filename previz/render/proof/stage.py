"""A tiny stage with everything that a compiled kernel can meet, in cells apart.

furnace   six emitting walls of one luminance round a metal ball, a tuft of white hair and panes:
          whatever only reflects, refracts or scatters there is exactly as bright as the walls
wall      a patterned wall and a brick wall with relief, lit by a lamp; a glossy ball and a
          thin sheet stand by
glass     a lamp over a pane of glass; beside it a plate in the way
beam      a small lamp whose light differs by angle and by azimuth
window    a window on an even sky with the sun

Two cameras: A in the furnace, B before the walls; B has gear of its own.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from previz.geometry.gear.emitter import EmitterShape
from previz.geometry.mesh import Mesh, welded
from previz.geometry.people.figure import Strands
from previz.geometry.piece import Piece
from previz.geometry.solid import box
from previz.geometry.turned import ball
from previz.model.records import Material
from previz.physics.beam import PROFILE_STEPS
from previz.stage.environment import Environment, Sun
from previz.stage.placing import looking
from previz.stage.stage import Emitter, Stage, StageCamera, Thing

Array = NDArray[np.float64]

GLOW = 10.0
"""Luminance of the furnace's walls, cd/m2."""
LAMP, LAMP_M = 2000.0, 0.5
SPARK, SPARK_RADIUS_M = 1.0e7, 0.004
SKY, PANE_SHARE = 200.0, 0.6
SUN = Sun(np.array([np.cos(0.5), 0.0, np.sin(0.5)]), 80000.0, np.array([1.2, 0.97, 0.7]), 0.00465)
FURNACE = np.zeros(3)
WALL, GLASS, BEAM = (np.array([x, 0.0, 0.0]) for x in (10.0, 20.0, 30.0))
WINDOW = np.array([-10.0, 0.0, 0.0])
WALL_M, WALL_AWAY_M = 1.2, 1.0
"""Side of a wall, and how far camera B is from it."""
PLASTER = 0.45


def materials() -> dict[str, Material]:
    """The materials of the proof."""

    def made(reflectance: float, **other: object) -> Material:
        values = {"reflectance": (reflectance,) * 3, "roughness": 1.0, "refractive_index": 1.0}
        about = {"label": "proof", "kind": "memory", "source": "made for the proof"}
        return Material.model_validate({**about, **values, **other})

    return {
        "black": made(0.0),
        "metal": made(0.98, metallic=1.0, roughness=0.05, refractive_index=1.5),
        "glass": made(0.0, clear=True, roughness=0.02, refractive_index=1.5),
        "plaster": made(PLASTER, pattern="plaster"),
        "brick": made(0.3, pattern="brick", relief_mm=4.0),
        "varnish": made(0.2, roughness=0.3, refractive_index=1.5),
        "skin": made(0.4, roughness=0.5, refractive_index=1.4),
        "sheet": made(0.3, diffuse_transmittance=0.4),
        "hair": made(0.2),
    }


def proof_stage() -> Stage:
    """Build it; takes milliseconds."""
    things = [*_furnace_things(), *_wall_things(), *_glass_things(), *_beam_things()]
    emitters = [*_furnace_walls(), *_lamps()]
    return Stage(
        title="proof",
        digest="proof",
        seed=1,
        things=tuple(things),
        emitters=tuple(emitters),
        cameras={"A": _camera("A", FURNACE - np.array([0, 0.75, 0]), FURNACE), "B": wall_camera()},
        people={},
        materials=materials(),
        environment=Environment(np.full((32, 64, 3), SKY, np.float32), SUN),
    )


def _camera(
    name: str, place: ArrayLike, target: ArrayLike, focal_length_m: float = 0.024
) -> StageCamera:
    return StageCamera(
        name=name,
        pose=looking(np.asarray(place, float), np.asarray(target, float)),
        sensor_width_m=0.036,
        sensor_height_m=0.027,
        focal_length_m=focal_length_m,
        f_number=8.0,
        t_number=8.0,
        focus_distance_m=0.75,
        fps=25.0,
        shutter_s=0.02,
        iso=800.0,
        nd_density=0.0,
    )


def wall_camera() -> StageCamera:
    """Camera B: so near that a pixel is finer than the slope at the edge of a joint."""
    return _camera("B", WALL - np.array([0.0, WALL_AWAY_M, 0.0]), WALL, focal_length_m=0.1)


def _facing(place: ArrayLike, direction: ArrayLike) -> Array:
    pose = looking(np.asarray(place, float), np.add(place, direction))
    pose[:3, 0] *= -1.0
    pose[:3, 2] *= -1.0
    return np.asarray(pose)


def _rectangle(layer: str, pose: Array, luminance: float, side_m: float) -> Emitter:
    shape = EmitterShape("rectangle", pose, width_m=side_m, height_m=side_m)
    return Emitter(layer, f"lights.{layer}", shape, luminance, np.ones(3))


def _box(*size_m: float) -> Mesh:
    """A box about the origin, its edges sharp."""
    half = np.array(size_m) / 2.0
    return box(-half, half)


def _thing(
    name: str,
    mesh: Mesh,
    material: str,
    place: Array,
    *,
    smooth: bool = False,
    colour: Array | None = None,
    owner: str | None = None,
) -> Thing:
    piece = Piece(name, mesh.shifted(place), material, smooth, colour)
    return Thing(name, "furniture", (piece,), owner=owner)


def _cell(name: str, place: Array) -> Thing:
    """Black walls all round, 4 m apart."""
    return _thing(f"{name} cell", _box(4.0, 4.0, 4.0).inverted(), "black", place)


# --- furnace ---------------------------------------------------------------------------------


def _furnace_walls() -> list[Emitter]:
    directions = [sign * axis for axis in np.eye(3) for sign in (1.0, -1.0)]
    return [_rectangle("furnace", _facing(FURNACE - d, d), GLOW, 2.0) for d in directions]


def _furnace_things() -> list[Thing]:
    pane = _box(0.3, 0.004, 0.3)
    tuft = _thing("hair", _box(0.01, 0.01, 0.01), "hair", FURNACE)
    return [
        _thing(
            "metal",
            ball(3, 0.18),
            "metal",
            FURNACE + np.array([-0.35, 0.1, 0.0]),
            smooth=True,
            colour=np.ones(3),
        ),
        _thing("pane", pane, "glass", FURNACE + np.array([0.3, -0.2, -0.2])),
        _thing("lens", ball(3, 0.08), "glass", FURNACE + np.array([0.3, -0.2, 0.15]), smooth=True),
        Thing("hair", "person", tuft.pieces, _tuft()),
    ]


def _tuft() -> Strands:
    """White hair in a ball's shape round the middle."""
    random = np.random.default_rng(7)
    root = random.normal(size=(400, 3))
    root *= 0.02 / np.linalg.norm(root, axis=1, keepdims=True)
    along = np.linspace(1.0, 6.0, 6)[None, :, None]
    points = FURNACE + root[:, None, :] * along
    return Strands(points, np.full((400, 6), 5e-4), 0.0, 0.0, np.full(3, 1e-6), np.ones(3))


# --- walls -----------------------------------------------------------------------------------


def _slab(x_m: float) -> tuple[Mesh, Array]:
    return _box(WALL_M, 0.1, WALL_M), WALL + np.array([x_m, 0.05, 0.0])


def _wall_things() -> list[Thing]:
    plain, plain_at = _slab(-WALL_M / 2)
    brick, brick_at = _slab(WALL_M / 2)
    glossy = ball(2, 0.1)
    paint = np.full((len(glossy.vertices), 3), 0.4)
    sheet, body = _box(0.2, 0.001, 0.2), _box(0.1, 0.1, 0.1)
    # Behind the walls, where they are in the kernel and send no light to what is looked at.
    by = WALL + np.array([0.0, 1.0, 0.0])
    return [
        _cell("wall", WALL),
        _thing("plaster", plain, "plaster", plain_at),
        _thing("brick", brick, "brick", brick_at),
        _thing("varnish", glossy, "varnish", by + np.array([0.5, 0, 0]), smooth=True),
        _thing("skin", glossy, "skin", by + np.array([-0.5, 0, 0]), smooth=True, colour=paint),
        _thing("sheet", sheet, "sheet", by + np.array([0.0, 0.0, 0.5])),
        _thing("cameras.B", body, "varnish", WALL - np.array([0.0, 1.1, 0.0]), owner="B"),
    ]


# --- glass, beam, window ---------------------------------------------------------------------


def _glass_things() -> list[Thing]:
    pane = _box(1.0, 1.0, 0.004)
    sheet = welded(pane.vertices, pane.faces[pane.face_normals[:, 2] > 0.9])
    plate = _box(0.3, 0.3, 0.01)
    return [
        _cell("glass", GLASS),
        _thing("lamp pane", sheet, "glass", GLASS + np.array([0.0, 0.0, 0.5])),
        _thing("plate", plate, "black", GLASS + np.array([0.6, 0.0, 0.1])),
    ]


def _beam_things() -> list[Thing]:
    return [_cell("beam", BEAM)]


def beam_profile() -> Array:
    """Luminance by azimuth (4 rows) and angle: fewer candelas sideways, other ones all round."""
    steps = np.linspace(0.0, 1.0, PROFILE_STEPS)
    return np.stack([(1.0 - 0.6 * steps) * share for share in (1.0, 0.7, 0.4, 0.7)])


def beam_pose() -> Array:
    """Pose of the small lamp: 1 m over the middle of its cell, shining down."""
    return _facing(BEAM + np.array([0.0, 0.0, 1.0]), (0.0, 0.0, -1.0))


def wall_lamp_pose() -> Array:
    """Pose of the lamp before the walls."""
    return _facing(WALL + np.array([0.0, -1.4, 0.9]), (0.0, 1.4, -0.9))


def glass_lamp_pose() -> Array:
    """Pose of the lamp over the glass."""
    return _facing(GLASS + np.array([0.0, 0.0, 1.0]), (0.0, 0.0, -1.0))


def window_shape() -> EmitterShape:
    """The window, 1 x 1.5 m, its middle 2 m over the floor, letting light in towards -x."""
    pose = _facing(WINDOW + np.array([2.0, 0.0, 2.0]), (-1.0, 0.0, 0.0))
    return EmitterShape("rectangle", pose, width_m=1.0, height_m=1.5)


def _lamps() -> list[Emitter]:
    spark = EmitterShape("disc", beam_pose(), radius_m=SPARK_RADIUS_M)
    return [
        _rectangle("wall", wall_lamp_pose(), LAMP, LAMP_M),
        _rectangle("glass", glass_lamp_pose(), LAMP, LAMP_M),
        Emitter("beam", "lights.beam", spark, SPARK, np.ones(3), profile=beam_profile()),
        Emitter("window", "openings.window", window_shape(), PANE_SHARE, np.ones(3), window=True),
    ]
