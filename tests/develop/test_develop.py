"""Light to picture: the meter's grey, the white, the view, the LUT."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from previz.develop.exposure import expose, exposure_scale
from previz.develop.view import VIEWS, develop, view_problem
from previz.errors import Place
from previz.physics.exposure import illuminance_for_stop_lx
from previz.physics.white import neutral_gains, white_rgb, white_xy
from previz.stage.placing import looking
from previz.stage.stage import StageCamera

CAMERA = StageCamera(
    "A", looking((0, 0, 1), (0, 1, 1)), 0.036, 0.02025, 0.05, 2.8, 3.0, 2.0, 25.0, 0.02, 800.0, 0.0
)


def test_a_grey_card_in_the_light_the_meter_asks_for_comes_out_as_its_reflectance():
    """ISO 2720 incident metering, C = 250: T2.8, 1/50, ISO 800 asks for 125 lx."""
    lux = illuminance_for_stop_lx(CAMERA.t_number, CAMERA.shutter_s, CAMERA.iso)
    card = np.full((2, 2, 3), 0.18 * lux / np.pi, np.float32)
    linear = expose(card, exposure_scale(CAMERA), white_xy(6504))
    np.testing.assert_allclose(linear, 0.18, rtol=0.02)


@pytest.mark.parametrize(
    ("change", "stops"),
    [
        ({"iso": 1600.0}, 1.0),
        ({"shutter_s": 0.01}, -1.0),
        ({"nd_density": 0.6}, -1.993),
        ({"t_number": 4.2426}, -1.0),
    ],
)
def test_settings_move_the_exposure_by_their_stops(change, stops):
    """ND by 10^-D (ISO 5-1, number from memory); shutter by (angle / 360) / fps."""
    ratio = exposure_scale(replace(CAMERA, **change)) / exposure_scale(CAMERA)
    assert np.log2(ratio) == pytest.approx(stops, abs=2e-3)


@pytest.mark.parametrize("cct_k", [2700, 3200, 4300, 5600, 6500, 9000])
def test_balanced_light_is_neutral_and_shows_surfaces_as_they_are(cct_k):
    surface = np.array([0.30, 0.12, 0.45])
    light = (100.0 * white_rgb(cct_k) * surface).astype(np.float32).reshape(1, 1, 3)
    seen = expose(light, 0.01, white_xy(cct_k))[0, 0]
    np.testing.assert_allclose(seen, surface, rtol=1e-5)


def test_gains_are_those_of_the_published_whites():
    """R and B over G at 3200 K are 0.5155 and 2.6578: colour-science 0.4.7, sd_blackbody."""
    gains = neutral_gains(white_xy(3200.0))
    assert gains[0] / gains[1] == pytest.approx(0.5155, abs=0.005)
    assert gains[2] / gains[1] == pytest.approx(2.6578, abs=0.005)


def test_white_runs_smoothly_from_lamp_to_daylight():
    path = np.array([white_xy(k) for k in range(3500, 5600, 20)])
    steps = np.linalg.norm(np.diff(path, axis=0), axis=1)
    assert steps.max() < 3.0 * np.median(steps)


@pytest.mark.parametrize("view", VIEWS)
def test_views_rise_with_light_and_keep_grey_grey(view):
    ramp = np.geomspace(0.001, 8.0, 64, dtype=np.float32)
    picture = develop(np.repeat(ramp[None, :, None], 3, axis=2), view)[0].astype(int)
    assert (np.diff(picture[:, 1]) >= 0).all()
    assert np.abs(picture - picture[:, 1:2]).max() <= 1
    assert picture[0, 1] < 12 and picture[-1, 1] > 240


def test_the_video_view_is_the_srgb_curve():
    """IEC 61966-2-1: 0.18 is 117.65 of 255; white is white, and what is over it is clipped."""
    values = np.array([0.18, 0.5, 1.0, 4.0], np.float32)
    picture = develop(np.repeat(values[None, :, None], 3, axis=2), "video")[0, :, 1]
    assert list(picture) == [118, 188, 255, 255]


@pytest.mark.parametrize("view", VIEWS)
def test_a_channel_below_nothing_counts_as_nothing(view):
    """Denoised light may come out a little under zero; a view that mixes channels spreads it."""
    below, nothing = (np.array([[[red, 0.3, 0.3]]], np.float32) for red in (-0.2, 0.0))
    np.testing.assert_array_equal(develop(below, view), develop(nothing, view))


def cube(path: Path, text: str) -> Path:
    path.write_text(text)
    return path


def test_a_lut_is_laid_over_the_picture(tmp_path):
    corners = "\n".join(f"{1 - r} {g} {b}" for b in (0, 1) for g in (0, 1) for r in (0, 1))
    lut = cube(tmp_path / "swap.cube", f"LUT_3D_SIZE 2\n{corners}\n")
    grey = np.full((2, 2, 3), 0.18, np.float32)
    plain, changed = develop(grey, "video")[0, 0], develop(grey, "video", lut)[0, 0]
    assert list(changed) == [255 - plain[0], plain[1], plain[2]]
    assert view_problem(lut, Place(lut)) is None


def test_a_lut_that_was_edited_is_another(tmp_path):
    """Also where it keeps its name: a scene is kept open while its files are worked on."""
    grey = np.full((2, 2, 3), 0.2, np.float32)
    corners = [(r, g, b) for b in (0, 1) for g in (0, 1) for r in (0, 1)]
    lines = "\n".join("{} {} {}".format(*corner) for corner in corners)
    lut = cube(tmp_path / "own.cube", f"LUT_3D_SIZE 2\n{lines}\n")
    before = develop(grey, "video", lut)[0, 0]
    cube(lut, f"LUT_3D_SIZE 2\n{lines.replace('1', '0.5')}\n")
    assert develop(grey, "video", lut)[0, 0] == pytest.approx(before / 2.0, abs=1.0)
    cube(lut, "LUT_3D_SIZE two\n")
    assert "cannot be read" in str(view_problem(lut, Place(lut)))


def test_a_broken_lut_is_one_line(tmp_path):
    lut = cube(tmp_path / "broken.cube", "LUT_3D_SIZE two\n")
    problem = view_problem(lut, Place(tmp_path / "scene.yaml", 3, 8))
    assert problem is not None
    assert "broken.cube cannot be read" in str(problem) and "\n" not in str(problem)


@pytest.mark.parametrize("view", ["film", "video"])
def test_a_grey_card_at_the_meters_setting_is_mid_grey_in_both_views(view):
    """IEC 61966-2-1: 18 % is 117.65 of 255."""
    grey = np.full((2, 2, 3), 0.18, np.float32)
    assert develop(grey, view)[0, 0] == pytest.approx([118, 118, 118], abs=1)
