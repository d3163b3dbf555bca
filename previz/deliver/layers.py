"""Light layers kept beside the frames, so that other settings of the lights need no render."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from previz.deliver.files import whole_file
from previz.render.relight import LayerStack

LARGEST_HALF = 60000.0


def write_layers(path: Path, stack: LayerStack, made_from: str = "") -> None:
    """Keep a stack in half floats: each value to 0.05 %, in half the room; `whole` as it is.

    Values are scaled by a common factor where a lamp in the frame is brighter than half
    floats can say (65504). `made_from` tells what a stack was worked out from.
    """
    scale = max(float(stack.pixels.max(initial=0.0)) / LARGEST_HALF, 1.0)
    whole = {} if stack.whole is None else {"whole": stack.whole}
    with whole_file(path) as fresh, fresh.open("wb") as file:
        np.savez(
            file,
            allow_pickle=False,
            names=np.array(stack.names),
            made_from=np.array(made_from),
            scale=np.array(scale),
            albedo=stack.albedo.astype(np.float16),
            pixels=(stack.pixels / np.float32(scale)).astype(np.float16),
            normal=stack.normal.astype(np.float16),
            **whole,
        )


def read_layers(path: Path, made_from: str = "") -> LayerStack | None:
    """A stack that was kept; None if the file is gone, not whole, or made from something else."""
    try:
        with np.load(path, allow_pickle=False) as kept:
            if str(kept.get("made_from", "")) != made_from:
                return None
            return LayerStack(
                names=tuple(str(name) for name in kept["names"]),
                pixels=kept["pixels"].astype(np.float32) * np.float32(kept["scale"]),
                albedo=kept["albedo"].astype(np.float32),
                normal=kept["normal"].astype(np.float32),
                whole=kept.get("whole"),
            )
    except (OSError, ValueError, KeyError, EOFError):
        return None
