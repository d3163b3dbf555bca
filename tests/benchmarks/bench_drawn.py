"""What drawing at once costs: a bake, reading it back, and pictures of it.

    python tests/benchmarks/bench_drawn.py [SCENE] [ROUNDS]

The baseline is one path-traced sample a pixel of the same camera at the same size, not cleaned and
not developed, on the same machine in the same run, taken in turns with what is measured. The bake
is done anew, in a cache folder of its own; pictures are developed, as the page shows them.
"""

from __future__ import annotations

import os
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np

from previz import api
from previz.api.looking import Look
from previz.api.opening import OpenScene
from previz.render.backends import open_back_end
from previz.render.contract import RenderSettings
from previz.stage.stage import Stage, StageCamera

WIDTH_PX = 1280


def seconds(work: Callable[[], object]) -> float:
    """How long something takes."""
    began = time.perf_counter()
    work()
    return time.perf_counter() - began


def dimmed(opened: OpenScene, share: float) -> OpenScene:
    """The scene with its first light at a share of its power."""
    stage: Stage = opened.stage
    first = next(emitter for emitter in stage.emitters if emitter.lit)
    emitters = tuple(
        replace(e, luminance_cd_m2=e.luminance_cd_m2 * share) if e is first else e
        for e in stage.emitters
    )
    return replace(opened, stage=replace(stage, emitters=emitters))


def moved(camera: StageCamera, metres: float) -> StageCamera:
    """The camera so far to its right."""
    pose = np.array(camera.pose)
    pose[:3, 3] += metres * pose[:3, 0]
    return replace(camera, pose=pose)


def bake(look: Look) -> float:
    """Bake to the end; how long until there is a first light."""
    began = time.perf_counter()
    first = 0.0
    while not look.bake(api.Silence()).done:
        if look.ready and not first:
            first = time.perf_counter() - began
    return first


def main(scene: Path, rounds: int) -> None:
    """Measure and print."""
    opened = api.open_scene(scene)
    camera = next(iter(opened.stage.cameras.values()))
    size = camera.picture_size(WIDTH_PX)
    # Proofs and figures are where they were: only bakes are to be done anew.
    os.environ["XDG_CACHE_HOME"] = tempfile.mkdtemp()
    look = Look(opened)
    print(f"{scene}, camera {camera.name}, {size[0]} x {size[1]}, {look.drawn_by}")

    renderer = opened.renderer(open_back_end())
    tracing = renderer.expose(camera.name, RenderSettings(*size, 1))

    def traced() -> None:
        tracing.advance(1)
        tracing.state()

    traced()  # compile
    base = statistics.median(seconds(traced) for _ in range(rounds))
    print(f"{'one traced sample a pixel':34s} {1000 * base:8.0f} ms")

    def told(name: str, took: float, against: float) -> None:
        print(f"{name:34s} {1000 * took:8.0f} ms  {took / against:7.2f} x the traced sample")

    began = time.perf_counter()
    first = bake(look)
    whole = time.perf_counter() - began
    told("bake, to a first light", first, base)
    told("bake, whole", whole, base)
    look.close()
    look = Look(opened)
    told("read back from the cache", seconds(lambda: look.kept(api.Silence())), base)
    told("a first picture of it", seconds(lambda: look.draw(camera, WIDTH_PX)), base)

    def turn_dimmer(turn: int) -> None:
        look.follow(dimmed(opened, 0.5 + 0.1 * (turn % 5)))
        look.draw(camera, WIDTH_PX)

    acts: dict[str, Callable[[int], object]] = {
        "standing": lambda _: look.draw(camera, WIDTH_PX),
        "standing, smooth edges": lambda _: look.draw(camera, WIDTH_PX, fine=True),
        "moving": lambda turn: look.draw(moved(camera, 0.01 * (turn + 1)), WIDTH_PX),
        "another focal length": lambda turn: look.draw(
            replace(camera, focal_length_m=camera.focal_length_m * (1.01 + 0.01 * turn)), WIDTH_PX
        ),
        "another dimmer": turn_dimmer,
    }
    for name, act in acts.items():
        act(0)
        turns = [partial(act, turn) for turn in range(1, rounds + 1)]
        pairs = [(seconds(turn), seconds(traced)) for turn in turns]
        ratio = statistics.median(drawn / traced for drawn, traced in pairs)
        took = statistics.median(drawn for drawn, _ in pairs)
        print(f"{name:34s} {1000 * took:8.0f} ms  {ratio:7.2f} x the traced sample")
    look.close()


if __name__ == "__main__":
    main(
        Path(sys.argv[1]) if len(sys.argv) > 1 else Path("scenes/bookbinder"),
        int(sys.argv[2]) if len(sys.argv) > 2 else 7,
    )
