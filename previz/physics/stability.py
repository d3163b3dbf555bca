"""When a stand tips: moments about the line through two of its feet, and the wind on a face.

Rigid bodies on a level floor that does not give (statics; "Engineering Mechanics: Statics",
R. C. Hibbeler, from memory). It stops being true on cables, slopes and soft ground.
"""

from __future__ import annotations

import math

from previz.physics.checks import not_negative, positive

GRAVITY_M_S2 = 9.80665
"""Standard gravity: ISO 80000-3, from memory."""
AIR_KG_M3 = 1.225
"""Density of air at sea level and 15 deg C: ISO 2533."""
PLATE_DRAG = 1.17
"""Drag of a square plate across the wind: Hoerner, "Fluid-Dynamic Drag", 1965 (from memory)."""


def tripod_lever_m(legs_m: float) -> float:
    """From the column to the line between two of three feet `legs_m` from it: half of that.

    Geometry of three legs evenly spread.
    """
    return positive("legs_m", legs_m) / 2.0


def tipping_push_n(weight_kg: float, lever_m: float, height_m: float) -> float:
    """Level push at a height over the floor that just tips what weighs so much over its lever.

    Balance of moments: Hibbeler, "Engineering Mechanics: Statics" (from memory).
    """
    held_nm = GRAVITY_M_S2 * not_negative("weight_kg", weight_kg) * positive("lever_m", lever_m)
    return held_nm / positive("height_m", height_m)


def ballast_kg(push_n: float, height_m: float, lever_m: float, weight_kg: float) -> float:
    """Weight to lay at the column so that a push does not tip it; 0 if it stands without.

    Balance of moments: Hibbeler, "Engineering Mechanics: Statics" (from memory).
    """
    wanted_nm = not_negative("push_n", push_n) * positive("height_m", height_m)
    wanted_kg = wanted_nm / (GRAVITY_M_S2 * positive("lever_m", lever_m))
    return max(wanted_kg - not_negative("weight_kg", weight_kg), 0.0)


def wind_speed_m_s(push_n: float, face_m2: float) -> float:
    """Wind square on a face that pushes so hard: F = 1/2 rho v^2 Cd A.

    Hoerner, "Fluid-Dynamic Drag", 1965 (from memory). Steady wind on a plate: gusts push harder.
    """
    pressure = not_negative("push_n", push_n) / positive("face_m2", face_m2)
    return math.sqrt(2.0 * pressure / (AIR_KG_M3 * PLATE_DRAG))
