"""Surfaces in the path tracer: relief in metres, sheets of all their light."""

from __future__ import annotations

import math

import mitsuba as mi
import numpy as np
import pytest

from previz.catalog import Catalog
from previz.render.patterns import Tile

SLOPE, SIZE_M = 0.4, 1.7


@pytest.fixture(autouse=True)
def _scalar() -> None:
    mi.set_variant("scalar_rgb")


def test_relief_tilts_by_its_slope():
    """A ramp of 0.4 m a metre under light from straight above: cos(atan 0.4) of a flat one."""
    from previz.render.pathtracer.surfaces import _embossed

    n = 64
    ramp = np.abs(np.arange(n) + 0.5 - n / 2) / n * SIZE_M * SLOPE
    relief = np.broadcast_to(ramp.astype(np.float32), (n, n)).copy()
    tile = Tile(np.full((n, n, 3), 0.5, np.float32), SIZE_M, relief)
    flat = {"type": "diffuse", "reflectance": {"type": "rgb", "value": [0.5] * 3}}
    bsdf = mi.load_dict({"type": "twosided", "inside": _embossed(flat, tile)})
    wall = {
        "type": "rectangle",
        "to_world": mi.ScalarTransform4f().scale([SIZE_M / 2, SIZE_M / 2, 1.0]),
        "bsdf": bsdf,
    }
    scene = mi.load_dict({"type": "scene", "wall": wall})
    for x in (-0.6, -0.3, 0.3, 0.6):
        si = scene.ray_intersect(mi.Ray3f(mi.Point3f(x, 0, 1), mi.Vector3f(0, 0, -1)))
        value = np.array(bsdf.eval(mi.BSDFContext(), si, mi.Vector3f(0, 0, 1)))
        assert value == pytest.approx(0.5 / math.pi * math.cos(math.atan(SLOPE)), rel=2e-3)


def test_patterned_sheet_scatters_all_its_light():
    from previz.render.pathtracer.surfaces import _tile

    leaf = Catalog.load().material("leaf")
    mean = _tile(leaf, None).colour.mean(axis=(0, 1), dtype=np.float64)
    assert mean == pytest.approx(np.add(leaf.reflectance, leaf.diffuse_transmittance), rel=0.02)


@pytest.mark.parametrize(("specular", "index"), [(0.5, 1.5), (0.31, 1.374), (0.13, 1.227)])
def test_clear_glass_has_the_index_of_its_record(specular: float, index: float):
    """One surface mirrors 0.08 times `specular` head-on, ((n - 1) / (n + 1))^2 by Fresnel."""
    from previz.physics.mirror import index_of_specular

    assert index_of_specular(specular) == pytest.approx(index, abs=0.001)
    mirrored = ((index_of_specular(specular) - 1.0) / (index_of_specular(specular) + 1.0)) ** 2
    assert mirrored == pytest.approx(0.08 * specular)
