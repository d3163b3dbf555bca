"""What the light of the proof's stage has to be, part by part, and what a back end makes of it."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from previz.geometry.gear.emitter import EmitterShape
from previz.physics.beam import profile_angles_rad
from previz.physics.colour import LUMINANCE_WEIGHTS
from previz.physics.photometry import illuminance_from_polygon_lx
from previz.render.contract import Ability, BackEnd, LightLayers, RenderSettings
from previz.render.merge import Merger
from previz.render.patterns import figure_of, tile_of
from previz.render.patterns.slopes import STEEPEST, STEPS, slopes_of
from previz.render.proof import stage as proof

Array = NDArray[np.float64]

SIZE = (96, 72)
SAMPLES = 96
METER_SAMPLES, METER_SAMPLES_ALONE = 65536, 8192
"""Samples of a meter, and where every light is rendered alone and so costs and tells more."""
UP = np.array([0.0, 0.0, 1.0])


@dataclass(frozen=True)
class CheckedPart:
    """One thing that was looked at.

    expected   by closed form
    tolerance  relative, or absolute where `expected` is 0
    needs      the ability that a back end must claim for the part to be asked of it
    """

    name: str
    expected: float
    found: float
    tolerance: float
    needs: Ability | None = None

    @property
    def right(self) -> bool:
        """Whether what was found is within the tolerance; what is no number never is."""
        scale = abs(self.expected) or 1.0
        return bool(abs(self.found - self.expected) <= self.tolerance * scale)

    @property
    def sentence(self) -> str:
        """What is wrong with it, in a line."""
        if self.expected == 0.0:
            return f"{self.name}: {self.found:.4g} instead of nothing"
        off = 100.0 * (self.found / self.expected - 1.0)
        return f"{self.name}: {self.found:.4g} instead of {self.expected:.4g} ({off:+z.1f} %)"


def examine(back_end: BackEnd) -> list[CheckedPart]:
    """Render and meter the proof's stage; every part that the back end's abilities allow."""
    stage = proof.proof_stage()
    renderer = back_end.load(stage)
    samples = METER_SAMPLES if Ability.ONE_PASS in back_end.abilities else METER_SAMPLES_ALONE
    read = renderer.meter(_points(), np.tile(UP, (len(_METERS), 1)), samples)
    lux = {layer: values @ LUMINANCE_WEIGHTS for layer, values in read.items()}
    parts = [meter(lux, number) for number, meter in enumerate(_METERS.values())]
    views = {}
    for name in ("A", "B"):
        exposing = renderer.expose(name, RenderSettings(*SIZE, SAMPLES))
        exposing.advance(SAMPLES)
        views[name] = exposing.light()
    parts += [*_furnace(views["A"], stage.object_ids), *_walls(views["B"], stage.object_ids)]
    return [part for part in parts if part.needs is None or part.needs in back_end.abilities]


# --- meters ----------------------------------------------------------------------------------

Lux = Mapping[str, Array]


def _corners(shape: EmitterShape) -> Array:
    """Corners (4, 3) of a rectangle, counter-clockwise seen from where it shines."""
    across, up = (shape.pose[:3, k] for k in (0, 1))
    signs = ((1, 1), (-1, 1), (-1, -1), (1, -1))
    w, h = shape.width_m / 2.0, shape.height_m / 2.0
    return np.array([shape.position_m + a * w * across + b * h * up for a, b in signs])


def _from_rectangle(shape: EmitterShape, luminance: float, point: Array, facing: Array) -> float:
    return illuminance_from_polygon_lx(_corners(shape), luminance, point, facing)


def _glass_shape() -> EmitterShape:
    return EmitterShape("rectangle", proof.glass_lamp_pose(), proof.LAMP_M, proof.LAMP_M)


def _through_glass(lux: Lux, number: int) -> CheckedPart:
    expected = _from_rectangle(_glass_shape(), proof.LAMP, _points()[number], UP)
    return CheckedPart("light through clear glass", expected, float(lux["glass"][number]), 0.02,
                Ability.CLEAR_GLASS)  # fmt: skip


def _behind_plate(lux: Lux, number: int) -> CheckedPart:
    return CheckedPart("shadow behind glass", 0.0, float(lux["glass"][number]), 1e-3)


def _beam(turn_deg: float) -> Callable[[Lux, int], CheckedPart]:
    def part(lux: Lux, number: int) -> CheckedPart:
        away = _points()[number] - proof.beam_pose()[:3, 3]
        distance = float(np.linalg.norm(away))
        cosine = float(-away[2] / distance)
        row = proof.beam_profile()[int(turn_deg // 90)]
        level = float(np.interp(math.acos(cosine), profile_angles_rad(), row))
        area = math.pi * proof.SPARK_RADIUS_M**2
        expected = proof.SPARK * level * area * cosine**2 / distance**2
        name = f"beam at azimuth {turn_deg:g} deg"
        return CheckedPart(name, expected, float(lux["beam"][number]), 0.02, Ability.BEAMS)

    return part


def _sky_lx(point: Array) -> float:
    light = proof.SKY * proof.PANE_SHARE
    return _from_rectangle(proof.window_shape(), light, point, UP)


def _sky(lux: Lux, number: int) -> CheckedPart:
    expected = _sky_lx(_points()[number])
    return CheckedPart("sky through a window", expected, float(lux["window"][number]), 0.015)


def _sun(lux: Lux, number: int) -> CheckedPart:
    sun = float(proof.SUN.light @ LUMINANCE_WEIGHTS) * proof.PANE_SHARE * proof.SUN.direction[2]
    expected = _sky_lx(_points()[number]) + sun
    return CheckedPart(
        "sun through a window", expected, float(lux["window"][number]), 0.01, Ability.SUN
    )


def _furnace_meter(lux: Lux, number: int) -> CheckedPart:
    expected = math.pi * proof.GLOW
    return CheckedPart(
        "meter among mirrors, hair and glass", expected, float(lux["furnace"][number]), 0.02
    )


def _dark(lux: Lux, number: int) -> CheckedPart:
    total = sum(float(values[number]) for name, values in lux.items() if name != "furnace")
    return CheckedPart("light of other layers in the furnace", 0.0, total, 1e-3)


_METERS: dict[str, Callable[[Lux, int], CheckedPart]] = {
    "through glass": _through_glass,
    "behind plate": _behind_plate,
    "beam 0": _beam(0.0),
    "beam 90": _beam(90.0),
    "beam 180": _beam(180.0),
    "sky": _sky,
    "sun": _sun,
    "furnace": _furnace_meter,
    "dark": _dark,
}


def _points() -> Array:
    pose = proof.beam_pose()
    zero, quarter = -pose[:3, 0], pose[:3, 1]
    foot = proof.BEAM + np.array([0.0, 0.0, 0.2])
    window = proof.window_shape().position_m
    patch = window - proof.SUN.direction * window[2] / proof.SUN.direction[2]
    aside = proof.FURNACE + np.array([0.3, 0.4, -0.5])
    return np.array([
        proof.GLASS, proof.GLASS + np.array([0.6, 0.0, 0.0]),
        foot + 0.4 * zero, foot + 0.4 * quarter, foot - 0.4 * zero,
        patch + np.array([0.0, 2.0, 0.0]), patch, aside, aside,
    ])  # fmt: skip


# --- pictures --------------------------------------------------------------------------------


def _mean_of(image: Array, light: LightLayers, number: int) -> float:
    """Mean of an image over the pixels wholly on one thing."""
    on = light.objects == number
    inner = on.copy()
    for axis in (0, 1):
        for step in (-1, 1):
            inner &= np.roll(on, step, axis)
    return float(image[inner].mean()) if inner.any() else math.nan


def _furnace(light: LightLayers, ids: Mapping[str, int]) -> list[CheckedPart]:
    """Whatever takes no light is as bright as the walls (energy conservation)."""
    image = light.layers["furnace"] @ LUMINANCE_WEIGHTS
    others = sum(float(np.abs(v).max()) for k, v in light.layers.items() if k != "furnace")
    level = proof.GLOW
    parts = [CheckedPart("stray light in the picture", 0.0, others, 1e-3)]
    for name, thing, tolerance in (("a mirror", "metal", 0.02), ("clear glass", "pane", 0.01),
                                   ("a lens", "lens", 0.01)):  # fmt: skip
        parts.append(
            CheckedPart(
                f"{name} in a furnace", level, _mean_of(image, light, ids[thing]), tolerance
            )
        )
    hair = float(image[light.objects == ids["hair"]].mean())
    return [*parts, CheckedPart("white hair in a furnace", level, hair, 0.03, Ability.HAIR)]


def _walls(light: LightLayers, ids: Mapping[str, int]) -> list[CheckedPart]:
    """A matt wall sends back reflectance times illuminance over pi."""
    on = light.objects == ids["plaster"]
    image = light.layers["wall"] @ LUMINANCE_WEIGHTS
    albedo = light.albedo @ LUMINANCE_WEIGHTS
    seen = float(image[on].sum() / (albedo[on] * _wall_lx()[on]).sum() * math.pi)
    return [
        CheckedPart("lamp on a matt wall", 1.0, seen, 0.02),
        CheckedPart("pattern of a wall", _plaster(on), float(albedo[on].mean()), 0.01),
        _relief(light, light.objects == ids["brick"]),
    ]


def _wall_points() -> Array:
    """Where the pixels of camera B look on the walls, (height, width, 3)."""
    view, (width, height) = proof.wall_camera(), SIZE
    across = ((np.arange(width) + 0.5) / width - 0.5) * view.sensor_width_m / view.focal_length_m
    up = (0.5 - (np.arange(height) + 0.5) / height) * view.sensor_height_m / view.focal_length_m
    x, z = np.meshgrid(across * proof.WALL_AWAY_M, up * proof.WALL_AWAY_M)
    return np.asarray(np.stack([x, np.zeros_like(x), z], axis=2) + proof.WALL, float)


def _wall_lx() -> Array:
    """Light of the lamp on the walls at every pixel of camera B, (height, width).

    Smooth, so that every eighth pixel is worked out and those between follow.
    """
    lamp = EmitterShape("rectangle", proof.wall_lamp_pose(), proof.LAMP_M, proof.LAMP_M)
    out, points = np.array([0.0, -1.0, 0.0]), _wall_points()
    rows, columns = (np.unique([*range(0, n, 8), n - 1]) for n in points.shape[:2])
    some = np.array(
        [[_from_rectangle(lamp, proof.LAMP, points[r, c], out) for c in columns] for r in rows]
    )
    wide = np.array([np.interp(np.arange(SIZE[0]), columns, row) for row in some])
    every = [np.interp(np.arange(SIZE[1]), rows, column) for column in wide.T]
    return np.asarray(np.array(every).T, float)


def _plaster(on: NDArray[np.bool_]) -> float:
    """Mean reflectance of the plaster wall where pixels look."""
    material = proof.materials()["plaster"]
    return float((_texels_seen(tile_of(material).colour, "plaster", on) @ LUMINANCE_WEIGHTS).mean())


def _texels_seen(picture: NDArray[Any], wall: str, on: NDArray[np.bool_]) -> NDArray[Any]:
    """Texels of a wall's pattern where the middles of pixels look."""
    u, v = (_wall_points()[on] @ axis + offset for axis, offset in _map_of(wall))
    size_m, side = figure_of(proof.materials()[wall]).size_m, len(picture)
    row, column = ((place / size_m % 1.0 * side).astype(int) for place in (v, u))
    return np.asarray(picture[row, column])


