"""A real still against the plan: what differs, and which way and how far to move."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from previz.measure.camera.features import HEAD_TOP
from previz.solve.marks import Marks
from previz.solve.pointed import Planned, check_marks, evidence_of
from previz.solve.resection import CLICK_OF_WIDTH, Fit, Unknown, level_axes, resect
from previz.stage.stage import Array

LEAST: Mapping[Unknown, float] = {
    "pan": math.radians(0.5),
    "tilt": math.radians(0.3),
    "roll": math.radians(0.3),
    "forward": 0.03,
    "up": 0.02,
    "right": 0.03,
    "focal": 0.015,
}
"""What nobody would move a camera for: radians, metres, share of the focal length. Common practice,
no source."""
LEAST_SIZE = 0.02
"""Nor for a head that is off by less than this share of its height: common practice, no source."""
SURE = 2.0
"""A difference is told from so many standard errors on: common practice, no source."""
ORDER: tuple[Unknown, ...] = ("roll", "up", "forward", "right", "focal", "tilt", "pan")
"""In which one sets a camera up: level, place, lens, then where it looks."""
TELLING_SHIFT_M = 0.05
"""From here on it is said that somebody sits elsewhere than planned: an estimate."""


@dataclass(frozen=True)
class Pair:
    """A number as planned and as it is in the still.

    error   one standard error; None for what was read off the still, or held
    source  points: read off the still; fit: by the camera found; not_told: the points do not
            determine it
    """

    planned: float
    real: float
    error: float | None
    source: Literal["points", "fit", "not_told"]


@dataclass(frozen=True)
class Step:
    """One thing to do. `amount`: radians or metres, in the directions of `resection.Change`; of
    the focal length, millimetres to go to.

    error      its standard error, in the same unit
    instead_mm from and to which focal length one may go instead of moving nearer or farther
    not_told   what the points could not tell from it
    """

    what: Unknown
    amount: float
    error: float
    instead_mm: tuple[float, float] | None = None
    not_told: Unknown | None = None


@dataclass(frozen=True, eq=False)
class Verified:
    """A still against the plan.

    numbers   by name, the unit its last word
    steps     what to do, in order; none: all is as planned as far as it can be told
    seats_m   who sits elsewhere than planned: toward the camera, right, up, metres
    by_people only people were pointed at: they are taken to sit as planned
    """

    fit: Fit
    numbers: Mapping[str, Pair]
    steps: tuple[Step, ...]
    seats_m: Mapping[str, tuple[float, float, float]]
    by_people: bool


def verify(planned: Planned, marks: Marks, size_px: tuple[int, int]) -> Verified:
    """Compare what was pointed at in a still of this size. ValueError, one line, if that fails."""
    check_marks(planned, marks, size_px)
    seen = list(evidence_of(planned, marks, size_px))
    fit = resect(planned.camera, seen, size_px)
    numbers = dict(_numbers(planned, fit, marks, size_px))
    return Verified(
        fit=fit,
        numbers=numbers,
        steps=tuple(_steps(planned, fit, numbers)),
        seats_m=dict(_seats(planned, fit)),
        by_people=all(one.person is not None for one in seen),
    )


# --- what differs -----------------------------------------------------------------------------


def _numbers(
    planned: Planned, fit: Fit, marks: Marks, size_px: tuple[int, int]
) -> Iterator[tuple[str, Pair]]:
    before, now, change = planned.camera, fit.camera, fit.change

    def pair(unknown: Unknown, was: float, is_now: float, per: float = 1.0) -> Pair:
        error = fit.errors.get(unknown)
        source: Literal["fit", "not_told"] = "fit" if unknown in fit.told else "not_told"
        return Pair(was, is_now, None if error is None else error * per, source)

    degree = math.degrees(1.0)
    tilt = math.degrees(math.asin(float(before.forward[2])))
    yield "tilt_deg", pair("tilt", tilt, tilt + math.degrees(change.tilt), degree)
    yield "roll_deg", pair("roll", 0.0, math.degrees(change.roll), degree)
    yield "pan_right_deg", pair("pan", 0.0, math.degrees(change.pan), degree)
    yield "lens_height_m", pair("up", float(before.position_m[2]), float(now.position_m[2]))
    yield "forward_m", pair("forward", 0.0, change.forward)
    yield "right_m", pair("right", 0.0, change.right)
    marked = planned.marked_mm
    yield "focal_length_mm", pair("focal", marked, marked * math.exp(change.focal), marked)
    wide = [math.degrees(camera.horizontal_angle_rad) for camera in (before, now)]
    yield "horizontal_angle_deg", pair("focal", wide[0], wide[1], wide[0])
    if planned.subject is not None:
        yield from _framing(planned, fit, marks, size_px, pair)


def _framing(
    planned: Planned,
    fit: Fit,
    marks: Marks,
    size_px: tuple[int, int],
    pair: Callable[..., Pair],
) -> Iterator[tuple[str, Pair]]:
    """How the subject lies in the frame: read off the still where pointed at, else by the fit."""
    framing, subject = planned.framing, planned.subject
    assert subject is not None
    eyes = planned.features["eyes"].point_m + fit.shifts_m.get(subject, np.zeros(3))
    was, is_now = (
        planned.camera.axis_distance(planned.features["eyes"].point_m),
        fit.camera.axis_distance(eyes),
    )
    yield "subject_distance_m", pair("forward", was, is_now)
    if framing is None:
        return
    reader = _Reader(planned, fit, marks, size_px)
    top, top_read = reader.place(HEAD_TOP)
    chin, chin_read = reader.place("chin")
    left, right = reader.place("eye_left"), reader.place("eye_right")
    eyes_at, eyes_read = reader.place("eyes")
    if left[1] and right[1] and "eyes" not in marks.points:
        eyes_at, eyes_read = 0.5 * (left[0] + right[0]), True

    def said(planned_pct: float, real_pct: float, read: bool) -> Pair:
        return Pair(planned_pct, real_pct, None, "points" if read else "fit")

    head = float(chin[1] - top[1])
    yield "head_height_pct", said(framing.head.height_pct, head, top_read and chin_read)
    yield "headroom_pct", said(framing.headroom_pct, float(top[1]), top_read)
    # Of the pupils, which are what one points at.
    pupils = planned.camera.project(planned.features["eyes"].point_m, 100, 100)[0]
    yield "eye_height_pct", said(float(pupils[1]), float(eyes_at[1]), eyes_read)
    yield "eye_from_left_pct", said(float(pupils[0]), float(eyes_at[0]), eyes_read)


@dataclass(frozen=True, eq=False)
class _Reader:
    """Places of the subject's landmarks in the still, per cent."""

    planned: Planned
    fit: Fit
    marks: Marks
    size_px: tuple[int, int]

    def place(self, name: str) -> tuple[Array, bool]:
        """Where it is (2,), and whether it was pointed at."""
        full = f"{self.planned.subject}.{name}"
        spot = self.marks.points.get(name) or self.marks.points.get(full)
        if spot is not None:
            return 100.0 * spot.px(self.size_px) / np.array(self.size_px), True
        feature = self.planned.features[name]
        shift = self.fit.shifts_m.get(feature.person or "", np.zeros(3))
        return self.fit.camera.project(feature.point_m + shift, 100, 100)[0], False


