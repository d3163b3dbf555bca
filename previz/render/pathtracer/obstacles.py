"""What stands in the way of light. Import after a compiled variant is set."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import drjit as dr
import mitsuba as mi
import numpy as np

from previz.render.pathtracer.loading import aligned
from previz.render.pathtracer.rows import number_of

BEYOND_M = 5e-5
"""How far behind a sheet of glass the rest of the way begins."""
MOST_SHEETS = 32


class Obstacles:
    """Everything but clear glass: light through a pane or spectacles goes straight on.

    One scene serves paths and shadows alike, and shadows step through the glass in it: a kernel
    on a graphics card can ask one scene only.
    """

    def __init__(self, scene: Any, clear: Mapping[Any, float]) -> None:
        """`clear` has the scene's shapes of glass, with their indices of refraction."""
        self._scene = scene
        self._clear: Any = None
        self._index: Any = None
        if clear:
            shapes = [number_of(shape) for shape in scene.shapes()]
            glass = [number_of(shape) for shape in clear]
            table = np.zeros(max(shapes) + 1, bool)
            table[glass] = True
            self._clear = mi.Bool(aligned(table, np.bool_))
            index = np.zeros(len(table), np.float32)
            index[glass] = list(clear.values())
            self._index = mi.Float(aligned(index, np.float32))

    def _index_of(self, si: Any, active: Any) -> Any:
        """Index of refraction of the glass at a surface point, 0 where there is none."""
        if self._index is None:
            return mi.Float(0.0)
        number = dr.reinterpret_array(mi.UInt32, si.shape)
        return dr.gather(mi.Float, self._index, number, active & si.is_valid())

    def block(self, ray: Any, active: Any) -> Any:
        """Whether anything but glass stands in the way of `ray` up to its `maxt`."""
        if self._clear is None:
            return self._scene.ray_test(ray, active)
        return self._behind_glass(ray, active)

    @dr.syntax
    def _behind_glass(self, ray: Any, active: Any) -> Any:
        ray = mi.Ray3f(ray)
        going = mi.Bool(active)
        blocked = mi.Bool(False)
        sheets = mi.UInt32(0)
        while dr.hint(going, max_iterations=MOST_SHEETS + 1, label="through glass"):
            met = self._scene.ray_intersect_preliminary(ray, coherent=False, active=going)
            hit = going & met.is_valid()
            shape = dr.reinterpret_array(mi.UInt32, met.shape)
            glass = hit & dr.gather(mi.Bool, self._clear, shape, hit) & (sheets < MOST_SHEETS)
            blocked |= hit & ~glass
            step = dr.select(glass, met.t + BEYOND_M, 0.0)
            ray.o = ray(step)
            ray.maxt -= step
            sheets += 1
            going = glass & (ray.maxt > 0.0)
        return blocked

    def mirrored_at(self, si: Any, active: Any) -> Any:
        """Share of light that a sheet of glass at `si` mirrors, 0 where there is no glass."""
        return _share(dr.abs(si.wi.z), self._index_of(si, active))

    def met_behind_glass(self, ray: Any) -> Any:
        """The first surface behind any clear glass."""
        if self._clear is None:
            return self._scene.ray_intersect(ray)
        return self._scene.ray_intersect(self._past_glass(ray))

    @dr.syntax
    def met_through_glass(self, ray: Any, active: Any) -> tuple[Any, Any]:
        """The first surface behind any clear glass, and the share of its light that the glass
        lets through."""
        ray = mi.Ray3f(ray)
        going = mi.Bool(active)
        through = mi.Float(1.0)
        sheets = mi.UInt32(0)
        while dr.hint(going, max_iterations=MOST_SHEETS + 1, label="mirrored"):
            met = self._scene.ray_intersect(ray, mi.RayFlags.Minimal, False, going)
            index = self._index_of(met, going & (sheets < MOST_SHEETS))
            going = index > 0.0
            through *= 1.0 - _share(dr.abs(dr.dot(met.n, ray.d)), index)
            ray.o = ray(dr.select(going, met.t + BEYOND_M, 0.0))
            sheets += 1
        return self._scene.ray_intersect(ray, active), through

    @dr.syntax
    def _past_glass(self, ray: Any) -> Any:
        """The rest of a ray from where it has left the last glass before something else."""
        ray = mi.Ray3f(ray)
        going = mi.Bool(True)
        sheets = mi.UInt32(0)
        while dr.hint(going, max_iterations=MOST_SHEETS + 1, label="past glass"):
            met = self._scene.ray_intersect_preliminary(ray, coherent=False, active=going)
            hit = going & met.is_valid()
            shape = dr.reinterpret_array(mi.UInt32, met.shape)
            glass = hit & dr.gather(mi.Bool, self._clear, shape, hit) & (sheets < MOST_SHEETS)
            ray.o = ray(dr.select(glass, met.t + BEYOND_M, 0.0))
            sheets += 1
            going = mi.Bool(glass)
        return ray


def _share(cosine: Any, index: Any) -> Any:
    """Share of light that a thin sheet mirrors, with all reflections between its two faces;
    0 where `index` is 0."""
    once = mi.fresnel(cosine, dr.select(index > 0.0, index, 1.5))[0]
    return dr.select(index > 0.0, 2.0 * once / (1.0 + once), 0.0)
