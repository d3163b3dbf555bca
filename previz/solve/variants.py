"""The same camera, differently: other lenses, stops, sensors, distances, heights.

Each variant is a camera of its own, so that all of them are rendered from one loaded stage.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from shapely.geometry import Point

from previz.catalog import Catalog
from previz.measure.camera.framing import head_in_frame
from previz.measure.camera.heads import head_points, outermost
from previz.measure.gear.floor import floor_of
from previz.measure.measured import nearer_eye_m
from previz.model.records import SensorMode
from previz.scenefile.wording import listed
from previz.solve.framing import Subject, Wish, place_camera
from previz.stage.cameras import glass_of
from previz.stage.kit import CameraSetup
from previz.stage.placing import composed
from previz.stage.stage import Array, Stage, StageCamera, StagePerson, Thing
from previz.units import mm_to_m

Axis = Literal["focal", "stop", "sensor", "distance", "height"]
Mode = Literal["same_position", "same_size"]
HEADINGS: dict[Mode, str] = {
    "same_position": "from the same place",
    "same_size": "at the same size of the subject",
}


@dataclass(frozen=True, eq=False)
class Variant:
    """One version of a camera.

    label       what differs: `35 mm`
    setup       how it is set up, for measuring it
    placed      as it stands on the stage, under a name of its own
    outside_m   how far outside the room it would have to stand; 0 inside
    """

    label: str
    setup: CameraSetup
    placed: StageCamera
    outside_m: float


class Comparing:
    """Makes variants of one camera of a stage. The camera must be on a person."""

    def __init__(self, stage: Stage, catalog: Catalog, name: str) -> None:
        self.stage, self.catalog, self.name = stage, catalog, name
        self.own, self.base = stage.setups[name], stage.cameras[name]
        subject = self.own.subject
        if subject is None:
            raise ValueError(f"camera {name} is on nobody, so there is no size to keep")
        self.person: StagePerson = stage.people[subject]
        points = outermost(head_points(stage.things, self.person))
        self.subject = Subject(self.person, points)
        self.eyes: Array = self.person.landmarks["eyes"]

    def focal(self, lengths_mm: Sequence[float], mode: Mode) -> list[Variant]:
        """Other focal lengths at the same stop, from the same place or at the same size.

        Whether the lens has them is for `refuse_beyond_zoom` to say.
        """
        found = []
        for length in lengths_mm:
            setup = replace(self.own, focal_length_mm=length)
            moved = replace(self.base, focal_length_m=mm_to_m(length * setup.kit.factor))
            label = f"{length:g} mm"
            placed = self._same_size(moved) if mode == "same_size" else self._aimed(moved)
            found.append(self._variant(label, setup, placed))
        return found

    def refuse_beyond_zoom(self, lengths_mm: Sequence[float]) -> None:
        """ValueError for a focal length that the camera's zoom has not; a prime is exchanged."""
        lens = self.own.kit.lens
        low, high = lens.focal_length_mm
        beyond = [mm for mm in lengths_mm if lens.is_zoom and not low <= mm <= high]
        if not beyond:
            return
        names = self.catalog.names("lenses")
        lenses = {name: self.catalog.lens(name).focal_length_mm for name in names}
        fitting = [n for n, (least, most) in lenses.items() if least <= beyond[0] <= most]
        with_it = f", such as {listed(fitting[:2])}" if fitting else ""
        raise ValueError(
            f"{beyond[0]:g} mm is not on the lens of camera {self.name}, which has {low:g} to "
            f"{high:g} mm; give it a lens that has{with_it}: --set {self.name}.lens=NAME"
        )

    def stop(self, f_numbers: Sequence[float]) -> list[Variant]:
        """Other stops; the ISO follows, so that the pictures are equally bright."""
        found = []
        for number in f_numbers:
            setup = replace(self.own, f_number=number)
            glass = glass_of(setup.kit, setup.focal_length_mm, number)
            iso = self.base.iso * (glass.t_number / self.base.t_number) ** 2
            placed = replace(self.base, f_number=glass.f_number, t_number=glass.t_number, iso=iso)
            found.append(self._variant(f"f/{number:g}", setup, placed))
        return found

    def sensor(self, names: Sequence[str]) -> list[Variant]:
        """Other sensors in the same recording mode, or their first if they have no such mode."""
        found = []
        for name in names:
            record, mode = self.catalog.sensor(name), self.own.kit.mode_name
            mode = mode if mode in record.modes else next(iter(record.modes))
            kit = replace(self.own.kit, sensor=record, mode_name=mode)
            placed = self._aimed(_on_sensor(self.base, kit.mode))
            found.append(self._variant(name.replace("_", " "), replace(self.own, kit=kit), placed))
        return found

    def distance(self, distances_m: Sequence[float]) -> list[Variant]:
        """Other distances from the eyes, in the same direction and at the same height."""
        found = []
        for distance in distances_m:
            place = np.append(self.eyes[:2] + distance * self._direction(), self.base.position_m[2])
            placed = self._aimed(_moved(self.base, place))
            found.append(self._variant(f"{distance:g} m away", self.own, placed))
        return found

    def height(self, heights_m: Sequence[float]) -> list[Variant]:
        """Other lens heights over the floor, from the same place in plan."""
        found = []
        for height in heights_m:
            place = np.append(self.base.position_m[:2], height)
            placed = self._aimed(_moved(self.base, place))
            found.append(self._variant(f"{height:g} m high", self.own, placed))
        return found

    def _direction(self) -> Array:
        away = (self.base.position_m - self.eyes)[:2]
        return np.asarray(away / np.linalg.norm(away))

    def _aimed(self, placed: StageCamera) -> StageCamera:
        """Aimed so that the eyes lie in the picture where the scene wants them."""
        own, width = self.own, placed.sensor_width_m / placed.focal_length_m
        across = (own.aim_from_left_pct / 100.0 - 0.5) * width
        up = (0.5 - own.aim_from_top_pct / 100.0) * width / placed.aspect
        target = self.eyes if own.aimed_at is not None else np.asarray(own.aim_m, float)
        return replace(placed, pose=composed(placed.position_m, target, across, up))

    def _same_size(self, placed: StageCamera) -> StageCamera:
        head = head_in_frame(self.base, self.subject.head_points_m, self.person)
        wish = Wish(head.skull_height_pct, head.top_pct, self._look_room_pct())
        found = place_camera(
            placed,
            self.subject,
            wish,
            direction=self._direction(),
            height_m=float(self.base.position_m[2]),
        )
        eyes = found.camera.project(self.eyes, 100, 100)[0]
        # The eyes keep their place across too, where a look into the lens would centre them.
        across = (self._eye_pct() / 100.0 - 0.5) * placed.sensor_width_m / placed.focal_length_m
        up = (0.5 - float(eyes[1]) / 100.0) * placed.sensor_height_m / placed.focal_length_m
        pose = composed(found.camera.position_m, self.eyes, across, up)
        return replace(found.camera, pose=pose)

    def _eye_pct(self) -> float:
        return float(self.base.project(self.eyes, 100, 100)[0, 0])

    def _look_room_pct(self) -> float:
        x = self._eye_pct()
        return max(x, 100.0 - x)

    def _variant(self, label: str, setup: CameraSetup, placed: StageCamera) -> Variant:
        focused = placed
        if self.own.follows_focus:
            focused = replace(placed, focus_distance_m=nearer_eye_m(placed, self.person))
        name = f"{self.name}_{label.replace(' ', '').replace('/', '')}"
        return Variant(label, setup, replace(focused, name=name), self._outside_m(placed))

    def _outside_m(self, placed: StageCamera) -> float:
        floor = floor_of(self.stage.room.shape)
        return 0.0 if floor is None else float(floor.distance(Point(placed.position_m[:2])))


