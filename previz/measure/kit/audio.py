"""What the sound takes: microphones as the scene has them, what carries and what records them."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from previz.measure.kit.camera import on_hours
from previz.measure.kit.item import ESTIMATE, Item
from previz.stage.stage import Stage

CELL_HOURS = 5.0
"""What two AA cells last in a transmitter or a receiver: an estimate."""
CELLS = 4
"""Two in each of the two: common practice, no source."""
MICROPHONE_LEAD_M = 10.0
"""From the boom's stand to the recorder, down the stand and along the wall: an estimate."""


def sound_items(stage: Stage) -> Iterator[Item]:
    """Boom and clip, the recorder and what they run on."""
    placed = stage.sound
    if placed.boom is not None:
        reach_m = float(np.linalg.norm(placed.boom.axes.tail - placed.boom.axes.hold))
        yield Item("sound", "Short shotgun microphone with shock mount and foam", 1,
                   weight_kg=0.4, source=ESTIMATE)  # fmt: skip
        yield Item("sound", "Boom pole, at least this long", 1, size_m=(round(reach_m, 1),),
                   weight_kg=0.8, source=ESTIMATE, case="Stand bag")  # fmt: skip
        yield Item("sound", "Stand with a boom cradle", 1, weight_kg=3.5, source=ESTIMATE,
                   case="Stand bag", note="or somebody who holds the pole")  # fmt: skip
        yield Item("sound", "Microphone lead", 1, size_m=(MICROPHONE_LEAD_M,), weight_kg=0.6,
                   source=ESTIMATE, note="and a second to spare")  # fmt: skip
    if placed.wearer is not None:
        yield Item("sound", "Lavalier with transmitter and receiver", 1, weight_kg=0.5,
                   source=ESTIMATE, note="a frequency that is free and allowed there")  # fmt: skip
        yield Item("sound", "Clips and skin-safe tape for a lavalier", 1, weight_kg=0.1)
        cells = CELLS * math.ceil(on_hours(stage) / CELL_HOURS)
        if cells:
            yield Item("consumables", "AA cell for the lavalier", cells, weight_kg=0.025,
                       source=ESTIMATE, adds=True)  # fmt: skip
    if placed.boom is not None or placed.wearer is not None:
        yield Item("sound", "Recorder with timecode, card and battery", 1, weight_kg=1.5,
                   source=ESTIMATE)  # fmt: skip
        yield Item("sound", "Closed headphones", 1, weight_kg=0.3, source=ESTIMATE)
