"""The people of a scene: seated or standing where the plan has them, looking where they should."""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextvars import copy_context
from dataclasses import dataclass, replace
from functools import partial
from typing import TypeVar

import numpy as np

from previz.catalog import Catalog
from previz.geometry.furniture import seat_of
from previz.geometry.furniture.wheelchair import FOOT_M
from previz.geometry.once import build_furniture
from previz.geometry.people import Body, Figure, Pose
from previz.geometry.people.faces import Face
from previz.geometry.people.figure import SeatKind
from previz.geometry.people.kept import build_person, eye_point
from previz.geometry.piece import moved
from previz.memory import remembered
from previz.model.people import Person
from previz.model.scene import Scene
from previz.physics.colour import linear_from_hex
from previz.stage.cameras import passing_plan_m
from previz.stage.faces import faces_of
from previz.stage.furnishing import piece_at, seed_of, shape_parameters
from previz.stage.placed import StagePiece
from previz.stage.placing import applied, placed, turn_along_deg, turn_towards_deg
from previz.stage.resting import rest_of
from previz.stage.stage import Array, StagePerson, Thing
from previz.stage.standing import standing, stood

T = TypeVar("T")

# Upper garments by the names of their pieces; the outer ones too, for what is clipped to them.
GARMENTS = (
    "shirt", "jumper", "jacket", "dress", "t_shirt", "blouse", "cardigan", "hoodie", "apron",
    "work_jacket",
)  # fmt: skip
CLIP_BELOW_CHIN_M = 0.17  # where a clip-on microphone sits: common practice, no source
STRIPE_M = 0.006  # period of a fine stripe: an estimate
SEAT_KINDS: dict[str, SeatKind] = {
    "chair": "chair", "armchair": "sofa", "sofa": "sofa", "stool": "stool",
}  # fmt: skip


@dataclass(frozen=True, eq=False)
class Sitter:
    """A person's place: where the hips are, which way they face, on what they sit."""

    person: Person
    matrix: Array
    figure: Figure
    pose: Pose
    seat: Thing | None
    seat_place: StagePiece | None


def seat_people(scene: Scene, catalog: Catalog) -> dict[str, Sitter]:
    """Place everyone; nobody looks anywhere yet."""
    faces = faces_of(scene, catalog)
    return {
        name: _sitter(name, person, faces[name], scene, catalog)
        for name, person in scene.people.items()
    }


def _sitter(name: str, person: Person, face: Face, scene: Scene, catalog: Catalog) -> Sitter:
    turn = _turn_deg(person, scene)
    seed = seed_of(f"people.{name}", scene.seed)
    pose = Pose(
        posture=person.posture or ("seated" if person.seated else "standing"),
        hands=person.hands,
        head_turn_deg=person.head_turn_deg,
        bearing=seed % 997,
    )
    at, seat, place = np.asarray(person.at_m, float), None, None
    matrix = placed(turn, at)
    if person.hands == "on_table" or person.posture == "at_bench":
        pose = replace(pose, rest_m=rest_of(person, matrix, scene.furniture, catalog))
    whose = person.seat_with or name
    record_name = scene.people[whose].seat
    if person.seated and record_name is not None:
        record = catalog.furniture(record_name)
        parameters = shape_parameters(record, seed_of(f"people.{whose}", scene.seed))
        info = seat_of(record.shape, **parameters)
        pose = replace(pose, seat_height_m=info.height_m, seat=SEAT_KINDS[info.kind])
        if record.shape == "wheelchair":
            pose = replace(pose, foot_m=FOOT_M)
        if whose == name:
            pieces = build_furniture(record.shape, **parameters)
            # The seat stands where its middle meets the plan position; the hips are there too.
            offset = placed(0.0, (-info.centre[0], -info.centre[1]))
            where = _seat_matrix(name, scene, turn)
            place = piece_at(record.label, where)
            seat = standing(f"people.{name}.seat", "furniture", stood(pieces, where @ offset))
    return Sitter(person, matrix, _figure(person, face, seed), pose, seat, place)


def _seat_matrix(name: str, scene: Scene, turn_deg: float) -> Array:
    """Where the seat of a person stands: under them, or in the middle of all who share it.

    A shared one stands along the line on which they sit, its front to where its owner faces.
    """
    own = np.asarray(scene.people[name].at_m, float)
    others = [np.asarray(p.at_m, float) for p in scene.people.values() if p.seat_with == name]
    if not others:
        return placed(turn_deg, own)
    farthest = max(others, key=lambda at: float(np.linalg.norm(at - own)))
    along = farthest - own
    ahead = placed(turn_deg, (0.0, 0.0))[:2, :2] @ np.array([0.0, -1.0])
    across = np.array([along[1], -along[0]])
    facing = across if float(across @ ahead) >= 0.0 else -across
    return placed(turn_along_deg(facing), np.mean([own, *others], axis=0))


def _turn_deg(person: Person, scene: Scene) -> float:
    if person.turn_deg is not None:
        return person.turn_deg
    if person.faces is None:
        return 0.0
    return turn_towards_deg(person.at_m, plan_of(person.faces, scene))


def plan_of(name: str, scene: Scene) -> tuple[float, float]:
    """Plan position of a person or a camera by name."""
    if name in scene.people:
        return scene.people[name].at_m
    return passing_plan_m(scene.cameras[name], scene)


