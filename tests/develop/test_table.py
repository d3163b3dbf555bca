"""The table of a view against the view itself."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from previz.develop.table import table_of
from previz.develop.view import VIEWS, develop

GREY = 0.18


def codes_off(linear: np.ndarray, view: str, lut: Path | None = None) -> np.ndarray:
    linear = linear.astype(np.float32)[None]
    found = table_of(view, lut).develop(linear).astype(int)
    return np.abs(found - develop(linear, view, lut)).max(axis=-1)[0]


def colours(count: int, power: float) -> np.ndarray:
    """Colours from nine stops under mid grey to seven over it; the higher the power, the more of
    them are of nearly one channel alone."""
    rng = np.random.default_rng(7)
    tint = rng.uniform(0.0, 1.0, (count, 3)) ** power
    return GREY * 2.0 ** rng.uniform(-9.0, 7.0, (count, 1)) * tint


@pytest.mark.parametrize("view", VIEWS)
def test_plausible_colours_are_within_a_code(view):
    off = codes_off(colours(200_000, 0.8), view)
    assert np.mean(off <= 1) >= 0.995
    assert np.mean(off <= 3) >= 0.9995


@pytest.mark.parametrize(("view", "most"), [("film", 12), ("video", 1)])
def test_light_of_nearly_one_colour_is_hardly_ever_off(view, most):
    """The film view lets the weak channels end at 0 with a bend that no lattice follows."""
    off = codes_off(colours(200_000, 3.0), view)
    assert np.mean(off <= 1) >= 0.99
    assert off.max() <= most


@pytest.mark.parametrize("view", VIEWS)
def test_greys_stay_grey_and_rise_evenly(view):
    ramp = np.concatenate([[0.0], GREY * 2.0 ** np.linspace(-14.0, 9.0, 4000)])
    grey = np.repeat(ramp[:, None], 3, axis=1).astype(np.float32)
    off = codes_off(grey, view)
    assert np.mean(off <= 1) >= 0.995
    assert off.max() <= 2
    found = table_of(view).develop(grey[None])[0].astype(int)
    assert np.all(np.diff(found, axis=0) >= 0)
    assert np.ptp(found, axis=1).max() <= 1


def test_a_lut_is_in_it_and_an_edited_one_makes_another_table(tmp_path):
    lut = tmp_path / "look.cube"

    def write(power: float) -> None:
        axis = np.linspace(0.0, 1.0, 5) ** power
        rows = [f"{r} {g} {b}" for b in axis for g in axis for r in axis]
        lut.write_text("LUT_3D_SIZE 5\n" + "\n".join(rows) + "\n", encoding="ascii")

    write(1.4)
    first = table_of("video", lut)
    assert table_of("video", lut) is first
    assert np.mean(codes_off(colours(20_000, 0.8), "video", lut) <= 1) >= 0.99
    write(0.75)
    assert np.abs(table_of("video", lut).values - first.values).max() > 0.05
