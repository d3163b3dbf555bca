"""Everything measured on a scene, before it is judged."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from previz.measure.camera.framing import FramingNumbers, measure_framing
from previz.measure.camera.heads import head_points, head_top_m
from previz.measure.camera.optics import OpticsNumbers, measure_optics
from previz.measure.camera.sight import Box, Sight, see
from previz.measure.camera.surfaces import gather
from previz.measure.continuity.line import Line, line_of
from previz.measure.continuity.pairs import Pair, pairs_of
from previz.measure.gear.floor import Clash, Outlines, aisle_m, clashes
from previz.measure.gear.heat import HotNear, hot_near
from previz.measure.gear.power import Load, load_of
from previz.measure.gear.stands import Stands, measure_stands
from previz.measure.gear.storage import Storage, storage_of
from previz.measure.light.catchlights import Catchlight, Eyes
from previz.measure.roles import practicals_of
from previz.model.meters import Targets
from previz.model.rules import Rules
from previz.stage.kit import CameraSetup, Kit
from previz.stage.stage import Array, Stage, StageCamera, StagePerson


@dataclass(frozen=True, eq=False)
class CameraNumbers:
    """One camera.

    in_frame   what it sees of everything, % of the frame
    intruders  what it should not see: gear, other people; with where
    """

    kit: Kit
    optics: OpticsNumbers
    framing: FramingNumbers | None
    position_m: Array
    aim_m: Array
    in_frame: Mapping[str, float]
    intruders: Mapping[str, Box]
    aisle_m: float | None


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
    power: Load
    storage: Storage
    stands: Stands
    hot_near: tuple[HotNear, ...]
    catchlights: Mapping[str, tuple[Catchlight, ...]]


class Ruler:
    """Measures any camera on a stage; what all cameras share is worked out once."""

    def __init__(self, stage: Stage, rules: Rules) -> None:
        self.stage, self.rules = stage, rules
        self.surfaces, self.outlines = gather(stage), Outlines(stage)
        self.heads = {n: head_points(stage.things, person) for n, person in stage.people.items()}
        self.practicals = practicals_of(stage)

    def camera(self, setup: CameraSetup, placed: StageCamera) -> CameraNumbers:
        """One camera, of the stage or another: as it is set up, and as it stands."""
        stage, kit, subject = self.stage, setup.kit, setup.subject
        sight = see(stage, placed, self.surfaces)
        distance, framing = placed.focus_distance_m, None
        if subject is not None:
            person = stage.people[subject]
            distance = nearer_eye_m(placed, person)
            mode_px = (kit.mode.width_px, kit.mode.height_px)
            framing = measure_framing(sight, person, self.heads[subject], self.rules, mode_px)
        optics = measure_optics(
            setup,
            placed,
            stage.programme,
            subject_distance_m=distance,
            background=sight.background(subject, distance),
        )
        return CameraNumbers(
            kit=kit,
            optics=optics,
            framing=framing,
            position_m=placed.position_m,
            aim_m=np.asarray(placed.position_m + distance * placed.forward),
            in_frame=sight.shares_pct,
            intruders=_intruders(sight, subject, self.practicals),
            aisle_m=aisle_m(stage, self.outlines, placed),
        )


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
        power=load_of(stage),
        storage=storage_of(stage),
        stands=measure_stands(stage, ruler.outlines),
        hot_near=tuple(hot_near(stage)),
        catchlights=_catchlights(stage),
    )


def _catchlights(stage: Stage) -> dict[str, tuple[Catchlight, ...]]:
    """By camera: what is mirrored in the eyes of the person it is on."""
    subjects = {name: setup.subject for name, setup in stage.setups.items()}
    eyes = {s: Eyes(stage, stage.people[s]) for s in set(subjects.values()) if s is not None}
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
