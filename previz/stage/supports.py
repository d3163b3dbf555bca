"""What holds a camera: how high its lens can be, and what room whoever holds it takes.

All figures are estimates, for a person of middle height who stands.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

SupportName = Literal["tripod", "shoulder_rig", "gimbal", "none"]


@dataclass(frozen=True)
class Support:
    """One kind of support.

    words       as people say it
    lens_m      lens heights it gives, lowest and highest; None: any, of legs and boxes
    from_wall_m least distance of the lens from a wall behind it: legs, or who holds it
    """

    words: str
    from_wall_m: float
    lens_m: tuple[float, float] | None = None

    @property
    def held(self) -> bool:
        """Whether a person carries it: nothing of it stands on the floor."""
        return self.lens_m is not None


OPERATOR_BEHIND_M = 0.55
"""From the lens back to the middle of whoever holds the camera."""
OPERATOR_RADIUS_M = 0.3
"""What they take of the floor, elbows and all."""

SUPPORTS: dict[SupportName, Support] = {
    "tripod": Support("tripod", 0.5),
    "shoulder_rig": Support("shoulder rig", OPERATOR_BEHIND_M + OPERATOR_RADIUS_M, (1.3, 1.75)),
    "gimbal": Support("gimbal", OPERATOR_BEHIND_M + OPERATOR_RADIUS_M, (0.3, 1.9)),
    "none": Support("nothing", 0.1),
}
"""A shoulder is at four fifths of the stature, and a lens on it a little higher; a gimbal is held
from knee to forehead. Kneeling lowers both, but not for as long as an interview lasts."""
