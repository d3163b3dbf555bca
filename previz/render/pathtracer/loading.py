"""Loading into Mitsuba, in one order. Import after a variant is set."""

from __future__ import annotations

import gc
from collections.abc import Mapping
from typing import Any

import mitsuba as mi
import numpy as np
from numpy.typing import NDArray

ALIGNMENT = 64


def load(description: Mapping[str, Any]) -> Any:
    """An object of the renderer.

    One thread loads: with several, objects are numbered in another order each time, and a
    kernel that was compiled and kept for one order does not serve the next.
    """
    return mi.load_dict(dict(description), parallel=False)


def forget_others() -> None:
    """Let go of what earlier scenes left behind: a kernel holds the code of all that still lives.

    On a graphics card more than its code: two scenes alive at once are two pipelines, and a
    kernel can use only one.
    """
    gc.collect()


def aligned(values: Any, kind: type[np.generic]) -> NDArray[Any]:
    """A flat copy of `values` as `kind`, where the renderer's own memory would lie.

    A numpy array begins anywhere, and the compiler writes another kernel for a beginning that
    is not a multiple of four numbers: then a kept kernel would serve by luck.
    """
    flat = np.asarray(values, kind).reshape(-1)
    place = room_for(flat.size, kind)
    place[:] = flat
    return place


def room_for(count: int, kind: type[np.generic]) -> NDArray[Any]:
    """Room for so many numbers, where the renderer's own memory would lie; not yet filled."""
    size = count * np.dtype(kind).itemsize
    room = np.empty(size + ALIGNMENT, np.uint8)
    start = -room.ctypes.data % ALIGNMENT
    return room[start : start + size].view(kind)


def kept_sum(kept: NDArray[Any], shape: tuple[int, ...]) -> NDArray[np.float32]:
    """What a stopped picture gathered; ValueError when this one has another `shape`."""
    if kept.shape != shape:
        raise ValueError("the kept picture has another size or other light layers")
    return np.asarray(kept, np.float32)
