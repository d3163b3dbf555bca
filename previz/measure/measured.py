"""Everything measured on a scene, before it is judged."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from previz.measure.camera.framing import (
    FramingNumbers,
    HeadInFrame,
    head_in_frame,
    measure_framing,
)
from previz.measure.camera.heads import head_points, head_top_m
from previz.measure.camera.optics import OpticsNumbers, measure_optics
from previz.measure.camera.raster import in_frame
from previz.measure.camera.sight import Background, Box, Sight, see
from previz.measure.camera.surfaces import gather
from previz.measure.continuity.line import Line, line_of
from previz.measure.continuity.pairs import Pair, pairs_of
from previz.measure.gear.floor import Clash, Outlines, aisle_m, clashes
from previz.measure.gear.heat import HotNear, hot_near
from previz.measure.gear.held import in_the_way
from previz.measure.gear.overlaps import Overlap, overlaps
from previz.measure.gear.power import Load, load_of
from previz.measure.gear.stands import Stands, measure_stands
from previz.measure.gear.storage import Storage, storage_of
from previz.measure.light.catchlights import Catchlight, eyes_of
from previz.measure.moving.numbers import MoveNumbers, measure_move
from previz.measure.roles import practicals_of
from previz.measure.sound.microphones import SoundNumbers, measure_sound
from previz.memory import remembered
from previz.model.meters import Targets
from previz.model.rules import Rules
from previz.stage.kit import CameraSetup, Kit
from previz.stage.stage import Array, Stage, StageCamera, StagePerson, Thing
from previz.stage.supports import SupportName


@dataclass(frozen=True, eq=False)
class CameraNumbers:
    """One camera.

    in_frame   what it sees of everything, % of the frame
    intruders  what it should not see: gear, other people; with where
    in_operators_way
               what stands where whoever holds it stands; nothing for a camera that stands itself
    others     heads of the other people in it, by name
    """

    kit: Kit
    optics: OpticsNumbers
    framing: FramingNumbers | None
    position_m: Array
    aim_m: Array
    in_frame: Mapping[str, float]
    intruders: Mapping[str, Box]
    others: Mapping[str, HeadInFrame]
    aisle_m: float | None
    support: SupportName = "tripod"
    in_operators_way: tuple[Clash, ...] = ()


@dataclass(frozen=True)
class PersonNumbers:
    """Heights over the floor; the head with its hair."""

    eye_height_m: float
    head_top_m: float


@dataclass(frozen=True, eq=False)
class Measured:
    """A whole set in numbers, and the rules and targets that they are held against.

    catchlights  by camera: those in its subject's eyes
    """

    stage: Stage
    rules: Rules
    targets: Targets
    cameras: Mapping[str, CameraNumbers]
    people: Mapping[str, PersonNumbers]
    line: Line | None
    pairs: tuple[Pair, ...]
    clashes: tuple[Clash, ...]
    overlaps: tuple[Overlap, ...]
    power: Load
    storage: Storage
    stands: Stands
    hot_near: tuple[HotNear, ...]
    catchlights: Mapping[str, tuple[Catchlight, ...]]
    sound: SoundNumbers
    moves: Mapping[str, MoveNumbers]


class Ruler:
    """Measures any camera on a stage; what all cameras share is worked out once."""

    def __init__(self, stage: Stage, rules: Rules) -> None:
        self.stage, self.rules = stage, rules
        self.surfaces, self.outlines = gather(stage), Outlines(stage)
        self.heads = {name: _head(stage, person) for name, person in stage.people.items()}
        self.practicals = practicals_of(stage)
        self._kinds = tuple((thing.name, thing.kind) for thing in stage.things)

    def camera(self, setup: CameraSetup, placed: StageCamera) -> CameraNumbers:
        """One camera, of the stage or another: as it is set up, and as it stands."""
        stage, subject = self.stage, setup.subject
        distance = placed.focus_distance_m
        if subject is not None:
            distance = nearer_eye_m(placed, stage.people[subject])
        view = self._view_once(setup, placed, distance)
        optics = measure_optics(
            setup,
            placed,
            stage.programme,
            subject_distance_m=distance,
            background=view.background,
        )
        return CameraNumbers(
            kit=setup.kit,
            optics=optics,
            framing=view.framing,
            position_m=placed.position_m,
            aim_m=np.asarray(placed.position_m + distance * placed.forward),
            in_frame=view.in_frame,
            intruders=view.intruders,
            others=view.others,
            aisle_m=aisle_m(stage, self.outlines, placed),
            support=setup.support,
            in_operators_way=in_the_way(stage, self.outlines, placed) if setup.held else (),
        )

    def _view_once(self, setup: CameraSetup, placed: StageCamera, distance_m: float) -> _View:
        """What is in a frame rests on where the lens is, how wide it sees, and what is there."""
        sight = see(self.stage, placed, self.surfaces)
        there = in_frame(sight.surfaces, placed)
        lens = placed.focal_length_m, placed.sensor_width_m, placed.sensor_height_m
        subject, mode, whole = setup.subject, setup.kit.mode, setup.kit.recorded
        sizes = (mode.width_px, mode.height_px), (whole.width_px, whole.height_px)
        delivery = self.stage.programme.delivery
        person = None if subject is None else self.stage.people[subject]
        people = tuple(self.stage.people.values())
        body = () if subject is None else _body(self.stage, subject)
        key = (
            "view", placed.pose.tobytes(), lens, distance_m, there.parts, there.hair, self._kinds,
            person, people, body, sizes, delivery, repr(self.rules), self.practicals,
        )  # fmt: skip
        return remembered(key, lambda: self._view(sight, setup, distance_m))

    def _view(self, sight: Sight, setup: CameraSetup, distance_m: float) -> _View:
        subject, framing = setup.subject, None
        mode, whole = setup.kit.mode, setup.kit.recorded
        if subject is not None:
            framing = measure_framing(
                sight,
                self.stage.people[subject],
                self.heads[subject],
                self.rules,
                (mode.width_px, mode.height_px),
                (whole.width_px, whole.height_px),
                self.stage.programme.delivery,
            )
        return _View(
            framing=framing,
            background=sight.background(subject, distance_m),
            in_frame=sight.shares_pct,
            intruders=_intruders(sight, subject, self.practicals),
            others=self._others(sight, subject),
        )

    def _others(self, sight: Sight, subject: str | None) -> dict[str, HeadInFrame]:
        """Heads of whom else a camera sees, those before the lens."""
        camera = sight.camera
        return {
            name: head_in_frame(camera, self.heads[name], person)
            for name, person in self.stage.people.items()
            if name != subject
            and f"people.{name}" in sight.shares_pct
            and min(camera.axis_distance(person.landmarks[m]) for m in ("chin", "head_top")) > 0.0
        }


@dataclass(frozen=True, eq=False)
class _View:
    """What of a camera's numbers is seen, and does not hang on how it is exposed or stopped."""

    framing: FramingNumbers | None
    background: Background
    in_frame: Mapping[str, float]
    intruders: Mapping[str, Box]
    others: Mapping[str, HeadInFrame]


