"""Where a camera stood and how it looked, from what is seen at which place of its picture.

Resection by least squares on the pinhole that the rest of the house uses, with a robust loss, and
errors from the Jacobian: Hartley and Zisserman, "Multiple View Geometry in Computer Vision", 2003
(from memory). What the evidence does not determine stays near the plan, and is named.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np

from previz.solve.seen import Evidence, View
from previz.stage.stage import Array, StageCamera

Unknown = Literal["pan", "tilt", "roll", "forward", "up", "right", "focal"]

CLICK_OF_WIDTH = 2.0 / 1280.0
"""Standard error of a place that somebody points at, as a share of the picture's width: two pixels
in 1280, an estimate."""
SITS_WITHIN_M = 0.03
"""How near to the plan a person sits, along each axis: an estimate."""
SHAPED_WITHIN_M = 0.01
"""How near to the stand-in's a landmark of a real person lies besides: an estimate."""
ROBUST_AT = 3.0
"""Misses of more standard errors than this count less: an estimate."""
STRANGE_AT = 5.0
"""What is off by more standard errors than this is named, for something is wrong with it: an
estimate."""
WELL_TOLD: Mapping[Unknown, float] = {
    "pan": math.radians(0.5),
    "tilt": math.radians(0.5),
    "roll": math.radians(2.5),
    "forward": 0.12,
    "up": 0.04,
    "right": 0.05,
    "focal": 0.03,
}
"""Standard errors up to which something counts as determined: in radians, in metres, as a share of
the focal length, and forward as one of the distance in focus. Estimates: height, side and lens
count only when they help somebody who sets up a tripod; any two points give roll and size."""
AS_PLANNED: Mapping[Unknown, float] = {
    "pan": math.radians(30.0),
    "tilt": math.radians(30.0),
    "roll": math.radians(30.0),
    "forward": 0.4,
    "up": 0.15,
    "right": 0.25,
    "focal": 0.05,
}
"""How far a camera is usually off the plan (standard deviations, in the same units): estimates.
They keep what the evidence says little of near the plan, and carry that doubt into all else."""
FEWEST_LEFT = 3
"""Evidence that stays at the least when what does not agree is left out."""
FIRST: tuple[Unknown, ...] = ("pan", "tilt")
BY_PEOPLE: tuple[Unknown, ...] = ("roll", "forward")
"""What points of people alone can tell besides: no body is so like the stand-in that what it looks
like from near would tell more. Then height, side and lens are held at the plan."""
FAR_OFF = 1e3
"""Standard errors that count for what lies behind the lens: an estimate."""
STEEP = 0.05
"""Level share of the lens axis under which the top of the picture says where forward is: an
estimate."""


@dataclass(frozen=True)
class Change:
    """How a camera differs from another: turns in radians, shifts in metres.

    pan is positive to the right, tilt up, roll clockwise as the operator sees the camera. forward
    and right are level; focal is the natural logarithm of the quotient of focal lengths.
    """

    pan: float = 0.0
    tilt: float = 0.0
    roll: float = 0.0
    forward: float = 0.0
    up: float = 0.0
    right: float = 0.0
    focal: float = 0.0


def changed(camera: StageCamera, change: Change) -> StageCamera:
    """The camera moved, turned and with another focal length."""
    forward, right = level_axes(camera)
    pose = camera.pose.copy()
    pose[:3, 3] += change.forward * forward + change.right * right
    pose[2, 3] += change.up
    turned = _about_z(-change.pan) @ pose[:3, :3]
    pose[:3, :3] = turned @ _about_x(change.tilt) @ _about_z(-change.roll)
    return replace(camera, pose=pose, focal_length_m=camera.focal_length_m * math.exp(change.focal))


def level_axes(camera: StageCamera) -> tuple[Array, Array]:
    """Unit vectors (3,) forward and to the right of a camera, both level."""
    ahead = camera.forward
    if math.hypot(ahead[0], ahead[1]) < STEEP:
        ahead = -math.copysign(1.0, ahead[2]) * camera.pose[:3, 1]
    forward = np.array([ahead[0], ahead[1], 0.0])
    forward /= np.linalg.norm(forward)
    return forward, np.array([forward[1], -forward[0], 0.0])


