"""Sets of furniture: placed as one, known piece by piece, and nothing in them inside another."""

from __future__ import annotations

import itertools
from pathlib import Path

import numpy as np
import pytest
from scipy.sparse import coo_matrix
from scipy.sparse.csgraph import connected_components
from shapely.geometry import MultiPoint

from previz.api.opening import OpenScene, open_scene
from previz.catalog import Catalog
from previz.stage.stage import Thing

CATALOG = Catalog.load()
SCENE = """\
previz: 1
title: Plain room
room: {{width_m: 7, depth_m: 6, height_m: 2.8}}
cameras:
  A: {{sensor: super35_3perf, lens: zoom_24_70_f2.8, focal_length_mm: 35, f_number: 4,
      place: {{at_m: [0, -2], height_m: 1.2}}, aim_m: [0, 3, 1], focus_distance_m: 4}}
sets:
  room: {{{place}}}
"""
ON_NORTH = "wall: north, along_m: 3.5"


def opened(folder: Path, place: str) -> OpenScene:
    path = folder / "scene.yaml"
    path.write_text(SCENE.format(place=place), encoding="utf-8")
    return open_scene(path)


def things_of(folder: Path, place: str) -> dict[str, Thing]:
    """The pieces of the set by their own names."""
    stage = opened(folder, place).stage
    prefix = "furniture.room."
    return {
        thing.name.removeprefix(prefix): thing
        for thing in stage.things
        if thing.name.startswith(prefix)
    }


def bounds(thing: Thing) -> np.ndarray:
    points = np.concatenate([piece.mesh.vertices for piece in thing.pieces])
    return np.array([points.min(axis=0), points.max(axis=0)])


def test_each_piece_stands_by_name_where_the_record_says(tmp_path: Path) -> None:
    found = things_of(tmp_path, f"set: kitchen, {ON_NORTH}")
    record = CATALOG.furniture_set("kitchen")
    assert set(found) == set(record.pieces)
    # The wall's inner face is at y = 3, its middle at x = 0, and right of it is east.
    low, high = bounds(found["units"])
    assert (low[0] + high[0]) / 2 == pytest.approx(-0.3)
    assert high[1] == pytest.approx(3 - 0.005)
    low, high = bounds(found["hob"])
    assert (low[:2] + high[:2]) / 2 == pytest.approx([-0.75, 3 - 0.33])
    assert low[2] == pytest.approx(0.91)
    assert bounds(found["kettle"])[0, 2] == pytest.approx(0.91 + 0.008)


def test_a_set_that_stands_free_is_the_same_set_turned(tmp_path: Path) -> None:
    on_wall = things_of(tmp_path, f"set: living_corner, {ON_NORTH}")
    free = things_of(tmp_path, "set: living_corner, at_m: [0.5, 1.5], turn_deg: 30")
    assert set(on_wall) == set(free)
    turn = np.radians(30)
    matrix = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    for name, thing in on_wall.items():
        here = thing.pieces[0].mesh.vertices
        there = free[name].pieces[0].mesh.vertices
        expected = (here[:, :2] - [0, 3]) @ matrix.T + [0.5, 1.5]
        np.testing.assert_allclose(there[:, :2], expected, atol=1e-6)
        np.testing.assert_allclose(there[:, 2], here[:, 2], atol=1e-6)


def test_what_stood_on_a_piece_that_is_left_out_goes_with_it(tmp_path: Path) -> None:
    found = things_of(tmp_path, f"set: kitchen, {ON_NORTH}, without: [hob, clock]")
    assert not {"hob", "clock", "kettle"} & set(found)
    assert {"tap", "fruit", "units"} <= set(found)


