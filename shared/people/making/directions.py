"""Directions of proportion, and all targets of the face."""

from __future__ import annotations

import numpy as np

from making.wheel import Array, Wheel

# Proportions that the search for the survey's measures may use, and a few more. Each is half of
# what lies between its two targets, so that 1 is all the one and -1 about all the other.
PROPORTIONS = {
    "torso": (
        "torso-scale-vert torso-scale-horiz torso-scale-depth measure-shoulder-dist torso-vshape"
        " measure-waist-circ measure-hips-circ"
    ),
    "neck": "measure-neck-height measure-neck-circ neck-scale-depth neck-trans-forward",
    "legs": (
        "measure-upperleg-height measure-lowerleg-height upperlegs-height lowerlegs-height"
        " upperleg-scale-vert lowerleg-scale-vert"
    ),
    "arms": "measure-upperarm-length measure-lowerarm-length upperarm-fat upperarm-scale-horiz",
    "hip": "hip-scale-horiz hip-scale-depth",
    "stomach": "stomach-tone",
    "feet": "foot-scale",
    "hands": "hand-scale",
    "head": (
        "head-scale-vert head-scale-depth head-scale-horiz head-back-scale-depth head-fat head-age"
        " head-angle"
    ),
    "cheek": "cheek-bones",
    "eyes": "eye-trans-out",
    "chin": "chin-height",
}
ENDS = (("incr", "decr"), ("out", "in"), ("forward", "backward"), ("up", "down"))
# All targets in these folders are kept one by one: a face is told by what differs left and right,
# and more of a thing is another shape than less of it.
FACE_FOLDERS = (
    "asym",
    "cheek",
    "chin",
    "ears",
    "eyebrows",
    "eyes",
    "forehead",
    "head",
    "mouth",
    "nose",
)
FACE_EXTRA = ("neck/neck-double-incr", "neck/neck-double-decr")
NO_FACE = ("asymm-breast", "asymm-trunk", "head-trans", "head-scale", "head-angle")
# Actions of the face's muscles. Eyes turn by themselves, and nobody shows a tongue.
NO_MUSCLE = ("eyeLookIn", "eyeLookOut", "tongueOut")


def proportions(wheel: Wheel) -> dict[str, Array]:
    """Directions of proportion, as moves of all vertices (n, 3)."""
    found = {}
    for folder, names in PROPORTIONS.items():
        for name in names.split():
            plus, minus = _ends(wheel, folder, name)
            found[name] = sum(
                (
                    0.5
                    * (wheel.target(f"{folder}/{s}{plus}") - wheel.target(f"{folder}/{s}{minus}"))
                    for s in ("", "l-", "r-")
                    if wheel.has(f"{folder}/{s}{plus}")
                ),
                np.zeros_like(wheel.mesh.vertices),
            )
    return found


def _ends(wheel: Wheel, folder: str, stem: str) -> tuple[str, str]:
    for side in ("", "l-"):
        if wheel.has(f"{folder}/{side}{stem}"):
            # Named for where it ends: the other end has the opposite word.
            return stem, _opposite(stem)
        for plus, minus in ENDS:
            if wheel.has(f"{folder}/{side}{stem}-{plus}"):
                return f"{stem}-{plus}", f"{stem}-{minus}"
    raise KeyError(stem)


def _opposite(name: str) -> str:
    stem, end = name.rsplit("-", 1)
    return f"{stem}-{dict(ENDS)[end]}"


def faces(wheel: Wheel) -> dict[str, Array]:
    """All targets of the face by their names, as moves of all vertices (n, 3)."""
    names = [name for folder in FACE_FOLDERS for name in wheel.targets(folder)]
    short = {name.rsplit("/", 1)[1]: name for name in [*names, *FACE_EXTRA]}
    kept = sorted(name for name in short if not name.startswith(NO_FACE))
    return {name: wheel.target(short[name]) for name in kept}


def muscles(wheel: Wheel) -> dict[str, Array]:
    """Actions of the face's muscles by their names, as moves of all vertices (n, 3)."""
    return {name: wheel.muscle(name) for name in wheel.muscle_names(NO_MUSCLE)}
