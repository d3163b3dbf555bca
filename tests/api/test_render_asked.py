"""What a render does only when asked: captions, a region alone, exposure by the light."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from previz import api
from previz.deliver.frames import read_png
from previz.deliver.manifest import MANIFEST, REGION_MANIFEST, read_manifest
from previz.errors import InputError, InterruptedRender
from previz.physics.colour import luminance
from previz.render.pathtracer import backend

SCENE = """\
previz: 1
title: A hall
room: {width_m: 4, depth_m: 4, height_m: 2.6}
furniture:
  stool: {piece: stool, at_m: [0, 0.4]}
cameras:
  A: {sensor: full_frame, lens: zoom_24_70_f2.8, focal_length_mm: 28, f_number: 4,
      place: {at_m: [0.4, -1.5], height_m: 1.3}, aim_m: [0, 0.4, 0.6], focus_distance_m: 2.0}
lights:
  key: {fixture: panel_60x40, place: {at_m: [-1, -1], height_m: 2}, aim_m: [0, 0.4, 0.5]}
"""


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    path = tmp_path / "scene.yaml"
    path.write_text(SCENE)
    return path


def options(out: Path, **other: object) -> api.RenderOptions:
    return api.RenderOptions(**{"out": out, "samples": 4, "width_px": 160, **other})


class Heard(api.Silence):
    """What is said; presses Ctrl-C once so many samples are done."""

    def __init__(self, stop_at: int = 1 << 30) -> None:
        self.said: list[str] = []
        self._stop_at = stop_at

    def say(self, text: str) -> None:
        self.said.append(text)

    def advance(self, done: int) -> None:
        if done >= self._stop_at:
            raise KeyboardInterrupt


def test_a_caption_stands_on_a_copy_and_relighting_keeps_to_it(scene, tmp_path):
    plain = api.render_scene(scene, options(tmp_path / "plain"))
    done = api.render_scene(scene, options(tmp_path / "out", caption="under"))
    frame = read_png(done.folder / "frame_A.png")
    np.testing.assert_array_equal(frame, read_png(plain.folder / "frame_A.png"))
    copy = read_png(done.folder / "frame_A_caption.png")
    np.testing.assert_array_equal(copy[: len(frame)], frame)
    assert len(copy) > len(frame) and done.folder / "frame_A_caption.png" in done.files
    note = json.loads(done.manifest.read_text())["frames"]["A"]
    assert note["caption"] == "under" and note["height_px"] == len(frame)
    assert note["files"]["captioned"] == "frame_A_caption.png"

    relit = api.relight_scene(
        scene, api.RelightOptions(done.folder, settings=("key.dimmer_pct=20",))
    )
    found = read_manifest(relit.folder)
    assert found is not None and found.frames["A"].caption == "under"
    assert read_png(relit.folder / "frame_A_caption.png").shape == copy.shape
    bare = api.relight_scene(scene, api.RelightOptions(plain.folder))
    assert [file.name for file in bare.files] == ["frame_A.png"]


def test_a_render_that_goes_on_keeps_to_its_caption(scene, tmp_path, monkeypatch):
    monkeypatch.setattr(backend, "PASS_PATHS", 2 * 160 * 90)
    with pytest.raises(InterruptedRender):
        api.render_scene(scene, options(tmp_path, caption="over"), Heard(stop_at=2))
    done = api.render_scene(scene, options(tmp_path, resume=True))
    found = read_manifest(done.folder)
    assert found is not None and found.frames["A"].caption == "over"
    with Image.open(tmp_path / "frame_A_caption.png") as copy:
        assert copy.size == (160, 90)


def test_a_region_is_judged_beside_the_whole_frame_and_changes_nothing_of_it(scene, tmp_path):
    whole = options(tmp_path, denoise=False, exposure_map=True)
    api.render_scene(scene, whole)
    before = {file: file.read_bytes() for file in tmp_path.rglob("*") if file.is_file()}
    region = options(
        tmp_path, denoise=False, exposure_map=True, exr=True, region_pct=(25.0, 40.0, 30.0, 20.0)
    )
    done = api.render_scene(scene, region)
    assert {file.name for file in done.files} == {
        "frame_A_region.png", "frame_A_region.exr", "exposure_A_region.png",
    }  # fmt: skip
    assert all(file.read_bytes() == held for file, held in before.items())
    part = read_png(tmp_path / "frame_A_region.png")
    expected = read_png(tmp_path / "frame_A.png")[36:54, 40:88]
    assert expected.std() > 5
    np.testing.assert_allclose(part.astype(int), expected, atol=1)
    assert done.manifest.name == REGION_MANIFEST
    note = json.loads(done.manifest.read_text())["frames"]["A"]
    assert note["region_pct"] == [25.0, 40.0, 30.0, 20.0]
    assert (note["region_at_px"], note["whole_px"]) == ([40, 36], [160, 90])
    assert (note["width_px"], note["height_px"]) == (48, 18)
    assert "layers" not in note["files"]
    relit = api.relight_scene(scene, api.RelightOptions(tmp_path))
    assert read_png(relit.files[0]).shape == (90, 160, 3), "the whole frame is still there"


def test_a_region_alone_has_no_other_manifest_and_one_that_is_none_is_one_line(scene, tmp_path):
    out = tmp_path / "out"
    api.render_scene(scene, options(out, samples=1, region_pct=(0.0, 0.0, 10.0, 10.0)))
    assert not (out / MANIFEST).exists() and not (out / "light").exists()
    heard = Heard()
    with pytest.raises(InputError, match="--region: 60,0,50,10 reaches past the frame"):
        api.render_scene(scene, options(out, region_pct=(60.0, 0.0, 50.0, 10.0)), heard)
    assert heard.said == [f"reading {scene}"], "before anything is loaded"


def test_a_frame_five_stops_over_is_lost_and_auto_puts_it_right(scene, tmp_path):
    """A hall at +5: what is said of it, and what a camera on auto does instead."""
    text = scene.read_text()
    heard = Heard()
    at_right = api.render_scene(scene, options(tmp_path / "auto", samples=16, settings=(
        "A.exposure=auto",)), heard)  # fmt: skip
    took = [line for line in heard.said if line.startswith("camera A (exposure: auto) takes ISO")]
    assert len(took) == 1 and not any("badly" in line for line in heard.said)
    note = json.loads(at_right.manifest.read_text())["frames"]["A"]
    assert note["exposure"] == "auto" and f"ISO {note['iso']:g}" in took[0]
    bright = Heard()
    scene.write_text(text + f"exposure: {{iso: {32 * note['iso']:.0f}, nd_density: 0}}\n")
    lost = api.render_scene(scene, options(tmp_path / "lost"), bright)
    said = [line for line in bright.said if "badly overexposed" in line]
    assert len(said) == 1 and "exposure: auto for a first look" in said[0]
    assert said[0].startswith("the frame of camera A is badly overexposed, ")
    mean = {
        folder.name: float(luminance(read_png(folder / "frame_A.png") / 255.0).mean())
        for folder in (at_right.folder, lost.folder)
    }
    assert 0.2 < mean["auto"] < 0.7 < mean["lost"], mean