def test_a_piece_is_changed_and_what_stands_on_it_follows(tmp_path: Path) -> None:
    change = "change: {bench: {piece: table, width_m: 1.8}, stool: {along_m: 0.3, out_m: 1.2}}"
    found = things_of(tmp_path, f"set: workshop, {ON_NORTH}, {change}")
    low, high = bounds(found["bench"])
    assert high[0] - low[0] == pytest.approx(1.8)
    assert bounds(found["mug"])[0, 2] == pytest.approx(0.74)
    stool = bounds(found["stool"]).mean(axis=0)
    assert stool[:2] == pytest.approx([0.3, 3 - 1.2], abs=0.02)


def test_findings_sockets_and_noises_know_each_piece(tmp_path: Path) -> None:
    stage = opened(tmp_path, f"set: kitchen, {ON_NORTH}").stage
    assert "room.socket" in stage.sockets
    assert "its hum" in stage.sound.noises["room.fridge"]
    assert stage.pieces["furniture.room.fridge"].label == CATALOG.furniture("fridge").label


def test_a_lamp_of_a_set_is_off_and_has_its_shade(tmp_path: Path) -> None:
    lamp = things_of(tmp_path, f"set: living_corner, {ON_NORTH}")["lamp"]
    (shade,) = [piece for piece in lamp.pieces if piece.name == "shade"]
    assert shade.material == "lamp_shade"
    low, high = shade.mesh.bounds
    assert high[0] - low[0] == pytest.approx(0.42, abs=1e-3)
    assert high[2] < 1.58 < high[2] + 0.02


def bodies(thing: Thing) -> list[np.ndarray]:
    """Corners (n, 3) of each body that a thing is built of."""
    found = []
    for piece in thing.pieces:
        points, faces = piece.mesh.vertices, np.asarray(piece.mesh.faces)
        edges = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]]])
        links = coo_matrix((np.ones(len(edges)), edges.T), shape=(len(points),) * 2)
        _, which = connected_components(links, directed=False)
        order = np.argsort(which, kind="stable")
        starts = np.flatnonzero(np.diff(which[order])) + 1
        found += [points[part] for part in np.split(order, starts)]
    return found


def overlap(one: np.ndarray, other: np.ndarray) -> np.ndarray:
    """How far the boxes round two sets of points reach into one another; below 0: apart."""
    return np.minimum(one.max(axis=0), other.max(axis=0)) - np.maximum(
        one.min(axis=0), other.min(axis=0)
    )


def meets(one: Thing, other: Thing) -> float:
    """Depth, metres, to which bodies of two things lie in one another: by hulls in plan."""
    if overlap(bounds(one), bounds(other)).min() < 0.01:
        return 0.0
    deepest = 0.0
    theirs = [b for b in bodies(other) if overlap(b, bounds(one)).min() > 0.01]
    for a, b in itertools.product(bodies(one), theirs):
        shared = overlap(a, b)
        if shared.min() < 0.01:
            continue
        hulls = [MultiPoint(points[:, :2]).convex_hull for points in (a, b)]
        common = hulls[0].intersection(hulls[1])
        if common.area > 1e-5:
            x0, y0, x1, y1 = common.bounds
            deepest = max(deepest, min(x1 - x0, y1 - y0, shared[2]))
    return deepest


@pytest.mark.parametrize("name", CATALOG.names("sets"))
def test_no_piece_of_a_set_stands_inside_another_or_in_the_wall(name: str, tmp_path: Path) -> None:
    record = CATALOG.furniture_set(name)
    found = things_of(tmp_path, f"set: {name}, {ON_NORTH}")
    for thing in found.values():
        low, high = bounds(thing)
        assert high[1] <= 3.0, thing.name
        assert low[1] >= 3.0 - record.depth_m - 0.35, thing.name
        assert low[2] >= -1e-6
    for one, other in itertools.combinations(found, 2):
        under = record.pieces[other].on == one or record.pieces[one].piece.startswith("rug")
        under |= record.pieces[other].piece.startswith("rug")
        if not under:
            assert meets(found[one], found[other]) < 0.03, (one, other)
