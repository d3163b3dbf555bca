"""Hair as curves. Import after a variant is set."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import mitsuba as mi
import numpy as np
from numpy.typing import NDArray

from previz.geometry.people.figure import Strands
from previz.render.pathtracer.loading import aligned, load
from previz.stage.stage import Stage

F32 = NDArray[np.float32]

ABSORPTION = "sigma_a"  # the plugin's own key
LONGITUDINAL_ROUGHNESS = 0.30
AZIMUTHAL_ROUGHNESS = 0.40
"""Healthy hair: a streak of shine a few degrees high, broad across the strand (0.1 is wet,
0.6 is dull; judged by eye between the values of Chiang et al. 2016)."""


def hair_shapes(stage: Stage) -> Iterator[tuple[int, Any]]:
    """Curve shapes of all strands with the number of the thing they grow on."""
    for thing in stage.things:
        if thing.strands is not None and len(thing.strands.points):
            yield stage.object_ids[thing.name], hair_shape(thing.strands)


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
