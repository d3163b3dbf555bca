"""What one camera sees of a stage: which things, how much of the frame, what is behind."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from previz.measure.camera.pyramid import PixelWindow, window_pyramid
from previz.measure.camera.raster import (
    Projected,
    Seen,
    nearer_than,
    project,
    rasterize,
    reach_of,
)
from previz.measure.camera.surfaces import Occluders
from previz.stage.stage import Array, Stage, StageCamera

COARSE_PX = 480
FINE_PX = 1920
_STEP = FINE_PX // COARSE_PX
_WITHIN_PX = 12
"""How far inside the coarse outline the fine one is looked for."""


@dataclass(frozen=True)
class Box:
    """Where the visible part of a thing reaches to, % of the frame from its left and top."""

    left_pct: float
    top_pct: float
    right_pct: float
    bottom_pct: float

    @property
    def height_pct(self) -> float:
        """Height, % of the frame's."""
        return self.bottom_pct - self.top_pct


@dataclass(frozen=True, eq=False)
class Background:
    """What is behind the subject, metres along the lens axis from the lens; inf: the sky.

    On the axis, and over the part of the frame that the subject leaves free.
    """

    axis_m: float
    nearest_m: float
    median_m: float
    farthest_m: float


@dataclass(frozen=True, eq=False)
class Sight:
    """The view of one camera, without its own gear."""

    stage: Stage
    camera: StageCamera
    surfaces: Occluders

    @cached_property
    def coarse(self) -> Seen:
        """The whole frame, 480 pixels wide."""
        thin = project(self.camera, Occluders((), self.surfaces.thinned().hair))
        return rasterize((self._solid, thin), *self.camera.picture_size(COARSE_PX))

    @cached_property
    def _solid(self) -> Projected:
        return project(self.camera, Occluders(self.surfaces.parts))

    @cached_property
    def shares_pct(self) -> dict[str, float]:
        """What is in the frame, and how much of it each thing takes, largest first."""
        counts = np.bincount(self.coarse.things.ravel(), minlength=len(self.stage.things) + 1)
        shares = {t.name: float(counts[n]) for n, t in enumerate(self.stage.things, 1) if counts[n]}
        total = self.coarse.things.size
        return {k: 100.0 * shares[k] / total for k in sorted(shares, key=lambda k: -shares[k])}

    def mask(self, thing: str) -> NDArray[np.bool_]:
        """Coarse pixels in which a thing is seen."""
        return np.asarray(self.coarse.things == self.stage.object_ids.get(thing, -1))

    def has_strands(self, person: str) -> bool:
        """Whether a person's hair is strands."""
        return any(t.strands is not None for t in self.stage.things if t.name == f"people.{person}")

    def box(self, thing: str) -> Box | None:
        """Outline of the visible part of a thing, to one pixel of 1920; None if not seen."""
        mask = self.mask(thing)
        if not mask.any():
            return None
        rows, columns = np.flatnonzero(mask.any(axis=1)), np.flatnonzero(mask.any(axis=0))
        top, bottom = int(rows[0]) * _STEP, (int(rows[-1]) + 1) * _STEP
        left, right = int(columns[0]) * _STEP, (int(columns[-1]) + 1) * _STEP
        width, height = self.camera.picture_size(FINE_PX)
        number, far = self.stage.object_ids[thing], _WITHIN_PX
        reach = reach_of(self.camera, self.surfaces.only(number), (width, height))
        (first, last), (high, low) = reach.across, reach.down
        edge = _Edge(self, number, nearer_than(self._solid, reach.farthest_m))
        top = edge.first(PixelWindow(first, high, last, top + far), 1, top)
        bottom = edge.last(PixelWindow(first, bottom - far, last, low), 1, bottom)
        left = edge.first(PixelWindow(first, high, left + far, low), 0, left)
        right = edge.last(PixelWindow(right - far, high, last, low), 0, right)
        x, y = 100.0 / width, 100.0 / height
        return Box(left * x, top * y, right * x, bottom * y)

    def background(self, subject: str | None, distance_m: float) -> Background:
        """What is behind a person (`subject`, with their seat) farther than `distance_m`."""
        own = _of_person(self.stage, subject) if subject else set()
        behind = project(self.camera, self.surfaces.without(own), near_m=max(distance_m, 0.02))
        depth = rasterize((behind,), *self.camera.picture_size(COARSE_PX // 2)).depth_m
        rows, columns = depth.shape
        covered = np.isin(self.coarse.things, list(own))[: 2 * rows : 2, : 2 * columns : 2]
        free = depth[~covered] if covered.shape == depth.shape else depth
        centre = depth[rows // 2 - 1 : rows // 2 + 1, columns // 2 - 1 : columns // 2 + 1]
        values = free if free.size else depth
        return Background(
            axis_m=float(centre.mean()),
            nearest_m=float(values.min()),
            median_m=float(np.median(values)),
            farthest_m=float(values.max()),
        )


@dataclass(frozen=True, eq=False)
class _Edge:
    """Looks for the edges of one thing in windows of the fine picture, row or column by its axis.

    number  of the thing
    solid   all triangles that it or what hides it is made of, but for hair
    """

    sight: Sight
    number: int
    solid: Projected

    def first(self, window: PixelWindow, axis: int, fallback: int) -> int:
        hits = self._hits(window, axis)
        start = window.top if axis else window.left
        return start + int(hits[0]) if len(hits) else fallback

    def last(self, window: PixelWindow, axis: int, fallback: int) -> int:
        hits = self._hits(window, axis)
        start = window.top if axis else window.left
        return start + int(hits[-1]) + 1 if len(hits) else fallback

    def _hits(self, window: PixelWindow, axis: int) -> NDArray[np.int64]:
        """Rows (axis 1) or columns (axis 0) of a window that hold the thing."""
        camera = self.sight.camera
        size = camera.picture_size(FINE_PX)
        pyramid = window_pyramid(camera, size, window)
        hair = project(camera, Occluders((), self.sight.surfaces.hair), pyramid=pyramid)
        seen = rasterize((self.solid, hair), *size, window)
        return np.flatnonzero((seen.things == self.number).any(axis=axis))


def see(stage: Stage, camera: StageCamera, surfaces: Occluders) -> Sight:
    """One camera's view; `surfaces` are those of the whole stage."""
    own = {stage.object_ids[t.name] for t in stage.things if t.owner == camera.name}
    return Sight(stage, camera, surfaces.without(own) if own else surfaces)


def _of_person(stage: Stage, name: str) -> set[int]:
    """Numbers of a person and what belongs to them."""
    start = f"people.{name}"
    return {
        number
        for thing, number in stage.object_ids.items()
        if thing == start or thing.startswith(f"{start}.")
    }


def picture_position(camera: StageCamera, point_m: Array) -> tuple[float, float]:
    """Where a point comes to lie, % of the frame from its left and top; nan behind the lens."""
    x, y = camera.project(point_m, 100, 100)[0]
    return float(x), float(y)
