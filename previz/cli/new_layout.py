"""Where everything of a first interview goes, for any room and number of people and cameras.

The A camera looks north along x = 0 at the guests, who sit round the origin. The interviewer
and the key are to the right of the picture, the other cameras to its left: so all cameras stay
on one side of the line from interviewer to guest, and B looks at the shaded side of the face.
Between the A camera and what stands to its left a person can pass; nothing hangs over anybody.
Each thing tries its places in the order in which one would like them (`new_places`).
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from previz.cli.new_places import (
    HAIR,
    LARGE_KEY,
    PANEL,
    SMALL_KEY,
    Footprint,
    GuestLight,
    LightInPlan,
    PlanView,
    Point,
    inside,
    polar,
    tripod,
)

SENSOR_WIDTH_MM = 24.658  # super35_3perf in mode uhd
EYE_HEIGHT_M = 1.18  # seated; only to keep lights under the ceiling
EYES_AHEAD_M = 0.13
FEET_AHEAD_M = 0.5
SEATS_APART_M = 1.3
STEP_M = 0.25  # by which larger rooms are tried

# What is left free; all common practice, no source.
PASS_M = 0.68  # to walk past the A camera: 60 cm, and a hand's breadth for what legs do
LENS_TO_WALL_M = 0.8  # behind the A lens: camera, tripod
FILL_BEHIND_A_M = 0.85  # its stand from the A lens
APART_M = 0.62  # between the columns of two stands

# Widths of the field at the guest (common practice, no source): head and chest, head and
# shoulders, and for a group half a metre beyond the outer guests.
MEDIUM_CLOSE_UP_M = 1.15
CLOSE_UP_M = 0.75
GROUP_M = 1.7

# Range in mm and name; all open to f/2.8. The first that has the focal length is taken.
LENSES = (
    ((24.0, 70.0), "zoom_24_70_f2.8"),
    ((16.0, 35.0), "zoom_16_35_f2.8"),
    ((70.0, 200.0), "zoom_70_200_f2.8"),
)
SHORTEST_MM = 16.5
LEGS_SHOW_FROM_M = 2.0  # a frame this wide reaches down to the legs behind the guests

PROFILE = "profile"
SIDES = ("three-quarter", PROFILE)
# Round the guest from A, as one would like them: common practice, no source.
THREE_QUARTER_DEG = (40, 35, 45, 50, 55, 60)
PROFILE_DEG = (74, 78, 82)

# Lux toward the camera at the face: together what T3.1 at ISO 800 and 1/50 s is set for.
KEY_LX = 115.0
FILL_LX = 29.0

KEY_PLACES = (
    (1.15, -1.1), (1.2, -0.9), (1.25, -0.7), (1.3, -0.55), (1.1, -0.7), (1.0, -0.6),
    (0.9, -0.55), (0.8, -0.5), (0.75, -0.4),
)  # fmt: skip
GROUP_KEY_PLACES = ((1.2, -2.0), (1.1, -1.8), (1.2, -1.5))  # or a guest shades the next
HAIR_PLACES = tuple((-x, y) for x in (1.25, 1.6, 1.1, 1.0, 0.9) for y in (1.0, 0.9, 0.8))
GROUP_HAIR_PLACES = (
    (-2.4, 1.5),
    (-2.7, 1.7),
    (-3.0, 1.8),
    (-3.6, 2.2),
    (-4.0, 2.3),
    (-4.3, 2.4),
    (-4.8, 2.3),
)
PANEL_EAST_M = (1.1, 1.05, 1.0, 0.95)  # of the A lens, and a little behind it
STAND_TOP_M = 2.5  # as high as the stands let their heads go, and a little less


@dataclass(frozen=True)
class Answers:
    """What the user wants. Metres; `people` are the guests, without the interviewer.

    b  what camera B shows of the face: some 40 degrees round from A, or its profile
    """

    title: str = "An interview"
    width_m: float = 5.0
    depth_m: float = 6.0
    height_m: float = 2.7
    people: int = 1
    cameras: int = 2
    b: str = "three-quarter"


@dataclass(frozen=True)
class Shot:
    """One camera: plan position, lens, the guest it aims at (by number from 0), and where."""

    at_m: Point
    focal_length_mm: float
    lens: str
    guest: int
    from_left_pct: int


@dataclass(frozen=True)
class WindowHole:
    """A hole in the north wall, metres."""

    along_m: float
    width_m: float
    sill_m: float
    height_m: float


class TooSmallError(ValueError):
    """The room does not hold what was asked for; the message says which room does."""


class Layout:
    """Places for the answers; everything rounded to what one would write by hand.

    Not to be used unless it `holds`.
    """

    def __init__(self, answers: Answers) -> None:
        self.answers = answers
        self.background_m = round(min(3.0, 0.4 * answers.depth_m), 1)
        self.centre_y_m = round(self.background_m - answers.depth_m / 2, 3)
        self.half_width_m = answers.width_m / 2
        self.south_m = self.background_m - answers.depth_m
        most = 2.2 if answers.people == 1 else 3.0
        with_fill = -self.south_m - FILL_BEHIND_A_M - PANEL.legs_m - PANEL.column_m - 0.1
        without = -self.south_m - LENS_TO_WALL_M
        self.has_fill = with_fill >= self._nearest_m()
        self.camera_distance_m = round(min(most, with_fill if self.has_fill else without), 2)

    def _nearest_m(self) -> float:
        """Least distance of the A camera: for a face, and for the shortest lens."""
        return max(1.55, SHORTEST_MM * self._a_field_m() / SENSOR_WIDTH_MM)

    @property
    def holds(self) -> bool:
        """Whether the room holds all that was asked for."""
        return (
            self.camera_distance_m >= self._nearest_m()
            and len(self.shots) == self.answers.cameras
            and self._key is not None
            and self.half_width_m > self._half_spread_m() + 0.5
        )

    def guests(self) -> list[Point]:
        """Seats, from the left of the picture to the right."""
        count = self.answers.people
        return [(round((k - (count - 1) / 2) * SEATS_APART_M, 2), 0.0) for k in range(count)]

    def interviewer(self) -> Point:
        """Beside the A camera, before the legs of its tripod."""
        return 0.65 + 0.1 * self._half_spread_m(), round(-self.camera_distance_m + 0.4, 2)

    @cached_property
    def shots(self) -> list[Shot]:
        """The cameras A, B, C; fewer than asked for where the room holds no more."""
        across = self._a_from_left_pct()
        a = self._shot((0.0, -self.camera_distance_m), self._a_field_m(), self.middle, across)
        found = [a]
        for tried in (self._b_places(), self._c_places())[: self.answers.cameras - 1]:
            shot = next((shot for shot in tried if self._stands(shot, found)), None)
            if shot is None:
                break
            found.append(shot)
        return found[: self.answers.cameras]

    @property
    def middle(self) -> int:
        """Number of the guest that the A camera and the lights aim at."""
        return self.answers.people // 2

    def _a_field_m(self) -> float:
        count = self.answers.people
        return MEDIUM_CLOSE_UP_M if count == 1 else GROUP_M + (count - 1) * SEATS_APART_M

    def _a_from_left_pct(self) -> int:
        """Where the guest that A aims at is: look room for one, all of them in the middle."""
        if self.answers.people == 1:
            return 44
        return round(50 + 100 * self.guests()[self.middle][0] / self._a_field_m())

    def _b_places(self) -> Iterator[Shot]:
        return self._round(self.middle, PROFILE_DEG if self.shows_profile else THREE_QUARTER_DEG)

    def _c_places(self) -> Iterator[Shot]:
        """Of one guest what B does not show, profile or three-quarter; of several the first."""
        if self.answers.people > 1:
            return self._round(0, (20, 30, 40))
        return self._round(0, THREE_QUARTER_DEG if self.shows_profile else PROFILE_DEG)

    @property
    def shows_profile(self) -> bool:
        """Whether camera B is asked for the profile."""
        return self.answers.b == PROFILE

    def _round(self, guest: int, azimuths_deg: tuple[int, ...]) -> Iterator[Shot]:
        """Close cameras to the left of A round a guest, from 2.4 m and then nearer."""
        here = self.guests()[guest]
        for azimuth in azimuths_deg:
            for step in range(15):
                yield self._shot(
                    polar(here, -azimuth, 2.4 - 0.1 * step),
                    CLOSE_UP_M,
                    guest,
                    47 if self.answers.people == 1 else 50,
                )

    def _stands(self, shot: Shot, others: list[Shot]) -> bool:
        """Whether a camera has its place: in the room, in no frame, the way past A left free."""
        legs = self._legs(shot)
        return (
            inside(legs, self.half_width_m, self.south_m, self.background_m)
            and all(math.dist(legs.at_m, self._legs(other).at_m) >= APART_M for other in others)
            and not any(self._view(other).sees(legs) for other in others)
            and not any(self._view(shot).sees(self._legs(other)) for other in others)
            and self._leaves_way(legs, self._legs(others[0]))
            and self._sees_one(shot)
        )

    def _leaves_way(self, legs: Footprint, a: Footprint) -> bool:
        """Whether one can walk between the legs of A and this, or past both beside A."""
        lens_y_m = -self.camera_distance_m
        beside = abs(legs.at_m[1] - lens_y_m) >= legs.radius_m + 0.3
        return beside or legs.at_m[0] + legs.radius_m <= a.at_m[0] - a.radius_m - PASS_M

    def _sees_one(self, shot: Shot) -> bool:
        """Whether the other guests stay out of a single."""
        view = self._view(shot)
        others = [seat for k, seat in enumerate(self.guests()) if k != shot.guest]
        return not any(view.sees(Footprint(seat, 0.43)) for seat in others)

    def _legs(self, shot: Shot) -> Footprint:
        return tripod(shot.at_m, self.guests()[shot.guest])

    def _view(self, shot: Shot) -> PlanView:
        here = self.guests()[shot.guest]
        field_m = SENSOR_WIDTH_MM * math.dist(shot.at_m, here) / shot.focal_length_mm
        return PlanView.composed(shot.at_m, here, field_m, shot.from_left_pct)

    def _shot(self, at_m: Point, field_m: float, guest: int, from_left_pct: int) -> Shot:
        x, y = round(at_m[0], 2), round(at_m[1], 2)
        distance_m = math.dist((x, y), self.guests()[guest])
        wanted_mm = SENSOR_WIDTH_MM * distance_m / field_m
        focal_mm = float(min(max(round(wanted_mm), 16), 200))
        lens = next(name for (low, high), name in LENSES if low <= focal_mm <= high)
        return Shot((x, y), focal_mm, lens, guest, from_left_pct)

    def key(self) -> GuestLight:
        """Right of the picture, out of every frame, in front of the guests, over nobody."""
        assert self._key is not None
        head, at_m = self._key
        top_m = min(self.answers.height_m - head.half_m - 0.1, STAND_TOP_M)
        return self._lamp(head, at_m, 30, top_m, self.middle)

    @cached_property
    def _key(self) -> tuple[LightInPlan, Point] | None:
        """Large if there is room for it, as near to 45 degrees round as the frames allow.

        Where even a small softbox would be in B's frame, a panel beside the interviewer does.
        """
        spread = self._half_spread_m()
        places = (*GROUP_KEY_PLACES, *KEY_PLACES) if self.answers.people > 1 else KEY_PLACES
        tried = [(head, (x + spread, y)) for head in (LARGE_KEY, SMALL_KEY) for x, y in places]
        tried += [(PANEL, (x, -self.camera_distance_m - 0.15)) for x in PANEL_EAST_M]
        aim = self._eyes(self.middle)
        seat, feet = Footprint(self.interviewer(), 0.45), Footprint(self._feet(), 0.4)
        return next(
            (
                (head, at_m)
                for head, at_m in tried
                if self._fits(head, at_m, self.middle)
                and not any(head.over(at_m, aim, disc) for disc in (seat, feet))
                and math.dist(head.column(at_m, aim).at_m, seat.at_m) > 0.79
            ),
            None,
        )

    def _feet(self) -> Point:
        """The interviewer's, stretched toward the first guest."""
        (x, y), (guest_x, guest_y) = self.interviewer(), self.guests()[0]
        share = FEET_AHEAD_M / math.hypot(guest_x - x, guest_y - y)
        return x + share * (guest_x - x), y + share * (guest_y - y)

    def fill(self) -> GuestLight | None:
        """Behind the A camera and over its lens; None where the room has no place for it."""
        if not self.has_fill:
            return None
        at_m = (-0.3, -self.camera_distance_m - FILL_BEHIND_A_M)
        return self._lamp(PANEL, at_m, 16, self.answers.height_m - 0.3, self.middle)

    def hair(self) -> GuestLight | None:
        """Behind the first guest and outside A's frame, on the side the key does not reach.

        As high as ceiling and stand allow; None where a camera would see it.
        """
        places = HAIR_PLACES if self.answers.people == 1 else GROUP_HAIR_PLACES
        at_m = next((at_m for at_m in places if self._fits(HAIR, at_m, 0)), None)
        if at_m is None:
            return None
        top_m = min(self.answers.height_m - 0.3, STAND_TOP_M)
        return self._lamp(HAIR, at_m, 42, top_m, 0)

    def _eyes(self, guest: int) -> Point:
        """A guest's eyes, before the middle of the seat."""
        seat, asks = self.guests()[guest], self.interviewer()
        share = EYES_AHEAD_M / math.dist(seat, asks)
        return seat[0] + share * (asks[0] - seat[0]), seat[1] + share * (asks[1] - seat[1])

    def _fits(self, head: LightInPlan, at_m: Point, guest: int) -> bool:
        """Whether a light stands in the room, in no frame, on nobody's feet and in no legs."""
        aim = self._eyes(guest)
        column, face = head.column(at_m, aim), head.body(at_m, aim)
        cameras = [self._legs(shot) for shot in self.shots]
        return (
            all(
                inside(disc, self.half_width_m, self.south_m, self.background_m)
                for disc in (column, face)
            )
            and not any(self._shows(shot, face, column) for shot in self.shots)
            and all(math.dist(column.at_m, legs.at_m) >= APART_M for legs in cameras)
            and all(math.dist(column.at_m, seat) > head.legs_m + 0.35 for seat in self.guests())
            and not (self.has_shelves and column.at_m[1] + head.legs_m > self.background_m - 0.35)
        )

    def _shows(self, shot: Shot, head: Footprint, legs: Footprint) -> bool:
        """Whether a camera sees a light's head or column; of a group's wide frame the legs too."""
        view = self._view(shot)
        low = legs if view.field_m > LEGS_SHOW_FROM_M else replace(legs, radius_m=0.06)
        return view.sees(head) or view.sees(low)

    def _half_spread_m(self) -> float:
        return (self.answers.people - 1) * SEATS_APART_M / 2

    def _lamp(
        self, head: LightInPlan, at_m: Point, steepest_deg: int, top_m: float, guest: int
    ) -> GuestLight:
        """Words for a plan point, from the guest aimed at; no higher than `top_m`."""
        aim = self._eyes(guest)
        x, y = at_m[0] - aim[0], at_m[1] - aim[1]
        ground_m = math.hypot(x, y)
        highest = math.degrees(math.atan2(top_m - EYE_HEIGHT_M, ground_m))
        elevation = min(steepest_deg, int(highest))
        to_a = math.atan2(-self.camera_distance_m - aim[1], -aim[0])
        to_lamp = math.atan2(y, x)
        azimuth = abs(math.degrees(math.remainder(to_lamp - to_a, 2 * math.pi)))
        distance = ground_m / math.cos(math.radians(elevation))
        return GuestLight(head.fixture, round(azimuth), elevation, round(distance, 2), head.axis_cd)

    def window(self) -> WindowHole:
        """In the wall behind the guests, on the key's side, so that the key seems to come from it.

        B sees it too, out of focus beside the guest's face.
        """
        left_m = 0.5
        return WindowHole(
            along_m=round(self.half_width_m + left_m, 2),
            width_m=round(min(1.6, self.half_width_m - left_m - 0.2), 2),
            sill_m=0.9,
            height_m=round(min(1.5, self.answers.height_m - 0.9 - 0.3), 2),
        )

    @property
    def has_shelves(self) -> bool:
        """Whether shelves stand behind the guests; in a small room a picture hangs there."""
        return self.background_m >= 2.3

    def detail_along_m(self) -> float:
        """Middle of the shelves or the picture on the north wall, left of the head in A."""
        return round(self.half_width_m - 0.75, 2)


