"""Small frames in some of a scene's lights alone, kept with what they rest on."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from previz import cache
from previz.api.pictures import Picture, Pictures, look_digest
from previz.api.pipeline import photograph
from previz.physics.colour import luminance
from previz.render.contract import Image
from previz.render.relight import LayerStack
from previz.units import ratio_to_stops

BRIGHT_PCT = 99.5
"""What is brighter than all but this share of a frame makes it readable: an estimate."""
SEEN_STOPS, NOTHING_STOPS = 1.5, 9.0
"""A light so far under the key still shows; one so far is left as dark as it is (estimates)."""
KIND, MOST_KEPT = "lit", 64


@dataclass(frozen=True)
class Alone:
    """What a small frame is lit by; `against` is the key that it is lifted to be seen beside."""

    layers: tuple[str, ...]
    against: str | None = None


@dataclass(frozen=True, eq=False)
class Lit:
    """The frame (height, width, 3), and by how many whole stops it is lifted."""

    picture: Picture
    lift_stops: int


def lit_frames(
    pictures: Pictures, camera: str, wanted: Sequence[Alone], width_px: int
) -> tuple[Lit, ...]:
    """Small frames of a camera, at least `width_px` wide, exposed as the whole one is.

    MissingError where the light is gone meanwhile.
    """
    key = _key(pictures, camera, wanted, width_px)
    arrays = cache.load(KIND, key)
    if arrays is None:
        arrays = _arrays(tuple(_lit(pictures, camera, wanted, width_px)))
        cache.keep(KIND, key, arrays, MOST_KEPT)
    frames, lifts = arrays["frames"], arrays["lifts"]
    return tuple(Lit(frame, int(lift)) for frame, lift in zip(frames, lifts, strict=True))


def _key(pictures: Pictures, camera: str, wanted: Sequence[Alone], width_px: int) -> str:
    """All that they rest on: the light as it lies there, the look, and the code."""
    opened, kept = pictures.opened, pictures.kept
    lut = opened.lut and hashlib.sha256(opened.lut.read_bytes()).hexdigest()
    gains = {name: gain.tolist() for name, gain in kept.gains.items()}
    rooms = Path(__file__).parents[1]
    code = [*Path(__file__).parent.glob("*.py"), *(rooms / "develop").glob("*.py")]
    code += [*(rooms / "render").glob("*.py")]
    made_as = kept.mark(camera), kept.manifest.denoised, kept.white(opened)
    return cache.key_of(
        code, look_digest(opened), camera, lut, gains, made_as, tuple(wanted), width_px
    )


def _arrays(lit: Sequence[Lit]) -> dict[str, NDArray[Any]]:
    frames = np.array([one.picture for one in lit])
    return {"frames": frames, "lifts": np.array([one.lift_stops for one in lit])}


def _lit(pictures: Pictures, camera: str, wanted: Sequence[Alone], width_px: int) -> Iterator[Lit]:
    stack, opened = _small(pictures.kept.clean(camera), width_px), pictures.opened
    lifts = [_lift_stops(pictures, stack, one) for one in wanted]
    placed, white = opened.stage.cameras[camera], pictures.kept.white(opened)
    for one, lift in zip(wanted, lifts, strict=True):
        light = np.float32(2.0**lift) * _light(pictures, stack, one.layers)
        yield Lit(photograph(opened, placed, light, white), lift)


def _light(pictures: Pictures, stack: LayerStack, layers: Sequence[str]) -> Image:
    gains = pictures.kept.gains
    return stack.combined({name: gains[name] for name in layers if name in gains})


def _lift_stops(pictures: Pictures, stack: LayerStack, one: Alone) -> int:
    """Whole stops by which a frame in one light alone must be lifted to be seen at all.

    By what is brightest in it against the same in the key alone: a light that shows as it is, and
    one that gives next to nothing, are not lifted.
    """
    if one.against is None:
        return 0
    key, alone = (
        float(np.percentile(luminance(_light(pictures, stack, layers)), BRIGHT_PCT))
        for layers in ((one.against,), one.layers)
    )
    under = ratio_to_stops(key / alone) if alone > 0.0 and key > 0.0 else 0.0
    return int(under - SEEN_STOPS) if SEEN_STOPS < under < NOTHING_STOPS else 0


def _small(stack: LayerStack, width_px: int) -> LayerStack:
    """Layers with the light of several pixels as one, at least `width_px` wide."""
    by = max(stack.pixels.shape[1] // width_px, 1)
    images = (_binned(image, by) for image in (stack.pixels, stack.albedo, stack.normal))
    return LayerStack(stack.names, *images)


def _binned(image: NDArray[np.float32], by: int) -> NDArray[np.float32]:
    """Means of squares of `by` pixels; what is left over at the right and below is cut."""
    height, width = image.shape[0] // by * by, image.shape[1] // by * by
    cut = image[:height, :width].reshape(height // by, by, width // by, by, -1)
    return np.asarray(cut.mean(axis=(1, 3)), np.float32)
