"""Frames as files: what is read back is what was written, each channel under its own name."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import OpenEXR
import pytest
from PIL import Image

from previz.deliver.frames import read_png, write_exr, write_png
from previz.render.contract import LightLayers

RANDOM = np.random.default_rng(4)


def image() -> np.ndarray:
    return RANDOM.random((5, 7, 3)).astype(np.float32)


def test_a_png_holds_its_pixels_and_its_notes(tmp_path: Path) -> None:
    picture = RANDOM.integers(0, 256, (5, 7, 3), np.uint8)
    write_png(tmp_path / "a.png", picture, {"Title": "A talk"})
    np.testing.assert_array_equal(read_png(tmp_path / "a.png"), picture)
    with Image.open(tmp_path / "a.png") as kept:
        assert kept.info["Title"] == "A talk"


def test_an_exr_holds_every_light_and_every_guide_under_its_name(tmp_path: Path) -> None:
    depth = RANDOM.random((5, 7)).astype(np.float32)
    things = RANDOM.integers(0, 3, (5, 7)).astype(np.uint16)
    light = LightLayers({"key": image(), "fill": image()}, image(), image(), depth, things, 1)
    write_exr(tmp_path / "a.exr", light, {"room": 1, "people.guest": 2})
    with OpenEXR.File(str(tmp_path / "a.exr"), separate_channels=True) as file:
        header = dict(file.header())  # the file empties its own when it closes
        found = {name: channel.pixels for name, channel in file.channels().items()}
    wanted = {"Z": depth, "objects.id": things.astype(np.float32)}
    for number, letter in enumerate("RGB"):
        wanted[letter] = (light.layers["key"] + light.layers["fill"])[..., number]
        wanted[f"light.key.{letter}"] = light.layers["key"][..., number]
        wanted[f"light.fill.{letter}"] = light.layers["fill"][..., number]
        wanted[f"albedo.{letter}"] = light.albedo[..., number]
        wanted[f"normal.{'XYZ'[number]}"] = light.normal[..., number]
    assert set(found) == set(wanted)
    for name, pixels in wanted.items():
        assert found[name] == pytest.approx(pixels, rel=1e-6), name
    assert header["previz:object:1"] == "room"
    assert header["previz:object:2"] == "people.guest"
