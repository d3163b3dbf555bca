"""Light that a bake works out and keeps, held to closed forms."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from bake_nets import box_net, box_piece, lamp, stage_of

from previz.render.bake import kept
from previz.render.bake.kept import Baked
from previz.render.bake.lit import Lit, shown
from previz.render.bake.places import SharedLight, places_of, where_are, where_of
from previz.render.bake.sent import Sent
from previz.render.bake.splitting import coarse
from previz.render.bake.surfaces import areas_m2, grouped
from previz.stage.identity import identity_of


@pytest.mark.parametrize("albedo", [0.18, 0.5, 0.8])
def test_in_a_closed_sphere_light_comes_back_as_ulbricht_says(albedo):
    """E rho / (1 - rho) everywhere, whatever part of it the lamp lights: from every place of a
    sphere all its places are seen by their area (R. Ulbricht 1900)."""
    count, rays = 50, 200
    rng = np.random.default_rng(1)
    area = rng.random(count) + 0.2
    # Each place sends as many rays to each as its share of the area, exactly.
    to = np.searchsorted(
        np.cumsum(area / area.sum()), (np.arange(rays * count) + 0.5) % rays / rays
    )
    of = np.repeat(np.arange(count), rays)
    colours = albedo * np.array([1.0, 0.9, 0.5], np.float32)
    share = np.tile(colours / rays, (count * rays, 1)).astype(np.float32)
    sent = Sent.of(of, to, share, count)
    straight = np.zeros((count, 2, 3), np.float32)
    straight[:, 0] = 100.0
    straight[:7, 1] = 400.0
    bounced = sent.bounced(straight)
    seen = np.bincount(to[:rays], minlength=count) / rays
    mean = np.einsum("n,nlc->lc", seen, straight)
    expected = mean * colours / (1.0 - colours)
    np.testing.assert_allclose(bounced, np.tile(expected, (count, 1, 1)), rtol=2e-3)


def test_places_keep_the_light_that_falls_on_them():
    net = coarse(box_net())
    receptor, count = grouped(net, np.zeros(1, bool))
    where = where_of(net, receptor, count, np.zeros(1, bool))
    rng = np.random.default_rng(2)
    area, values = rng.random(count) + 0.1, rng.random((count, 3)).astype(np.float32)
    places = places_of(where, area)
    assert len(places) < count
    np.testing.assert_allclose(
        places.area_m2 @ places.mean(values), area @ values.astype(float), rtol=1e-5
    )
    # Everyone is in the place that is theirs, and a stranger in one that faces alike.
    np.testing.assert_array_equal(places.at(where), places.of)
    facing = np.array([[0.0, 0.0, 1.0]], np.float32)
    stranger = where_are(np.array([[0.0, 0.0, 0.4]], np.float32), facing, np.zeros(1, bool))
    assert places.where[places.at(stranger)[0], 5] > 0.0


def test_even_light_at_places_is_even_between_them_where_it_is_open():
    net = coarse(box_net())
    receptor, count = grouped(net, np.zeros(1, bool))
    where = where_of(net, receptor, count, np.zeros(1, bool))
    places = places_of(where, np.ones(count))
    values = np.full((len(places), 2, 3), 40.0, np.float32)
    opened = np.linspace(0.1, 1.0, count).astype(np.float32)
    light = SharedLight(places.where, values, places.area_m2).at(where, opened)
    np.testing.assert_allclose(light, 40.0 * opened[:, None, None] * np.ones((1, 2, 3)), rtol=1e-5)


# --- what is kept ----------------------------------------------------------------------------


@pytest.fixture
def stage(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    return stage_of([box_piece("table", (1, 1, 0.1), (0, 0, 0))], [lamp("key", 2.0, 800.0)])


@pytest.fixture
def baked(stage):
    net = coarse(box_net())
    receptor, count = grouped(net, np.zeros(1, bool))
    light = np.random.default_rng(3).random((count, 1, 3)).astype(np.float32) * 2000.0
    cards = {"guest": {"key": np.array([300.0, 310.0, 320.0])}}
    lit = Lit(net, receptor, light, stage.layers)
    return Baked(lit, identity_of(stage).power, cards)


def test_what_is_kept_comes_back_within_half_precision(stage, baked):
    assert kept.load(stage, "v") is None
    kept.keep(stage, "v", baked)
    found = kept.load(stage, "v")
    assert found is not None and kept.load(stage, "w") is None
    surfaces, before = found.lit.surfaces, baked.lit.surfaces
    for name in ("carried", "faces", "kinds", "patterns"):
        np.testing.assert_array_equal(getattr(surfaces, name), getattr(before, name))
    np.testing.assert_array_equal(found.lit.receptor, baked.lit.receptor)
    assert (surfaces.table, found.lit.layers) == (before.table, baked.lit.layers)
    # Half floats have 11 bits, and fewer below 6e-5 of the brightest.
    most = float(baked.lit.light.max())
    np.testing.assert_allclose(found.lit.light, baked.lit.light, rtol=2**-11, atol=3e-8 * most)
    gains = found.gains(stage)
    assert gains is not None
    card, first = found.card("guest", gains), baked.card("guest", gains)
    np.testing.assert_array_equal(card["key"], first["key"])
    again = kept.as_kept(stage, baked)
    np.testing.assert_array_equal(again.lit.light, found.lit.light)


def test_another_dimmer_is_the_same_bake_times_its_gain(stage, baked):
    kept.keep(stage, "v", baked)
    dimmed = replace(stage, emitters=tuple(
        replace(e, luminance_cd_m2=0.3 * e.luminance_cd_m2) for e in stage.emitters
    ))  # fmt: skip
    found = kept.load(dimmed, "v")
    assert found is not None
    gains = found.gains(dimmed)
    assert gains is not None
    np.testing.assert_allclose(gains["key"], 0.3, rtol=1e-12)
    meshes = shown(found.lit)
    before, after = meshes.light(found.lit, found.gains(stage)), meshes.light(found.lit, gains)
    for one, other in zip(before, after, strict=True):
        np.testing.assert_allclose(other, np.float32(0.3) * one, rtol=1e-6)
    assert not any(part.any() for part in meshes.light(found.lit, {}))


def test_what_moves_is_another_bake_and_a_light_that_was_off_has_none(stage, baked):
    kept.keep(stage, "v", baked)
    moved = stage_of([box_piece("table", (1, 1, 0.1), (0, 0.01, 0))], stage.emitters)
    higher = replace(stage, emitters=(lamp("key", 2.01, 800.0),))
    more = replace(stage, emitters=(*stage.emitters, lamp("fill", 1.5, 80.0)))
    for other in (moved, higher, more):
        assert kept.load(other, "v") is None
        assert kept.key_of(other, "v") != kept.key_of(stage, "v")
    assert not baked.serves(more)
    assert set(baked.gains(more)) == {"key"}


def test_meshes_have_each_face_once_and_the_light_of_their_corners(baked):
    meshes = shown(baked.lit)
    assert sum(len(mesh.faces) for mesh in meshes.meshes) == len(baked.lit.surfaces.faces)
    light = meshes.light(baked.lit, {"key": np.ones(3)})
    total = 0.0
    for mesh, vertices, values in zip(meshes.meshes, meshes.vertices, light, strict=True):
        np.testing.assert_array_equal(mesh.positions, baked.lit.surfaces.places[vertices])
        expected = baked.lit.light[baked.lit.receptor[vertices], 0] / np.pi
        np.testing.assert_allclose(values, expected, rtol=1e-5)
        corners = mesh.positions[mesh.faces].astype(float)
        cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        total += float(np.linalg.norm(cross, axis=1).sum() / 2.0)
    assert total == pytest.approx(areas_m2(baked.lit.surfaces).sum(), rel=1e-5)
