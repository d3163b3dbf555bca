"""Frames that are drawn with baked light, through the api: what is done, and what is not."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

from previz import api, cache
from previz.api.pipeline import prepare
from previz.cli.exits import Exit
from previz.cli.root import root
from previz.deliver.layers import read_layers
from previz.deliver.manifest import read_manifest
from previz.errors import InterruptedRender, MissingError
from previz.render import backends
from previz.render.bake import kept
from previz.render.cards import card_light
from previz.render.denoise import Denoiser
from previz.render.names import RASTER
from previz.render.raster import backend as raster

pytestmark = pytest.mark.usefixtures("mannequins", "own_bakes")


@pytest.fixture(scope="module")
def own_bakes() -> Iterator[None]:
    """No bake is kept before these tests: the first of them bakes, others read that."""
    held: dict[str, dict[str, np.ndarray]] = {}

    def keep(_kind: str, key: str, arrays: dict[str, np.ndarray], _most: int) -> None:
        held[key] = arrays

    with pytest.MonkeyPatch.context() as patch:
        memory = SimpleNamespace(
            key_of=cache.key_of, keep=keep, load=lambda _kind, key: held.get(key)
        )
        patch.setattr(kept, "cache", memory)
        yield


@pytest.fixture
def scene(tmp_path: Path, lit: str) -> Path:
    """The lit corner with one person and two lights."""
    lines = lit.splitlines(keepends=True)
    gone = [n for n, line in enumerate(lines) if line.startswith(("  host:", "  hair:"))]
    kept = [line for n, line in enumerate(lines) if n not in gone and n - 1 not in gone[1:]]
    path = tmp_path / "scene.yaml"
    path.write_text("".join(kept).replace(", faces: host", ""), encoding="utf-8")
    return path


@pytest.fixture(autouse=True)
def no_cleaning(monkeypatch: pytest.MonkeyPatch) -> None:
    """What has no noise is never cleaned of it."""

    def clean(*_: object) -> None:
        raise AssertionError("there is no noise")

    monkeypatch.setattr(Denoiser, "clean", clean)


class Heard(api.Silence):
    def __init__(self) -> None:
        self.said: list[str] = []
        self.begun: list[str] = []
        self.shares: list[int] = []

    def start(self, label: str, total: int) -> None:
        del total
        self.begun.append(label)

    def advance(self, done: int) -> None:
        if "baking the light" in self.begun[-1:]:
            self.shares.append(done)

    def say(self, text: str) -> None:
        self.said.append(text)


def options(folder: Path, **other: object) -> api.RenderOptions:
    return api.RenderOptions(folder, back_end=RASTER, width_px=160, **other)


def layers_of(done: api.Rendered) -> dict[str, np.ndarray]:
    stack = read_layers(done.folder / "light" / "A.npz")
    assert stack is not None
    return {name: stack.pixels[..., 3 * n : 3 * n + 3] for n, name in enumerate(stack.names)}


def test_frames_say_that_they_are_drawn_and_a_second_time_nothing_is_baked(
    tmp_path: Path, scene: Path
) -> None:
    first, second = Heard(), Heard()
    done = api.render_scene(scene, options(tmp_path / "out", exr=True), first)
    assert first.begun == ["baking the light", "camera A, 160 x 90"]
    assert first.shares == sorted(first.shares) and first.shares[-1] == 100
    assert first.said == [f"reading {scene}"], "what is approximate is said once, in the end"
    assert done.approximate == raster.APPROXIMATE
    note = read_manifest(done.folder)
    assert note is not None
    assert (note.back_end, note.approximate) == (RASTER, raster.APPROXIMATE)
    assert not note.denoised and note.identity is not None
    with Image.open(done.folder / "frame_A.png") as picture:
        assert picture.text["Comment"].endswith(f"drawn, approximate: {raster.APPROXIMATE}")
    assert {file.suffix for file in done.files} == {".png", ".exr"}

    again = api.render_scene(scene, options(tmp_path / "again"), second)
    assert second.begun == ["camera A, 160 x 90"]
    for name, image in layers_of(done).items():
        assert np.isfinite(image).all() and image.max() > 0.0
        np.testing.assert_array_equal(layers_of(again)[name], image)
    with Image.open(again.folder / "frame_A.png") as one, Image.open(done.files[0]) as other:
        np.testing.assert_array_equal(np.asarray(one), np.asarray(other))


def test_a_dimmer_multiplies_its_light_and_no_other(tmp_path: Path, scene: Path) -> None:
    watch = Heard()
    before = layers_of(api.render_scene(scene, options(tmp_path / "a")))
    dimmed = options(tmp_path / "b", settings=("key.dimmer_pct=10",))
    after = layers_of(api.render_scene(scene, dimmed, watch))
    assert not watch.shares, "a dimmer needs no other bake"
    np.testing.assert_allclose(after["key"], 0.25 * before["key"], rtol=2e-6)
    for name in ("fill", "window"):
        np.testing.assert_array_equal(after[name], before[name])


def test_relighting_what_was_drawn_gives_what_is_drawn(tmp_path: Path, scene: Path) -> None:
    settings = ("key.dimmer_pct=10", "fill.dimmer_pct=30")
    drawn = api.render_scene(scene, options(tmp_path / "a"))
    relit = api.relight_scene(scene, api.RelightOptions(drawn.folder, settings=settings))
    anew = api.render_scene(scene, options(tmp_path / "b", settings=settings))
    with Image.open(relit.files[0]) as one, Image.open(anew.files[0]) as other:
        assert np.abs(np.asarray(one, int) - np.asarray(other, int)).max() <= 1
    note = json.loads((relit.folder / "manifest.json").read_text())
    assert (note["denoised"], note["approximate"]) == (False, raster.APPROXIMATE)


def test_a_card_is_read_when_light_is_baked_and_by_who_bakes(tmp_path: Path, scene: Path) -> None:
    """What draws hands meters on: its readings are the path tracer's."""
    api.render_scene(scene, options(tmp_path / "out"))
    opened = api.open_scene(scene)
    drawn = backends.open_back_end(name=RASTER).load(opened.stage)
    prepare(drawn, Heard())
    traced = backends.open_back_end().load(opened.stage)
    cards = card_light(opened.stage, drawn), card_light(opened.stage, traced)
    for layer in opened.stage.layers:
        np.testing.assert_allclose(cards[0][layer], cards[1][layer], rtol=1e-3)
    point, up = np.array([[0.5, -1.0, 1.0]]), np.array([[0.0, 0.0, 1.0]])
    for layer, light in traced.meter(point, up, 256).items():
        np.testing.assert_allclose(drawn.meter(point, up, 256)[layer], light, rtol=1e-4)


