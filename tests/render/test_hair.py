"""Hair as curves: where the strands say, in both variants, with light that is finite."""

from __future__ import annotations

import tempfile

import numpy as np
import pytest
import trimesh

from previz.geometry.gear.emitter import EmitterShape
from previz.geometry.people.figure import Strands
from previz.geometry.piece import Piece
from previz.model.records import Material
from previz.render.backends import open_back_end
from previz.render.contract import RenderSettings
from previz.render.variants import choose
from previz.stage.placing import looking
from previz.stage.stage import Emitter, Stage, StageCamera, Thing

VARIANTS = ("llvm_ad_rgb", "scalar_rgb")
# What eumelanin 1.6 and pheomelanin 0.25 absorb, by the constants of d'Eon et al. 2011.
BROWN = 1.6 * np.array([0.419, 0.697, 1.37]) + 0.25 * np.array([0.187, 0.4, 1.05])


def fur(count: int, seed: int = 1) -> Strands:
    """Strands that stand up from a ball of 0.1 m at the origin."""
    out = np.random.default_rng(seed).normal(size=(count, 3))
    out /= np.linalg.norm(out, axis=1, keepdims=True)
    away = np.linspace(0.1, 0.14, 5)[None, :, None]
    points = out[:, None] * away
    radius, colour = np.full((count, 5), 6e-5), np.array([0.05, 0.03, 0.02])
    return Strands(points, radius, 1.6, 0.25, BROWN, colour)


def furry(strands: Strands | None) -> Stage:
    ball = trimesh.creation.icosphere(3, 0.1)
    skin = Material(label="x", kind="standard", source="test", reflectance=(0.4, 0.3, 0.2))
    pose = looking((0.8, 1.5, 1.2), (0.0, 0.0, 0.0))
    pose[:3, 0] *= -1.0
    pose[:3, 2] *= -1.0
    lamp = Emitter(
        "hair", "lights.hair", EmitterShape("rectangle", pose, 0.4, 0.4), 5000.0, np.ones(3)
    )
    camera = StageCamera(
        "A", looking((0, -1.5, 0), (0, 0, 0)), 0.024, 0.0135, 0.06, 2.8, 3.0, 1.5,
        25.0, 0.02, 800.0, 0.0,
    )  # fmt: skip
    head = Thing("people.guest", "person", (Piece("skin", ball, "skin", smooth=True),), strands)
    return Stage("t", "d", 1, (head,), (lamp,), {"A": camera}, {}, {"skin": skin})


@pytest.fixture(params=VARIANTS)
def variant(request):
    choose(request.param)  # before the import: it says which LLVM is to be found
    import mitsuba as mi

    mi.set_variant(request.param)
    return request.param


@pytest.mark.usefixtures("variant")
def test_curves_reach_from_root_to_tip_with_their_radius():
    import mitsuba as mi

    from previz.render.pathtracer.hair import hair_shape

    points = np.array([[[0.0, 0, 0], [0, 0, 0.01], [0, 0.002, 0.02], [0, 0.006, 0.03]]])
    strands = Strands(points, np.full((1, 4), 5e-4), 1.3, 0.2, BROWN, np.zeros(3))
    scene = mi.load_dict({"type": "scene", "hair": hair_shape(strands)})

    def met(place: tuple[float, float, float]) -> bool:
        ray = mi.Ray3f(mi.Point3f(place[0] + 1.0, place[1], place[2]), mi.Vector3f(-1, 0, 0))
        return bool(np.all(np.array(scene.ray_test(ray))))

    assert met((0.0, 0.0, 0.0003))
    assert met((0.0, 0.0059, 0.0298))
    assert not met((0.0, 0.0, -0.0012))
    assert not met((0.0, 0.0065, 0.0315))
    assert met((0.0, 0.00045, 0.005))
    assert not met((0.0, 0.0008, 0.005))


@pytest.mark.usefixtures("variant")
def test_no_file_stays_behind(tmp_path, monkeypatch):
    from previz.render.pathtracer.hair import hair_shape

    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    hair_shape(fur(50))
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", VARIANTS)
def test_hair_catches_the_light_behind(name):
    settings = RenderSettings(48, 27, 64)
    rendered = []
    for strands in (None, fur(10000)):
        exposing = open_back_end(name).load(furry(strands)).expose("A", settings)
        exposing.advance(64)
        rendered.append(exposing.light())
    bald, hairy = rendered
    assert np.isfinite(hairy.beauty).all()
    assert hairy.albedo.min() >= 0.0
    assert hairy.albedo.max() <= 1.0
    # Round the ball, where there was nothing, strands now shine.
    empty = bald.objects == 0
    assert hairy.beauty[empty].mean() > 5.0 * bald.beauty[empty].mean()
    assert hairy.beauty[empty].max() > 10.0
    assert set(np.unique(hairy.objects)) == {0, 1}
    assert np.count_nonzero(hairy.objects) > np.count_nonzero(bald.objects)


