"""Layers cleaned one by one add up to the whole that was cleaned at once."""

from __future__ import annotations

import numpy as np
import pytest

from previz.render.apart import cleaned_apart, shared
from previz.render.denoise import Denoiser
from previz.render.relight import LayerStack

RNG = np.random.default_rng(5)


def noisy(layers: int = 3) -> LayerStack:
    pixels = RNG.exponential(1.0, (48, 64, 3 * layers)).astype(np.float32)
    guide = np.full((48, 64, 3), 0.5, np.float32)
    return LayerStack(tuple("abc"[:layers]), pixels, guide, guide)


def test_shares_are_in_proportion_and_give_the_whole_also_where_no_part_has_light():
    parts = [RNG.random((4, 5, 3)).astype(np.float32) for _ in range(3)]
    for part in parts:
        part[0, 0] = 0.0
    whole = np.float32(2.0) + RNG.random((4, 5, 3)).astype(np.float32)
    found = shared(whole, parts)
    assert np.sum(found, axis=0) == pytest.approx(whole, rel=1e-5)
    assert found[0][1, 1] / found[2][1, 1] == pytest.approx(parts[0][1, 1] / parts[2][1, 1])
    assert min(float(part[0, 0].min()) for part in found) > 0.0


def test_without_any_light_all_is_dark():
    dark = np.zeros((2, 2, 3), np.float32)
    assert not np.sum(shared(dark, [dark, dark]), axis=0).any()


@pytest.mark.parametrize("known", [False, True])
def test_clean_layers_are_smooth_and_add_up_to_the_clean_whole(known):
    stack, denoiser = noisy(), Denoiser()
    ones = dict.fromkeys(stack.names, np.ones(3))
    whole = denoiser.clean(stack.combined(ones), stack.albedo, stack.normal, "draft")
    if known:
        whole = whole * np.float32(1.5)
        stack = LayerStack(stack.names, stack.pixels, stack.albedo, stack.normal, whole)
    heard = []
    clean = cleaned_apart(stack, denoiser, "draft", heard.append)
    assert clean.combined(ones) == pytest.approx(whole, rel=1e-4)
    assert clean.layer("b").std() < 0.3 * stack.layer("b").std()
    assert heard[-1] == 3


def test_a_picture_without_lights_stays_as_it_is():
    stack = noisy(0)
    assert cleaned_apart(stack, Denoiser(), "draft") is stack
