"""Small whole numbers, and an archive whose bytes are the same on every run."""

from __future__ import annotations

import io
import zipfile
from typing import Any

import numpy as np
from numpy.typing import NDArray

from making.wheel import Array, Index

STEP_M = 1e-5  # finer than any scan; a coarser step only where 16 bits would not reach
LARGEST = 32767
WRITTEN = (1980, 1, 1, 0, 0, 0)  # a date that never changes

Arrays = dict[str, NDArray[Any]]


def packed_directions(kind: str, directions: dict[str, Array], kept: Index) -> Arrays:
    """Moves of the kept vertices as whole steps, with the gaps between the numbers of those moved.

    `previz/geometry/people/archive.py` undoes it: for direction i, from `ends[i]` to `ends[i + 1]`,
    the sum of the gaps is the vertex, and the steps lie axis by axis.
    """
    gaps, steps, scales, ends = [], [], [], [0]
    for dense in directions.values():
        move = dense[kept]
        scale = max(STEP_M, float(np.abs(move).max()) / LARGEST)
        whole = np.rint(move / scale).astype(np.int16)
        index = np.flatnonzero(whole.any(axis=1))
        gaps.append(np.diff(index, prepend=0).astype(np.uint16))
        steps.append(whole[index].T.reshape(-1))
        scales.append(scale)
        ends.append(ends[-1] + len(index))
    return {
        f"{kind}_ends": np.array(ends, np.int32),
        f"{kind}_gaps": np.concatenate(gaps),
        f"{kind}_steps": np.concatenate(steps),
        f"{kind}_scales": np.array(scales),
    }


def packed_points(points: Array) -> tuple[NDArray[np.int16], float]:
    """Points as whole steps, and the length of a step."""
    scale = float(np.abs(points).max()) / LARGEST
    return np.rint(points / scale).astype(np.int16), scale


def archive_bytes(arrays: Arrays) -> bytes:
    """The arrays as an .npz, in order of their names, without the time it was made at."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as archive:
        for name in sorted(arrays):
            member = io.BytesIO()
            np.lib.format.write_array(member, arrays[name], allow_pickle=False)
            entry = zipfile.ZipInfo(f"{name}.npy", WRITTEN)
            entry.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(entry, member.getvalue())
    return out.getvalue()
