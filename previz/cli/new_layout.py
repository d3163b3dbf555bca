"""Where everything of a first interview goes, for any room and number of people and cameras.

The A camera looks north along x = 0 at the guests, who sit round the origin. The interviewer
and the key are to the right of the picture, the B camera to its left: so the cameras stay on
one side of the line from interviewer to guest, and B looks at the shaded side of the face.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

SENSOR_WIDTH_MM = 24.658  # super35_3perf in mode uhd
EYE_HEIGHT_M = 1.18  # seated; only to keep lights under the ceiling
WALL_GAP_M = (
    0.6  # the lens of a camera on its tripod, or the face of a light on its stand, from a wall
)
KEY_WALL_GAP_M = 1.1  # its face, its stand behind and the legs
KEY_UPPER_HALF_M = 0.55  # from the middle of its face to its upper edge, and a hand's breadth
HAIR_WALL_GAP_M = 0.95  # its head, and the legs behind it
SEATS_APART_M = 0.95
CAMERAS_APART_M = 0.7

# Widths of the field at the guest: head and chest, and head and shoulders (common practice).
MEDIUM_CLOSE_UP_M = 1.15
CLOSE_UP_M = 0.8

# Range in mm and name; all open to f/2.8. The first that has the focal length is taken.
LENSES = (
    ((24.0, 70.0), "zoom_24_70_f2.8"),
    ((16.0, 35.0), "zoom_16_35_f2.8"),
    ((70.0, 200.0), "zoom_70_200_f2.8"),
)


@dataclass(frozen=True)
class Answers:
    """What the user wants. Metres; `people` are the guests, without the interviewer."""

    title: str = "An interview"
    width_m: float = 5.0
    depth_m: float = 6.0
    height_m: float = 2.7
    people: int = 1
    cameras: int = 2


Point = tuple[float, float]


@dataclass(frozen=True)
class Shot:
    """One camera: plan position, lens, and the guest it aims at (by number from 0)."""

    at_m: Point
    focal_length_mm: float
    lens: str
    guest: int


@dataclass(frozen=True)
class Lamp:
    """A light round a guest in the trade's words."""

    azimuth_deg: int
    elevation_deg: int
    distance_m: float


@dataclass(frozen=True)
class Window:
    """A hole in the north wall, metres."""

    along_m: float
    width_m: float
    sill_m: float
    height_m: float


