"""Everything in the demo scenes rests on something, and nothing stands in anything else."""

from __future__ import annotations

from functools import cache
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
import trimesh
from numpy.typing import NDArray

from previz.catalog import Catalog
from previz.geometry.piece import Array
from previz.scenefile import read_scene
from previz.stage.furnishing import furnish
from previz.stage.room import build_standing_room
from previz.stage.stage import Thing

SCENES = sorted(
    path for path in Path(__file__).parents[2].glob("scenes/*/*.yaml") if path.stem == "scene"
)
GAP_M = 0.002
DEEPEST_M = 0.005
HUNG = ("picture", "clock", "tool_rack", "coat_rail", "pin_board", "wall_socket", "pendant_lamp")
UP = np.array([0.0, 0.0, 1.0])


@cache
def furnished(path: Path) -> tuple[tuple[Thing, ...], tuple[Thing, ...], frozenset[str]]:
    """Furniture, the room, and the names of what hangs on a wall or from the ceiling."""
    catalog = Catalog.load()
    draft = read_scene(path, catalog, ())
    assert draft.scene is not None, draft.problems
    room = build_standing_room(draft.scene, path.parent, catalog)
    furniture = furnish(draft.scene.furniture, catalog, room.room.walls, draft.scene.seed)
    hung = frozenset(
        f"furniture.{name}"
        for name, wanted in draft.scene.furniture.items()
        if catalog.furniture(wanted.piece).shape in HUNG
    )
    return tuple(furniture.things), room.things, hung


def whole(things: tuple[Thing, ...] | list[Thing]) -> trimesh.Trimesh:
    return trimesh.util.concatenate(
        [piece.mesh.exact for thing in things for piece in thing.pieces]
    )


def nearest(mesh: trimesh.Trimesh, origins: Array, direction: Array) -> NDArray[np.float64]:
    """Distance from each origin to what it meets first along `direction`; inf: nothing."""
    away = np.full(len(origins), np.inf)
    where, ray, _ = mesh.ray.intersects_location(
        origins, np.tile(direction, (len(origins), 1)), multiple_hits=False
    )
    away[ray] = np.linalg.norm(where - origins[ray], axis=1)
    return away


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.parent.name)
def test_what_stands_rests_on_something(path: Path) -> None:
    things, room, hung = furnished(path)
    floating = {}
    for thing in things:
        if thing.name in hung:
            continue
        others = whole([*room, *(other for other in things if other is not thing)])
        points = np.concatenate([piece.mesh.vertices for piece in thing.pieces])
        foot = points[points[:, 2] < points[:, 2].min() + 1e-4]
        foot = foot[:: max(1, len(foot) // 60)]
        # From a little above, so that what has sunk in (by no more than allowed) is found too.
        raised = foot + DEEPEST_M * UP
        gap = nearest(others, raised, -UP) - DEEPEST_M
        if np.median(gap) > GAP_M:
            floating[thing.name] = round(float(np.median(gap)), 4)
    assert not floating


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.parent.name)
def test_what_hangs_touches_its_wall(path: Path) -> None:
    things, room, hung = furnished(path)
    shell = whole(list(room))
    for thing in things:
        if thing.name not in hung:
            continue
        points = np.concatenate([piece.mesh.vertices for piece in thing.pieces])
        sides = [np.array(s, float) for s in ((1, 0, 0), (-1, 0, 0), (0, 1, 0), (0, -1, 0))]
        assert min(nearest(shell, points, side).min() for side in sides) < GAP_M, thing.name


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.parent.name)
def test_nothing_stands_in_anything_else(path: Path) -> None:
    things, _, _ = furnished(path)
    inside = {}
    for one, other in combinations(things, 2):
        depth = max(sunk_m(one, other), sunk_m(other, one))
        if depth > DEEPEST_M:
            inside[f"{one.name} in {other.name}"] = round(depth, 4)
    assert not inside


def sunk_m(one: Thing, other: Thing) -> float:
    """How deep the vertices of `one` lie in the closed pieces of `other`, at most."""
    deepest = 0.0
    points = np.concatenate([piece.mesh.vertices for piece in one.pieces])
    for piece in other.pieces:
        low, high = piece.mesh.bounds
        near = points[((points > low + 1e-4) & (points < high - 1e-4)).all(axis=1)]
        if not piece.closed or not len(near):
            continue
        within = near[piece.mesh.exact.contains(near)]
        if not len(within):
            continue
        ways = np.concatenate([np.eye(3), -np.eye(3)])
        out = np.min([nearest(piece.mesh.exact, within, way) for way in ways], axis=0)
        deepest = max(deepest, float(out.max()))
    return deepest