@dataclass(frozen=True, eq=False)
class Fit:
    """The camera that explains a picture best.

    change     how it differs from the planned one
    errors     standard errors of what was looked for, by unknown, in the units of `Change`; what
               is not among them was held at the plan
    told       what is determined well enough to be told
    shifts_m   by how much people sit off the plan, (3,) each
    misses_px  by evidence, how far what it would see lies from what was pointed at; inf: behind it
    strange    evidence that does not agree with the rest
    """

    camera: StageCamera
    change: Change
    errors: Mapping[Unknown, float]
    told: tuple[Unknown, ...]
    shifts_m: Mapping[str, Array]
    misses_px: Mapping[str, float]
    strange: tuple[str, ...]

    @property
    def not_told(self) -> tuple[Unknown, ...]:
        """What the evidence does not determine."""
        return tuple(unknown for unknown in AS_PLANNED if unknown not in self.told)


def resect(planned: StageCamera, seen: Sequence[Evidence], size_px: tuple[int, int]) -> Fit:
    """The camera that sees all of this where it was seen in a picture of this size.

    It starts at the planned one. Where anything of the set is seen, all is looked for, near the
    plan where the evidence says little; people may then sit a little off the plan and be shaped
    otherwise. Where only people are seen, they are taken to sit as planned, and height, side and
    lens are held. What does not agree with the rest is left out, and named. ValueError when not
    even pan and tilt are determined.
    """
    left, out = list(seen), []
    fit = _resected(_Problem(planned, tuple(left), size_px))
    while fit.strange and len(left) > FEWEST_LEFT:
        worst = max(left, key=lambda one: fit.misses_px[one.name])
        left.remove(worst)
        out.append(worst)
        fit = _resected(_Problem(planned, tuple(left), size_px))
    return _with_left_out(fit, out, size_px)


def _resected(problem: _Problem) -> Fit:
    """The camera that sees all of a problem's evidence."""
    if problem.sees_set:
        wanted = tuple(AS_PLANNED)
        return problem.fit(wanted, problem.solved(wanted, np.zeros(problem.count(wanted))))
    wanted = FIRST
    best = problem.solved(wanted, np.zeros(len(wanted)))
    for unknown in BY_PEOPLE:
        tried = problem.solved((*wanted, unknown), np.append(best.values, 0.0))
        if problem.determined((*wanted, unknown), tried):
            wanted, best = (*wanted, unknown), tried
    return problem.fit(wanted, best)


def _with_left_out(fit: Fit, out: Sequence[Evidence], size_px: tuple[int, int]) -> Fit:
    """A fit that also says how far what was left out lies off."""
    view = View(fit.camera, *size_px, fit.shifts_m)
    misses = {one.name: _farthest_px(one, view) for one in out}
    strange = (*misses, *fit.strange)
    return replace(fit, misses_px={**fit.misses_px, **misses}, strange=strange)


def _farthest_px(one: Evidence, view: View) -> float:
    """inf behind the lens."""
    return float(np.nan_to_num(np.abs(one.misses_px(view)), nan=np.inf).max())


@dataclass(frozen=True, eq=False)
class _Solution:
    """Unknowns, then the shifts of people, and the standard errors of all."""

    values: Array
    errors: Array


