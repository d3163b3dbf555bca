"""The whole walk on a tiny room: files, notes, stopping and going on."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import OpenEXR
import pytest
from PIL import Image

from previz import api
from previz.errors import InputError, InterruptedRender
from previz.render.pathtracer import backend

SCENE = """\
previz: 1
title: Empty room
room: {width_m: 4, depth_m: 4, height_m: 2.6}
openings:
  window: {wall: west, along_m: 1.2, width_m: 1.4, sill_m: 0.9, height_m: 1.2}
furniture:
  stool: {piece: stool, at_m: [0, 0.4]}
cameras:
  A: &camera
    sensor: full_frame
    lens: zoom_24_70_f2.8
    focal_length_mm: 28
    f_number: 4
    place: {at_m: [0.4, -1.5], height_m: 1.3}
    aim_m: [0, 0.4, 0.6]
    focus_distance_m: 2.0
  B: {sensor: full_frame, lens: prime_50_f1.4, f_number: 4, place: {at_m: [1.5, -1], height_m: 1.2},
      aim_m: [0, 0.4, 0.5], focus_distance_m: 2.0}
lights:
  key: {fixture: panel_60x40, place: {at_m: [-1, -1], height_m: 2}, aim_m: [0, 0.4, 0.5]}
"""
SAMPLES = 6


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    path = tmp_path / "scene.yaml"
    path.write_text(SCENE.replace("&camera", ""))
    return path


@pytest.fixture(autouse=True)
def small_passes(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(backend, "PASS_PATHS", 2 * 64 * 36)


def options(out: Path, **other: object) -> api.RenderOptions:
    return api.RenderOptions(out=out, samples=SAMPLES, width_px=64, **other)


class StopAfter(api.Silence):
    """Presses Ctrl-C once so many samples are done."""

    def __init__(self, samples: int) -> None:
        self.samples = samples

    def advance(self, done: int) -> None:
        if done >= self.samples:
            raise KeyboardInterrupt


def _size(path: Path) -> tuple[int, int]:
    with Image.open(path) as picture:
        return picture.size


def test_every_camera_gets_a_frame_and_the_manifest_says_how(scene, tmp_path):
    done = api.render_scene(scene, options(tmp_path / "out", exr=True))
    assert {path.name for path in done.files} == {
        "frame_A.png", "frame_A.exr", "frame_B.png", "frame_B.exr",
    }  # fmt: skip
    note = json.loads(done.manifest.read_text())
    assert note["title"] == "Empty room"
    assert note["layers"] == ["window", "key"]
    assert note["computed_on"] in ("graphics-card", "mac-graphics", "processor", "processor-plain")
    assert note["scene_digest"] == api.open_scene(scene).digest
    for name, frame in note["frames"].items():
        assert frame["complete"] and frame["samples"] == SAMPLES
        path = done.folder / frame["files"]["picture"]
        assert _size(path) == (64, 36)
        with Image.open(path) as picture:
            assert np.asarray(picture).std() > 5, f"camera {name} shows nothing"
    assert not (done.folder / ".unfinished").exists()


def test_exr_layers_add_up_and_name_what_is_seen(scene, tmp_path):
    done = api.render_scene(scene, options(tmp_path / "out", cameras=("A",), exr=True))
    with OpenEXR.File(str(done.folder / "frame_A.exr"), separate_channels=True) as file:
        channels = {name: channel.pixels for name, channel in file.channels().items()}
        header = dict(file.header())  # the file empties its own when it closes
    for letter in "RGB":
        total = channels[f"light.window.{letter}"] + channels[f"light.key.{letter}"]
        np.testing.assert_allclose(channels[letter], total, rtol=1e-4, atol=1e-6)
    numbers = set(np.unique(channels["objects.id"]).astype(int))
    names = {header[f"previz:object:{number}"] for number in numbers if number}
    assert {"room", "furniture.stool"} <= names
    assert channels["Z"].min() > 0.3
    assert np.linalg.norm([channels[f"normal.{a}"] for a in "XYZ"], axis=0).max() < 1.01


def test_a_stopped_render_goes_on_to_the_very_same_picture(scene, tmp_path):
    whole = api.render_scene(scene, options(tmp_path / "whole", cameras=("A",), exr=True))
    folder = tmp_path / "stopped"
    with pytest.raises(InterruptedRender, match="--resume"):
        api.render_scene(scene, options(folder, cameras=("A",), exr=True), StopAfter(2))
    note = json.loads((folder / "manifest.json").read_text())
    assert note["frames"]["A"]["samples"] == 2
    assert not note["frames"]["A"]["complete"]
    assert _size(folder / "frame_A.png") == (64, 36)
    again = api.render_scene(scene, options(folder, cameras=("A",), exr=True, resume=True))
    pictures = []
    for done in (whole, again):
        with OpenEXR.File(str(done.folder / "frame_A.exr")) as file:
            pictures.append(file.channels()["RGB"].pixels)
    np.testing.assert_allclose(pictures[0], pictures[1], rtol=1e-4, atol=1e-4)
    assert not (folder / ".unfinished").exists()


def test_nothing_is_resumed_from_another_scene(scene, tmp_path):
    folder = tmp_path / "out"
    with pytest.raises(InterruptedRender):
        api.render_scene(scene, options(folder, cameras=("A",)), StopAfter(2))
    changed = options(folder, cameras=("A",), resume=True, settings=("key.dimmer_pct=10",))
    seen: list[int] = []

    class Watch(api.Silence):
        def advance(self, done: int) -> None:
            seen.append(done)

    api.render_scene(scene, changed, Watch())
    assert seen[0] == 0


def test_a_camera_that_is_not_there_is_one_line(scene, tmp_path):
    with pytest.raises(InputError, match="no camera C; the scene has A, B"):
        api.render_scene(scene, options(tmp_path / "out", cameras=("C",)))


def test_nothing_is_placed_until_the_file_is_right(scene, tmp_path):
    """What rests on a faulty part would come to stand elsewhere, and be a fault of its own."""
    place = "{side: camera_left, azimuth_deg: 90, elevation_deg: 10, distance_m: 3}, aim: guest}"
    text = scene.read_text().replace("{at_m: [-1, -1], height_m: 2}, aim_m: [0, 0.4, 0.5]}", place)
    text += "people:\n  guest: {at_m: [0, 0], faces: B}\n"
    told = []
    for focal_length_mm in (280, 28):
        scene.write_text(text.replace("focal_length_mm: 28", f"focal_length_mm: {focal_length_mm}"))
        with pytest.raises(InputError) as caught:
            api.open_scene(scene)
        told.append(str(caught.value).splitlines())
    (of_file,), (of_placing,) = told
    assert "cameras.A.focal_length_mm: must be from 24 to 70" in of_file
    assert "lights.key: the light comes to" in of_placing and "outside the room" in of_placing


def test_a_folder_that_cannot_be_written_is_one_line(scene, tmp_path):
    from previz.errors import OutputError

    blocked = tmp_path / "file"
    blocked.write_text("not a folder")
    with pytest.raises(OutputError, match=r"is to be a folder, and .* is a file"):
        api.render_scene(scene, options(blocked / "out", cameras=("A",)))
