"""Light keeps to the openings: rays cast at the built meshes, with a caster of their own."""

import math

import numpy as np
import pytest
from shapely.geometry import LineString, Polygon

from previz.geometry.room import OpeningShape, RoomShape, build_room, rectangle

HEIGHT = 2.7
ROOMS = {
    "rectangle": (rectangle(6.0, 7.5), (0.3, -0.4, 1.2)),
    "l_room": ([(0, 0), (6, 0), (6, 3), (3, 3), (3, 6), (0, 6)], (2.0, 2.2, 1.1)),
    "triangle": ([(0, 0), (5, 0), (1, 4)], (1.7, 1.2, 1.5)),
    "eight": (
        [(0, 0), (5, 0), (6, 1), (6, 4), (4.5, 5), (2, 5), (2, 3), (-1, 3)],
        (3.0, 2.5, 1.3),
    ),
}


def first_hits(pieces, origins, directions):
    """Distance (k,) from each origin to the first triangle along its ray; inf for none.

    Moller and Trumbore's ray-triangle intersection, every ray against every triangle.
    """
    corners = np.concatenate([piece.mesh.vertices[piece.mesh.faces] for piece in pieces])
    start, edge1 = corners[:, 0], corners[:, 1] - corners[:, 0]
    edge2 = corners[:, 2] - corners[:, 0]
    nearest = np.full(len(directions), np.inf)
    for i, (origin, direction) in enumerate(zip(origins, directions, strict=True)):
        across = np.cross(direction, edge2)
        scale = (edge1 * across).sum(axis=1)
        scale[np.abs(scale) < 1e-15] = np.nan
        to_origin = origin - start
        u = (to_origin * across).sum(axis=1) / scale
        over = np.cross(to_origin, edge1)
        v = (over @ direction) / scale
        t = (edge2 * over).sum(axis=1) / scale
        hit = (u >= -1e-9) & (v >= -1e-9) & (u + v <= 1 + 1e-9) & (t > 1e-9)
        if hit.any():
            nearest[i] = t[hit].min()
    return nearest


def sphere_directions(count, seed=1):
    directions = np.random.default_rng(seed).normal(size=(count, 3))
    return directions / np.linalg.norm(directions, axis=1, keepdims=True)


def expected_distance(corners, origin, direction):
    """Distance to the inside of the prism over the polygon, from the plan alone."""
    up = direction[2]
    limits = [] if up == 0 else [(HEIGHT - origin[2]) / up if up > 0 else -origin[2] / up]
    flat = np.linalg.norm(direction[:2])
    reach = np.asarray(origin[:2]) + 50 * direction[:2] / flat
    crossing = LineString([origin[:2], reach]).intersection(Polygon(corners).exterior)
    points = getattr(crossing, "geoms", [crossing])
    limits.append(min(math.dist(origin[:2], (p.x, p.y)) for p in points) / flat)
    return min(limits)


@pytest.mark.parametrize("clockwise", [False, True])
@pytest.mark.parametrize("room", ROOMS)
def test_a_room_without_openings_stops_every_ray_at_its_polygon(room, clockwise):
    corners, origin = ROOMS[room]
    corners = list(corners)[::-1] if clockwise else corners
    built = build_room(RoomShape(corners, HEIGHT, skirting_height_m=0.0))
    directions = sphere_directions(2000)
    found = first_hits(built.pieces, [origin] * 2000, directions)
    expected = [expected_distance(corners, origin, direction) for direction in directions]
    assert np.isfinite(found).all()
    assert found == pytest.approx(np.array(expected), abs=1e-9)


@pytest.mark.parametrize("room", ROOMS)
def test_rays_aimed_at_edges_and_corners_find_no_gap(room):
    corners, origin = ROOMS[room]
    shape = RoomShape(corners, HEIGHT, skirting_height_m=0.0)
    built = build_room(shape)
    rng = np.random.default_rng(2)
    targets = []
    for k, corner in enumerate(np.array(corners, dtype=float)):
        ahead = np.array(corners[(k + 1) % len(corners)], dtype=float)
        along = corner + rng.uniform(0, 1, (60, 1)) * (ahead - corner)
        targets += [(*corner, z) for z in rng.uniform(0, HEIGHT, 60)]
        targets += [(*p, z) for p in along for z in (0.0, HEIGHT)]
    jitter = rng.normal(scale=1e-9, size=(len(targets), 3))
    directions = np.array(targets) + jitter - origin
    directions /= np.linalg.norm(directions, axis=1, keepdims=True)
    assert np.isfinite(first_hits(built.pieces, [origin] * len(directions), directions)).all()


