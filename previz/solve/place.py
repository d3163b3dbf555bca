"""Turn `place: {frame: close_up, from_deg: 40}` into numbers, or say why it does not fit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry import LineString, Point, Polygon

from previz.catalog import Catalog
from previz.errors import Problem
from previz.measure.camera.heads import head_points, outermost
from previz.measure.camera.optics import Kit, kit_of
from previz.measure.gear.floor import floor_of
from previz.model.cameras import Camera, CameraPlace
from previz.model.scene import Scene
from previz.physics.optics import thin_lens_image_distance
from previz.scenefile import Places
from previz.solve.framing import (
    HEADROOM_PCT,
    Framed,
    Subject,
    Wish,
    focal_length_for,
    place_camera,
    usual_head_pct,
    usual_look_room_pct,
)
from previz.stage.cameras import build_camera
from previz.stage.people import Cast
from previz.stage.stage import Array, StageCamera, StagePerson, Thing
from previz.units import m_to_mm

WALL_GAP_M = {"tripod": 0.5, "none": 0.1}
"""Least distance of the lens from a wall: the legs need it. Common practice, no source."""
FAR_M = 100.0
FIRST_M = 2.0
"""Where a camera is taken to be before it is placed, for eyes that look at it."""


@dataclass(frozen=True)
class Placed:
    """The scene with every camera's place in numbers, what did not fit, and what was chosen.

    cast  who was seated for it, with their bodies; None where none was needed
    """

    scene: Scene
    problems: tuple[Problem, ...] = ()
    notes: tuple[str, ...] = ()
    cast: Cast | None = None


@dataclass(frozen=True, eq=False)
class Misfit:
    """Why a camera cannot stand where its frame asks.

    reach_m          how far from the eyes it could stand in that direction
    focal_length_mm  focal length to set that would frame the same from there; None: nowhere
    """

    message: str
    reach_m: float
    focal_length_mm: float | None


def place_cameras(scene: Scene, catalog: Catalog, places: Places) -> Placed:
    """Place every camera that is given by its frame; the others keep their numbers.

    Where one does not fit, a problem says why, by how much, and which focal length would.
    """
    names = [name for name, camera in scene.cameras.items() if camera.place.frame is not None]
    if not names:
        return Placed(scene)
    circular = _facing(scene, names, places)
    if circular:
        return Placed(_provisional(scene, names), tuple(circular))
    looked_at = {p.gaze for p in scene.people.values()} & set(names)
    draft, results = _provisional(scene, names), {}
    cast = Cast(draft, catalog)
    # Whoever looks into a lens turns their head to it, and that moves the head a little.
    for _ in range(2 if looked_at else 1):
        bodies, people = _people(draft, cast)
        eyes = {who: person.landmarks["eyes"] for who, person in people.items()}
        for name in names:
            camera = scene.cameras[name]
            person = people[str(camera.aim)]
            subject = Subject(person, outermost(head_points(bodies, person)))
            start = build_camera(name, draft, catalog, eyes, people)
            results[name] = fit_camera(camera, start, subject, scene, kit_of(camera, catalog))
            draft = _with_camera(draft, name, camera, results[name][0])
    problems = [
        Problem(places.of("cameras", name, "place", "frame"), f"cameras.{name}.place: {m.message}")
        for name, (_, m) in results.items()
        if m is not None
    ]
    notes = [_note(n, scene.cameras[n], framed) for n, (framed, _) in results.items() if framed]
    return Placed(draft, tuple(problems), tuple(notes), cast)


def _facing(scene: Scene, names: Sequence[str], places: Places) -> list[Problem]:
    return [
        Problem(
            places.of("people", who, "faces"),
            f"people.{who}.faces: camera {person.faces} is placed by its frame, which counts from "
            "where people face; give turn_deg, or the camera at_m",
        )
        for who, person in scene.people.items()
        if person.faces in names
    ]


def _provisional(scene: Scene, names: Sequence[str]) -> Scene:
    """Framed cameras in numbers that stand for nothing yet."""
    cameras = dict(scene.cameras)
    for name in names:
        camera = cameras[name]
        assert camera.aim is not None
        x, y = scene.people[camera.aim].at_m
        place = CameraPlace(at_m=(x, y - FIRST_M), height_m=camera.place.height_m)
        cameras[name] = camera.model_copy(update={"place": place})
    return scene.model_copy(update={"cameras": cameras})


def _people(scene: Scene, cast: Cast) -> tuple[list[Thing], dict[str, StagePerson]]:
    """Everyone, looking where they shall."""
    eyes = cast.eyes
    targets = {}
    for name, person in scene.people.items():
        wanted = person.gaze or person.faces
        if wanted in eyes:
            targets[name] = eyes[wanted]
        elif wanted is not None:
            camera = scene.cameras[wanted]
            height = camera.place.height_m or float(eyes[name][2])
            targets[name] = np.array([*camera.place.plan_m, height])
    return cast.looking(targets)


def fit_camera(
    camera: Camera, start: StageCamera, subject: Subject, scene: Scene, kit: Kit
) -> tuple[Framed | None, Misfit | None]:
    """The camera where its frame asks (None: nowhere), and why it cannot stand there.

    start   the camera with its sensor and lens, anywhere
    """
    place = camera.place
    assert place.frame is not None
    person = subject.person
    eyes = person.landmarks["eyes"]
    direction = direction_from(person, place.from_deg or 0.0)
    height = place.height_m if place.height_m is not None else float(eyes[2])
    wish = wish_of(camera, person, direction, scene)
    size = place.frame.replace("_", " ")
    said = f"a {size} from {place.from_deg or 0.0:g} deg with {start.focal_length_m * 1000:.0f} mm"
    try:
        framed = place_camera(start, subject, wish, direction=direction, height_m=height)
    except ValueError as error:
        why = f"{said} does not fit: {error}; use a longer lens or eye height"
        return None, Misfit(why, 0.0, None)
    away = float(np.linalg.norm(framed.camera.position_m[:2] - eyes[:2]))
    reach = reach_m(floor_of(scene), eyes, direction, WALL_GAP_M[camera.support])
    near = nearest_m(framed.camera, kit)
    if near <= away <= reach:
        return framed, None
    said += f" needs the lens {away:.2f} m from {person.name}"
    if reach < near:
        where = f"and the room leaves {reach:.2f} m there" if reach > 0.0 else "and there is a wall"
        return framed, Misfit(f"{said}, {where}; choose another direction", reach, None)
    if away > reach:
        said += f" and the room leaves {reach:.2f} m there, {away - reach:.2f} m too little"
        stand = _standing(framed.camera, eyes, direction, reach, height)
    else:
        said += f", {near - away:.2f} m nearer than it focuses"
        stand = _standing(framed.camera, eyes, direction, near, height)
    marked = _fitting_mm(stand, subject, wish, kit, shorter=away > reach)
    if marked is None:
        return framed, Misfit(f"{said}; no lens would fit, choose a closer size", reach, None)
    said += f"; {marked:g} mm would fit{_lens_note(kit, marked)}"
    return framed, Misfit(said, reach, marked)


def _fitting_mm(
    stand: StageCamera, subject: Subject, wish: Wish, kit: Kit, *, shorter: bool
) -> float | None:
    """Focal length to set, whole millimetres, that frames the same from where a camera stands."""
    try:
        exact = m_to_mm(focal_length_for(stand, subject, wish))
    except ValueError:
        return None
    exact /= kit.adapter.factor if kit.adapter else 1.0
    return math.floor(exact) if shorter else math.ceil(exact)


def wish_of(camera: Camera, person: StagePerson, direction: Array, scene: Scene) -> Wish:
    """What a camera's place asks for, filled up with what is usual."""
    place = camera.place
    assert place.frame is not None
    headroom, room = place.headroom_pct, place.look_room_pct
    if room is None:
        turn = math.remainder(_bearing(person.gaze) - _bearing(direction), 360.0)
        room = usual_look_room_pct(turn)
    return Wish(
        head_pct=usual_head_pct(place.frame, scene.rules.shot_sizes),
        headroom_pct=HEADROOM_PCT[place.frame] if headroom is None else headroom,
        look_room_pct=room,
    )


