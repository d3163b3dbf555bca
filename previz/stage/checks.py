"""What only shows once everything has its place. Messages point into the scene file."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import ArrayLike

from previz.errors import Problem
from previz.geometry import plan
from previz.model.cameras import Camera
from previz.model.lights import Light
from previz.model.scene import Scene
from previz.scenefile import Places
from previz.stage.placing import no_direction
from previz.stage.stage import Array, Stage

NEAREST_FOCUS_M = 0.1
"""From the lens; nothing in a room is filmed from nearer: an estimate."""


def placement_problems(scene: Scene, stage: Stage, places: Places) -> list[Problem]:
    """Everything that cannot stand where it came to be."""
    return [
        *_outside_the_room(stage, places),
        *_aimed_at_themselves(scene, stage, places),
        *_unfocusable(scene, stage, places),
    ]


def _outside_the_room(stage: Stage, places: Places) -> Iterator[Problem]:
    shape = stage.room.shape
    if shape is None:
        return
    spots = {
        **{("lights", name): light.position_m for name, light in stage.lights.items()},
        **{("cameras", name): c.position_m for name, c in stage.cameras.items()},
    }
    for (kind, name), position in spots.items():
        where = places.of(kind, name, "place")
        noun = kind.removesuffix("s")
        x, y, z = (float(v) for v in position)
        if not plan.inside(shape.corners_m, np.array([[x, y]]))[0]:
            off = float(plan.distance_to_walls_m(shape.corners_m, np.array([[x, y]]))[0])
            yield Problem(
                where,
                f"{kind}.{name}: the {noun} comes to ({x:.2f}, {y:.2f}) m, {abs(off):.2f} m "
                "outside the room or inside its wall; give it a place inside",
            )
        elif not 0.0 < z < shape.height_m:
            yield Problem(
                where,
                f"{kind}.{name}: the {noun} comes to {z:.2f} m over the floor of a room "
                f"{shape.height_m:.2f} m high; it must be between floor and ceiling",
            )


def _aimed_at_themselves(scene: Scene, stage: Stage, places: Places) -> Iterator[Problem]:
    """What has no direction, because what it looks at is where it stands."""
    standing: dict[tuple[str, str], tuple[Camera | Light, Array]] = {
        **{("cameras", n): (c, stage.cameras[n].position_m) for n, c in scene.cameras.items()},
        **{("lights", n): (t.setting, t.position_m) for n, t in stage.lights.items()},
    }
    for (kind, name), (thing, position) in standing.items():
        target, key = _target_of(stage, thing.aim, thing.aim_m), "aim" if thing.aim else "aim_m"
        if target is not None and no_direction(position, target):
            what = f"the eyes of {thing.aim} are" if thing.aim else "this point is"
            yield Problem(
                places.of(kind, name, key),
                f"{kind}.{name}.{key}: {what} where the {kind.removesuffix('s')} itself is, at "
                f"{_spoken(position)} m, so it looks nowhere; move it, or aim it farther off",
            )
    for name, meter in scene.meters.items():
        if meter.facing_m is not None and no_direction(meter.at_m, meter.facing_m):
            yield Problem(
                places.of("meters", name, "facing_m"),
                f"meters.{name}.facing_m: this point is where the meter itself is, at "
                f"{_spoken(meter.at_m)} m, so it faces nowhere; name a point farther off",
            )


def _target_of(stage: Stage, person: str | None, point_m: ArrayLike | None) -> Array | None:
    """What something aims at: a person's eyes, a point, or nothing, (3,)."""
    if person is not None:
        return stage.people[person].landmarks["eyes"]
    return None if point_m is None else np.asarray(point_m, float)


def _spoken(point: ArrayLike) -> str:
    return f"({', '.join(f'{value:.2f}' for value in np.asarray(point, float))})"


def _unfocusable(scene: Scene, stage: Stage, places: Places) -> Iterator[Problem]:
    for name, camera in stage.cameras.items():
        if camera.focus_distance_m < NEAREST_FOCUS_M:
            focus = scene.cameras[name].focus
            yield Problem(
                places.of("cameras", name, "focus"),
                f"cameras.{name}.focus: {focus} is behind or at the lens "
                f"({camera.focus_distance_m:.2f} m along its axis); focus on someone before it",
            )