def _relief(light: LightLayers, on: NDArray[np.bool_]) -> CheckedPart:
    """Mean cosine between the brick wall's shading normals and the wall's own.

    By the slopes of its pattern where each pixel looks, faded as what is finer than a pixel is.
    """
    brick = proof.materials()["brick"]
    slopes = slopes_of(brick)
    assert slopes is not None
    texel = _texels_seen(slopes.picture, "brick", on)
    view = proof.wall_camera()
    pixel_m = view.sensor_width_m / view.focal_length_m * proof.WALL_AWAY_M / SIZE[0]
    fade = 1.0 / (1.0 + (pixel_m / (2.0 * slopes.detail_m)) ** 2)
    scale = slopes.steepest * brick.relief_mm / 1000.0 / STEPS * fade
    steep = np.hypot((texel >> 16).astype(float) - STEPS, (texel & 0xFFFF).astype(float) - STEPS)
    cosine = 1.0 / np.sqrt(1.0 + np.minimum(scale * steep, STEEPEST) ** 2)
    found = float(-light.normal[on][:, 1].mean())
    return CheckedPart("relief of a brick wall", float(cosine.mean()), found, 0.01, Ability.RELIEF)


def _map_of(wall: str) -> list[tuple[Array, float]]:
    """How the front of a wall maps to its pattern: (axis (3,), offset) for u and for v."""
    stage = proof.proof_stage()
    merged = Merger(stage.materials, apart=False).merge(stage.things, stage.object_ids)
    number = stage.object_ids[wall]
    mesh = next(m for m in merged.meshes if number in m.face_objects)
    faces = mesh.faces[mesh.face_objects == number]
    front = faces[np.all(mesh.normals[faces][..., 1] < -0.99, axis=1)].reshape(-1)
    places = np.column_stack([mesh.vertices[front], np.ones(len(front))]).astype(float)
    fit = np.linalg.lstsq(places, mesh.uv[front].astype(float), rcond=None)[0]
    return [(fit[:3, k], float(fit[3, k])) for k in (0, 1)]
