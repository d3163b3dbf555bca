"""How long it takes to relight a frame, against rendering it again.

    python tests/benchmarks/bench_relight.py [SAMPLES]

One camera, 1920 x 1080, eight light layers, on the bookbinder with two lamps more. The baseline
is the same frame rendered by the same back end in the same run, with so many samples (default 7,
what `review` takes); relighting is the recombination with other settings, and apart from it the
development of the picture, which a render needs as well.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from previz import api
from previz.api.pipeline import photograph
from previz.render.backends import open_back_end
from previz.render.contract import RenderSettings
from previz.render.relight import LayerStack

SIZE = (1920, 1080)
ROUNDS = 9
MORE = (
    "lights.wash={fixture: panel_40, place: {at_m: [-2, 3], height_m: 2}, aim_m: [0, 4, 1.5]}",
    "lights.kick={fixture: panel_40, place: {at_m: [2.2, 1.5], height_m: 1.8}, aim: guest}",
)


def seconds(work: Callable[[], object]) -> float:
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


def main(samples: int) -> None:
    opened = api.open_scene(Path("scenes/bookbinder/scene.yaml"), MORE)
    stage, camera = opened.stage, opened.stage.cameras["A"]
    exposing = open_back_end().load(stage).expose("A", RenderSettings(*SIZE, samples, 6, 1))
    exposing.advance(1)  # compiles
    rendered = seconds(lambda: exposing.advance(samples))
    stack = LayerStack.of(exposing.light())
    gains = {name: np.array([0.5, 0.6, 0.7]) for name in stack.names}
    relit = [seconds(lambda: stack.combined(gains)) for _ in range(ROUNDS)]
    beauty = stack.combined(gains)
    developed = [seconds(lambda: photograph(opened, camera, beauty, (0.33, 0.34))) for _ in "abc"]
    middle = statistics.median(relit)
    print(f"{len(stack.names)} layers, {SIZE[0]} x {SIZE[1]}")
    print(f"rendered with {samples} samples in {rendered:.1f} s")
    print(
        f"recombined in {1000 * middle:.1f} ms (median of {ROUNDS}; {1000 * max(relit):.1f} worst)"
    )
    print(f"ratio {rendered / middle:.0f} : 1")
    print(f"developed in {1000 * statistics.median(developed):.0f} ms")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 7)
