"""Hair as curves, and what the denoiser is told of it. Import after a variant is set."""

from __future__ import annotations

import tempfile
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import drjit as dr
import mitsuba as mi
import numpy as np
from numpy.typing import NDArray

from previz.geometry.people.figure import Strands
from previz.render.pathtracer.loading import aligned, load
from previz.render.pathtracer.rows import number_of
from previz.stage.stage import Stage

F32 = NDArray[np.float32]

ABSORPTION = "sigma_a"  # the plugin's own key
LONGITUDINAL_ROUGHNESS = 0.30
AZIMUTHAL_ROUGHNESS = 0.40
"""Healthy hair: a streak of shine a few degrees high, broad across the strand (0.1 is wet,
0.6 is dull; judged by eye between the values of Chiang et al. 2016)."""


def hair_of(stage: Stage) -> Iterator[tuple[int, Strands]]:
    """All strands, those of each tone by themselves, with the number of what they grow on."""
    for thing in stage.things:
        if thing.strands is not None and len(thing.strands.points):
            for strands in thing.strands.by_tone:
                yield stage.object_ids[thing.name], strands


class HairGuides:
    """What the denoiser is told of a strand: the reflectance of hair of its tone, and which way
    it runs.

    A strand's own normal turns half round within its breadth, a tenth of a pixel, and what its
    surface model sends to one side is luck; at three samples a pixel both are noise, and with noise
    for a guide the denoiser smears. Neighbours run the same way and are of one tone.
    """

    def __init__(self, hair: Iterable[tuple[Any, Strands]], others: Iterable[Any]) -> None:
        """From loaded shapes with their strands; `others` are all the other shapes."""
        looks = [(number_of(shape), strands.colour) for shape, strands in hair]
        numbers = [number_of(shape) for shape in others] + [number for number, _ in looks]
        colour = np.zeros((max(numbers, default=0) + 1, 3), np.float32)
        for number, look in looks:
            colour[number] = look
        self.bald = not looks
        self._colour = mi.Float(aligned(colour, np.float32))

    def on(self, si: Any, albedo: Any, normal: Any, active: Any) -> tuple[Any, Any]:
        """`albedo` and `normal` of what is seen first, on hair those that serve the denoiser."""
        number = dr.reinterpret_array(mi.UInt32, si.shape)
        hair = dr.gather(mi.Color3f, self._colour, number, active)
        here = active & (dr.max(hair) > 0.0)
        return dr.select(here, hair, albedo), dr.select(here, dr.normalize(si.dp_dv), normal)


def hair_shape(strands: Strands) -> Any:
    """All strands of one head as one shape of cubic B-splines that pass through their ends."""
    points = _control_points(strands)
    shape = _blank(points.shape[0], points.shape[1], _bsdf(strands))
    parameters = mi.traverse(shape)
    control = np.concatenate([points.reshape(-1, 4), _last(strands)])
    parameters["control_points"] = aligned(control, np.float32)
    parameters.update()
    return shape


def _control_points(strands: Strands) -> F32:
    """Position and radius, (n, k + 2, 4): one more point at each end, on the far side of the
    end from its neighbour, which brings the curve to the end itself."""
    inner = np.concatenate([strands.points, strands.radius_m[..., None]], axis=2)
    if inner.shape[1] == 1:
        raise ValueError("a strand needs two points")
    outer = [2.0 * inner[:, end] - inner[:, beside] for end, beside in ((0, 1), (-1, -2))]
    points = np.concatenate([outer[0][:, None], inner, outer[1][:, None]], axis=1)
    points[..., 3] = np.maximum(points[..., 3], 1e-6)
    return np.asarray(points, np.float32)


def _last(strands: Strands) -> F32:
    """Control points, (4, 4), of a speck among the roots, inside the head: the last curve.

    Mitsuba 3.9.1 reads past its arrays, and may die of it, where a ray meets the end of a
    shape's very last segment (mended later, its pull request 1928). No ray meets this one.
    """
    speck = np.tile([*strands.points[:, 0].mean(axis=0), 1e-8], (4, 1))
    speck[:, 2] += 1e-5 * np.arange(4)
    return np.asarray(speck, np.float32)


def _blank(count: int, length: int, bsdf: dict[str, Any]) -> Any:
    """A shape of `count` curves of `length` control points and a last one of 4, yet to be placed.

    The plugin reads its layout from a text file only; points that are all alike are written
    and read faster than true ones.
    """
    with tempfile.TemporaryDirectory(prefix="previz-hair-") as folder:
        file = Path(folder) / "strands.txt"
        point = "0 0 0 1\n"
        file.write_text((point * length + "\n") * count + point * 4)
        return load({"type": "bsplinecurve", "filename": str(file), "bsdf": bsdf})


def _bsdf(strands: Strands) -> dict[str, Any]:
    # The plugin takes a colour up to 1 and a scale, and counts lengths in strand radii as well.
    scale = max(float(np.max(strands.absorption)), 1e-3)
    colour = [float(value) / scale for value in strands.absorption]
    return {
        "type": "hair",
        ABSORPTION: {"type": "rgb", "value": colour},
        "scale": scale,
        "longitudinal_roughness": LONGITUDINAL_ROUGHNESS,
        "azimuthal_roughness": AZIMUTHAL_ROUGHNESS,
    }
