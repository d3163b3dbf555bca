"""One stage is loaded at a time: kernels hold the code of every stage that still lives."""

from __future__ import annotations

import gc
from weakref import WeakSet

import pytest

from previz import api
from previz.api import relighting, session
from previz.deliver.comparison import CompareRequest
from previz.render.pathtracer.backend import PathTracer

pytestmark = pytest.mark.usefixtures("mannequins")


@pytest.fixture
def alive(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """How many stages were loaded whenever a picture was traced."""
    loaded: WeakSet = WeakSet()
    counts: list[int] = []
    load, trace = PathTracer.load, session.trace

    def loading(self, stage):
        renderer = load(self, stage)
        loaded.add(renderer)
        return renderer

    def tracing(*given):
        gc.collect()
        counts.append(len(loaded))
        trace(*given)

    monkeypatch.setattr(PathTracer, "load", loading)
    for module in (session, relighting):
        monkeypatch.setattr(module, "trace", tracing)
    return counts


def test_whoever_loads_lets_go_of_what_others_kept(scene, tmp_path, alive):
    def options(name: str) -> api.RenderOptions:
        return api.RenderOptions(out=tmp_path / name, samples=1, width_px=48, denoise=False)

    opened = api.open_scene(scene)
    lens = CompareRequest("A", "focal", ("35",), ("same_position",))
    moved = api.open_scene(scene, ("hair.place.azimuth_deg=120",))
    api.render_scene(opened, options("kept"))
    api.compare_variants(opened, lens, options("lens"))
    api.render_scene(api.open_scene(scene, ("key.dimmer_pct=10",)), options("dimmed"))
    relit = api.relight_scene(moved, api.RelightOptions(tmp_path / "kept", denoise=False))
    assert relit.rendered == ("hair",)
    api.render_scene(opened, options("again"))
    assert alive == [1] * 5
