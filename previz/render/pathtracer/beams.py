"""How lamps spread their light, looked up while paths are traced. Import after a variant is set.

A lamp's table has one row of luminance by angle off its axis where it is the same all round, or
one for each azimuth. Stages whose lamps are all the same all round pay nothing for azimuths.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import drjit as dr
import mitsuba as mi
import numpy as np
from numpy.typing import NDArray

from previz.physics.beam import PROFILE_STEPS
from previz.render.pathtracer.loading import aligned
from previz.stage.stage import Emitter

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class BeamTable:
    """The beams of a scene's lamps, in the order of `scene.emitters()`.

    rows      luminance relative to the axis, (rows, PROFILE_STEPS); row 0 is matt
    first     a lamp's first row, (n,)
    azimuths  how many rows it has, (n,)
    frames    unit vectors in the world towards azimuth 0 and 90 degrees, (n, 2, 3)
    """

    rows: Array
    first: NDArray[np.int64]
    azimuths: NDArray[np.int64]
    frames: Array


def beam_table(emitters: Sequence[Emitter]) -> BeamTable:
    """The beams of `emitters`, brought to PROFILE_STEPS steps."""
    rows = [np.ones((1, PROFILE_STEPS))]
    first, azimuths = [], []
    steps = np.linspace(0.0, 1.0, PROFILE_STEPS)
    for emitter in emitters:
        if emitter.profile is None:
            first.append(0)
            azimuths.append(1)
            continue
        first.append(sum(len(block) for block in rows))
        given = np.atleast_2d(emitter.profile)
        at = np.linspace(0.0, 1.0, given.shape[1])
        rows.append(np.stack([np.interp(steps, at, row) for row in given]))
        azimuths.append(len(given))
    frames = [(-e.shape.pose[:3, 0], e.shape.pose[:3, 1]) for e in emitters]
    return BeamTable(
        rows=np.concatenate(rows),
        first=np.array(first, np.int64),
        azimuths=np.array(azimuths, np.int64),
        frames=np.array(frames, float).reshape(-1, 2, 3),
    )


class Beams:
    """A `BeamTable` by registry number."""

    def __init__(self, table: BeamTable, numbers: Sequence[int], size: int) -> None:
        first, azimuths = np.zeros(size, np.uint32), np.ones(size, np.uint32)
        frames = np.zeros((size, 2, 3), np.float32)
        first[numbers] = table.first
        azimuths[numbers] = table.azimuths
        frames[numbers] = table.frames
        self.all_matt = len(table.rows) == 1
        self._all_round = not np.any(azimuths > 1)
        self._first = mi.UInt32(aligned(first, np.uint32))
        self._azimuths = mi.UInt32(aligned(azimuths, np.uint32))
        self._frames = mi.Float(aligned(frames, np.float32))
        self._rows = mi.Float(aligned(table.rows, np.float32))

    def factor(self, number: Any, cos_emission: Any, leaving: Any, active: Any) -> Any:
        """Luminance of lamp `number` relative to its axis.

        cos_emission  cosine between the surface and the way the light leaves
        leaving       that way, a unit vector in the world
        """
        row = dr.gather(mi.UInt32, self._first, number, active)
        if self._all_round:
            return self._along(row, cos_emission, active)
        count = dr.gather(mi.UInt32, self._azimuths, number, active)
        zero = dr.gather(mi.Vector3f, self._frames, 2 * number, active)
        quarter = dr.gather(mi.Vector3f, self._frames, 2 * number + 1, active)
        turn = dr.atan2(dr.dot(leaving, quarter), dr.dot(leaving, zero)) * dr.inv_two_pi
        place = dr.select(turn < 0.0, turn + 1.0, turn) * mi.Float(count)
        low = dr.minimum(mi.UInt32(place), count - 1)
        high = dr.select(low + 1 < count, low + 1, 0)
        before = self._along(row + low, cos_emission, active)
        after = self._along(row + high, cos_emission, active)
        return dr.lerp(before, after, place - mi.Float(low))

    def _along(self, row: Any, cos_emission: Any, active: Any) -> Any:
        step = dr.sqrt(1.0 - dr.clip(cos_emission, 0.0, 1.0)) * (PROFILE_STEPS - 1)
        low = dr.minimum(mi.UInt32(step), PROFILE_STEPS - 2)
        start = row * PROFILE_STEPS + low
        below = dr.gather(mi.Float, self._rows, start, active)
        above = dr.gather(mi.Float, self._rows, start + 1, active)
        return dr.lerp(below, above, step - mi.Float(low))