class Layout:
    """Places for the answers; everything rounded to what one would write by hand."""

    def __init__(self, answers: Answers) -> None:
        self.answers = answers
        self.background_m = round(min(3.0, 0.4 * answers.depth_m), 1)
        self.centre_y_m = round(self.background_m - answers.depth_m / 2, 3)
        self.half_width_m = answers.width_m / 2
        self.south_m = self.background_m - answers.depth_m
        self.camera_distance_m = round(min(2.4, -self.south_m - 0.9), 2)

    def guests(self) -> list[Point]:
        """Seats, from the left of the picture to the right."""
        count = self.answers.people
        return [(round((k - (count - 1) / 2) * SEATS_APART_M, 2), 0.0) for k in range(count)]

    def interviewer(self) -> Point:
        """Beside the A camera, before the legs of its tripod."""
        return 0.6, round(-self.camera_distance_m + 0.4, 2)

    def shots(self) -> list[Shot]:
        """The cameras A, B, C."""
        count = self.answers.people
        spread_m = (count - 1) * SEATS_APART_M
        middle, last = count // 2, count - 1
        a = self._shot((0.0, -self.camera_distance_m), MEDIUM_CLOSE_UP_M + spread_m, middle)
        b = self._shot(self._round(last, 40.0, 2.4), CLOSE_UP_M, last)
        if count == 1:
            wide_m = min(0.5, -self.south_m - self.camera_distance_m - WALL_GAP_M)
            left_m = min(1.45, self.half_width_m - WALL_GAP_M)
            c_m = (-left_m, -self.camera_distance_m - wide_m)
            if math.dist(c_m, b.at_m) < CAMERAS_APART_M:
                c_m = (c_m[0] + CAMERAS_APART_M, c_m[1])
            c = self._shot(c_m, 2.1, 0)
        else:
            c = self._shot(self._round(0, 25.0, 2.4), CLOSE_UP_M, 0)
        return [a, b, c][: self.answers.cameras]

    def _round(self, guest: int, azimuth_deg: float, distance_m: float) -> Point:
        """Point to the left of the A camera round a guest, as far as the room allows."""
        x, y = self.guests()[guest]
        east, north = -math.sin(math.radians(azimuth_deg)), -math.cos(math.radians(azimuth_deg))
        to_west = (-self.half_width_m + WALL_GAP_M - x) / east
        to_south = (self.south_m + WALL_GAP_M - y) / north
        reach = min(distance_m, to_west, to_south)
        return x + reach * east, y + reach * north

    def _shot(self, at_m: Point, field_m: float, guest: int) -> Shot:
        x, y = round(at_m[0], 2), round(at_m[1], 2)
        distance_m = math.dist((x, y), self.guests()[guest])
        wanted_mm = SENSOR_WIDTH_MM * distance_m / field_m
        focal_mm = float(min(max(round(wanted_mm), 16), 200))
        lens = next(name for (low, high), name in LENSES if low <= focal_mm <= high)
        return Shot((x, y), focal_mm, lens, guest)

    def key(self) -> Lamp:
        """Right of the picture, out of every frame, in front of the guests.

        As high as the ceiling lets its upper edge rise.
        """
        x, y = 1.15 + self._half_spread_m(), -1.1
        x = min(x, max(1.15, self.half_width_m - KEY_WALL_GAP_M))
        room_m = self.answers.height_m - KEY_UPPER_HALF_M - EYE_HEIGHT_M
        elevation = math.degrees(math.atan2(room_m, math.hypot(x, y)))
        return self._lamp(x, y, min(30, int(elevation)))

    def fill(self) -> Lamp:
        """Left of the picture, close to the A camera and behind its lens."""
        return self._lamp(-0.6, -self.camera_distance_m - 0.15, 15)

    def hair(self) -> Lamp:
        """Behind and outside A's frame, on the side the key does not reach.

        As high as the ceiling allows; its stand keeps clear of the wall.
        """
        x, y = 1.25 + 1.4 * self._half_spread_m(), 1.0
        x = min(x, self.half_width_m - HAIR_WALL_GAP_M)
        room_m = self.answers.height_m - 0.3 - EYE_HEIGHT_M
        elevation = math.degrees(math.atan2(room_m, math.hypot(x, y)))
        return self._lamp(-x, y, min(42, int(elevation)))

    def _half_spread_m(self) -> float:
        return (self.answers.people - 1) * SEATS_APART_M / 2

    def _lamp(self, x: float, y: float, elevation_deg: int) -> Lamp:
        """Words for the plan point (x, y), moved in from the side walls."""
        most = self.half_width_m - WALL_GAP_M
        x = min(max(x, -most), most)
        ground_m = math.hypot(x, y)
        azimuth = round(math.degrees(math.atan2(abs(x), -y)))
        distance = ground_m / math.cos(math.radians(elevation_deg))
        return Lamp(azimuth, elevation_deg, round(distance, 2))

    def window(self) -> Window:
        """In the wall behind the guests, on the key's side, so that the key seems to come from it.

        B sees it too, out of focus beside the guest's face.
        """
        left_m = 0.5
        return Window(
            along_m=round(self.half_width_m + left_m, 2),
            width_m=round(min(1.6, self.half_width_m - left_m - 0.2), 2),
            sill_m=0.9,
            height_m=round(min(1.5, self.answers.height_m - 0.9 - 0.3), 2),
        )

    def shelves_along_m(self) -> float:
        """Middle of the shelves on the north wall, left of the guest's head in A."""
        return round(self.half_width_m - 0.75, 2)
