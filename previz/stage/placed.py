"""What stands on a stage besides its meshes: lights as placed, the room's shape, mains, programme.

A renderer works without it; whoever measures the set finds here what the scene says of it, with
every name looked up and every place in numbers.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from previz.geometry.gear.sound import BoomAxes
from previz.geometry.room import RoomShape
from previz.geometry.walls import Wall
from previz.model.exposure import Delivery, Recording
from previz.model.lights import Light
from previz.model.power import Power
from previz.model.records import Fixture
from previz.model.room import Opening, ScannedMesh

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class StageLight:
    """One light, board, frame or flag as placed.

    fixture     its record
    setting     as the scene has it: dimmer, gels, stand, circuit
    position_m  middle of its face (3,)
    aim_m       what the face looks at (3,)
    """

    name: str
    fixture: Fixture
    setting: Light
    position_m: Array
    aim_m: Array

    @property
    def thing(self) -> str:
        """Its name among the things on the set."""
        return f"lights.{self.name}"

    @property
    def on(self) -> bool:
        """Whether it is switched on."""
        return self.setting.on

    @property
    def output(self) -> float:
        """Share of its full light that it gives as set, 0 to 1."""
        return self.setting.dimmer_pct / 100.0 if self.on else 0.0

    @property
    def practical(self) -> bool:
        """Whether it is a lamp of the room itself."""
        return self.fixture.form == "practical"

    @property
    def on_stand(self) -> bool:
        """Whether a stand holds it on the floor."""
        return self.setting.stand != "none" and self.fixture.stand_footprint_m > 0.0


@dataclass(frozen=True, eq=False)
class StagePiece:
    """A piece of furniture or a seat as placed.

    label     what the catalogue calls it
    at_m      origin of its own frame (3,): the middle of its floor, of a seat the middle of that
    turn_rad  about the vertical, counter-clockwise seen from above
    on_stands whether it is a background that two stands carry
    """

    label: str
    at_m: Array
    turn_rad: float
    on_stands: bool = False


@dataclass(frozen=True, eq=False)
class StageRoom:
    """The room's shape with its walls by number and its openings by name; a scan has no shape.

    film_density  by opening that has film: of the ND and of all gels on it together
    panes         windows whose glass stands in the set, for it mirrors the room: dark outside
    scan          how a scanned room is set into the scene
    """

    shape: RoomShape | None = None
    walls: Mapping[int, Wall] = field(default_factory=dict)
    openings: Mapping[str, Opening] = field(default_factory=dict)
    film_density: Mapping[str, float] = field(default_factory=dict)
    panes: frozenset[str] = frozenset()
    scan: ScannedMesh | None = None


def pane_of(window: str) -> str:
    """The thing that a window's glass is, where it stands in the set."""
    return f"openings.{window}.pane"


@dataclass(frozen=True, eq=False)
class StageBoom:
    """A microphone on a pole: over whom, where its parts lie, and the stand that holds it."""

    over: str
    axes: BoomAxes


@dataclass(frozen=True, eq=False)
class StageSound:
    """The microphones as placed, and what they hear besides.

    wearer  who wears a clip-on microphone, which sits at `clip_m` (3,)
    noises  by light or piece of furniture: what is heard of it, and what to do
    """

    boom: StageBoom | None = None
    wearer: str | None = None
    clip_m: Array | None = None
    noises: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Mains:
    """What the lights are plugged into, as the scene has it, and the frequency that holds there."""

    power: Power = field(default_factory=Power)
    frequency_hz: int = 50


@dataclass(frozen=True)
class Programme:
    """What is delivered: frames a second, width of the pictures, how much is recorded.

    delivery  shapes of the pictures; cameras are framed for the first
    """

    fps: float = 25.0
    width_px: int = 1280
    recording: Recording = field(default_factory=Recording)
    delivery: tuple[Delivery, ...] = ()