@pytest.mark.parametrize("clockwise", [False, True])
@pytest.mark.parametrize("wall", [1, 2, 3, 4])
def test_a_hole_lies_where_a_person_facing_the_wall_measures_it(wall, clockwise):
    corners = list(rectangle(6.0, 7.5))[::-1] if clockwise else rectangle(6.0, 7.5)
    hole = OpeningShape("opening", wall, 0.4, 1.1, 1.3, 0.8)
    built = build_room(RoomShape(corners, HEIGHT), [hole])
    a, b = np.array(corners[wall - 1]), np.array(corners[wall % 4])
    out = (a + b) / 2 / np.linalg.norm((a + b) / 2)
    # Facing outward, the left hand points a quarter turn counter-clockwise from there.
    left = np.array([-out[1], out[0]])
    left_end = max(a, b, key=lambda corner: corner @ left)

    def through(along, height):
        target = np.array([*(left_end - left * along), height])
        origin = target - 0.5 * np.array([*out, 0.0])
        return first_hits(built.pieces, [origin], [np.array([*out, 0.0])])[0]

    for along in (0.401, 1.0, 1.499):
        for height in (0.801, 1.4, 2.099):
            assert through(along, height) == np.inf
    for along, height in ((0.399, 1.4), (1.501, 1.4), (1.0, 0.799), (1.0, 2.101), (4.0, 1.4)):
        assert through(along, height) == pytest.approx(0.5, abs=1e-9)


@pytest.mark.parametrize("room", ROOMS)
def test_a_window_lets_light_through_its_panes_and_not_beside_it(room):
    corners, _ = ROOMS[room]
    openings = [
        OpeningShape("window", wall, 0.25, 0.8, 1.2, 0.9, panes_across=3, panes_up=3)
        for wall in (1, 2)
    ]
    built = build_room(RoomShape(corners, HEIGHT), openings)
    for portal in built.portals:
        right = np.cross(portal.up, portal.normal)
        inside = portal.centre_m + portal.normal * 0.4
        out = -portal.normal
        beside = [inside + right * x for x in (-0.41, 0.41)]
        above = [inside + portal.up * y for y in (-0.61, 0.61)]
        blocked = np.array([*beside, *above])
        assert first_hits(built.pieces, [inside], [out])[0] == np.inf
        assert (first_hits(built.pieces, blocked, [out] * 4) < 0.4 + 0.25).all()
        # The frame covers the hole's edge, and bars stand a third of the clear width apart.
        edge = [inside + right * x for x in (-0.39, 0.39, 0.34 / 3, -0.34 / 3)]
        assert (first_hits(built.pieces, edge, [out] * 4) < 0.4).all()


@pytest.mark.parametrize("room", ROOMS)
def test_all_light_from_outside_comes_in_through_the_portals(room):
    corners, origin = ROOMS[room]
    openings = [
        OpeningShape("window", 1, 0.2, 1.0, 1.2, 0.9),
        OpeningShape("window", 2, 0.3, 0.8, 2.0, 0.0, recess_m=0.15),
        OpeningShape("door", 3, 0.5, 0.9, 2.05),
    ]
    built = build_room(RoomShape(corners, HEIGHT), openings)
    directions = sphere_directions(2000, seed=3)
    open_ways = ~np.isfinite(first_hits(built.pieces, [origin] * 2000, directions))
    assert open_ways.any()
    for direction in directions[open_ways]:
        assert any(_passes(portal, np.array(origin), direction) for portal in built.portals)


def _passes(portal, origin, direction):
    reach = ((portal.centre_m - origin) @ portal.normal) / (direction @ portal.normal)
    aside = origin + reach * direction - portal.centre_m
    across = abs(aside @ np.cross(portal.up, portal.normal))
    return (
        reach > 0
        and across <= portal.width_m / 2
        and abs(aside @ portal.up) <= (portal.height_m / 2)
    )


def test_a_hole_beside_an_inward_corner_is_not_blocked_by_the_next_wall():
    corners = ROOMS["l_room"][0]
    hole = OpeningShape("opening", 3, 0.1, 0.8, 1.0, 1.0)
    built = build_room(RoomShape(corners, HEIGHT), [hole])
    wall = built.walls[2]
    assert tuple(wall.left_m) == (3.0, 3.0)
    start = wall.left_m + wall.along * 0.15 + wall.inward * 0.3
    found = first_hits(built.pieces, [(*start, 1.5)], [np.array([*-wall.inward, 0.0])])[0]
    assert found > 0.3 + wall.thickness_m
    for piece in built.pieces:
        assert piece.mesh.exact.is_watertight, piece.name
