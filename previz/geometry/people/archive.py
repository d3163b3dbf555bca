"""The condensed parametric body: read once, shared by every person."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from previz.errors import PrevizError
from previz.geometry.people.muscles import muscle_name

Array = NDArray[np.float64]
Index = NDArray[np.int64]

ARCHIVE_NAME = "body.npz"


@dataclass(frozen=True, eq=False)
class Direction:
    """One way the body can change: vertices that move, how far, and how the joints follow.

    index   (n,) vertices that move
    move    (n, 3) metres at a coefficient of 1
    joints  (J, 3) metres, or None for a change of the face alone
    """

    index: Index
    move: Array
    joints: Array | None


@dataclass(frozen=True, eq=False)
class BodyData:
    """The archive in memory; metres, Z up, facing -Y, standing with arms away from the body.

    base           (V, 3) rest vertices of every part
    faces          part name -> (F, 4) corners; a triangle repeats its last corner
    ranges         part name -> first vertex and one past the last
    joints         (J, 3) rest joints; `parents` (J,), -1 at the root; `joint_names` in order
    weight_joints  (V, k) joints a vertex follows, with `weights` (V, k) that sum to 1
    shapes         directions of build, age, sex and proportion
    features       targets of the face by their own names, one for each side and each way
    actions        directions of the face's muscles, by the names of `muscles.py`
    masks          region name -> (V,) 0..1
    provenance     where the data came from, and its licences
    """

    base: Array
    faces: Mapping[str, Index]
    ranges: Mapping[str, tuple[int, int]]
    joints: Array
    parents: Index
    joint_names: tuple[str, ...]
    weight_joints: Index
    weights: Array
    shapes: Mapping[str, Direction]
    features: Mapping[str, Direction]
    actions: Mapping[str, Direction]
    masks: Mapping[str, Array]
    provenance: Mapping[str, str]

    def joint(self, name: str) -> int:
        """Index of the joint `name`."""
        return self.joint_names.index(name)

    def part(self, name: str) -> slice:
        """The vertices of a part, as a slice of all vertices."""
        first, end = self.ranges[name]
        return slice(first, end)


def default_archive() -> Path:
    """Where the archive lies: in the installed wheel, or beside the package in a checkout."""
    package = Path(__file__).resolve().parents[2]
    for folder in (package / "_shared", package.parent / "shared"):
        if (folder / "people" / ARCHIVE_NAME).is_file():
            return folder / "people" / ARCHIVE_NAME
    raise PrevizError(f"the body data people/{ARCHIVE_NAME} is missing from the catalogue")


@lru_cache(maxsize=2)
def load_archive(path: Path) -> BodyData:
    """Read the archive at `path`; the same object for the same path."""
    with np.load(path, allow_pickle=False) as data:
        raw = {name: data[name] for name in data.files}
    info = json.loads(raw["info"].tobytes())
    ranges = {_after(k): (int(v[0]), int(v[1])) for k, v in raw.items() if k.startswith("range_")}
    return BodyData(
        base=raw["base"].astype(np.float64) * float(raw["base_scale"]),
        faces={_after(k): v.astype(np.int64) for k, v in raw.items() if k.startswith("faces_")},
        ranges=ranges,
        joints=raw["base_joints"].astype(np.float64),
        parents=raw["joint_parents"].astype(np.int64),
        joint_names=tuple(info["joints"]),
        weight_joints=raw["weight_joints"].astype(np.int64),
        weights=raw["weights"].astype(np.float64) / 255.0,
        shapes=_directions(raw, "shape", info["shapes"], raw["shape_joints"].astype(np.float64)),
        features=_directions(raw, "face", info["faces"], None),
        actions=_directions(raw, "action", [muscle_name(name) for name in info["actions"]], None),
        masks={_after(k): v / 255.0 for k, v in raw.items() if k.startswith("mask_")},
        provenance=dict(info["provenance"]),
    )


def _after(key: str) -> str:
    return key.split("_", 1)[1]


def _directions(
    raw: Mapping[str, NDArray[np.generic]], kind: str, names: list[str], joints: Array | None
) -> dict[str, Direction]:
    """Undo the packing of the build script: gaps between indices, steps by axis."""
    ends = raw[f"{kind}_ends"].astype(np.int64)
    gaps = raw[f"{kind}_gaps"].astype(np.int64)
    steps = raw[f"{kind}_steps"].astype(np.float64)
    scales = raw[f"{kind}_scales"].astype(np.float64)
    found = {}
    for i, name in enumerate(names):
        first, end = int(ends[i]), int(ends[i + 1])
        move = steps[3 * first : 3 * end].reshape(3, -1).T * scales[i]
        index = np.cumsum(gaps[first:end])
        found[name] = Direction(index, move, None if joints is None else joints[i])
    return found
