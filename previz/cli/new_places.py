"""Footprints of a first interview in plan: legs, heads of lights, what a frame takes in.

Rounder and larger than the things themselves, so that what is clear here is clear when built.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

Point = tuple[float, float]

TRIPOD_BEHIND_M = 0.27
"""From the lens back to the middle of its tripod."""
TRIPOD_LEGS_M = 0.47
"""From there to a foot, with the lens at a sitter's eyes."""
FRAME_MARGIN_DEG = 2.0


@dataclass(frozen=True)
class Footprint:
    """A round footprint, metres."""

    at_m: Point
    radius_m: float


@dataclass(frozen=True)
class LightInPlan:
    """A light in plan, metres: half the width of its face, from the face to its back and to the
    column of its stand, and from there to a foot. `axis_cd` is its intensity at full."""

    fixture: str
    half_m: float
    depth_m: float
    column_m: float
    legs_m: float
    axis_cd: float

    def column(self, face_m: Point, aim_m: Point) -> Footprint:
        """Its stand, the head turned to `aim_m`."""
        return Footprint(_beyond(face_m, aim_m, self.column_m), self.legs_m)

    def body(self, face_m: Point, aim_m: Point) -> Footprint:
        """The head itself."""
        half = math.hypot(self.half_m, self.depth_m / 2)
        return Footprint(_beyond(face_m, aim_m, self.depth_m / 2), half)

    def over(self, face_m: Point, aim_m: Point, whom: Footprint) -> bool:
        """Whether the head hangs over somebody."""
        turn = _bearing(aim_m, face_m)
        x, y = whom.at_m[0] - face_m[0], whom.at_m[1] - face_m[1]
        back = x * math.cos(turn) + y * math.sin(turn)
        aside = abs(y * math.cos(turn) - x * math.sin(turn))
        gap = math.hypot(max(aside - self.half_m, 0.0), max(back - self.depth_m, -back, 0.0))
        return gap < whom.radius_m


# Those that a new scene is lit with; the measures are those of their records.
LARGE_KEY = LightInPlan(
    "softbox_90", half_m=0.5, depth_m=0.7, column_m=0.55, legs_m=0.5, axis_cd=3300
)
SMALL_KEY = LightInPlan(
    "softbox_60", half_m=0.35, depth_m=0.66, column_m=0.52, legs_m=0.45, axis_cd=1800
)
PANEL = LightInPlan(
    "panel_60x40", half_m=0.36, depth_m=0.2, column_m=0.15, legs_m=0.5, axis_cd=3800
)
HAIR = LightInPlan(
    "fresnel_80", half_m=0.18, depth_m=0.35, column_m=0.2, legs_m=0.45, axis_cd=10000
)


@dataclass(frozen=True)
class GuestLight:
    """A light round a guest in the trade's words."""

    fixture: str
    azimuth_deg: int
    elevation_deg: int
    distance_m: float
    axis_cd: float

    def dimmer_pct(self, face_lx: float) -> int:
        """For so many lux on a card before the face that is turned to the camera."""
        off = math.cos(math.radians(self.azimuth_deg)) * math.cos(math.radians(self.elevation_deg))
        full_lx = self.axis_cd * off / self.distance_m**2
        return min(round(100 * face_lx / full_lx), 100)

    def dimmer_at(self, dimmer_pct: float, distance_m: float) -> int:
        """As bright from here as another dimmed so far from so near."""
        return min(round(dimmer_pct * (self.distance_m / distance_m) ** 2), 100)


@dataclass(frozen=True)
class PlanView:
    """What a camera sees in plan: `field_m` wide round a point of its axis."""

    lens_m: Point
    axis_m: Point
    field_m: float

    @classmethod
    def composed(
        cls, lens_m: Point, aim_m: Point, field_m: float, from_left_pct: float
    ) -> PlanView:
        """With what it aims at not in the middle of the frame."""
        ahead = _bearing(lens_m, aim_m)
        right_m = (0.5 - from_left_pct / 100) * field_m
        axis = aim_m[0] + right_m * math.sin(ahead), aim_m[1] - right_m * math.cos(ahead)
        return cls(lens_m, axis, field_m)

    def sees(self, disc: Footprint) -> bool:
        """Whether any of a disc is in the frame, or nearly."""
        away = math.dist(self.lens_m, disc.at_m)
        if away <= disc.radius_m:
            return True
        off = _bearing(self.lens_m, disc.at_m) - _bearing(self.lens_m, self.axis_m)
        off = abs(math.remainder(off, 2 * math.pi))
        half = math.atan2(self.field_m / 2, math.dist(self.lens_m, self.axis_m))
        return off < half + math.radians(FRAME_MARGIN_DEG) + math.asin(disc.radius_m / away)


def polar(middle_m: Point, azimuth_deg: float, reach_m: float) -> Point:
    """Point round another: azimuth from south, positive to the east."""
    turn = math.radians(azimuth_deg)
    return middle_m[0] + reach_m * math.sin(turn), middle_m[1] - reach_m * math.cos(turn)


def tripod(lens_m: Point, aim_m: Point) -> Footprint:
    """Legs of a camera that looks at `aim_m`."""
    return Footprint(_beyond(lens_m, aim_m, TRIPOD_BEHIND_M), TRIPOD_LEGS_M)


def inside(disc: Footprint, half_width_m: float, south_m: float, north_m: float) -> bool:
    """Whether a disc is between the walls of a room that is symmetric from west to east."""
    x, y = disc.at_m
    return (
        abs(x) + disc.radius_m <= half_width_m
        and south_m + disc.radius_m <= y <= north_m - disc.radius_m
    )


def _beyond(at_m: Point, aim_m: Point, by_m: float) -> Point:
    """Point behind another as seen from what it looks at."""
    away = _bearing(aim_m, at_m)
    return at_m[0] + by_m * math.cos(away), at_m[1] + by_m * math.sin(away)


def _bearing(here_m: Point, there_m: Point) -> float:
    return math.atan2(there_m[1] - here_m[1], there_m[0] - here_m[0])