def laid_out(answers: Answers) -> Layout:
    """The layout; TooSmallError when the room, or the frame, does not hold it."""
    layout = Layout(answers)
    if layout.shows_profile and answers.people > 1:
        raise TooSmallError(
            "the profile of one of several people has the others in its frame: take --b "
            f"{SIDES[0]}, or ask for 1 person"
        )
    if not layout.holds:
        raise TooSmallError(_too_small(answers))
    return layout


def _too_small(answers: Answers) -> str:
    """What the room lacks, and the room that would do."""
    people = "1 person" if answers.people == 1 else f"{answers.people} people"
    cameras = "1 camera" if answers.cameras == 1 else f"{answers.cameras} cameras"
    larger = _large_enough(answers)
    return (
        f"a room of {answers.width_m:g} x {answers.depth_m:g} m does not hold {people}, {cameras} "
        f"and the lights with a way past them; {larger.width_m:g} x {larger.depth_m:g} m would do, "
        "or ask for fewer"
    )


def _large_enough(answers: Answers) -> Answers:
    """The same in the least larger room that holds it; a hall holds all that can be asked for."""
    steps = sorted(((i, j) for i in range(32) for j in range(32)), key=sum)
    rooms = (
        replace(answers, width_m=answers.width_m + i * STEP_M, depth_m=answers.depth_m + j * STEP_M)
        for i, j in steps
    )
    return next(room for room in rooms if Layout(room).holds)
