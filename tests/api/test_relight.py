"""Relighting is what a render at the other settings would have been, and says when it is not."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from previz import api
from previz.deliver.layers import read_layers, write_layers
from previz.deliver.manifest import read_manifest
from previz.errors import InputError
from previz.physics.colour import luminance
from previz.render.backends import open_back_end
from previz.render.contract import RenderSettings
from previz.render.relight import LayerStack
from previz.telling.relight import relit_lines

pytestmark = pytest.mark.usefixtures("mannequins")
SAMPLES, WIDTH = 64, 96
CHANGED = (
    "key.dimmer_pct=20", "fill.cct_k=3200", "hair.gels=[orange_half]", "window.gel_nd=0.6",
)  # fmt: skip


def rendered(scene: Path, out: Path, *settings: str) -> LayerStack:
    options = api.RenderOptions(
        out=out, samples=SAMPLES, width_px=WIDTH, settings=settings, denoise=False
    )
    api.render_scene(scene, options)
    stack = read_layers(out / "light" / "A.npz")
    assert stack is not None
    return stack


def rendered_anew(
    scene: Path, settings: tuple[str, ...], seeds: tuple[int, ...]
) -> list[LayerStack]:
    """The scene at other settings, by samples of other seeds."""
    stage = api.open_scene(scene, settings).stage
    renderer = open_back_end("llvm_ad_rgb").load(stage)
    width, height = stage.cameras["A"].picture_size(WIDTH)
    stacks = []
    for seed in seeds:
        exposing = renderer.expose("A", RenderSettings(width, height, SAMPLES, seed=seed))
        exposing.advance(SAMPLES)
        stacks.append(LayerStack.of(exposing.light()))
    return stacks


def blocks(picture: np.ndarray, size: int = 6) -> np.ndarray:
    high, wide = (n - n % size for n in picture.shape[:2])
    cut = luminance(picture[:high, :wide])
    return cut.reshape(high // size, size, wide // size, size).mean(axis=(1, 3))


def test_relit_layers_are_those_of_a_fresh_render(scene, tmp_path):
    """Means within 1.5 %, and blocks no further off than two renders are from one another."""
    before = rendered(scene, tmp_path / "before")
    fresh = rendered_anew(scene, CHANGED, (11, 12, 13, 14))
    relit = api.relight_scene(
        scene, api.RelightOptions(tmp_path / "before", settings=CHANGED, denoise=False)
    )
    assert not relit.rendered and not relit.moved
    assert relit.gains["key"] == pytest.approx([0.5] * 3)
    ones = {name: np.ones(3) for name in before.names}
    ours = blocks(before.combined(relit.gains))
    theirs = np.array([blocks(stack.combined(ones)) for stack in fresh])
    assert ours.mean() == pytest.approx(theirs.mean(), rel=0.015)
    spread = theirs.std(axis=0, ddof=1) * np.sqrt(1.0 + 1.0 / len(fresh))
    scores = (ours - theirs.mean(axis=0)) / np.maximum(spread, 1e-3 * ours)
    # Student's t with 3 degrees of freedom: 95 % within 3.2, no lean to either side.
    assert np.mean(np.abs(scores) < 3.2) > 0.90
    assert abs(np.median(scores)) < 0.35


def test_the_colour_of_each_layer_follows_too(scene, tmp_path):
    before = rendered(scene, tmp_path / "before")
    (after,) = rendered_anew(scene, CHANGED, (21,))
    relit = api.relight_scene(
        scene, api.RelightOptions(tmp_path / "before", settings=CHANGED, denoise=False)
    )
    for number, name in enumerate(before.names):
        ours = before.pixels[..., 3 * number : 3 * number + 3].mean(axis=(0, 1)) * relit.gains[name]
        theirs = after.pixels[..., 3 * number : 3 * number + 3].mean(axis=(0, 1))
        assert ours == pytest.approx(theirs, rel=0.06), name


def test_a_light_that_moved_is_rendered_alone_and_said(scene, tmp_path):
    before = rendered(scene, tmp_path / "before")
    settings = ("hair.place.azimuth_deg=120",)
    relit = api.relight_scene(
        scene, api.RelightOptions(tmp_path / "before", settings=settings, denoise=False)
    )
    assert relit.rendered == ("hair",) and relit.moved == ("hair",)
    assert set(relit.gains) == set(before.names) - {"hair"}
    lines = list(relit_lines(relit.gains, relit.rendered, relit.moved))
    assert "hair: rendered anew, it has moved, spreads otherwise or was off" in lines
    assert "the other lights still meet the stand and body of hair where it was" in lines


def test_a_light_switched_off_leaves_and_one_switched_on_is_rendered(scene, tmp_path):
    rendered(scene, tmp_path / "before", "hair.on=false")
    relit = api.relight_scene(
        scene,
        api.RelightOptions(tmp_path / "before", settings=("fill.on=false",), denoise=False),
    )
    assert relit.rendered == ("hair",) and "fill" not in relit.gains


def test_iso_shutter_and_white_need_no_light_at_all(scene, tmp_path):
    rendered(scene, tmp_path / "before")
    settings = ("exposure.iso=400", "exposure.white_balance={card: null, cct_k: 3200}")
    relit = api.relight_scene(
        scene, api.RelightOptions(tmp_path / "before", settings=settings, denoise=False)
    )
    assert all(gain == pytest.approx([1.0] * 3) for gain in relit.gains.values())
    note = read_manifest(relit.folder)
    old = read_manifest(tmp_path / "before")
    assert note is not None and old is not None
    assert note.frames["A"].exposure_scale == pytest.approx(0.5 * old.frames["A"].exposure_scale)


@pytest.mark.parametrize(
    ("setting", "sentence"),
    [
        ("guest.at_m=[0.1, 0]", "people.guest is not where it was since the render in "),
        ("A.focal_length_mm=50", "camera A stands, looks or is set otherwise since the render in "),
        ("room.walls=brick_red", "room is not where it was since the render in "),
    ],
)
def test_what_cannot_be_recombined_is_refused_with_the_reason(
    scene, tmp_path, setting: str, sentence: str
) -> None:
    rendered(scene, tmp_path / "before")
    with pytest.raises(InputError) as error:
        api.relight_scene(scene, api.RelightOptions(tmp_path / "before", settings=(setting,)))
    messages = [problem.message for problem in error.value.problems]
    assert any(message.startswith(sentence) for message in messages), messages
    assert not (tmp_path / "before" / "relight").exists()


def test_nothing_to_relight_says_render_first(scene, tmp_path):
    with pytest.raises(InputError, match="render first, previz render"):
        api.relight_scene(scene, api.RelightOptions(tmp_path / "nowhere"))


def test_kept_layers_hold_a_lamp_brighter_than_half_floats_can_say(tmp_path):
    pixels = np.array([[[2.0e5, 1.0e5, 5.0e4, 3.0, 2.0, 1.0]]], np.float32)
    flat = np.zeros((1, 1, 3), np.float32)
    write_layers(tmp_path / "A.npz", LayerStack(("lamp", "key"), pixels, flat, flat))
    back = read_layers(tmp_path / "A.npz")
    assert back is not None and back.names == ("lamp", "key")
    assert back.pixels == pytest.approx(pixels, rel=1e-3)


def test_layers_that_are_gone_are_missed(scene, tmp_path):
    rendered(scene, tmp_path / "before")
    (tmp_path / "before" / "light" / "A.npz").write_bytes(b"not whole")
    with pytest.raises(InputError, match="the light layers of camera A are gone"):
        api.relight_scene(scene, api.RelightOptions(tmp_path / "before"))