def direction_from(person: StagePerson, from_deg: float) -> Array:
    """Plan direction (2,) from a person, by the angle from where the body faces to its left."""
    across = (person.landmarks["shoulder_left"] - person.landmarks["shoulder_right"])[:2]
    left = across / np.linalg.norm(across)
    ahead = np.array([left[1], -left[0]])
    turn = math.radians(from_deg)
    return np.asarray(math.cos(turn) * ahead + math.sin(turn) * left)


def reach_m(floor: Polygon | None, eyes: Array, direction: Array, gap_m: float) -> float:
    """How far from the eyes a lens can stand: in sight of them, `gap_m` from every wall."""
    if floor is None:
        return FAR_M
    here, line = Point(eyes[:2]), LineString([eyes[:2], eyes[:2] + FAR_M * direction])
    inside = line.intersection(floor)
    # Beyond the first wall the eyes are out of sight.
    seen = next((p for p in shapely.get_parts(inside) if p.distance(here) < 1e-6), None)
    if seen is None:
        return 0.0
    free = seen.intersection(floor.buffer(-gap_m, join_style="mitre"))
    corners = shapely.get_coordinates(free) - eyes[:2]
    return float(np.linalg.norm(corners, axis=1).max()) if len(corners) else 0.0


def nearest_m(camera: StageCamera, kit: Kit) -> float:
    """Least distance from lens to eyes, close focus counting from the sensor."""
    close = kit.lens.close_focus_m
    image = thin_lens_image_distance(camera.focal_length_m, max(close, 2.0 * camera.focal_length_m))
    return max(close - image, 0.0)


def _standing(
    camera: StageCamera, eyes: Array, direction: Array, away_m: float, height_m: float
) -> StageCamera:
    pose = np.eye(4)
    pose[:3, 3] = np.append(eyes[:2] + away_m * direction, height_m)
    return replace(camera, pose=pose)


def _lens_note(kit: Kit, marked_mm: float) -> str:
    low, high = kit.lens.focal_length_mm
    if low <= marked_mm <= high:
        return ""
    has = f"{low:g} mm" if low == high else f"{low:g} to {high:g} mm"
    return f", which is another lens (this one has {has})"


def _with_camera(scene: Scene, name: str, asked: Camera, framed: Framed | None) -> Scene:
    if framed is None:
        return scene
    x, y, z = (round(float(v), 4) for v in framed.camera.position_m)
    camera = asked.model_copy(
        update={
            "place": CameraPlace(at_m=(x, y), height_m=z),
            "aim_from_left_pct": framed.eyes_from_left_pct,
            "aim_from_top_pct": framed.eyes_from_top_pct,
        }
    )
    return scene.model_copy(update={"cameras": {**scene.cameras, name: camera}})


def _note(name: str, camera: Camera, framed: Framed) -> str:
    assert camera.place.frame is not None and camera.aim is not None
    x, y, z = framed.camera.position_m
    return (
        f"camera {name}: placed at ({x:.2f}, {y:.2f}) m, {z:.2f} m high, for a "
        f"{camera.place.frame.replace('_', ' ')} of {camera.aim} from "
        f"{camera.place.from_deg or 0.0:g} deg"
    )


def _bearing(direction: Array) -> float:
    return math.degrees(math.atan2(float(direction[1]), float(direction[0])))
