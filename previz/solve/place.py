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
from previz.measure.gear.floor import floor_of
from previz.model.cameras import Camera
from previz.model.scene import Scene
from previz.physics.optics import thin_lens_image_distance
from previz.scenefile import Places
from previz.solve.framing import (
    HEADROOM_PCT,
    FramedCamera,
    Subject,
    Wish,
    focal_length_for,
    place_camera,
    usual_head_pct,
    usual_look_room_pct,
)
from previz.stage.build import Framed, gaze_targets
from previz.stage.cameras import Standing, set_up, standing_of
from previz.stage.kit import Kit
from previz.stage.people import Cast
from previz.stage.room import room_shape
from previz.stage.stage import Array, StageCamera, StagePerson
from previz.stage.supports import SUPPORTS
from previz.units import m_to_mm

FAR_M = 100.0


@dataclass(frozen=True)
class Placed:
    """Where the cameras that are placed by their frame stand, what did not fit, what was chosen.

    framed  None where no camera is placed so
    """

    problems: tuple[Problem, ...] = ()
    notes: tuple[str, ...] = ()
    framed: Framed | None = None


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
        return Placed()
    circular = _facing(scene, names, places)
    if circular:
        return Placed(tuple(circular))
    cast = Cast(scene, catalog)
    standings = {n: standing_of(c, scene, cast.eyes) for n, c in scene.cameras.items()}
    looked_at = {p.gaze for p in scene.people.values()} & set(names)
    results: dict[str, tuple[FramedCamera | None, Misfit | None]] = {}
    # Whoever looks into a lens turns their head to it, and that moves the head a little.
    for _ in range(2 if looked_at else 1):
        lenses = {name: standing.position_m for name, standing in standings.items()}
        bodies, people = cast.looking(gaze_targets(scene, cast.eyes, lenses))
        for name in names:
            camera = scene.cameras[name]
            person = people[str(camera.aim)]
            setup, start = set_up(name, scene, catalog, standings[name], people)
            subject = Subject(person, outermost(head_points(bodies, person)))
            results[name] = fit_camera(camera, start, subject, scene, setup.kit)
            found = results[name][0]
            if found is not None:
                standings[name] = Standing(
                    found.camera.position_m, found.eyes_from_left_pct, found.eyes_from_top_pct
                )
    problems = [
        Problem(places.of("cameras", name, "place", "frame"), f"cameras.{name}.place: {m.message}")
        for name, (_, m) in results.items()
        if m is not None
    ]
    notes = [_note(n, scene.cameras[n], found) for n, (found, _) in results.items() if found]
    framed = Framed(cast, {name: standings[name] for name in names})
    return Placed(tuple(problems), tuple(notes), framed)


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


def fit_camera(
    camera: Camera, start: StageCamera, subject: Subject, scene: Scene, kit: Kit
) -> tuple[FramedCamera | None, Misfit | None]:
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
    away = _as_said(float(np.linalg.norm(framed.camera.position_m[:2] - eyes[:2])))
    reach = _as_said(
        reach_m(
            floor_of(room_shape(scene.room)), eyes, direction, SUPPORTS[camera.support].from_wall_m
        )
    )
    near = _as_said(nearest_m(framed.camera, kit))
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


def _as_said(distance_m: float) -> float:
    """Whole centimetres, in which it is told: nothing is refused for a difference of none."""
    return round(distance_m, 2)


def _fitting_mm(
    stand: StageCamera, subject: Subject, wish: Wish, kit: Kit, *, shorter: bool
) -> float | None:
    """Focal length to set, whole millimetres, that frames the same from where a camera stands."""
    try:
        exact = m_to_mm(focal_length_for(stand, subject, wish))
    except ValueError:
        return None
    exact /= kit.factor
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


def _note(name: str, camera: Camera, framed: FramedCamera) -> str:
    assert camera.place.frame is not None and camera.aim is not None
    x, y, z = framed.camera.position_m
    return (
        f"camera {name}: placed at ({x:.2f}, {y:.2f}) m, {z:.2f} m high, for a "
        f"{camera.place.frame.replace('_', ' ')} of {camera.aim} from "
        f"{camera.place.from_deg or 0.0:g} deg"
    )


def _bearing(direction: Array) -> float:
    return math.degrees(math.atan2(float(direction[1]), float(direction[0])))
