"""From a scene to a stage: everything placed in the order in which one thing needs another."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from previz.catalog import Catalog
from previz.errors import Problem
from previz.model.furniture import Furniture
from previz.model.records import Material
from previz.model.scene import Scene
from previz.physics import power
from previz.scenefile import Places
from previz.stage.cameras import Standing, set_up, standing_of
from previz.stage.checks import placement_problems
from previz.stage.complexions import material_of
from previz.stage.daylight import daylight_notes, daylight_problems
from previz.stage.furnishing import furnish, seed_of, sockets_of
from previz.stage.gear import camera_gear, place_sound, sound_gear
from previz.stage.ies_files import read_ies_files
from previz.stage.kit import CameraSetup
from previz.stage.lighting import build_light, place_light
from previz.stage.moving.build import build_moves
from previz.stage.people import Cast
from previz.stage.placed import Mains, Programme, StageLight
from previz.stage.room import build_standing_room
from previz.stage.sets import spread_sets
from previz.stage.stage import Array, Emitter, Stage, StageCamera, StagePerson, Thing
from previz.stage.words import describe

SOCKET = "wall_socket"
"""The shape of furniture that is a socket: a name, from geometry."""


@dataclass(frozen=True, eq=False)
class Framed:
    """What was solved before the stage is built, for cameras that are placed by their frame.

    cast       who was seated for it, with their bodies
    standings  by camera: where it stands
    """

    cast: Cast
    standings: Mapping[str, Standing]


def build_stage(
    scene: Scene,
    catalog: Catalog,
    folder: Path,
    digest: str,
    places: Places,
    framed: Framed | None = None,
) -> tuple[Stage, list[Problem]]:
    """Build the set of a valid scene; `places` says where in the file each value stands.

    Returned with the stage is what only shows once everything has its place: a light in a
    wall, a boom that no stand reaches. ValueError when the room cannot stand.
    """
    standing_room = build_standing_room(scene, folder, catalog)
    room = standing_room.room
    things: list[Thing] = list(standing_room.things)
    emitters: list[Emitter] = list(standing_room.windows)

    # People are seated before anyone looks anywhere, for a gaze needs the other's eyes.
    cast = framed.cast if framed else Cast(scene, catalog)
    solved = framed.standings if framed else {}
    standings = {
        name: solved.get(name) or standing_of(camera, scene, cast.eyes)
        for name, camera in scene.cameras.items()
    }
    lenses = {name: standing.position_m for name, standing in standings.items()}
    bodies, people = cast.looking(gaze_targets(scene, cast.eyes, lenses))
    things += bodies
    spread = spread_sets(scene, catalog, room.walls)
    furniture = furnish(spread.furniture, catalog, spread.walls, scene.seed)
    things += furniture.things

    cameras, setups = build_cameras(scene, catalog, standings, people)
    ies = read_ies_files(scene, catalog, folder, places)
    lights: dict[str, StageLight] = {}
    for name, light in scene.lights.items():
        lights[name] = place_light(name, light, catalog, lenses, people, furniture.tops_m)
        seed = seed_of(f"lights.{name}", scene.seed)
        given = ies.by_light.get(name)
        thing, faces = build_light(lights[name], catalog, seed, given)
        things.append(thing)
        emitters += faces
    for name, camera in cameras.items():
        things += camera_gear(setups[name], camera)
    sound = place_sound(scene.sound, people, _noises(scene, spread.furniture, catalog))
    things += sound_gear(sound, people)

    standing = [thing for thing in things if thing.pieces]
    stage = Stage(
        title=scene.title,
        digest=digest,
        seed=scene.seed,
        things=tuple(standing),
        emitters=tuple(emitters),
        cameras=cameras,
        people=people,
        materials=_used_materials(standing, catalog),
        environment=standing_room.environment,
        white_cct_k=scene.exposure.white_balance.cct_k,
        white_card_of=scene.exposure.white_balance.card,
        setups=setups,
        moves=build_moves(scene, cameras, setups, people),
        lights=lights,
        pieces={**furniture.places, **cast.seats()},
        room=room,
        sockets=sockets_of(spread.furniture, catalog, furniture.things),
        meters=scene.meters,
        sound=sound,
        mains=_mains(scene),
        programme=Programme(
            scene.exposure.fps, scene.picture.width_px, scene.recording, scene.picture.delivery
        ),
    )
    notes = (*describe(stage), *ies.notes, *daylight_notes(scene, stage))
    problems = [
        *placement_problems(scene, stage, places),
        *daylight_problems(scene, places),
        *ies.problems,
    ]
    return replace(stage, notes=notes), problems


def build_cameras(
    scene: Scene,
    catalog: Catalog,
    standings: Mapping[str, Standing],
    people: Mapping[str, StagePerson],
) -> tuple[dict[str, StageCamera], dict[str, CameraSetup]]:
    """Every camera as it takes pictures, and as it is set up."""
    cameras, setups = {}, {}
    for name in scene.cameras:
        setups[name], cameras[name] = set_up(name, scene, catalog, standings[name], people)
    return cameras, setups


def _used_materials(things: Iterable[Thing], catalog: Catalog) -> dict[str, Material]:
    """Records of what the things are made of; others of the catalogue do not bear on this set."""
    used = {piece.material for thing in things for piece in thing.pieces}
    return {name: material_of(name, catalog) for name in sorted(used)}


def _mains(scene: Scene) -> Mains:
    usual_hz = power.rule(scene.power.outlet).frequencies_hz[0]
    return Mains(scene.power, scene.exposure.mains_hz or usual_hz)


def _noises(scene: Scene, furniture: Mapping[str, Furniture], catalog: Catalog) -> dict[str, str]:
    """By name: what is heard of each light that is on and each piece of furniture."""
    on = {n: catalog.fixture(light.fixture).noise for n, light in scene.lights.items() if light.on}
    stood = {n: catalog.furniture(piece.piece).noise for n, piece in furniture.items()}
    return {name: noise for name, noise in {**on, **stood}.items() if noise}


def gaze_targets(
    scene: Scene, eyes: Mapping[str, Array], lenses: Mapping[str, Array]
) -> dict[str, Array]:
    """What each person looks at: whoever or whatever `gaze`, else `faces`, names."""
    targets = {}
    for name, person in scene.people.items():
        wanted = person.gaze or person.faces
        if wanted is not None:
            targets[name] = eyes[wanted] if wanted in eyes else lenses[wanted]
    return targets
