"""Surfaces in the path tracer: relief in metres, sheets of all their light."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
import trimesh

from previz.catalog import Catalog
from previz.geometry.piece import Piece
from previz.model.records import Material
from previz.render.merge import Surface
from previz.render.patterns import Tile
from previz.render.variants import choose
from previz.stage.stage import Stage, Thing

SLOPE, SIZE_M = 0.4, 1.7


@pytest.fixture(scope="module", params=["llvm_ad_rgb", "scalar_rgb"])
def variant(request):
    import mitsuba as mi

    choose(request.param)
    mi.set_variant(request.param)
    return request.param


@pytest.mark.usefixtures("variant")
def test_relief_tilts_by_its_slope(monkeypatch):
    """A ramp of 0.4 m a metre under light from straight above: cos(atan 0.4) of a flat one."""
    import mitsuba as mi

    from previz.render.pathtracer import assemble, surfaces

    n = 64
    ramp = np.abs(np.arange(n) + 0.5 - n / 2) / n * SIZE_M * SLOPE
    relief = np.broadcast_to(ramp.astype(np.float32), (n, n)).copy()
    tile = Tile(np.full((n, n, 3), 0.5, np.float32), SIZE_M, relief)
    for module in (assemble, surfaces):
        monkeypatch.setattr(module, "tile_of", lambda *_: tile)
    slab = trimesh.creation.box((3.0, 3.0, 0.1))
    matt = Material(
        label="x", kind="standard", source="test", reflectance=(0.5,) * 3, roughness=1.0,
        pattern="brick",
    )  # fmt: skip
    things = (Thing("slab", "furniture", (Piece("slab", slab, "matt"),)),)
    stage = Stage("t", "d", 1, things, (), {}, {}, {"matt": matt})
    assembled = assemble.assemble(stage)
    bsdf, scene = assembled.meshes[0][1].bsdf(), assembled.scene(None)
    expected = 0.5 / math.pi * math.cos(math.atan(SLOPE))
    values = []
    for x, y in itertools.product(np.linspace(-1.2, 1.2, 7), repeat=2):
        ray = mi.Ray3f(mi.Point3f(float(x), float(y), 1), mi.Vector3f(0, 0, -1))
        value = bsdf.eval(mi.BSDFContext(), scene.ray_intersect(ray), mi.Vector3f(0, 0, 1))
        values.append(float(np.ravel(np.array(value))[0]))
    # A few points lie at the ramp's foot or crest, where it is rounded off.
    assert np.median(values) == pytest.approx(expected, rel=2e-3)
    assert np.mean(np.isclose(values, expected, rtol=2e-3)) > 0.85


@pytest.mark.usefixtures("variant")
def test_patterned_sheet_scatters_all_its_light():
    from previz.render.pathtracer.surfaces import _tile

    leaf = Catalog.load().material("leaf")
    mean = _tile(leaf, None).colour.mean(axis=(0, 1), dtype=np.float64)
    assert mean == pytest.approx(np.add(leaf.reflectance, leaf.diffuse_transmittance), rel=0.02)


@pytest.mark.usefixtures("variant")
def test_every_material_makes_a_surface():
    from previz.render.pathtracer.surfaces import bsdf_of

    materials = Catalog.load().records("materials")
    for name in ("brick_red", "leaf", "oak", "leather_brown"):
        through = 0.4 if materials[name].diffuse_transmittance else 0.0
        assert bsdf_of(Surface(textured=name, through=through), materials) is not None