def _moved(placed: StageCamera, position_m: Array) -> StageCamera:
    pose = placed.pose.copy()
    pose[:3, 3] = position_m
    return replace(placed, pose=pose)


def _on_sensor(placed: StageCamera, mode: SensorMode) -> StageCamera:
    return replace(
        placed, sensor_width_m=mm_to_m(mode.width_mm), sensor_height_m=mm_to_m(mode.height_mm)
    )


def without_gear(stage: Stage, name: str) -> Stage:
    """The stage without the gear of camera `name`, which its variants take the place of.

    Gear goes by the name of its camera, and a variant has another: it would see the old gear.
    """
    return replace(stage, things=tuple(thing for thing in stage.things if thing.owner != name))


def stage_with(stage: Stage, name: str, variants: Sequence[Variant]) -> Stage:
    """The stage for rendering variants of camera `name`: they take the place of all cameras.

    The camera's own gear is taken away, and so are walls between a variant that stands outside
    the room and the middle of the set.
    """
    outside = [v.placed for v in variants if v.outside_m > 0.0]
    things = tuple(
        _without_walls(thing, outside) if thing.kind == "room" else thing
        for thing in without_gear(stage, name).things
    )
    return replace(
        stage,
        things=things,
        cameras={v.placed.name: v.placed for v in variants},
        setups={v.placed.name: v.setup for v in variants},
    )


def _without_walls(thing: Thing, cameras: Sequence[StageCamera]) -> Thing:
    pieces = tuple(
        piece
        for piece in thing.pieces
        if not any(_crosses(camera, piece.mesh.bounds) for camera in cameras)
    )
    return replace(thing, pieces=pieces)


def _crosses(camera: StageCamera, bounds: Array) -> bool:
    """Whether the way from the lens to what it focuses on passes through a box."""
    steps = np.linspace(0.0, camera.focus_distance_m, 400)[:, None]
    way = camera.position_m + steps * camera.forward
    return bool(((way >= bounds[0]) & (way <= bounds[1])).all(axis=1).any())
