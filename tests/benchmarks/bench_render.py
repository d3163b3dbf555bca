"""What light layers and auxiliary images cost, and how long a frame takes.

    python tests/benchmarks/bench_render.py [SCENE]

The baseline is Mitsuba's own `path` integrator on the same stage, same size, same samples, in
the same run, taken in turns so that a noisy machine disturbs both alike.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

from previz import api
from previz.render.backends import open_back_end

ON_PROCESSOR, ON_CARD = ((640, 360), 8), ((1920, 1080), 16)
"""Size and samples: few do not fill a card."""
ROUNDS = 5


def seconds(work: Callable[[int], object], seed: int) -> float:
    began = time.perf_counter()
    work(seed)
    return time.perf_counter() - began


def main(scene: Path) -> None:
    began = time.perf_counter()
    opened = api.open_scene(scene)
    print(f"stage built in {time.perf_counter() - began:.2f} s")
    back_end = open_back_end()

    import drjit as dr
    import mitsuba as mi

    from previz.render.pathtracer.assemble import sensor
    from previz.render.pathtracer.compiled import CompiledRenderer
    from previz.render.pathtracer.integrator import render_pass

    renderer = CompiledRenderer(opened.stage)
    name, camera = next(iter(opened.stage.cameras.items()))
    size, samples = ON_CARD if back_end.on_card else ON_PROCESSOR
    view = sensor(camera, size)
    paths = renderer.paths(name)
    total = dr.opaque(mi.Float, 0.0, size[0] * size[1] * (3 * len(opened.stage.layers) + 6))
    plain = mi.load_dict({"type": "path", "max_depth": -1, "rr_depth": paths.roulette_depth})

    def layered(seed: int) -> None:
        render_pass(paths, view, size, samples, seed, total)
        dr.sync_thread()

    def baseline(seed: int) -> None:
        dr.eval(mi.render(paths.scene, sensor=view, integrator=plain, spp=samples, seed=seed))
        dr.sync_thread()

    layered(0), baseline(0)  # compile both
    ours, theirs = [], []
    for seed in range(1, ROUNDS + 1):
        theirs.append(seconds(baseline, seed))
        ours.append(seconds(layered, seed))
    traced = size[0] * size[1] * samples / 1e6
    mine, path = statistics.median(ours), statistics.median(theirs)
    ratio = statistics.median(a / b for a, b in zip(ours, theirs, strict=True))
    print(f"{back_end.variant}, {size[0]} x {size[1]}, {samples} samples, paths of any length")
    print(f"{'path':25s} {path:6.2f} s  {traced / path:5.2f} M samples/s")
    label = f"{len(opened.stage.layers)} layers, albedo, normal"
    print(f"{label:25s} {mine:6.2f} s  {traced / mine:5.2f} M samples/s")
    print(f"ratio {ratio:.3f} (goal: at most 1.10)")


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else Path("scenes/bookbinder"))
