"""The stage: everything standing where it belongs, in SI. All a renderer or a ruler needs.

World: right-handed, metres, Z up, floor at z = 0. RGB is linear BT.709, scaled so that
luminance Y is cd/m2.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from previz.geometry.gear.emitter import EmitterShape
from previz.geometry.people.figure import Strands
from previz.geometry.piece import Piece
from previz.model.meters import Meter
from previz.model.records import Material
from previz.physics.optics import angle_of_view_rad, entrance_pupil
from previz.physics.projection import pixel_of_point
from previz.stage.environment import Environment
from previz.stage.kit import CameraSetup
from previz.stage.placed import Mains, Programme, StageLight, StagePiece, StageRoom, StageSound

if TYPE_CHECKING:
    from previz.stage.moving.move import StageMove

Array = NDArray[np.float64]
ThingKind = Literal["room", "person", "furniture", "gear"]


@dataclass(frozen=True, eq=False)
class Thing:
    """One thing on the set, named after where the scene file has it: `people.guest`.

    `owner` names the camera whose own gear this is: that camera does not see it.
    """

    name: str
    kind: ThingKind
    pieces: tuple[Piece, ...]
    strands: Strands | None = None
    owner: str | None = None


@dataclass(frozen=True, eq=False)
class Emitter:
    """A surface that gives light, the light layer it belongs to and the thing it is part of.

    luminance_cd_m2  on its axis, at the dimmer's setting
    rgb              colour, linear BT.709 with Y = 1, (3,)
    profile          luminance relative to the axis as `beam.relative_luminance` gives it, one
                     row or (azimuths, count): azimuths at equal steps from 0, which lies to
                     the right seen from behind the light, by way of up; None for a matt surface
    window           the surface is a hole through which `Stage.environment` is seen; then
                     luminance_cd_m2 is the share of light that the window lets in, and rgb
                     the tint of its gels, a factor by colour
    """

    layer: str
    thing: str
    shape: EmitterShape
    luminance_cd_m2: float
    rgb: Array
    profile: Array | None = None
    window: bool = False
    reflectance: float = 0.0

    @property
    def power(self) -> Array:
        """What all its light is in proportion to, by colour: luminance times rgb, (3,)."""
        return self.luminance_cd_m2 * np.asarray(self.rgb, float)

    def light_before(self, outside: Environment | None) -> Array:
        """Its `power`; of a window, times the mean of what is outside it, cd/m2, (3,)."""
        if not self.window or outside is None:
            return self.power
        return np.asarray(self.power * outside.mean_through(self.shape.direction), float)

    @property
    def lit(self) -> bool:
        """Whether it gives any light: one that is off is a surface like others."""
        return bool(np.any(self.power > 0.0))


@dataclass(frozen=True, eq=False)
class StageCamera:
    """A camera ready to take a picture. `pose` is camera-to-world: looks along -Z, +Y up."""

    name: str
    pose: Array
    sensor_width_m: float
    sensor_height_m: float
    focal_length_m: float
    f_number: float
    t_number: float
    focus_distance_m: float
    fps: float
    shutter_s: float
    iso: float
    nd_density: float

    @property
    def position_m(self) -> Array:
        """Entrance pupil in the world, (3,)."""
        return self.pose[:3, 3]

    @property
    def forward(self) -> Array:
        """Unit vector along the lens axis, (3,)."""
        return -self.pose[:3, 2]

    @property
    def horizontal_angle_rad(self) -> float:
        """Horizontal angle of view focused at infinity."""
        return angle_of_view_rad(self.sensor_width_m, self.focal_length_m)

    @property
    def aspect(self) -> float:
        """Width of the picture over its height."""
        return self.sensor_width_m / self.sensor_height_m

    @property
    def aperture_radius_m(self) -> float:
        """Radius of the entrance pupil, f / 2N."""
        return entrance_pupil(self.focal_length_m, self.f_number) / 2.0

    def picture_size(self, width_px: int) -> tuple[int, int]:
        """Width and height in pixels of a picture of the given width; the height is even."""
        return width_px, max(2, 2 * round(width_px / self.aspect / 2.0))

    def project(self, points_m: Array, width_px: int, height_px: int) -> Array:
        """Pixel of world points: (n, 3) -> (n, 2), from the top left corner of the picture.

        A point behind the camera gives NaN.
        """
        local = (np.atleast_2d(points_m) - self.position_m) @ self.pose[:3, :3]
        return pixel_of_point(
            local,
            self.sensor_width_m,
            self.sensor_height_m,
            self.focal_length_m,
            width_px=width_px,
            height_px=height_px,
        )

    def axis_distance(self, point_m: Array) -> float:
        """Distance of a world point from the lens along the lens axis, metres."""
        return float((np.asarray(point_m) - self.position_m) @ self.forward)


@dataclass(frozen=True, eq=False)
class StagePerson:
    """Where a person's landmarks are in the world, and what of them light and lens care about.

    place               4x4 to the world from their own axes: the middle of the seat, or of the
                        feet, over the origin, the body facing -Y
    face_forward, gaze  unit vectors (3,)
    looks_at            person or camera that the scene has them look at, else face; None: nobody
    skin                class of skin
    striped             whether fine stripes are worn
    age_years           their age
    seat_with           whose seat they share; None: nobody's, they have their own or none
    """

    name: str
    place: Array
    landmarks: Mapping[str, Array]
    face_forward: Array
    gaze: Array
    looks_at: str | None
    skin: str
    striped: bool
    age_years: float
    seat_with: str | None = None


@dataclass(frozen=True, eq=False)
class Stage:
    """A whole set. Build one from a scene with `previz.stage.build.build_stage`.

    things, emitters, cameras, people, materials and environment are all that a renderer needs;
    setups (by camera), moves, lights, pieces, room, sockets, meters, sound, mains and programme are
    what a ruler needs besides.
    pieces holds furniture and seats as placed, by the names of their things.
    sockets holds the middle (3,) of every wall socket, by its name among the furniture.
    materials holds those that are used, by name.
    """

    title: str
    digest: str
    seed: int
    things: tuple[Thing, ...]
    emitters: tuple[Emitter, ...]
    cameras: Mapping[str, StageCamera]
    people: Mapping[str, StagePerson]
    materials: Mapping[str, Material]
    environment: Environment | None = None
    white_cct_k: float | None = None
    white_card_of: str | None = None
    notes: tuple[str, ...] = field(default=())
    setups: Mapping[str, CameraSetup] = field(default_factory=dict)
    moves: Mapping[str, StageMove] = field(default_factory=dict)
    lights: Mapping[str, StageLight] = field(default_factory=dict)
    pieces: Mapping[str, StagePiece] = field(default_factory=dict)
    room: StageRoom = field(default_factory=StageRoom)
    sockets: Mapping[str, Array] = field(default_factory=dict)
    meters: Mapping[str, Meter] = field(default_factory=dict)
    sound: StageSound = field(default_factory=StageSound)
    mains: Mains = field(default_factory=Mains)
    programme: Programme = field(default_factory=Programme)

    @cached_property
    def layers(self) -> tuple[str, ...]:
        """Names of the light layers, in the emitters' order; lights that are off have none."""
        return tuple(dict.fromkeys(emitter.layer for emitter in self.emitters if emitter.lit))

    def lit_by(self, layers: Collection[str]) -> Stage:
        """The same set with all other lights off."""
        emitters = tuple(
            emitter if emitter.layer in layers else replace(emitter, luminance_cd_m2=0.0)
            for emitter in self.emitters
        )
        return replace(self, emitters=emitters)

    @cached_property
    def object_ids(self) -> Mapping[str, int]:
        """Number of each thing in id images; 0 is nothing."""
        return {thing.name: number for number, thing in enumerate(self.things, start=1)}