# --- what to do -------------------------------------------------------------------------------


def _steps(planned: Planned, fit: Fit, numbers: Mapping[str, Pair]) -> Iterator[Step]:
    sized = not any(_sure(what, fit) for what in ("forward", "focal"))
    for what in ORDER:
        if what == "forward" and sized:
            yield from _by_size(planned, numbers)
        if not _sure(what, fit):
            continue
        off, error = float(getattr(fit.change, what)), fit.errors[what]
        if what == "focal":
            mm = planned.marked_mm
            yield Step(what, mm, error * mm, (mm * math.exp(off), mm))
        elif what == "forward":
            yield Step(what, -off, error, _instead_mm(planned, fit))
        else:
            yield Step(what, -off, error, not_told=_mixed_with(what, fit))


def _sure(what: Unknown, fit: Fit) -> bool:
    """Whether a difference is large enough to act on, and surely there."""
    if what not in fit.told:
        return False
    off = abs(float(getattr(fit.change, what)))
    return off >= LEAST[what] and off >= SURE * fit.errors[what]


def _by_size(planned: Planned, numbers: Mapping[str, Pair]) -> Iterator[Step]:
    """Nearer or farther by the size of the head, where the set does not tell the place."""
    head = numbers.get("head_height_pct")
    if head is None or head.source != "points" or head.real <= 0.0 or planned.subject is None:
        return
    ratio = head.planned / head.real
    pixels = 100.0 * math.sqrt(2.0) * CLICK_OF_WIDTH * planned.camera.aspect / head.real
    if abs(ratio - 1.0) < max(LEAST_SIZE, SURE * pixels):
        return
    away = planned.camera.axis_distance(planned.features["eyes"].point_m)
    focal = planned.marked_mm
    yield Step("forward", away * (ratio - 1.0), away * pixels, (focal, focal * ratio))


def _instead_mm(planned: Planned, fit: Fit) -> tuple[float, float] | None:
    """Focal lengths that would do instead of going nearer or farther; None: the lens is told."""
    if "focal" in fit.told or planned.subject is None:
        return None
    eyes = planned.features["eyes"].point_m
    ratio = fit.camera.axis_distance(eyes) / planned.camera.axis_distance(eyes)
    return planned.marked_mm, planned.marked_mm * ratio


def _mixed_with(what: Unknown, fit: Fit) -> Unknown | None:
    """Tilt is not told from height, nor pan from side, where these are held."""
    other: dict[Unknown, Unknown] = {"tilt": "up", "pan": "right"}
    mixed = other.get(what)
    return mixed if mixed is not None and mixed not in fit.errors else None


def _seats(planned: Planned, fit: Fit) -> Iterator[tuple[str, tuple[float, float, float]]]:
    forward, right = level_axes(planned.camera)
    for name, shift in fit.shifts_m.items():
        if np.linalg.norm(shift) >= TELLING_SHIFT_M:
            yield name, (-float(shift @ forward), float(shift @ right), float(shift[2]))
