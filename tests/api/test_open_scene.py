"""An open scene in place of a path: what was loaded stays loaded, and gives the same."""

from __future__ import annotations

import json
from collections import Counter
from pathlib import Path

import numpy as np
import pytest

from previz import api
from previz.deliver.frames import read_png
from previz.errors import InputError
from previz.render.pathtracer.backend import PathTracer

pytestmark = pytest.mark.usefixtures("mannequins")


def options(out: Path, **other) -> api.RenderOptions:
    return api.RenderOptions(out=out, samples=2, width_px=48, denoise=False, **other)


@pytest.fixture
def loads(monkeypatch: pytest.MonkeyPatch) -> Counter[str]:
    """How often a stage was loaded into the renderer."""
    counted: Counter[str] = Counter()
    real = PathTracer.load

    def load(self, stage):
        counted["stage"] += 1
        return real(self, stage)

    monkeypatch.setattr(PathTracer, "load", load)
    return counted


def test_a_second_render_and_a_reading_load_nothing(scene, tmp_path, loads):
    opened = api.open_scene(scene)
    first = api.render_scene(opened, options(tmp_path / "first"))
    second = api.render_scene(opened, options(tmp_path / "second"))
    api.measure_scene(opened, light=True)
    assert loads["stage"] == 1
    pictures = [read_png(done.folder / "frame_A.png") for done in (first, second)]
    assert np.abs(pictures[0].astype(int) - pictures[1]).max() <= 1
    opened.close()
    api.render_scene(opened, options(tmp_path / "third"))
    assert loads["stage"] == 2


def test_an_open_scene_gives_what_its_path_gives(scene, tmp_path):
    setting = ("key.dimmer_pct=20",)
    by_path = api.render_scene(scene, options(tmp_path / "path", settings=setting))
    by_scene = api.render_scene(api.open_scene(scene, setting), options(tmp_path / "open"))
    notes = [json.loads(done.manifest.read_text()) for done in (by_path, by_scene)]
    cards = [note.pop("card") for note in notes]
    for note in notes:
        # The card's light is summed in no fixed order, and white follows it.
        note.pop("seconds"), note.pop("made_at"), note["frames"]["A"].pop("white_xy")
    assert notes[0] == notes[1] and notes[0]["settings"] == list(setting)
    for layer, light in cards[0].items():
        assert light == pytest.approx(cards[1][layer], rel=1e-5)
    one, other = (read_png(d.folder / "frame_A.png").astype(int) for d in (by_path, by_scene))
    assert np.abs(one - other).max() <= 1


def test_settings_go_with_a_path_and_not_with_an_open_scene(scene, tmp_path):
    opened = api.open_scene(scene)
    with pytest.raises(ValueError, match="open it again"):
        api.render_scene(opened, options(tmp_path / "out", settings=("key.on=false",)))


def test_relight_and_balance_take_an_open_scene(scene, tmp_path):
    api.render_scene(scene, options(tmp_path / "out"))
    dimmed = api.open_scene(scene, ("fill.dimmer_pct=5",))
    relit = api.relight_scene(dimmed, api.RelightOptions(tmp_path / "out", denoise=False))
    assert relit.gains["fill"] == pytest.approx([0.5] * 3, rel=1e-3)
    asked = api.open_scene(scene, ("targets.key_to_fill=4",))
    found = api.balance_scene(asked, api.BalanceOptions(dry=True))
    assert found.balance.targets[0].target == "key_to_fill" and found.file is None


NARROW = """\
previz: 1
title: A narrow room
room: {width_m: 3.2, depth_m: 6, height_m: 2.6}
people: {guest: {at_m: [0, 1], seat: side_chair, faces: A}}
cameras:
  A: {sensor: super35_3perf, lens: zoom_24_70_f2.8, focal_length_mm: 50, f_number: 2.8,
      place: {at_m: [0, -1.4], height: eye}, aim: guest}
  B: {sensor: super35_3perf, lens: zoom_24_70_f2.8, focal_length_mm: 50, f_number: 2.8,
      place: {at_m: [-1.3, 0.2], height: eye}, aim: guest}
lights:
  hair: {fixture: fresnel_80, aim: guest,
         place: {side: camera_right, azimuth_deg: 140, elevation_deg: 30, distance_m: 2}}
"""


@pytest.mark.parametrize(
    "mistake", ["A.lens=unknown", "A.aim=typo", "A.focal_length_mm=abc", "A.place.height=knee"]
)
def test_one_mistake_is_one_line_although_lights_go_by_that_camera(tmp_path, mistake):
    """Counted from B, which is all that is left, the hair light would come outside the room."""
    path = tmp_path / "narrow.yaml"
    path.write_text(NARROW, encoding="utf-8")
    api.open_scene(path)
    with pytest.raises(InputError) as refused:
        api.open_scene(path, (mistake,))
    [problem] = refused.value.problems
    assert problem.message.startswith(f"cameras.{mistake.partition('=')[0]}")
