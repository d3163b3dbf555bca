"""Shapes kept between runs: what took longer to build than to read is built once.

Within a round of a memory the same shape is the same object.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import cache
from importlib import import_module
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from previz import cache as store
from previz import physics
from previz.geometry.mesh import Mesh
from previz.geometry.piece import Piece
from previz.memory import remembered

Arrays = dict[str, NDArray[Any]]
BUILDERS = ("numpy", "shapely", "mapbox_earcut")
"""Packages whose next version may part the same shape into other triangles. What joins solids
tells no version of its own; it is pinned by the others' moving with it.
"""
EXTRAS = ("colour", "grain", "roughness", "uv")


LEAST_POINTS = 500
"""Fewer are built as fast as they are read."""


def kept_pieces(
    kind: str,
    most: int,
    key: tuple[object, ...],
    build: Callable[[], tuple[Piece, ...]],
    *,
    least_points: int = LEAST_POINTS,
) -> tuple[Piece, ...]:
    """What `build` gives, from the cache if it was built before from the same `key`.

    `key` must say all that the pieces rest on but the code of this room, and be told by its
    repr: numbers, words and tuples of them, not arrays, which leave digits out.
    """
    name = store.key_of((), code(), key)

    def read_or_build() -> tuple[Piece, ...]:
        arrays = store.load(kind, name)
        if arrays is not None:
            return pieces_of(arrays)
        pieces = build()
        if sum(len(piece.mesh.vertices) for piece in pieces) >= least_points:
            store.keep(kind, name, arrays_of(pieces), most)
        return pieces

    return remembered((kind, name), read_or_build)


@cache
def code() -> str:
    """Changes with the code of shapes, the laws it uses and the packages that part it."""
    versions = [(name, import_module(name).__version__) for name in BUILDERS]
    here, laws = Path(__file__).parent, Path(physics.__file__).parent
    return store.key_of([*here.rglob("*.py"), *laws.glob("*.py")], versions)


def arrays_of(pieces: Iterable[Piece]) -> Arrays:
    """Pieces as arrays, for the cache."""
    pieces = tuple(pieces)
    arrays: Arrays = {
        "names": np.array([piece.name for piece in pieces]),
        "materials": np.array([piece.material for piece in pieces]),
        "smooth": np.array([piece.smooth for piece in pieces], bool),
        "closed": np.array([piece.closed for piece in pieces], bool),
    }
    for number, piece in enumerate(pieces):
        arrays[f"vertices_{number}"] = piece.mesh.vertices
        arrays[f"faces_{number}"] = piece.mesh.faces
        for name in EXTRAS:
            extra = getattr(piece, name)
            if extra is not None:
                arrays[f"{name}_{number}"] = extra
    return arrays


def pieces_of(arrays: Mapping[str, NDArray[Any]]) -> tuple[Piece, ...]:
    """The pieces that `arrays_of` took apart."""
    return tuple(
        Piece(
            name=str(name),
            mesh=Mesh(arrays[f"vertices_{number}"], arrays[f"faces_{number}"]),
            material=str(arrays["materials"][number]),
            smooth=bool(arrays["smooth"][number]),
            closed=bool(arrays["closed"][number]),
            **{extra: arrays.get(f"{extra}_{number}") for extra in EXTRAS},
        )
        for number, name in enumerate(arrays["names"])
    )
