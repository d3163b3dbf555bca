"""What is seen in a picture, and by how much a camera misses it.

The pinhole is the one that the rest of the house uses. Another kind of evidence is a class here.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np

from previz.stage.stage import Array, StageCamera


@dataclass(frozen=True, eq=False)
class View:
    """A camera and its picture's size, and by how much (3,) people sit off the plan."""

    camera: StageCamera
    width_px: int
    height_px: int
    shifts_m: Mapping[str, Array] = field(default_factory=dict)

    def place(self, point_m: Array) -> Array:
        """Where a point of the world is seen, (2,) pixels; NaN behind the lens."""
        return np.asarray(self.camera.project(point_m, self.width_px, self.height_px)[0])

    def ray(self, at_px: Array) -> Array:
        """Direction (3,) through a place of the picture, one metre along the lens axis."""
        camera = self.camera
        x = (at_px[0] / self.width_px - 0.5) * camera.sensor_width_m / camera.focal_length_m
        y = (0.5 - at_px[1] / self.height_px) * camera.sensor_height_m / camera.focal_length_m
        return np.asarray(camera.pose[:3, :3] @ np.array([x, y, -1.0]))


class Evidence(Protocol):
    """Something seen in a picture."""

    @property
    def name(self) -> str:
        """What it is called."""

    @property
    def person(self) -> str | None:
        """Whose it is; None: the set's own."""

    def misses_px(self, view: View) -> Array:
        """By how many pixels a view misses it, one number each."""


@dataclass(frozen=True, eq=False)
class SeenPoint:
    """A known point of the world (3,) at a place of the picture (2,).

    down_only  it is the top of something round: how far across it lies tells nothing
    """

    name: str
    point_m: Array
    at_px: Array
    person: str | None = None
    down_only: bool = False

    def misses_px(self, view: View) -> Array:
        """Across and down, (2,), or down alone, (1,)."""
        shift = view.shifts_m.get(self.person or "", np.zeros(3))
        off = np.asarray(view.place(self.point_m + shift) - self.at_px)
        return off[1:] if self.down_only else off


@dataclass(frozen=True, eq=False)
class SeenEdge:
    """An edge of known direction (3,), from one place of the picture to another: (2, 2)."""

    name: str
    direction: Array
    ends_px: Array
    person: str | None = None

    def misses_px(self, view: View) -> Array:
        """How far its ends lie off a line that runs as the direction would be seen, (2,)."""
        middle = self.ends_px.mean(axis=0)
        start = view.camera.position_m + view.ray(middle)
        along = view.place(start + 0.05 * self.direction) - view.place(
            start - 0.05 * self.direction
        )
        length = float(np.linalg.norm(along))
        if not length > 0.0:
            return np.zeros(2)
        across = np.array([-along[1], along[0]]) / length
        return np.asarray((self.ends_px - middle) @ across)


@dataclass(frozen=True, eq=False)
class SeenHeight:
    """Something upright and `length_m` high, lower end first (2, 2), as far off as `by_m` (3,)."""

    name: str
    length_m: float
    ends_px: Array
    by_m: Array
    person: str | None = None

    def misses_px(self, view: View) -> Array:
        """Where its upper end would be seen, and is, (2,)."""
        away = view.camera.axis_distance(self.by_m)
        foot = view.camera.position_m + away * view.ray(self.ends_px[0])
        top = foot + np.array([0.0, 0.0, self.length_m])
        return np.asarray(view.place(top) - self.ends_px[1])