def test_the_denoiser_is_told_of_the_colour_of_hair_and_which_way_it_runs():
    strands = fur(10000)
    exposing = (
        open_back_end("llvm_ad_rgb").load(furry(strands)).expose("A", RenderSettings(96, 54, 64))
    )
    exposing.advance(64)
    light = exposing.light()
    bald = open_back_end("llvm_ad_rgb").load(furry(None)).expose("A", RenderSettings(96, 54, 64))
    bald.advance(64)
    round_the_ball = (light.objects == 1) & (bald.light().albedo.max(axis=2) == 0.0)
    albedo, normal = light.albedo[round_the_ball], light.normal[round_the_ball]
    covered = albedo[:, 0] / strands.colour[0]
    assert covered.max() <= 1.01
    assert np.quantile(covered, 0.8) > 0.2
    assert albedo == pytest.approx(covered[:, None] * strands.colour, abs=1e-4)
    # Fur stands out from the ball: up over it, and sideways beside it, as the camera sees it.
    row, column = np.nonzero(round_the_ball)
    away = np.stack([column - 47.5, 26.5 - row], axis=1)
    away /= np.linalg.norm(away, axis=1, keepdims=True)
    size = np.linalg.norm(normal, axis=1)
    along = (normal[:, [0, 2]] * away).sum(axis=1) / np.maximum(size, 1e-6)
    assert np.median(along[size > 0.1]) > 0.9


def test_the_end_of_the_last_strand_is_within_bounds(capfd):
    """With 200 000 segments, the last one's end rounds up to one segment more."""
    import drjit as dr
    import mitsuba as mi

    choose("llvm_ad_rgb")
    mi.set_variant("llvm_ad_rgb")
    from previz.render.pathtracer.hair import hair_shape

    strands = fur(50000)
    scene = mi.load_dict({"type": "scene", "hair": hair_shape(strands)})
    # Past the tips all round, so that the last strand is met by its last hundredth too.
    tip, below = strands.points[-1, -1], strands.points[-1, -2]
    along = tip - below
    side = np.cross(along, [0.3, 0.5, 0.8])
    side /= np.linalg.norm(side)
    places = tip - np.linspace(0.0, 0.05, 400)[:, None] * along + 1e-3 * side
    with dr.scoped_set_flag(dr.JitFlag.Debug, True):
        ray = mi.Ray3f(mi.Point3f(places.T.astype(np.float32)), mi.Vector3f(*(-side).tolist()))
        met = scene.ray_intersect(ray)
        dr.eval(met)
        dr.sync_thread()
    assert np.count_nonzero(met.prim_index.numpy() == 50000 * 4 - 1) > 10
    assert "out-of-bounds" not in "".join(capfd.readouterr())


@pytest.mark.usefixtures("variant")
def test_a_strand_needs_two_points():
    from previz.render.pathtracer.hair import hair_shape

    with pytest.raises(ValueError, match="two points"):
        hair_shape(Strands(np.zeros((1, 1, 3)), np.ones((1, 1)), 1.0, 0.0, BROWN, np.zeros(3)))


def test_absorption_is_that_of_the_pigments():
    """Absorption given in numbers scatters as the plugin's own pigment model does."""
    choose("scalar_rgb")
    import mitsuba as mi

    mi.set_variant("scalar_rgb")
    from previz.render.pathtracer.hair import ABSORPTION, _bsdf

    ours = _bsdf(fur(1))
    pigments = {k: v for k, v in ours.items() if k not in (ABSORPTION, "scale")}
    si = mi.SurfaceInteraction3f()
    si.wi = mi.Vector3f(0.3, 0.4, 0.866)
    values = [
        np.array(mi.load_dict(bsdf).eval(mi.BSDFContext(), si, mi.Vector3f(-0.2, -0.4, -0.894)))
        for bsdf in (ours, {**pigments, "eumelanin": 1.6, "pheomelanin": 0.25})
    ]
    assert values[0] == pytest.approx(values[1], rel=1e-4)
    assert values[0].max() > 0.01
