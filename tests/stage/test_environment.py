"""The environment: photometry of the sky, of what a window lets in, and which way is east."""

from __future__ import annotations

import math

import numpy as np
import pytest
import trimesh

from previz.api import open_scene
from previz.geometry.gear.emitter import EmitterShape
from previz.geometry.piece import Piece
from previz.model.records import Material
from previz.physics.colour import LUMINANCE_WEIGHTS, luminance, rgb_from_cct
from previz.render.backends import open_back_end
from previz.render.contract import RenderSettings
from previz.stage.backdrop import build_environment, sky_planes, typical
from previz.stage.environment import Environment
from previz.stage.placing import looking
from previz.stage.stage import Emitter, Stage, StageCamera, Thing

SKIES = ("overcast", "clear", "dusk", "night")
VIEWS = ("garden", "street", "rooftops", "plain")


def directions(height: int, width: int) -> np.ndarray:
    polar = (np.arange(height) + 0.5) / height * math.pi
    around = (np.arange(width) + 0.5) / width * 2 * math.pi
    return np.stack(
        [
            np.outer(np.sin(polar), np.sin(around)),
            -np.outer(np.sin(polar), np.cos(around)),
            np.outer(np.cos(polar), np.ones(width)),
        ],
        axis=-1,
    )


def by_summing(panorama: np.ndarray, inward: np.ndarray) -> np.ndarray:
    """Irradiance (3,) on a plane from outside, pixel by pixel."""
    height, width = panorama.shape[:2]
    there = directions(height, width)
    sine = np.sqrt(there[..., 0] ** 2 + there[..., 1] ** 2)
    solid = sine * (math.pi / height) * (2 * math.pi / width)
    return np.einsum("hw,hwc->c", np.clip(-there @ inward, 0, None) * solid, panorama)


@pytest.mark.parametrize("sky", SKIES)
def test_whole_sky_gives_its_illuminance(sky):
    lux, cct_k = typical(sky)
    picture = np.moveaxis(sky_planes(sky, lux, cct_k, (256, 512), 5), 0, -1).astype(float)
    given = by_summing(picture, np.array([0.0, 0.0, -1.0]))
    assert luminance(given) == pytest.approx(lux, rel=0.01)
    assert given / lux == pytest.approx(rgb_from_cct(cct_k, locus="daylight"), rel=0.01)


def test_overcast_zenith_is_three_times_the_horizon():
    planes = sky_planes("overcast", 10000.0, 6500.0, (512, 1024), 5)
    rows = np.einsum("c,chw->h", LUMINANCE_WEIGHTS, planes) / 1024
    # Reference 6.6: 10 000 lx under a zenith of 4093 cd/m2 and a horizon of 1364.
    assert rows[:20].mean() == pytest.approx(4093.0, rel=0.1)
    assert rows[236:256].mean() == pytest.approx(1364.0 * 1.12, rel=0.12)


@pytest.mark.parametrize("inward", [(-1, 0, 0), (0, 1, 0), (0.6, -0.8, 0), (0, 0.6, -0.8)])
def test_mean_through_is_the_integral(inward):
    environment = build_environment("clear", *typical("clear"), "street", 2)
    plane = np.array(inward, float)
    expected = by_summing(environment.panorama.astype(float), plane) / math.pi
    assert environment.mean_through(plane) == pytest.approx(expected, rel=0.01)


@pytest.mark.parametrize("view", VIEWS)
def test_levels_under_an_overcast_sky(view):
    environment = build_environment("overcast", 15000.0, 6500.0, view, 4)
    y = environment.panorama @ LUMINANCE_WEIGHTS.astype(np.float32)
    assert np.isfinite(y).all()
    assert y.min() >= 0.0
    sky = np.median(y[170:228])  # 50 to 60 degrees up
    below = np.median(y[530:700])
    assert 4000 < sky < 8000
    assert 150 < below < 1500
    if view == "garden":
        foliage = np.median(y[500:530])
        assert 100 < foliage < 400