def test_a_bake_can_be_stopped(tmp_path: Path, scene: Path) -> None:
    class Stopped:
        def prepare(self) -> Iterator[float]:
            yield 0.1
            raise KeyboardInterrupt

    watch = Heard()
    with pytest.raises(InterruptedRender, match="nothing is kept"):
        prepare(Stopped(), watch)
    assert watch.shares == [10]


def test_without_opengl_a_line_says_what_to_install(
    tmp_path: Path, scene: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def none() -> str:
        raise MissingError("there is no OpenGL here to draw with: install libegl1")

    monkeypatch.setattr(raster, "drawn_by", none)
    words = ["render", str(scene), "--backend", "raster", "--out", str(tmp_path / "out")]
    done = CliRunner().invoke(root, words)
    assert done.exit_code == Exit.MISSING
    assert "install libegl1" in done.output and "Traceback" not in done.output
    probe = backends.TABLE[RASTER].prove(backends.working()[0])
    assert not probe.works and "install libegl1" in probe.why


def test_what_bakes_nothing_draws_nothing(
    tmp_path: Path, scene: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plain = backends.choose(None)
    monkeypatch.setattr(
        backends, "choose", lambda *_: type(plain)("scalar_rgb", works=True, why="")
    )
    with pytest.raises(MissingError, match="plain processor"):
        api.render_scene(scene, options(tmp_path / "out"))


def test_wider_than_can_be_drawn_is_said_in_a_line(
    tmp_path: Path, scene: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(raster.Canvas, "most_px", 100)
    with pytest.raises(MissingError, match="over 100 pixels"):
        api.render_scene(scene, options(tmp_path / "out"))


def test_focal_lengths_are_compared_at_once(tmp_path: Path, scene: Path) -> None:
    """From one bake, through the command; the subject grows with the focal length."""
    asked = ["compare", str(scene), "--focal", "24,50", "--mode", "same_position", "--backend"]
    result = CliRunner().invoke(
        root, [*asked, "raster", "--width", "160", "--out", str(tmp_path / "o")]
    )
    assert result.exit_code == 0, result.output
    assert "the pictures are drawn, approximate" in result.output
    wide, long = (
        np.asarray(Image.open(tmp_path / "o" / f"frame_A_{mm}mm.png"), float) for mm in (24, 50)
    )
    # What lies round the eyes in the wide picture fills the long one.
    setup, share = api.open_scene(scene).stage.setups["A"], 24 / 50
    at = (setup.aim_from_left_pct / 100.0, setup.aim_from_top_pct / 100.0)
    height, width = wide.shape[:2]
    left, top = (
        (1.0 - share) * part * size for part, size in zip(at, (width, height), strict=True)
    )
    box = (left, top, left + share * width, top + share * height)
    part, whole = (
        np.asarray(Image.fromarray(picture.astype(np.uint8)).resize((40, 22), box=of), float)
        for picture, of in ((wide, box), (long, None))
    )
    assert 2.0 * np.abs(part - whole).mean() < np.abs(part - whole[:, ::-1]).mean()