@dataclass(frozen=True, eq=False)
class _Problem:
    """A picture to explain by one camera."""

    planned: StageCamera
    seen: tuple[Evidence, ...]
    size_px: tuple[int, int]

    @cached_property
    def sees_set(self) -> bool:
        """Whether anything but people is seen."""
        return any(one.person is None for one in self.seen)

    @cached_property
    def people(self) -> tuple[str, ...]:
        """Who may sit off the plan: nobody where nothing of the set is seen."""
        if not self.sees_set:
            return ()
        return tuple(dict.fromkeys(one.person for one in self.seen if one.person is not None))

    def count(self, told: tuple[Unknown, ...]) -> int:
        """How many numbers are looked for: unknowns, and where people sit."""
        return len(told) + 3 * len(self.people)

    @cached_property
    def limits(self) -> Mapping[Unknown, float]:
        """Standard errors up to which something counts as determined, in the units of `Change`."""
        return {**WELL_TOLD, "forward": WELL_TOLD["forward"] * self.planned.focus_distance_m}

    @cached_property
    def within_px(self) -> Array:
        """Standard error of each piece of evidence, as seen from the planned camera."""
        camera, width = self.planned, self.size_px[0]
        metre_px = width * camera.focal_length_m / camera.sensor_width_m / camera.focus_distance_m
        shaped = SHAPED_WITHIN_M * metre_px if self.sees_set else 0.0
        click = CLICK_OF_WIDTH * width
        return np.array(
            [click if e.person is None else math.hypot(click, shaped) for e in self.seen]
        )

    def view(self, told: tuple[Unknown, ...], values: Array) -> View:
        """The camera of some values of the unknowns that are `told`."""
        change = Change(**{name: float(v) for name, v in zip(told, values, strict=False)})
        shifts = values[len(told) :].reshape(-1, 3)
        by_name = dict(zip(self.people, shifts, strict=True))
        return View(changed(self.planned, change), *self.size_px, by_name)

    def misses(self, told: tuple[Unknown, ...], values: Array) -> Array:
        """All misses in standard errors; then how far all else is off the plan, likewise."""
        view = self.view(told, values)
        pairs = zip(self.seen, self.within_px, strict=True)
        found = np.concatenate([one.misses_px(view) / within for one, within in pairs])
        found = np.clip(np.nan_to_num(found, nan=FAR_OFF), -FAR_OFF, FAR_OFF)
        return np.concatenate([found, values / self.usual(told) if self.sees_set else []])

    def usual(self, told: tuple[Unknown, ...]) -> Array:
        """How far each value usually is from the plan."""
        return np.array(
            [AS_PLANNED[name] for name in told] + [SITS_WITHIN_M] * 3 * len(self.people)
        )

    def solved(self, told: tuple[Unknown, ...], start: Array) -> _Solution:
        """The best values from a start, with their standard errors."""
        from scipy.optimize import least_squares  # noqa: PLC0415 - half a second only this needs

        scales = self.usual(told)
        result = least_squares(
            lambda values: self.misses(told, values),
            start,
            x_scale=scales,
            loss="soft_l1",
            f_scale=ROBUST_AT,
        )
        return _Solution(result.x, _standard_errors(result.jac, scales))

    def determined(self, told: tuple[Unknown, ...], solution: _Solution) -> tuple[Unknown, ...]:
        """Those that are determined; none unless all of them are, where people alone are seen."""
        pairs = zip(told, solution.errors, strict=False)
        found = tuple(name for name, error in pairs if error <= self.limits[name])
        return found if self.sees_set or found == told else ()

    def fit(self, told: tuple[Unknown, ...], solution: _Solution) -> Fit:
        """What a solution says. ValueError where not even pan and tilt are determined."""
        found = self.determined(told, solution)
        if not set(FIRST) & set(found) and not self.sees_set:
            raise ValueError("the points do not tell where the camera looks")
        view = self.view(told, solution.values)
        misses = {one.name: _farthest_px(one, view) for one in self.seen}
        return Fit(
            camera=view.camera,
            change=Change(**dict(zip(told, map(float, solution.values), strict=False))),
            errors=dict(zip(told, map(float, solution.errors), strict=False)),
            told=found,
            shifts_m=view.shifts_m,
            misses_px=misses,
            strange=tuple(
                one.name
                for one, within in zip(self.seen, self.within_px, strict=True)
                if misses[one.name] > STRANGE_AT * within
            ),
        )


def _standard_errors(jacobian: Array, scales: Array) -> Array:
    """Standard errors of unknowns from the Jacobian of misses in standard errors; inf: none."""
    if len(jacobian) < len(scales):
        return np.full(len(scales), np.inf)
    scaled = jacobian * scales
    _, sizes, turns = np.linalg.svd(scaled, full_matrices=False)
    if sizes[-1] <= 1e-9 * sizes[0]:
        return np.full(len(scales), np.inf)
    return np.asarray(np.sqrt(((turns.T / sizes) ** 2).sum(axis=1)) * scales)


def _about_x(angle: float) -> Array:
    cos, sin = math.cos(angle), math.sin(angle)
    return np.array([[1.0, 0.0, 0.0], [0.0, cos, -sin], [0.0, sin, cos]])


def _about_z(angle: float) -> Array:
    cos, sin = math.cos(angle), math.sin(angle)
    return np.array([[cos, -sin, 0.0], [sin, cos, 0.0], [0.0, 0.0, 1.0]])