def _figure(person: Person, face: Face, seed: int) -> Figure:
    clothes = person.clothes
    return Figure(
        sex=person.sex,
        age_years=person.age_years,
        build=person.build,
        skin=person.skin,
        hair=person.hair,
        hair_colour="auburn" if person.hair_colour == "red" else person.hair_colour,
        eyes=person.eyes,
        beard=person.beard,
        headwear=person.headwear,
        scarf_colour=_reflectance(person.headwear_colour),
        spectacles=person.spectacles,
        face=face,
        expression=person.expression,
        clothes=clothes.top,
        clothes_colour=_reflectance(clothes.colour),
        under_colour=None if clothes.under is None else _reflectance(clothes.under),
        trousers_colour=_reflectance(clothes.trousers),
        stripe_m=STRIPE_M if clothes.stripe else None,
        seed=seed,
        stature_m=None if person.stature_cm is None else person.stature_cm / 100.0,
        stature_percentile=person.stature_percentile or 50.0,
    )


def _reflectance(colour: str) -> tuple[float, float, float]:
    red, green, blue = (float(v) for v in linear_from_hex(colour))
    return red, green, blue


def eyes_before_looking(sitters: Mapping[str, Sitter]) -> dict[str, Array]:
    """Where everyone's eyes are (3,) in the world while they look straight ahead."""
    return {
        name: applied(sitter.matrix, eye_point(sitter.figure, sitter.pose))
        for name, sitter in sitters.items()
    }


class Cast:
    """Everyone in their places, and each body as it was built for the gaze it was last asked for.

    Cameras are placed by bodies and the stage is built of them: those whose gaze has not changed
    in between are the same.
    """

    def __init__(self, scene: Scene, catalog: Catalog) -> None:
        self.sitters = seat_people(scene, catalog)
        self.eyes = eyes_before_looking(self.sitters)
        self._built: dict[str, tuple[Pose, Thing, StagePerson]] = {}

    def seats(self) -> dict[str, StagePiece]:
        """Seats that people sit on as placed, by the names of their things."""
        sitters = self.sitters.values()
        return {s.seat.name: s.seat_place for s in sitters if s.seat and s.seat_place}

    def looking(self, targets: Mapping[str, Array]) -> tuple[list[Thing], dict[str, StagePerson]]:
        """Bodies looking at their targets, with their seats, and where their landmarks are."""
        poses = {name: _looking_at(s, targets.get(name)) for name, s in self.sitters.items()}
        fresh = [n for n, p in poses.items() if n not in self._built or self._built[n][0] != p]
        works = [partial(_built, name, self.sitters[name], poses[name]) for name in fresh]
        for name, built in zip(fresh, side_by_side(works), strict=True):
            self._built[name] = poses[name], *built
        things: list[Thing] = []
        people: dict[str, StagePerson] = {}
        for name, sitter in self.sitters.items():
            _, body, people[name] = self._built[name]
            things += [body] if sitter.seat is None else [body, sitter.seat]
        return things, people


def side_by_side(works: Sequence[Callable[[], T]]) -> list[T]:
    """What each gives, in order. Several share the processors: numpy lets go of Python's lock."""
    if len(works) < 2:
        return [work() for work in works]
    with ThreadPoolExecutor(min(len(works), os.cpu_count() or 1)) as pool:
        # Each goes on with the memory that is present here.
        begun = [pool.submit(copy_context().run, work) for work in works]
        return [one.result() for one in begun]


def _looking_at(sitter: Sitter, target_m: Array | None) -> Pose:
    if target_m is None:
        return sitter.pose
    target = applied(np.asarray(np.linalg.inv(sitter.matrix), float), target_m)
    towards = (float(target[0]), float(target[1]), float(target[2]))
    return replace(sitter.pose, gaze_target=towards)


def _built(name: str, sitter: Sitter, pose: Pose) -> tuple[Thing, StagePerson]:
    """One body in the world, and where its landmarks are."""
    person = sitter.person
    key = ("body", name, sitter.figure, pose, sitter.matrix.tobytes(), repr(person))

    def build() -> tuple[Thing, StagePerson]:
        body = build_person(sitter.figure, pose)
        return _body_thing(name, sitter, body), _in_world(name, sitter, body)

    return remembered(key, build)


def _in_world(name: str, sitter: Sitter, body: Body) -> StagePerson:
    marks = {**body.landmarks, "lavalier": clip_point(body)}
    return StagePerson(
        name,
        sitter.matrix,
        {key: applied(sitter.matrix, point) for key, point in marks.items()},
        sitter.matrix[:3, :3] @ body.face_forward,
        sitter.matrix[:3, :3] @ body.gaze,
        looks_at=sitter.person.gaze or sitter.person.faces,
        skin=sitter.person.skin,
        striped=sitter.person.clothes.stripe,
        age_years=sitter.person.age_years,
        seat_with=sitter.person.seat_with,
    )


def clip_point(body: Body) -> Array:
    """Where a clip-on microphone sits (3,), person's frame: on the clothes under the chin."""
    height = body.landmarks["chin"][2] - CLIP_BELOW_CHIN_M
    points = np.concatenate(
        [np.asarray(piece.mesh.vertices) for piece in body.pieces if piece.name in GARMENTS]
    )
    across = points[:, 0] - body.landmarks["chest"][0]
    near = (np.abs(across) < 0.03) & (np.abs(points[:, 2] - height) < 0.02)
    if not near.any():
        return np.asarray(body.landmarks["chest"], float)
    front = points[near][points[near][:, 1].argmin()]
    return np.array([body.landmarks["chest"][0], front[1], height])


def _body_thing(name: str, sitter: Sitter, body: Body) -> Thing:
    pieces, strands = body.pieces, body.strands
    if strands is not None:
        # The stand-in for back ends without curves would hide the strands.
        points = strands.points @ sitter.matrix[:3, :3].T + sitter.matrix[:3, 3]
        strands = replace(strands, points=points)
    return Thing(f"people.{name}", "person", moved(pieces, sitter.matrix), strands)
