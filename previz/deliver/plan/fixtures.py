"""Which symbol a fixture has on a plan."""

from __future__ import annotations

import numpy as np

from previz.deliver.paper.figure import Array, Item
from previz.deliver.plan import symbols
from previz.measure.setting_out.layout import PlacedLight

LEVEL = 1e-6


def light_symbol(placed: PlacedLight, at_mm: Array, mm_per_m: float) -> tuple[Item, ...]:
    """A light's symbol at its face, as wide as its face is at the drawing's scale."""
    light = placed.light
    fixture, toward = light.fixture, (light.aim_m - light.position_m)[:2]
    # On paper y goes down; what points straight down is drawn as if to the south.
    level = float(np.hypot(*toward)) > LEVEL
    ahead = toward * (1.0, -1.0) if level else np.array([0.0, 1.0])
    width_mm = mm_per_m * (fixture.width_m or fixture.length_m or fixture.diameter_m or 0.1)
    if fixture.form == "softbox":
        return symbols.soft(at_mm, ahead, width_mm)
    if fixture.form == "fresnel":
        return symbols.lensed(at_mm, ahead)
    if fixture.form == "lantern":
        return symbols.globe(at_mm, width_mm)
    if fixture.form == "practical":
        return symbols.room_lamp(at_mm)
    if fixture.form in ("panel", "tube"):
        return symbols.panel(at_mm, ahead, width_mm)
    return symbols.board(at_mm, ahead, width_mm, black=fixture.form == "flag")
