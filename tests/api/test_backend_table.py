"""The walk asks a back end what it can do, and goes without what it can do without."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import time
from pathlib import Path

import numpy as np
import pytest

from previz import api
from previz.api.white import USUAL_WHITE_K
from previz.errors import MissingError
from previz.physics.white import white_xy
from previz.render import backends
from previz.render.contract import Ability, LightLayers
from previz.render.variants import Probe
from previz.solve.hours import HoursRequest

pytestmark = pytest.mark.usefixtures("mannequins")


class Flat:
    """A back end that paints every pixel grey: no lights apart, no meters, no lens."""

    name, variant, on_card, pass_paths = "flat", "grey", False, 10_000_000
    abilities = frozenset({Ability.ENVIRONMENT})

    def load(self, stage):
        return FlatRenderer(stage)


class FlatRenderer:
    def __init__(self, stage):
        self.stage = stage

    def prepare(self):
        return iter(())

    def expose(self, camera, settings):
        del camera
        return FlatExposing(settings)


class FlatExposing:
    def __init__(self, settings):
        self.size, self.done = (settings.height_px, settings.width_px), 0

    def advance(self, samples):
        self.done += samples

    def light(self):
        grey = np.full((*self.size, 3), 20.0, np.float32)
        depth, ids = np.ones(self.size, np.float32), np.zeros(self.size, np.uint16)
        return LightLayers({"all": grey}, grey / 100.0, grey * 0.0, depth, ids, self.done)


@pytest.fixture
def flat(monkeypatch: pytest.MonkeyPatch) -> None:
    """One more row, and the usual one."""
    row = backends.BackEndRow(
        variants=("grey",),
        abilities=lambda _: Flat.abilities,
        prove=lambda variant: Probe(variant, True, ""),
        choose=lambda variant, _: variant or "grey",
        open=lambda _: Flat(),
    )
    monkeypatch.setitem(backends.TABLE, "flat", row)
    monkeypatch.setattr(backends, "USUAL", "flat")


class Heard(api.Silence):
    def __init__(self):
        self.said: list[str] = []

    def say(self, text):
        self.said.append(text)


def test_what_a_back_end_lacks_is_said_and_left_out(tmp_path: Path, scene: Path, flat) -> None:
    watch = Heard()
    options = api.RenderOptions(out=tmp_path / "out", samples=1, width_px=48, denoise=False)
    done = api.render_scene(scene, options, watch)
    said = "\n".join(watch.said)
    for ability in (Ability.METER, Ability.THIN_LENS, Ability.LIGHT_LAYERS):
        assert backends.LEFT_OUT[ability] in said
    assert backends.LEFT_OUT[Ability.SUN] not in said, "no sun in this scene"
    note = json.loads(done.manifest.read_text())
    assert (note["back_end"], note["identity"], note["card"]) == ("flat", None, {})
    assert set(note["frames"]["A"]["files"]) == {"picture"}
    assert not (tmp_path / "out" / "light" / "A.npz").exists()


def test_without_meters_nothing_is_measured_and_a_line_says_why(scene, flat) -> None:
    with pytest.raises(MissingError, match="flat reads no meters"):
        api.measure_scene(scene, light=True)


class Layered(Flat):
    """The same with every light apart: what it renders can be relit, without a card."""

    abilities = frozenset({Ability.LIGHT_LAYERS})

    def load(self, stage):
        return LayeredRenderer(stage)


class LayeredRenderer(FlatRenderer):
    def expose(self, camera, settings):
        del camera
        return LayeredExposing(settings, self.stage.layers)


class LayeredExposing(FlatExposing):
    def __init__(self, settings, layers):
        super().__init__(settings)
        self.layers = layers

    def light(self):
        flat = super().light()
        return replace(flat, layers=dict.fromkeys(self.layers, flat.layers["all"]))


def test_a_light_that_moved_is_relit_without_meters_at_the_usual_white(
    tmp_path, scene, flat, monkeypatch
) -> None:
    row = replace(
        backends.TABLE["flat"], abilities=lambda _: Layered.abilities, open=lambda _: Layered()
    )
    monkeypatch.setitem(backends.TABLE, "flat", row)
    api.render_scene(
        scene, api.RenderOptions(tmp_path / "out", samples=1, width_px=48, denoise=False)
    )
    moved = ("hair.place.azimuth_deg=120",)
    relit = api.relight_scene(
        scene, api.RelightOptions(tmp_path / "out", settings=moved, denoise=False)
    )
    assert relit.rendered == ("hair",) and set(relit.gains) == {"key", "fill", "window"}
    note = json.loads((relit.folder / "manifest.json").read_text())
    assert note["frames"]["A"]["white_xy"] == pytest.approx(white_xy(USUAL_WHITE_K))


def test_hours_need_meters_and_say_so(tmp_path, lit, flat) -> None:
    scene = tmp_path / "scene.yaml"
    day = "daylight: {place: {latitude_deg: 52.1, longitude_deg: 5.1}, at: 2026-05-12T08:00+02:00}"
    scene.write_text(f"{lit}{day}\n", encoding="utf-8")
    options = api.RenderOptions(tmp_path / "out", samples=1, width_px=48, denoise=False)
    with pytest.raises(MissingError, match="flat reads no meters"):
        api.render_hours(scene, HoursRequest(time(8), time(9), 60), options)


def test_every_row_tells_its_abilities_before_it_is_opened() -> None:
    for row in backends.TABLE.values():
        for variant in row.variants:
            assert row.abilities(variant) <= set(Ability)
    usual = backends.TABLE[backends.USUAL]
    working = [variant for variant in usual.variants if usual.prove(variant).works]
    assert tuple(working) == backends.working()
    assert usual.abilities(working[0]) == usual.open(working[0]).abilities
