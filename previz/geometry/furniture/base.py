"""What every piece of furniture is to the rest of the house."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal, Protocol, runtime_checkable

import numpy as np

from previz.errors import CatalogError
from previz.geometry.gear.emitter import EmitterShape
from previz.geometry.piece import Array, Piece
from previz.geometry.shell import Shell

Colour = tuple[float, float, float]
"""Linear BT.709 reflectance."""


@dataclass(frozen=True, eq=False)
class SeatInfo:
    """Where a sitter goes, in the furniture's own frame (the sitter looks along -Y).

    height_m   top of the unloaded seat above the floor
    centre     middle of the seat, (2,) metres
    depth_m    from the seat's front edge to the back rest (or the rear edge)
    kind       chair, armchair, stool or sofa
    back       whether there is a back to lean on
    places     centres of all places, (n, 2): one for a chair, two or three for a sofa
    """

    height_m: float
    centre: Array
    depth_m: float
    kind: Literal["chair", "armchair", "stool", "sofa"]
    back: bool
    places: Array


def single_seat(
    height_m: float,
    depth_m: float,
    kind: Literal["chair", "armchair", "stool"],
    *,
    y_m: float = 0.0,
    back: bool = True,
) -> SeatInfo:
    """A seat for one, in the middle of the thing's width."""
    centre = np.array([0.0, y_m])
    return SeatInfo(height_m, centre, depth_m, kind, back, centre[None])


class FurnitureShape(Protocol):
    """A thing of given parameters: origin on the floor in the middle of its footprint.

    Its front faces -Y, Z is up. A thing for the wall has its back in the plane y = 0.
    """

    def pieces(self) -> tuple[Piece, ...]:
        """Everything it is made of."""
        ...


@runtime_checkable
class Seat(Protocol):
    """Furniture that one can sit on."""

    def seat(self) -> SeatInfo:
        """Where the sitter goes."""
        ...


@runtime_checkable
class LampShape(Protocol):
    """Furniture that gives light."""

    def emitter(self) -> EmitterShape:
        """The emitting surface; its piece is left out for the renderer to make."""
        ...


def one_of(what: str, value: str, known: Iterable[str]) -> str:
    """`value` when it is known; CatalogError naming what there is otherwise."""
    names = list(known)
    if value not in names:
        raise CatalogError(f"there is no {what} called {value}; there are {', '.join(names)}")
    return value


def fitted(
    groups: dict[str, list[Shell]], width_m: float, depth_m: float, height_m: float | None = None
) -> None:
    """Bring groups of shells to an exact footprint centred on the origin, in place.

    For things whose outline comes from leaning or curved parts: they are drawn within a few
    percent and stretched the rest. Heights are left as they are, but that what rises to a given
    `height_m` stands on the floor and ends there.
    """
    points = np.concatenate([shell.vertices for group in groups.values() for shell in group])
    low, high = points.min(axis=0), points.max(axis=0)
    scale = np.array([width_m, depth_m, high[2] - low[2] if height_m is None else height_m])
    scale /= high - low
    matrix = np.diag([*scale, 1.0])
    matrix[:2, 3] = -scale[:2] * (low + high)[:2] / 2
    matrix[2, 3] = 0.0 if height_m is None else -scale[2] * low[2]
    for name, group in groups.items():
        groups[name] = [shell.moved(matrix) for shell in group]
