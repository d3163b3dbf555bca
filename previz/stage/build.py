"""From a scene to a stage: everything placed in the order in which one thing needs another."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from previz.catalog import Catalog
from previz.errors import Problem
from previz.model.scene import Scene
from previz.scenefile import Places
from previz.stage.cameras import build_camera, camera_position
from previz.stage.checks import Placements, placement_problems
from previz.stage.daylight import daylight_notes, daylight_problems
from previz.stage.furnishing import furnish, seed_of
from previz.stage.gear import camera_gear, sound_gear
from previz.stage.lighting import build_light, place_light
from previz.stage.measured import measured_lights
from previz.stage.people import Cast
from previz.stage.room import build_standing_room
from previz.stage.stage import Array, Emitter, Stage, Thing
from previz.stage.words import describe


def build_stage(
    scene: Scene,
    catalog: Catalog,
    folder: Path,
    digest: str,
    places: Places,
    cast: Cast | None = None,
) -> tuple[Stage, list[Problem]]:
    """Build the set of a valid scene; `places` says where in the file each value stands.

    `cast` is who was seated for this scene already, when its cameras were placed.
    Returned with the stage is what only shows once everything has its place: a light in a
    wall, a boom that no stand reaches. ValueError when the room cannot stand.
    """
    room = build_standing_room(scene, folder, catalog)
    things: list[Thing] = list(room.things)
    emitters: list[Emitter] = list(room.windows)

    # People are seated before anyone looks anywhere, for a gaze needs the other's eyes.
    cast = cast or Cast(scene, catalog)
    eyes = cast.eyes
    lenses = {name: camera_position(camera, eyes) for name, camera in scene.cameras.items()}
    bodies, people = cast.looking(_gaze_targets(scene, eyes, lenses))
    things += bodies
    things += furnish(scene.furniture, catalog, room.walls, scene.seed)

    cameras = {name: build_camera(name, scene, catalog, eyes, people) for name in scene.cameras}
    measured = measured_lights(scene, catalog, folder, places)
    positions: dict[str, Array] = {}
    for name, light in scene.lights.items():
        placed = place_light(light, scene, lenses, people)
        positions[name] = placed.position_m
        seed = seed_of(f"lights.{name}", scene.seed)
        given = measured.by_light.get(name)
        thing, faces = build_light(name, light, placed, catalog, seed, given)
        things.append(thing)
        emitters += faces
    for name, camera in cameras.items():
        things += camera_gear(name, scene.cameras[name], camera, catalog)
    things += sound_gear(scene.sound, people)

    placements = Placements(people, cameras, positions)
    stage = Stage(
        title=scene.title,
        digest=digest,
        seed=scene.seed,
        things=tuple(thing for thing in things if thing.pieces),
        emitters=tuple(emitters),
        cameras=cameras,
        people=people,
        materials={name: catalog.material(name) for name in catalog.names("materials")},
        outside=room.outside,
        white_cct_k=scene.exposure.white_balance.cct_k,
        white_card_of=scene.exposure.white_balance.card,
        notes=(*describe(scene, placements), *measured.notes),
    )
    stage = replace(stage, notes=(*stage.notes, *daylight_notes(scene, stage)))
    problems = placement_problems(scene, placements, places)
    return stage, [*problems, *daylight_problems(scene, places), *measured.problems]


def _gaze_targets(
    scene: Scene, eyes: dict[str, Array], lenses: dict[str, Array]
) -> dict[str, Array]:
    """What each person looks at: whoever or whatever `gaze`, else `faces`, names."""
    targets = {}
    for name, person in scene.people.items():
        wanted = person.gaze or person.faces
        if wanted is not None:
            targets[name] = eyes[wanted] if wanted in eyes else lenses[wanted]
    return targets