@pytest.mark.parametrize("view", VIEWS)
def test_views_repeat_and_have_no_seam(view):
    first = build_environment("dusk", *typical("dusk"), view, 9).panorama
    again = build_environment("dusk", *typical("dusk"), view, 9).panorama
    np.testing.assert_array_equal(first, again)
    steps = np.abs(np.diff(first, axis=1)).mean(axis=(0, 2))
    seam = np.abs(first[:, 0] - first[:, -1]).mean()
    assert seam <= steps.max()


def test_seeds_differ():
    lux, cct_k = typical("overcast")
    one = build_environment("overcast", lux, cct_k, "garden", 1).panorama
    other = build_environment("overcast", lux, cct_k, "garden", 2).panorama
    assert np.abs(one - other).mean() > 10.0


@pytest.mark.parametrize("sky", ["dusk", "night"])
def test_windows_are_lit_after_dark(sky):
    street = build_environment(sky, *typical(sky), "street", 4).panorama
    warm = (street[..., 0] > 1.6 * street[..., 2]) & (street @ LUMINANCE_WEIGHTS > 10.0)
    assert np.count_nonzero(warm[400:560]) > 500


def test_refuses_what_no_sky_gives():
    with pytest.raises(ValueError, match="horizontal_lx"):
        build_environment("overcast", -1.0, 6500.0, "plain", 1)


# --- through a window, by the renderer -------------------------------------------------------


def _behind_glass(environment: Environment, inward: tuple[float, float, float]) -> Stage:
    """A window of 2 m by 2 m three metres from the camera at the origin, nothing else."""
    facing = np.array(inward, float)
    pose = looking(tuple(-3.0 * facing), (0.0, 0.0, 0.0))
    pose[:3, 0] *= -1.0
    pose[:3, 2] *= -1.0
    window = Emitter(
        layer="window",
        thing="openings.window",
        shape=EmitterShape("rectangle", pose, width_m=2.0, height_m=2.0),
        luminance_cd_m2=0.5,
        rgb=np.ones(3),
        window=True,
    )
    floor = trimesh.creation.box((0.1, 0.1, 0.1))
    floor.apply_translation([0.0, 0.0, -5.0])
    black = Material(label="x", kind="standard", source="test", reflectance=(0, 0, 0))
    camera = StageCamera(
        "A", looking((0, 0, 0), tuple(-facing)), 0.036, 0.036, 0.05, 16.0, 16.0, 3.0,
        25.0, 0.02, 800.0, 0.0,
    )  # fmt: skip
    things = (Thing("room", "room", (Piece("floor", floor, "black"),)),)
    return Stage("t", "d", 1, things, (window,), {"A": camera}, {}, {"black": black}, environment)


@pytest.mark.parametrize(
    ("azimuth_deg", "inward"), [(90.0, (-1, 0, 0)), (0.0, (0, 1, 0)), (270.0, (1, 0, 0))]
)
def test_a_mark_in_the_east_is_seen_through_the_east_window(azimuth_deg, inward):
    """Columns run south, east, north, west; the mark stands 8 degrees further and 5 up."""
    height, width = 512, 1024
    there = directions(height, width)
    azimuth, up = math.radians(azimuth_deg + 8.0), math.radians(5.0)
    mark = np.array(
        [math.cos(up) * math.sin(azimuth), -math.cos(up) * math.cos(azimuth), math.sin(up)]
    )
    panorama = np.zeros((height, width, 3), np.float32)
    panorama[there @ mark > math.cos(math.radians(1.5))] = (0.0, 1000.0, 0.0)
    stage = _behind_glass(Environment(panorama), inward)
    exposing = open_back_end("llvm_ad_rgb").load(stage).expose("A", RenderSettings(64, 64, 16, 3))
    exposing.advance(16)
    green = exposing.light().beauty[..., 1].astype(float)
    row, column = np.mgrid[0:64, 0:64] + 0.5
    seen = np.array([(column * green).sum(), (row * green).sum()]) / green.sum()
    expected = stage.cameras["A"].project(100.0 * mark, 64, 64)[0]
    assert seen == pytest.approx(expected, abs=0.7)
    assert green.max() == pytest.approx(500.0, rel=0.02)


