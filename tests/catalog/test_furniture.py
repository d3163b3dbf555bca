"""Every piece of furniture builds with its own parameters, at its own measures."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from previz.catalog import Catalog
from previz.geometry.furniture import (
    SHAPES,
    build_furniture,
    emitter_of,
    furniture,
    parameters_of,
    seat_of,
)
from previz.geometry.furniture.base import Seat
from previz.geometry.piece import bounds
from previz.model.records import FurnitureRecord

CATALOG = Catalog.load()
NAMES = CATALOG.names("furniture")
MEASURES = ("width_m", "depth_m", "height_m", "seat_height_m")


def parameters(record: FurnitureRecord) -> dict[str, Any]:
    """What its shape is given; a stool's height is its seat's height, said once to the shape."""
    measures = {key: getattr(record, key) for key in MEASURES}
    given = {key: value for key, value in measures.items() if value is not None}
    if "seat_height_m" not in parameters_of(record.shape):
        given.pop("seat_height_m", None)
    return given | record.materials | record.options


@pytest.mark.parametrize("name", NAMES)
def test_builds_at_its_measures(name: str) -> None:
    record = CATALOG.furniture(name)
    known = parameters_of(record.shape)
    assert set(parameters(record)) <= set(known)
    assert all(isinstance(known[role], str) for role in record.materials), "a role is a material"
    pieces = build_furniture(record.shape, **parameters(record))
    low, high = bounds(pieces)
    wanted = np.array([record.width_m, record.depth_m or record.width_m, record.height_m], float)
    given = ~np.isnan(wanted)
    assert ((high - low)[given] <= 1.01 * wanted[given] + 0.001).all(), "1 %: paper lies askew"
    assert all(piece.material in CATALOG.names("materials") for piece in pieces)


@pytest.mark.parametrize("name", NAMES)
def test_has_the_size_of_furniture(name: str) -> None:
    record = CATALOG.furniture(name)
    sides = [side for side in (record.width_m, record.depth_m, record.height_m) if side is not None]
    assert sides, "a piece says how large it is"
    widest = 4.0 if record.on_stands else 3.2
    assert all(0.002 <= side <= widest for side in sides)


@pytest.mark.parametrize(
    ("word", "low_m", "high_m"),
    [("chair", 0.40, 0.50), ("stool", 0.40, 0.80), ("sofa", 0.38, 0.48)],
)
def test_seats_are_at_a_seat_height(word: str, low_m: float, high_m: float) -> None:
    """Chairs 0.40 to 0.50 m, sofas a little lower, stools up to a bar: common practice."""
    seats = [name for name in NAMES if word in CATALOG.furniture(name).shape]
    assert len(seats) >= 3
    for name in seats:
        record = CATALOG.furniture(name)
        seat = seat_of(record.shape, **parameters(record))
        assert low_m <= seat.height_m <= high_m
        assert record.seat_height_m == seat.height_m


def test_what_has_a_seat_height_can_be_sat_on_and_nothing_else() -> None:
    """A scene's `seat:` takes the records with `seat_height_m`."""
    for name in NAMES:
        record = CATALOG.furniture(name)
        thing = furniture(record.shape, **parameters(record))
        assert isinstance(thing, Seat) == (record.seat_height_m is not None), name


def test_every_shape_has_a_record() -> None:
    assert {CATALOG.furniture(name).shape for name in NAMES} == set(SHAPES)


PRACTICALS = [name for name in CATALOG.names("fixtures") if CATALOG.fixture(name).body]


@pytest.mark.parametrize("name", PRACTICALS)
def test_practical_light_fits_its_lamp(name: str) -> None:
    light = CATALOG.fixture(name)
    assert light.body
    known = parameters_of(light.body)
    wanted = {"width_m": light.diameter_m, "shade_height_m": light.height_m}
    emitter = emitter_of(light.body, **{key: wanted[key] for key in wanted if key in known})
    assert emitter is not None
    assert light.diameter_m
    if emitter.kind == "cylinder":
        assert 2 * emitter.radius_m == pytest.approx(light.diameter_m)
        assert light.height_m == pytest.approx(emitter.length_m, abs=0.02)
    else:
        assert 2 * emitter.radius_m < light.diameter_m, "a bulb lies within its shade"
