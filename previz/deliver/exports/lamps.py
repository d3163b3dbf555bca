"""The lights of a stage as other programs know them: an intensity, a cone, a luminance.

The faces of a stage shine by tables of directions. What another program takes instead is worked
out here once: where the intensity has fallen to a half and to a tenth, and how much it is on top.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from previz.deliver.exports.scenery import unique
from previz.geometry.gear.emitter import EmitterShape
from previz.physics.beam import (
    FIELD_VALUE,
    HALF_VALUE,
    PROFILE_STEPS,
    fall_of_table_rad,
    mean_of_table,
    profile_angles_rad,
)
from previz.physics.colour import luminance
from previz.stage.stage import Emitter, Stage

F64 = NDArray[np.float64]

FLAT = ("rectangle", "disc")
DIES_OUT = 0.01
"""Share of the greatest intensity below which a beam counts as ended, where a format has an end."""


@dataclass(frozen=True, eq=False)
class Lamp:
    """One emitting face.

    name   of its thing, unique among lamps: `lights.key`
    light  luminance before its table, cd/m2 by colour (3,): of a window, the mean outside it
    """

    name: str
    emitter: Emitter
    light: F64

    @property
    def shape(self) -> EmitterShape:
        """Where it is and how large."""
        return self.emitter.shape

    @property
    def flat(self) -> bool:
        """Whether it shines to one side; else all round."""
        return self.shape.kind in FLAT

    @cached_property
    def _table(self) -> F64:
        """Luminance over `light` by direction off the axis, mean all round, (count,)."""
        if self.emitter.profile is None:
            return np.ones(PROFILE_STEPS)
        return np.asarray(np.atleast_2d(self.emitter.profile).mean(axis=0), float)

    def half_angle_rad(self, share: float) -> float:
        """Angle off the axis of a flat face at which this share of its intensity is left."""
        return fall_of_table_rad(self._table, share)

    @property
    def beam_deg(self) -> float:
        """Full angle to half the intensity."""
        return math.degrees(2.0 * self.half_angle_rad(HALF_VALUE))

    @property
    def field_deg(self) -> float:
        """Full angle to a tenth of the intensity."""
        return math.degrees(2.0 * self.half_angle_rad(FIELD_VALUE))

    @property
    def top_luminance(self) -> F64:
        """Luminance by colour (3,), cd/m2, in the direction of its greatest intensity."""
        angle = profile_angles_rad(len(self._table))
        return np.asarray(self.light * float((self._table * np.cos(angle)).max()), float)

    @property
    def mean_luminance(self) -> F64:
        """Luminance by colour (3,), cd/m2, of the matt face that gives off as much light."""
        return np.asarray(self.light * mean_of_table(self._table), float)

    @property
    def intensity(self) -> F64:
        """Greatest luminous intensity by colour (3,), candela, of what leaves its housing."""
        shape = self.shape
        seen_m2 = {
            "sphere": math.pi * shape.radius_m**2,
            "cylinder": 2.0 * shape.radius_m * shape.length_m,
        }.get(shape.kind, shape.area_m2)
        return np.asarray(self.top_luminance * seen_m2 * (1.0 - shape.shaded), float)

    @property
    def intensity_cd(self) -> float:
        """The same as a photometer reads it."""
        return float(luminance(self.intensity))


def lamps(stage: Stage) -> tuple[Lamp, ...]:
    """All emitting faces, those that are off among them, in the stage's order."""
    names = unique([emitter.thing for emitter in stage.emitters])
    return tuple(
        Lamp(name, emitter, emitter.light_before(stage.environment))
        for name, emitter in zip(names, stage.emitters, strict=True)
    )


@dataclass(frozen=True, eq=False)
class Sunlight:
    """The sun as it shines in.

    direction  unit vector to it (3,)
    light      illuminance by colour (3,), lux, of what faces it behind the windows it meets
    windows    share of light that these let in; 1 where it meets none
    """

    direction: F64
    light: F64
    windows: float
    radius_rad: float


def sunlight(stage: Stage) -> Sunlight | None:
    """The sun behind the windows' glass and gels, their mean by area; None when none shines.

    Glass takes no light in most programs, so what it takes is taken here.
    """
    sun = None if stage.environment is None else stage.environment.sun
    if sun is None:
        return None
    met = [e for e in stage.emitters if e.window and float(e.shape.direction @ sun.direction) < 0.0]
    areas = np.array([e.shape.area_m2 for e in met])
    share = areas @ np.array([e.power for e in met]) / areas.sum() if met else np.ones(3)
    return Sunlight(sun.direction, sun.light * share, float(luminance(share)), sun.radius_rad)
