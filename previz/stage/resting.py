"""What is near enough to a person to lay a hand on: a table's top, or the rest of an arm."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import numpy as np

from previz.catalog import Catalog
from previz.geometry.furniture.wheelchair import ARM_OVER_SEAT_M
from previz.model.furniture import Furniture
from previz.model.people import Person
from previz.stage.furnishing import shape_parameters
from previz.stage.placing import applied, placed
from previz.stage.stage import Array

Point = tuple[float, float, float]

TABLES = ("table", "round_table", "trestle_table", "desk", "workbench")
EDGE_M = 0.04  # from a table's edge inwards, where nobody lays a hand: an estimate
# Where hands reach from a seat, and standing: to the left, and ahead, metres in a person's frame:
# estimates.
SEATED = (
    (0.17, -0.42),
    (-0.17, -0.42),
    (0.24, -0.36),
    (-0.24, -0.36),
    (0.14, -0.48),
    (-0.14, -0.48),
)
STANDING = ((0.001, -0.40), (0.001, -0.46), (0.001, -0.52))  # an estimate too
REACH_M = (0.45, 1.15)  # heights of tops that a hand is laid on: an estimate


def rest_of(
    person: Person, matrix: Array, furniture: Mapping[str, Furniture], catalog: Catalog
) -> Point | None:
    """Where a hand may lie near a person whose frame `matrix` (4, 4) carries into the world.

    In the person's frame, metres; None where nothing is near.
    """
    if person.seated and person.hands == "on_table" and person.seat is not None:
        arm = _arm_of(person.seat, catalog)
        if arm is not None:
            return arm
    tops = list(_tops(furniture, catalog))
    for left, ahead in SEATED if person.seated else STANDING:
        world = applied(matrix, np.array([left, ahead, 0.0]))
        for inverse, half, height_m in tops:
            at = applied(inverse, world)
            if (np.abs(at[:2]) < half).all():
                return (left, ahead, height_m)
    return None


def _arm_of(seat: str, catalog: Catalog) -> Point | None:
    """Where the left arm rests on a seat that has something for it."""
    record = catalog.furniture(seat)
    measures = shape_parameters(record, 0)
    if record.shape == "armchair":
        arm, wide = measures.get("arm_height_m", 0.60), measures.get("arm_width_m", 0.12)
        return (0.5 * (measures["width_m"] - wide), -0.24, arm)
    if record.shape == "wheelchair":
        return (
            0.5 * measures["width_m"] - 0.10,
            -0.24,
            measures["seat_height_m"] + ARM_OVER_SEAT_M,
        )
    return None


def _tops(
    furniture: Mapping[str, Furniture], catalog: Catalog
) -> Iterator[tuple[Array, Array, float]]:
    """From the world into each table's frame, half its top (2,), and its height."""
    for wanted in furniture.values():
        record = catalog.furniture(wanted.piece)
        if record.shape not in TABLES or wanted.at_m is None:
            continue
        sizes = [
            getattr(wanted, key) or getattr(record, key)
            for key in ("width_m", "depth_m", "height_m")
        ]
        if None in sizes:
            continue
        wide, deep, high = sizes
        share = 0.72 if record.shape == "round_table" else 1.0
        half = 0.5 * share * np.array([wide, deep]) - EDGE_M
        if REACH_M[0] < high + wanted.base_m < REACH_M[1]:
            stands = placed(wanted.turn_deg, (*wanted.at_m, wanted.base_m))
            yield np.asarray(np.linalg.inv(stands), float), half, high + wanted.base_m
