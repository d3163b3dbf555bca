"""From the moves of a scene to moves on the stage: names looked up, keys sorted into tracks."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Mapping
from typing import TypeVar

import numpy as np

from previz.model.cameras import Camera
from previz.model.moves import Move, MoveKey
from previz.model.scene import Scene
from previz.stage.furnishing import seed_of
from previz.stage.kit import CameraSetup
from previz.stage.moving.move import Aim, Focus, Scalars, StageMove, Way, in_proportion
from previz.stage.moving.path import Path
from previz.stage.moving.sway import SWAY_MM, sway_of
from previz.stage.moving.tracks import Timing, timing_of
from previz.stage.stage import StageCamera, StagePerson
from previz.units import mm_to_m

T = TypeVar("T")


def build_moves(
    scene: Scene,
    cameras: Mapping[str, StageCamera],
    setups: Mapping[str, CameraSetup],
    people: Mapping[str, StagePerson],
) -> dict[str, StageMove]:
    """Every move of a scene, by name."""
    return {
        name: _built(name, move, scene, cameras[move.camera], setups[move.camera], people)
        for name, move in scene.moves.items()
    }


def _built(
    name: str,
    move: Move,
    scene: Scene,
    before: StageCamera,
    setup: CameraSetup,
    people: Mapping[str, StagePerson],
) -> StageMove:
    camera = scene.cameras[move.camera]
    aiming, aims = _track(move, lambda key: _aim(key, people), _first_aim(camera, people))
    focusing, focuses = _focuses(move, camera)
    focal, stop = setup.focal_length_mm, setup.f_number
    return StageMove(
        name=name,
        kind=move.kind,
        before=before,
        setup=setup,
        duration_s=move.duration_s,
        way=_way(name, move, scene, before),
        aiming=aiming,
        aims=aims,
        focusing=focusing,
        focuses=focuses,
        focal_lengths_mm=in_proportion(*_track(move, lambda key: key.focal_length_mm, focal)),
        f_numbers=in_proportion(*_track(move, lambda key: key.f_number, stop)),
        people=people,
        rests_on=(
            name,
            repr(move),
            scene.seed,
            *_told(before),
            repr(setup),
            tuple(people.items()),
        ),
    )


def _told(camera: StageCamera) -> Iterator[Hashable]:
    for name, value in vars(camera).items():
        yield value.tobytes() if name == "pose" else value


def _track(
    move: Move, given: Callable[[MoveKey], T | None], before: T
) -> tuple[Timing, tuple[T, ...]]:
    """The keys that give one thing, and their timing; from the camera as it was, if need be."""
    times, values, eases = [], [], []
    for key in move.keys:
        value = given(key)
        if value is not None:
            times.append(move.moment_s(key))
            values.append(value)
            eases.append(key.ease)
    if not times or times[0] > 0.0:
        times, values, eases = [0.0, *times], [before, *values], [None, *eases]
    return timing_of(times, eases, move.ease, move.duration_s), tuple(values)


def _way(name: str, move: Move, scene: Scene, before: StageCamera) -> Way:
    x, y, z = (float(part) for part in before.position_m)
    timing, places = _track(move, lambda key: key.at_m, (x, y))
    heights = Scalars(*_track(move, lambda key: key.height_m, z))
    path = Path(places)
    timing = timing.resting(path.corners)
    if move.kind != "gimbal_walk" or path.length_m <= 0.0:
        return Way(path, timing, heights)
    stops = [m for m, rest in zip(path.marks_m, timing.rests, strict=True) if rest]
    size = mm_to_m(SWAY_MM if move.sway_mm is None else move.sway_mm)
    seed = seed_of(f"moves.{name}", scene.seed)
    return Way(path, timing, heights, sway_of(size, seed, [0.0, *stops, path.length_m]))


def _aim(key: MoveKey, people: Mapping[str, StagePerson]) -> Aim | None:
    if key.aim is not None:
        return Aim(people[key.aim].landmarks["eyes"], key.aim)
    if key.aim_m is not None:
        return Aim(np.asarray(key.aim_m, float))
    if key.pan_deg is None and key.tilt_deg is None:
        return None
    return Aim(None, None, key.pan_deg or 0.0, key.tilt_deg or 0.0)


def _first_aim(camera: Camera, people: Mapping[str, StagePerson]) -> Aim:
    if camera.aim is not None:
        return Aim(people[camera.aim].landmarks["eyes"], camera.aim)
    return Aim(np.asarray(camera.aim_m, float))


def _focuses(move: Move, camera: Camera) -> tuple[Timing, tuple[Focus, ...]]:
    """What is focused on. `eye` is of whoever the camera aims at by then."""
    on, wanted = camera.aim, {}
    for key in move.keys:
        on = key.aim or on
        if key.focus_distance_m is not None:
            wanted[id(key)] = Focus(distance_m=key.focus_distance_m)
        elif key.focus is not None:
            wanted[id(key)] = Focus(on if key.focus == "eye" else key.focus)
    return _track(move, lambda key: wanted.get(id(key)), _first_focus(camera))


def _first_focus(camera: Camera) -> Focus:
    if camera.focus_distance_m is not None:
        return Focus(distance_m=camera.focus_distance_m)
    return Focus(camera.aim if camera.focus == "eye" else camera.focus)
