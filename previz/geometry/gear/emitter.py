"""The emitting surface of a light, described for whoever makes it: it is never a piece."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from previz.geometry.piece import Array

EmitterKind = Literal["rectangle", "disc", "cylinder", "sphere"]


@dataclass(frozen=True, eq=False)
class EmitterShape:
    """One emitting surface in metres.

    kind      rectangle  width_m (local X) by height_m (local Y), emits along +Z
              disc       radius_m, emits along +Z
              cylinder   radius_m, length_m along local Y, centred, emits outward from its side
              sphere     radius_m round the origin, emits outward
    shaded    share of its light that its own housing keeps: a lantern's hubs, a bulb's socket
    pose      (4, 4) local-to-world, rigid: centre of the surface at the origin, +Z the main
              direction of emission (for a cylinder or sphere: towards the aim), +Y up
    """

    kind: EmitterKind
    pose: Array
    width_m: float = 0.0
    height_m: float = 0.0
    radius_m: float = 0.0
    length_m: float = 0.0
    shaded: float = 0.0

    @property
    def area_m2(self) -> float:
        """Emitting area in square metres."""
        if self.kind == "rectangle":
            return self.width_m * self.height_m
        if self.kind == "disc":
            return float(np.pi) * self.radius_m**2
        if self.kind == "cylinder":
            return 2 * float(np.pi) * self.radius_m * self.length_m
        return 4 * float(np.pi) * self.radius_m**2

    @property
    def position_m(self) -> Array:
        """Centre of the surface in the world, (3,)."""
        return np.asarray(self.pose[:3, 3], float)

    @property
    def direction(self) -> Array:
        """Main direction of emission in the world, unit (3,)."""
        return np.asarray(self.pose[:3, 2], float)
