"""Light and tables as images: what comes out of a file is what went in, to half a step."""

from __future__ import annotations

import base64
import io

import numpy as np
import pytest
from numpy.typing import NDArray
from PIL import Image

from previz.deliver.page.encoded import (
    STEPS,
    TABLE_STEPS,
    TOE,
    Planes,
    light_planes,
    picture_address,
    table_planes,
    tiles_across,
)
from previz.develop.table import table_of


def read(address: str) -> NDArray[np.int64]:
    kept = base64.b64decode(address.removeprefix("data:image/webp;base64,"))
    return np.asarray(Image.open(io.BytesIO(kept))).astype(int)


def steps(planes: Planes) -> NDArray[np.int64]:
    low = read(planes.low)
    return low + 256 * read(planes.high) if planes.high else low


def test_light_comes_back_within_half_a_step() -> None:
    linear = np.geomspace(1e-5, 4000.0, 64 * 48 * 3).reshape(48, 64, 3).astype(np.float32)
    linear[0, 0] = 0.0
    back = (np.exp2(steps(light_planes(linear)) / STEPS) - 1.0) * TOE
    half = (linear + TOE) * (2.0 ** (0.5 / STEPS) - 1.0)
    assert np.all(np.abs(back - linear) <= 1.01 * half)
    assert np.all(back[0, 0] == 0.0)


def test_dim_light_takes_one_image() -> None:
    assert light_planes(np.full((8, 8, 3), 0.1, np.float32)).high == ""


def test_a_table_comes_back_by_its_tiles() -> None:
    table = table_of("film", None, 17)
    laid, across = steps(table_planes(table)) / TABLE_STEPS, tiles_across(table)
    for blue, green, red in ((0, 0, 16), (5, 3, 11), (16, 16, 2)):
        row, column = divmod(blue, across)
        found = laid[row * 17 + green, column * 17 + red]
        assert found == pytest.approx(table.values[blue, green, red], abs=0.5 / TABLE_STEPS)


def test_a_picture_loses_nothing() -> None:
    picture = np.random.default_rng(2).integers(0, 256, (20, 30, 3), np.uint8)
    assert np.array_equal(read(picture_address(picture)), picture)
