"""Findings on coloured walls near people: a wall for keying, or any that is painted strongly."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from previz.measure.measured import Measured
from previz.measure.rules.findings import PRACTICE, Finding
from previz.stage.stage import Array, Stage

SATURATED = 0.8
"""Of a reflectance, one less its least channel over its greatest: from here a wall tints what is
near it, an estimate. An ochre has 0.7, a green for keying over 0.9."""
KEPT_M = 2.0
"""People are kept this far from a wall whose colour must not lie on them: common practice, no
source."""


def spill_findings(measured: Measured) -> Iterator[Finding]:
    """Whoever a camera is on and has a strongly coloured wall too near."""
    stage = measured.stage
    subjects = dict.fromkeys(s.subject for s in stage.setups.values() if s.subject is not None)
    coloured = [n for n, rgb in _walls(stage).items() if saturation(rgb) >= SATURATED]
    for name in subjects:
        head = stage.people[name].landmarks["eyes"][:2]
        off_m = {n: _off_m(stage, n, head) for n in coloured}
        nearest = min(off_m, key=lambda n: off_m[n], default=None)
        if nearest is not None and round(off_m[nearest], 2) < KEPT_M:
            yield Finding(
                "colour_spill",
                "note",
                f"people.{name}",
                f"a strongly coloured wall is {off_m[nearest]:.2f} m from {name}: it throws its "
                f"colour on hair, shoulders and the shaded cheek, and a key takes those with it; "
                f"keep {KEPT_M:g} m, and light the wall by lamps of its own",
                off_m[nearest],
                KEPT_M,
                "m",
                PRACTICE,
            )


def saturation(reflectance: Array) -> float:
    """0 of a grey, 1 of a colour without any of one of the three."""
    most = float(np.max(reflectance))
    return 1.0 - float(np.min(reflectance)) / most if most > 0.0 else 0.0


def _walls(stage: Stage) -> dict[int, Array]:
    """Reflectance (3,) of each wall by its number."""
    pieces = {p.name: p for t in stage.things if t.name == "room" for p in t.pieces}
    found = {}
    for number in stage.room.walls:
        piece = pieces.get(f"wall_{number}")
        if piece is not None:
            own = piece.colour
            rgb = stage.materials[piece.material].reflectance if own is None else own
            found[number] = np.asarray(rgb, float).reshape(-1, 3).mean(axis=0)
    return found


def _off_m(stage: Stage, number: int, at_m: Array) -> float:
    wall = stage.room.walls[number]
    return float((at_m - wall.left_m) @ wall.inward)