def test_meter_behind_the_window_reads_what_it_sees():
    """One metre inside the window: the panorama's pixels within its frame, by cosine."""
    environment = build_environment("overcast", *typical("overcast"), "garden", 3)
    renderer = open_back_end("llvm_ad_rgb").load(_behind_glass(environment, (-1.0, 0.0, 0.0)))
    point, out = np.array([[2.0, 0.0, 0.0]]), np.array([[1.0, 0.0, 0.0]])
    read = renderer.meter(point, out, 60000)["window"][0]
    there = directions(*environment.panorama.shape[:2])
    ahead = np.maximum(there[..., 0], 1e-9)
    framed = (there[..., 0] > 0) & (np.abs(there[..., 1:] / ahead[..., None]).max(axis=-1) < 1.0)
    seen = np.where(framed[..., None], environment.panorama, 0.0)
    expected = 0.5 * by_summing(seen, np.array([-1.0, 0.0, 0.0]))
    assert read == pytest.approx(expected, rel=0.01)


@pytest.mark.usefixtures("mannequins")
@pytest.mark.parametrize("view", VIEWS)
def test_another_seed_leaves_the_light_of_the_windows_as_it_is(view, tmp_path):
    """What a camera sees of a window hangs on trees and roofs; they stay where they are."""
    text = (
        "previz: 1\ntitle: Seeds\nroom: {width_m: 6, depth_m: 8, height_m: 3}\n"
        "openings: {window: {wall: north, along_m: 2, width_m: 2, sill_m: 0.9, height_m: 1.4}}\n"
        f"daylight: {{sky: overcast, view: {view}}}\n"
        "people: {guest: {at_m: [0, 0], seat: stool}}\n"
        "cameras: {A: {sensor: full_frame, lens: prime_50_f1.8, f_number: 2.8, aim: guest, "
        "place: {at_m: [0, -2.5], height: eye}}}\n"
    )
    (tmp_path / "scene.yaml").write_text(text, encoding="utf-8")
    one, other = (open_scene(tmp_path, (f"seed={seed}",)).stage.environment for seed in (1, 2))
    assert one is not None and other is not None
    assert np.array_equal(one.panorama, other.panorama)


def test_street_lamps_far_off_are_points_after_dark_and_give_little_light():
    """Sky by night 0.5 lx; some sixty lamps at 150 to 400 cd from 250 m on give under a tenth."""
    dark, day = (build_environment(sky, 0.5, 9000.0, "plain", 0) for sky in ("night", "clear"))
    bright = luminance(dark.panorama)
    assert 100.0 < bright.max() < 1000.0
    assert 4 <= (bright > 10.0 * np.median(bright)).sum() < 400
    assert luminance(day.panorama).max() < 1.0
    height, width = bright.shape
    pixel_sr = (np.pi / height) * (2 * np.pi / width)
    points = bright[bright > 10.0 * np.median(bright)].sum() * pixel_sr
    assert 0.001 < points < 0.05


def test_what_is_seen_in_a_direction_is_the_pixel_that_lies_there():
    """Rows from straight up to straight down; columns from south by east, north and west."""
    panorama = np.zeros((4, 8, 3), np.float32)
    panorama[1, 1], panorama[2, 4], panorama[0, 0] = 1.0, 2.0, 3.0
    seen = Environment(panorama).towards(
        np.array([[2.0, -0.1, 1.0], [-0.1, 1.0, -0.5], [0.01, -0.1, 1.0]])
    )
    assert seen[:, 0].tolist() == [1.0, 2.0, 3.0]
