"""How far what is drawn is from what is traced: error of luminance by scene and camera.

    python tests/benchmarks/bench_drawn_truth.py [SAMPLES] [WIDTH] [SCENE ...]

Both see the set matt and through a pinhole, for drawing knows no gloss, no relief and no defocus.
The path tracer takes SAMPLES a pixel and is cleaned; beside it stands what it differs by from
itself, with another seed, which is what the error of a perfect picture would be. Errors are shares
of the traced luminance, dark pixels counted as a twentieth of the picture's median. Hair is apart:
there ribbons stand for strands.
"""

from __future__ import annotations

import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from previz import api
from previz.physics.colour import LUMINANCE_WEIGHTS
from previz.render.backends import open_back_end
from previz.render.contract import BackEnd, LightLayers, RenderSettings
from previz.render.denoise import Denoiser
from previz.render.names import RASTER
from previz.render.qualities import passes
from previz.stage.stage import Stage

SCENES = ("first_light", "bookbinder", "round_table", "harbour_pilot")
MATT = {"roughness": 1.0, "refractive_index": 1.0, "metallic": 0.0, "relief_mm": 0.0}
DARK = 0.05


def matt(stage: Stage) -> Stage:
    """The set without gloss and relief, seen by pinholes."""
    return replace(
        stage,
        materials={
            name: material if material.clear else material.model_copy(update=MATT)
            for name, material in stage.materials.items()
        },
        cameras={name: replace(c, f_number=400.0) for name, c in stage.cameras.items()},
    )


def without_hair(stage: Stage) -> Stage:
    """The same set with all heads bald, to find out which pixels show hair."""
    return replace(stage, things=tuple(replace(t, strands=None) for t in stage.things))


def picture(
    back_end: BackEnd, stage: Stage, camera: str, size: tuple[int, int], samples: int, seed: int = 1
) -> LightLayers:
    """What a camera receives by a back end."""
    exposing = back_end.load(stage).expose(camera, RenderSettings(*size, samples, seed=seed))
    for step in passes(samples, 0, size[0] * size[1], back_end.pass_paths):
        exposing.advance(step)
    return exposing.light()


def errors(found: NDArray[np.float32], true: NDArray[np.float32]) -> NDArray[np.float64]:
    """Share by which the luminance of each pixel is off."""
    one, other = (np.asarray(image @ LUMINANCE_WEIGHTS, float) for image in (found, true))
    return np.asarray(np.abs(one - other) / np.maximum(other, DARK * np.median(other)))


def told(errors_of: NDArray[np.float64], where: NDArray[np.bool_]) -> str:
    """Median and 95th percentile, per cent."""
    if not where.any():
        return f"{'-':>6s} {'-':>6s}"
    middle, most = np.percentile(100.0 * errors_of[where], [50, 95])
    return f"{middle:6.1f} {most:6.1f}"


def main(samples: int, width_px: int, scenes: list[str]) -> None:
    """Measure and print."""
    tracer, drawer, cleaner = open_back_end(), open_back_end(name=RASTER), Denoiser()
    print(f"{samples} samples a pixel, {width_px} wide; per cent, median and 95th percentile")
    print(f"{'':22s} {'drawn':>13s} {'on hair':>13s} {'traced twice':>13s} {'mean':>7s}")
    for scene in scenes:
        stage = matt(api.open_scene(Path(scene)).stage)
        for name, camera in stage.cameras.items():
            began, size = time.perf_counter(), camera.picture_size(width_px)
            drawn = picture(drawer, stage, name, size, 1)
            traced = [picture(tracer, stage, name, size, samples, seed) for seed in (1, 2)]
            one, two = (
                cleaner.clean(light.beauty, light.albedo, light.normal, "final") for light in traced
            )
            bald = picture(tracer, without_hair(stage), name, size, 1)
            hair = (bald.depth > traced[0].depth + 1e-3) | (bald.objects != traced[0].objects)
            off = errors(drawn.beauty, one)
            columns = (told(off, ~hair), told(off, hair), told(errors(two, one), ~hair))
            mean = drawn.beauty[~hair].mean() / one[~hair].mean()
            took = time.perf_counter() - began
            where = f"{Path(scene).name} {name}"
            print(f"{where:22s} {' '.join(columns)} {mean:7.3f}  ({took:.0f} s)", flush=True)


if __name__ == "__main__":
    given = sys.argv[1:]
    main(
        int(given[0]) if given else 64,
        int(given[1]) if len(given) > 1 else 640,
        given[2:] or [f"scenes/{name}" for name in SCENES],
    )