def _head(stage: Stage, person: StagePerson) -> Array:
    body = _body(stage, person.name)
    return remembered(("head", person, body), lambda: head_points(body, person))


def _body(stage: Stage, person: str) -> tuple[Thing, ...]:
    return tuple(thing for thing in stage.things if thing.name == f"people.{person}")


def nearer_eye_m(placed: StageCamera, person: StagePerson) -> float:
    """Distance along the lens axis to the nearer eye."""
    eyes = (person.landmarks["eye_left"], person.landmarks["eye_right"])
    return min(placed.axis_distance(eye) for eye in eyes)


def measure(stage: Stage, rules: Rules, targets: Targets) -> Measured:
    """Measure cameras, people and floor of a set; no light, no render."""
    ruler = Ruler(stage, rules)
    cameras = {n: ruler.camera(setup, stage.cameras[n]) for n, setup in stage.setups.items()}
    framings = {name: numbers.framing for name, numbers in cameras.items()}
    return Measured(
        stage=stage,
        rules=rules,
        targets=targets,
        cameras=cameras,
        people={
            name: PersonNumbers(
                eye_height_m=float(person.landmarks["eyes"][2]),
                head_top_m=head_top_m(ruler.heads[name]),
            )
            for name, person in stage.people.items()
        },
        line=line_of(stage),
        pairs=tuple(pairs_of(stage, framings)),
        clashes=tuple(clashes(stage, ruler.outlines)),
        overlaps=tuple(overlaps(stage)),
        power=load_of(stage),
        storage=storage_of(stage),
        stands=measure_stands(stage, ruler.outlines),
        hot_near=tuple(hot_near(stage)),
        catchlights=_catchlights(stage),
        sound=measure_sound(stage),
        moves={n: measure_move(stage, ruler.outlines, move) for n, move in stage.moves.items()},
    )


def _catchlights(stage: Stage) -> dict[str, tuple[Catchlight, ...]]:
    """By camera: what is mirrored in the eyes of the person it is on."""
    subjects = {name: setup.subject for name, setup in stage.setups.items()}
    eyes = {s: eyes_of(stage, stage.people[s]) for s in set(subjects.values()) if s is not None}
    return {
        name: eyes[subject].catchlights(stage, stage.cameras[name]) if subject else ()
        for name, subject in subjects.items()
    }


def _intruders(sight: Sight, subject: str | None, practicals: frozenset[str]) -> dict[str, Box]:
    """Gear and other people in a frame. A clip-on microphone belongs to whoever wears it."""
    found = {}
    kinds = {thing.name: thing.kind for thing in sight.stage.things}
    for thing in sight.shares_pct:
        own = subject is not None and (f"{thing}.").startswith(f"people.{subject}.")
        gear = kinds[thing] == "gear" and not thing.startswith("sound.lavalier")
        someone = thing.startswith("people.") and subject is not None and not own
        box = sight.box(thing) if (gear and thing not in practicals) or someone else None
        if box is not None:
            found[thing] = box
    return found
