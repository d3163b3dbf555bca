"""Light layers without noise, one by one, that together are the whole picture without noise.

A denoiser guesses: layers cleaned one by one do not add up to what their sum is when it is cleaned
at once. So each gets its share of that, pixel by pixel. Then whoever turns a light gets the same
picture everywhere, and at the settings that were rendered the picture that was rendered.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from previz.render.denoise import Denoiser
from previz.render.qualities import Quality
from previz.render.relight import F32, LayerStack


def cleaned_apart(
    stack: LayerStack,
    denoiser: Denoiser,
    quality: Quality,
    advance: Callable[[int], None] = lambda _: None,
) -> LayerStack:
    """The stack with every layer cleaned; their sum is `stack.whole`, or the sum cleaned at once.

    advance  hears how many layers are done
    """
    lights = [stack.layer(name) for name in stack.names]
    if not lights:
        return stack
    if stack.whole is None:
        lights.append(stack.combined(dict.fromkeys(stack.names, np.ones(3))))
    clean = []
    for image in denoiser.clean_each(lights, stack.albedo, stack.normal, quality):
        clean.append(image)
        advance(min(len(clean), len(stack.names)))
    whole = clean.pop() if stack.whole is None else stack.whole
    pixels = np.concatenate(shared(whole, clean), axis=2)
    return LayerStack(stack.names, pixels, stack.albedo, stack.normal, whole)


def shared(whole: F32, parts: list[F32]) -> list[F32]:
    """What each part has of the whole, by pixel and colour: in proportion to the parts there.

    All are (height, width, 3). Where no part has anything, in proportion to what parts have in all
    the picture; so the sum is the whole everywhere, if any part has light.
    """
    total = np.sum(parts, axis=0)
    lit = total > 0.0
    share = np.divide(whole, total, out=np.zeros_like(total), where=lit)
    means = np.array([part.mean() for part in parts], np.float32)
    usual = means / max(float(means.sum()), float(np.finfo(np.float32).tiny))
    dark = np.where(lit, np.float32(0.0), whole)
    return [part * share + dark * mean for part, mean in zip(parts, usual, strict=True)]
