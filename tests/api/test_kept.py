"""Light that lies in a folder is cleaned once, and only for the render it came from."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from previz.api import kept as kept_module
from previz.api.kept import Kept
from previz.deliver.layers import write_layers
from previz.deliver.manifest import FrameNote, Manifest
from previz.errors import MissingError
from previz.render.relight import LayerStack

NAMES = ("key", "fill")
ONES = {name: np.ones(3) for name in NAMES}
Cleaned = list[LayerStack]


@pytest.fixture
def cleaned(monkeypatch: pytest.MonkeyPatch) -> Cleaned:
    """What was cleaned, by a denoiser that halves every layer."""
    done: Cleaned = []

    def half(stack: LayerStack, *_: object) -> LayerStack:
        done.append(stack)
        return replace(stack, pixels=stack.pixels / 2)

    monkeypatch.setattr(kept_module, "cleaned_apart", half)
    return done


def render(folder: Path, bright: float = 1.0, denoised: bool = True) -> Kept:
    pixels = np.full((4, 8, 6), bright, np.float32)
    guide = pixels[..., :3]
    whole = np.full((4, 8, 3), 7.0, np.float32) if denoised else None
    write_layers(folder / "light" / "A.npz", LayerStack(NAMES, pixels, guide, guide, whole))
    note = FrameNote("A", 8, 4, 1, True, {"layers": "light/A.npz"}, (0.33, 0.33), 1.0)
    manifest = Manifest(
        "0", "s.yaml", "t", "0", "path-tracer", "none", "draft", denoised, 1, 0.0, "", layers=NAMES
    )
    return Kept(folder, manifest, {"A": note}, ONES)


def test_layers_are_cleaned_once_for_each_render(tmp_path: Path, cleaned: Cleaned) -> None:
    kept = replace(render(tmp_path), gains={"key": 2 * np.ones(3), "fill": np.zeros(3)})
    assert kept.light("A") == pytest.approx(1.0)
    assert kept.lights("A")["key"] == pytest.approx(1.0)
    assert len(cleaned) == 1
    again = replace(render(tmp_path, bright=3.0), gains=kept.gains)
    assert again.light("A") == pytest.approx(3.0) and len(cleaned) == 2


def test_as_rendered_the_light_is_the_one_rendered(tmp_path: Path, cleaned: Cleaned) -> None:
    kept = render(tmp_path)
    assert kept.unchanged and kept.light("A") == pytest.approx(7.0) and not cleaned
    assert kept.combined(kept.clean("A")) == pytest.approx(7.0)
    off = replace(kept, gains={"key": np.ones(3)})
    assert not off.unchanged and off.light("A") == pytest.approx(0.5)


def test_noise_that_was_left_in_stays(tmp_path: Path, cleaned: Cleaned) -> None:
    assert render(tmp_path, denoised=False).light("A") == pytest.approx(2.0)
    noisy = replace(render(tmp_path), manifest=render(tmp_path, denoised=False).manifest)
    assert noisy.light("A") == pytest.approx(2.0) and not cleaned


def test_where_nothing_can_be_kept_it_is_cleaned_each_time(
    tmp_path: Path, cleaned: Cleaned
) -> None:
    kept = replace(render(tmp_path), gains={"key": np.ones(3)})
    (tmp_path / "light" / "A_clean.npz").mkdir()
    assert kept.light("A") == pytest.approx(0.5) and kept.light("A") == pytest.approx(0.5)
    assert len(cleaned) == 2


def test_light_that_is_gone_is_missed(tmp_path: Path) -> None:
    kept = render(tmp_path)
    (tmp_path / "light" / "A.npz").unlink()
    for ask in (kept.light, kept.clean, kept.stack):
        with pytest.raises(MissingError, match="light layers of camera A are gone"):
            ask("A")
