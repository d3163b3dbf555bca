"""A card in a still: stops and white against the plan, through the scene's own look."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from previz.develop.exposure import expose, exposure_scale
from previz.develop.view import develop
from previz.physics.white import white_rgb, white_xy
from previz.solve.card import CardNumbers, PlannedCard, compare_card
from previz.stage.stage import StageCamera

CAMERA = StageCamera(
    "A", np.eye(4), 0.024, 0.0135, 0.05, 2.8, 2.8, 2.0, fps=25.0, shutter_s=0.02, iso=800.0,
    nd_density=0.0,
)  # fmt: skip
LIGHT = 160.0 * white_rgb(5200.0)
PLANNED = PlannedCard(tuple(LIGHT), white_xy(5600.0), 0.18)


def still_of(camera: StageCamera, light: np.ndarray, white_k: float, view: str) -> np.ndarray:
    """Mean code values of a picture of the card, as the film lab of the house makes it."""
    seen = np.full((8, 8, 3), 0.18 / math.pi * light, np.float32)
    linear = expose(seen, exposure_scale(camera), white_xy(white_k))
    return develop(linear, view).reshape(-1, 3).mean(axis=0) / 255.0


def found(camera: StageCamera, light: np.ndarray, white_k: float, view: str) -> CardNumbers:
    return compare_card(PLANNED, still_of(camera, light, white_k, view), CAMERA, view, None)


@pytest.mark.parametrize("view", ["film", "video"])
@pytest.mark.parametrize(("stops", "white_k"), [(0.0, 5600.0), (1.0, 4600.0), (-1.0, 6500.0)])
def test_another_exposure_and_another_white(view: str, stops: float, white_k: float) -> None:
    card = found(replace(CAMERA, iso=800.0 * 2.0**stops), LIGHT, white_k, view)
    assert card.over_stops == pytest.approx(stops, abs=0.1)
    assert card.planned_white.cct_k == pytest.approx(5600.0, abs=20.0)
    assert card.still_white.cct_k == pytest.approx(white_k, abs=100.0)


def test_another_light_is_told_as_light() -> None:
    card = found(CAMERA, 0.5 * 160.0 * white_rgb(4300.0), 5600.0, "film")
    assert card.over_stops == pytest.approx(-1.0, abs=0.1)
    assert card.still_light.cct_k == pytest.approx(4300.0, abs=100.0)
    assert card.light_mired == pytest.approx(1e6 / 4300.0 - 1e6 / 5200.0, abs=5.0)


def test_a_lut_is_undone(tmp_path: Path) -> None:
    """A table that darkens: the card is found as bright as it is."""
    grid = np.linspace(0.0, 1.0, 17)
    rows = [f"{r**1.2:.6f} {g**1.2:.6f} {b**1.2:.6f}" for b in grid for g in grid for r in grid]
    lut = tmp_path / "dark.cube"
    lut.write_text("LUT_3D_SIZE 17\n" + "\n".join(rows) + "\n", encoding="utf-8")
    seen = np.full((4, 4, 3), 0.18 / math.pi * LIGHT, np.float32)
    linear = expose(seen, 2.0 * exposure_scale(CAMERA), PLANNED.white_xy)
    still = develop(linear, "film", lut).reshape(-1, 3).mean(axis=0) / 255.0
    card = compare_card(PLANNED, still, CAMERA, "film", lut)
    assert card.over_stops == pytest.approx(1.0, abs=0.1)


@pytest.mark.parametrize("level", [1.0, 0.0])
def test_a_card_that_clips_or_drowns_tells_nothing(level: float) -> None:
    card = compare_card(PLANNED, np.full(3, level), CAMERA, "film", None)
    assert card.over_stops is None and card.light_mired is None and card.white_mired is None
