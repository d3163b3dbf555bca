"""What hair as strands costs against the same hair as a mesh.

    python tests/benchmarks/bench_hair.py [SCENE] [FOCAL_LENGTH_MM]

Camera A of the scene, 640 x 360, once as it is and once with a longer lens, so that hair fills
much of the frame. The baseline is the mesh that a raster back end would draw, rendered in the
same run, in turns, so that a noisy machine disturbs both alike.
"""

from __future__ import annotations

import statistics
import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

from previz import api
from previz.render.backends import open_back_end
from previz.render.contract import Exposing, RenderSettings
from previz.stage.stage import Stage

SIZE = (640, 360)
SAMPLES, ROUNDS = 8, 5
LONG_LENS = "zoom_70_200_f2.8"


def with_meshes(stage: Stage) -> Stage:
    """The stage with everybody's hair as a mesh."""
    return replace(stage, things=tuple(replace(thing, strands=None) for thing in stage.things))


def exposing(stage: Stage) -> Exposing:
    begun = open_back_end().load(stage).expose("A", RenderSettings(*SIZE, SAMPLES))
    begun.advance(SAMPLES)  # compiles
    return begun


def seconds(begun: Exposing) -> float:
    began = time.perf_counter()
    begun.advance(SAMPLES)
    return time.perf_counter() - began


def main(scene: Path, focal_length_mm: float) -> None:
    close = (f"cameras.A.focal_length_mm={focal_length_mm:g}", f"cameras.A.lens={LONG_LENS}")
    for settings in ((), close):
        stage = api.open_scene(scene, settings).stage
        strands, mesh = exposing(stage), exposing(with_meshes(stage))
        pairs = [(seconds(strands), seconds(mesh)) for _ in range(ROUNDS)]
        ratio = statistics.median(a / b for a, b in pairs)
        times = np.median(np.array(pairs), axis=0)
        print(f"{settings or 'as it is'}: strands {times[0]:.2f} s, mesh {times[1]:.2f} s")
        print(f"  strands cost {100.0 * (ratio - 1.0):+.0f} % (median of {ROUNDS} pairs)")


if __name__ == "__main__":
    words = sys.argv[1:]
    main(
        Path(words[0] if words else "scenes/bookbinder"),
        float(words[1]) if len(words) > 1 else 110.0,
    )
