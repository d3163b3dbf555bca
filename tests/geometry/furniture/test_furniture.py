"""Every shape of the registry: closed bodies, exact size, feet on the floor, repeatable."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from previz.errors import CatalogError
from previz.geometry.furniture import (
    SHAPES,
    build_furniture,
    emitter_of,
    furniture,
    parameters_of,
    seat_of,
)
from previz.geometry.furniture.base import LampShape, Seat
from previz.geometry.furniture.books import any_book
from previz.geometry.furniture.plants import HABITS
from previz.geometry.piece import Piece, bounds

WALL = {
    "picture", "clock", "tool_rack", "coat_rail", "pin_board", "wall_socket", "wall_cupboards",
    "wall_panel", "wall_shelf", "utensil_rail", "clamp_rack",
}  # fmt: skip
CEILING = {"pendant_lamp"}
STANDING = sorted(set(SHAPES) - WALL - CEILING)
VARIANTS: list[tuple[str, dict[str, Any]]] = [
    *((name, {}) for name in SHAPES),
    (
        "side_chair",
        {"seat_material": "leather_brown", "slats": 3, "width_m": 0.5, "height_m": 0.95},
    ),
    ("stool", {"legs": 3, "height_m": 0.6}),
    ("workshop_stool", {"height_m": 0.75, "width_m": 0.46}),
    ("armchair", {"width_m": 0.9, "seat_height_m": 0.45, "height_m": 0.9, "depth_m": 0.9}),
    ("sofa", {"places": 3, "width_m": 2.3, "pillows": False}),
    ("round_table", {"width_m": 0.5, "height_m": 0.5}),
    ("shelves", {"width_m": 2.4, "bays": 3, "boards": 7, "height_m": 2.4, "fill": 1.0}),
    ("shelves", {"fill": 0.0, "objects": False}),
    ("floor_lamp", {"height_m": 1.75, "width_m": 0.5}),
    ("desk", {"width_m": 1.2, "depth_m": 0.6}),
    ("workbench", {"width_m": 1.2, "height_m": 0.95}),
    *(("plant", {"habit": habit, "seed": 4}) for habit in HABITS),
    (
        "plant",
        {
            "habit": "trailing",
            "height_m": 0.4,
            "width_m": 0.5,
            "pot_height_m": 0.14,
            "pot_diameter_m": 0.16,
        },
    ),
    ("picture", {"kind": "abstract", "width_m": 0.4, "height_m": 0.6, "mat_m": 0.0}),
    ("cabinet", {"rows": 5, "columns": 3, "legs_m": 0.0, "pulls": "bar"}),
    ("press", {"wheel": False, "open_m": 0.0}),
    ("tool_rack", {"width_m": 0.6}),
    ("rug", {"width_m": 3.1, "depth_m": 2.05, "height_m": 0.012}),
    ("cloth_rolls", {"rolls": 3, "height_m": 0.1133}),
    ("mug", {"full": False}),
    ("kitchen_units", {"width_m": 1.2, "bays": 2, "sink_bay": 0, "drawers": 0}),
    ("wall_cupboards", {"width_m": 0.8, "doors": 2, "height_m": 0.6}),
    ("fridge", {"notes": 0, "height_m": 0.85}),
    ("wall_shelf", {"boards": 1, "height_m": 0.45, "width_m": 0.8, "seed": 5}),
    ("wood_stack", {"layers": 3, "height_m": 0.25, "seed": 3}),
    ("paper_sweep", {"width_m": 2.55, "height_m": 2.4, "depth_m": 2.5}),
    ("drape", {"width_m": 2.4, "height_m": 2.2}),
]
IDS = [f"{name} {sorted(given)}" for name, given in VARIANTS]


def triangles(pieces: tuple[Piece, ...]) -> int:
    return sum(len(piece.mesh.faces) for piece in pieces)


@pytest.mark.parametrize(("name", "given"), VARIANTS, ids=IDS)
def test_closed_pieces_are_outward_bodies(name: str, given: dict[str, Any]) -> None:
    for piece in build_furniture(name, **given):
        assert np.isfinite(piece.mesh.vertices).all()
        if piece.closed:
            assert piece.mesh.exact.is_watertight, piece.name
            assert piece.mesh.exact.is_winding_consistent, piece.name
            assert piece.mesh.exact.volume > 0, piece.name
        if piece.colour is not None and piece.colour.ndim == 2:
            assert piece.colour.shape == piece.mesh.vertices.shape
        if piece.colour is not None:
            assert piece.colour.min() >= 0
            assert piece.colour.max() < 0.95


@pytest.mark.parametrize(("name", "given"), VARIANTS, ids=IDS)
def test_size_is_exactly_what_was_asked_for(name: str, given: dict[str, Any]) -> None:
    asked = parameters_of(name) | given
    low, high = bounds(build_furniture(name, **given))
    size = high - low
    if "height_m" in asked and name not in WALL | CEILING:
        assert high[2] == pytest.approx(asked["height_m"], abs=1e-9)
    if name != "plant" and asked.get("legs") != 3:
        assert size[0] == pytest.approx(asked["width_m"], abs=1e-9)
        assert -low[0] == pytest.approx(high[0], abs=1e-9)
    if "depth_m" in asked:
        assert size[1] == pytest.approx(asked["depth_m"], abs=1e-9)
    if name in WALL:
        assert high[1] == pytest.approx(0, abs=1e-9)
    elif name in STANDING and "depth_m" in asked:
        assert -low[1] == pytest.approx(high[1], abs=1e-9)


@pytest.mark.parametrize(("name", "given"), VARIANTS, ids=IDS)
def test_stands_on_the_floor_and_nothing_is_below(name: str, given: dict[str, Any]) -> None:
    lowest = bounds(build_furniture(name, **given))[0, 2]
    if name in STANDING:
        assert lowest == pytest.approx(0, abs=1e-9)
    else:
        assert lowest > 0


@pytest.mark.parametrize("name", SHAPES)
def test_same_seed_same_thing(name: str) -> None:
    one, two = build_furniture(name), build_furniture(name)
    assert [p.name for p in one] == [p.name for p in two]
    for a, b in zip(one, two, strict=True):
        np.testing.assert_array_equal(a.mesh.vertices, b.mesh.vertices)


def test_another_seed_another_shelf() -> None:
    one, two = build_furniture("shelves", seed=1), build_furniture("shelves", seed=2)
    assert triangles(one) != triangles(two)


@pytest.mark.parametrize("name", ["side_chair", "stool", "workshop_stool", "armchair"])
def test_seats_are_light(name: str) -> None:
    assert triangles(build_furniture(name)) < 10_000


def test_a_full_wall_of_books_is_light_enough() -> None:
    shelf = build_furniture("shelves", width_m=2.4, bays=3, boards=7, height_m=2.4, fill=1.0)
    assert triangles(shelf) < 60_000


@pytest.mark.parametrize("name", [n for n in SHAPES if isinstance(furniture(n), Seat)])
def test_the_seat_is_where_it_says(name: str) -> None:
    seat = seat_of(name)
    pieces = [p for p in build_furniture(name) if p.name in ("seat", "cushions")]
    top = (
        max(p.mesh.bounds[1, 2] for p in pieces if p.name == "seat")
        if name not in ("armchair", "sofa")
        else seat.height_m
    )
    assert top == pytest.approx(seat.height_m, abs=1e-9)
    for x, y in seat.places:
        hits, _, _ = pieces[0].mesh.exact.ray.intersects_location([[x, y, 3.0]], [[0, 0, -1.0]])
        # A dished seat is up to 9 mm lower in its middle than at its rim.
        assert seat.height_m - 0.01 <= hits[:, 2].max() <= seat.height_m + 1e-9
        ahead = [[x, y - seat.depth_m / 2 - 0.03, 3.0]]
        beyond, _, _ = pieces[0].mesh.exact.ray.intersects_location(ahead, [[0, 0, -1.0]])
        assert len(beyond) == 0


def test_three_places_on_a_wide_sofa() -> None:
    seat = seat_of("sofa", places=3, width_m=2.3)
    assert seat.places.shape == (3, 2)
    assert np.ptp(seat.places[:, 0]) == pytest.approx(2 / 3 * (2.3 - 0.24))


@pytest.mark.parametrize("name", [n for n in SHAPES if isinstance(furniture(n), LampShape)])
def test_a_lamps_shade_touches_nothing_of_its_own(name: str) -> None:
    emitter = emitter_of(name)
    assert emitter is not None
    inside = np.linalg.inv(emitter.pose)
    for piece in build_furniture(name):
        local = piece.mesh.vertices @ inside[:3, :3].T + inside[:3, 3]
        if emitter.kind == "cylinder":
            level = np.abs(local[:, 1]) <= emitter.length_m / 2
            reach = np.hypot(local[level, 0], local[level, 2])
            assert not np.any(reach > emitter.radius_m - 0.001)
        else:
            assert np.linalg.norm(local, axis=1).min() > emitter.radius_m


def test_what_gives_no_light_has_no_emitter() -> None:
    assert emitter_of("table") is None


def test_unknown_names_are_answered_with_the_nearest() -> None:
    with pytest.raises(CatalogError, match="no furniture called stol; did you mean stool"):
        build_furniture("stol")
    with pytest.raises(CatalogError, match="did you mean height_m"):
        build_furniture("stool", hight_m=1)
    with pytest.raises(CatalogError, match="nothing to sit on"):
        seat_of("table")


@pytest.mark.parametrize("habit", HABITS)
def test_plants_keep_within_their_breadth_and_out_of_the_floor(habit: str) -> None:
    leaves = build_furniture("plant", habit=habit, width_m=0.7)[-1]
    points = leaves.mesh.vertices
    assert leaves.name == "leaves"
    assert 2 * np.hypot(points[:, 0], points[:, 1]).max() == pytest.approx(0.7, abs=1e-9)
    assert points[:, 2].min() >= 0.01 - 1e-9
    assert 200 < len(leaves.mesh.faces) < 12_000


def test_leaves_are_of_many_greens() -> None:
    colour = build_furniture("plant")[-1].colour
    assert colour is not None
    assert len(np.unique(colour.round(4), axis=0)) > 100
    assert np.all(colour[:, 1] > colour[:, 0])


def test_no_two_books_are_alike() -> None:
    rng = np.random.default_rng(3)
    books = [any_book(rng, 0.3, 0.25) for _ in range(200)]
    assert len({(b.thickness_m, b.height_m, b.cover) for b in books}) == 200
    assert len({len(b.bands) for b in books}) > 2
    assert all(b.height_m <= 0.3 and b.depth_m <= 0.25 for b in books)


def test_books_stay_within_their_shelves() -> None:
    pieces = build_furniture("shelves", seed=7, fill=1.0)
    inside = [p for p in pieces if p.name in ("book covers", "leather covers", "book pages")]
    low, high = bounds(inside)
    assert np.all(low > (-0.6 + 0.022 - 1e-9, -0.15, 0.082 - 1e-9))
    assert np.all(high < (0.6 - 0.022, 0.15 - 0.008, 2.0 - 0.022))


def test_pictures_of_different_seeds_differ() -> None:
    one, two = (build_furniture("picture", seed=s)[2].colour for s in (1, 2))
    assert one is not None
    assert two is not None
    assert np.abs(one - two).mean() > 0.01


def test_unknown_words_and_impossible_lengths_are_refused() -> None:
    with pytest.raises(CatalogError, match="no habit called cactus; there are rubber, fern"):
        build_furniture("plant", habit="cactus")
    with pytest.raises(CatalogError, match="no picture called selfie"):
        build_furniture("picture", kind="selfie")
    with pytest.raises(CatalogError, match="height_m is -1; lengths are 0 to 50 metres"):
        build_furniture("stool", height_m=-1)
