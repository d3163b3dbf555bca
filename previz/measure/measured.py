"""Everything measured on a scene, before it is judged."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from previz.catalog import Catalog
from previz.measure.continuity import Line, Pair, Settings, line_of, pairs_of, settings_of
from previz.measure.floor import Clash, Outlines, aisle_m, clashes
from previz.measure.framing import FramingNumbers, measure_framing
from previz.measure.heads import head_points, head_top_m
from previz.measure.optics import Kit, OpticsNumbers, kit_of, measure_optics
from previz.measure.roles import subject_of
from previz.measure.sight import Box, Sight, see
from previz.measure.surfaces import gather
from previz.model.scene import Scene
from previz.stage.stage import Array, Stage


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
    """A whole scene in numbers. `practicals` are the things that are lamps of the room."""

    scene: Scene
    stage: Stage
    catalog: Catalog
    cameras: Mapping[str, CameraNumbers]
    people: Mapping[str, PersonNumbers]
    line: Line | None
    pairs: tuple[Pair, ...]
    settings: Mapping[str, Settings]
    clashes: tuple[Clash, ...]
    practicals: frozenset[str]


def measure(scene: Scene, stage: Stage, catalog: Catalog) -> Measured:
    """Measure cameras, people and floor of a scene; no light, no render."""
    surfaces, outlines = gather(stage), Outlines(stage)
    heads = {name: head_points(stage.things, person) for name, person in stage.people.items()}
    practicals = frozenset(
        f"lights.{name}"
        for name, light in scene.lights.items()
        if catalog.fixture(light.fixture).form == "practical"
    )
    cameras = {}
    for name, camera in scene.cameras.items():
        placed = stage.cameras[name]
        sight, kit = see(stage, placed, surfaces), kit_of(camera, catalog)
        subject = subject_of(camera, scene)
        distance = placed.focus_distance_m
        if subject is not None:
            marks = stage.people[subject].landmarks
            distance = min(placed.axis_distance(marks[eye]) for eye in ("eye_left", "eye_right"))
        cameras[name] = CameraNumbers(
            kit=kit,
            optics=measure_optics(
                camera,
                placed,
                scene,
                kit,
                subject_distance_m=distance,
                background=sight.background(subject, distance),
            ),
            framing=None
            if subject is None
            else measure_framing(
                sight,
                stage.people[subject],
                heads[subject],
                scene.rules,
                (kit.mode.width_px, kit.mode.height_px),
            ),
            position_m=placed.position_m,
            aim_m=np.asarray(placed.position_m + distance * placed.forward),
            in_frame=sight.shares_pct,
            intruders=_intruders(sight, subject, practicals),
            aisle_m=aisle_m(scene, outlines, placed),
        )
    framings = {name: numbers.framing for name, numbers in cameras.items()}
    return Measured(
        scene=scene,
        stage=stage,
        catalog=catalog,
        cameras=cameras,
        people={
            name: PersonNumbers(
                eye_height_m=float(person.landmarks["eyes"][2]),
                head_top_m=head_top_m(heads[name]),
            )
            for name, person in stage.people.items()
        },
        line=line_of(scene, stage),
        pairs=tuple(pairs_of(stage, framings)),
        settings=settings_of(scene),
        clashes=tuple(clashes(scene, outlines, practicals)),
        practicals=practicals,
    )


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
