"""What a bake does to surfaces: cut without gaps, grouped, and read where they are."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from bake_nets import WALL, box_net, net_from

from previz.geometry.people.figure import Strands
from previz.render.bake.held import BEFORE_M, Corners, middles
from previz.render.bake.splitting import (
    COARSE_M,
    STRIP_COARSE_M,
    STRIP_M,
    coarse,
    edges_of,
    lengths_m,
    split,
)
from previz.render.bake.strips import BROADER, PIECES, POINTS, hair_net
from previz.render.bake.surfaces import Kind, areas_m2, grouped
from previz.stage.stage import Thing


def finer(net, seed: int, rounds: int = 3):
    """The net with sides cut by chance, some rounds."""
    rng = np.random.default_rng(seed)
    for _ in range(rounds):
        net, whole = split(net, rng.random((len(net.faces), 3)) < 0.15)
        assert 0 <= whole < len(net.faces)
    return net


@pytest.mark.parametrize("seed", range(5))
def test_no_gap_opens_wherever_sides_are_cut(seed):
    """Of a closed body every edge has two faces: a corner in the middle of another's side would
    leave three edges with one each."""
    net = finer(box_net(), seed)
    ends, sides, _ = edges_of(net)
    assert np.all(np.bincount(sides.reshape(-1), minlength=len(ends)) == 2)
    assert len(net.faces) > 40


@pytest.mark.parametrize("seed", range(5))
def test_parts_cover_their_parents_and_nothing_else(seed):
    before = box_net()
    after = finer(before, seed)
    parent = after.patterns
    area = np.bincount(parent, areas_m2(after), minlength=len(before.faces))
    np.testing.assert_allclose(area, areas_m2(before), rtol=1e-5)
    assert areas_m2(after).min() > 0.0
    # Turned as their parents are, and in their planes.
    corners = after.places[after.faces].astype(float)
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    facing = before.facings[before.faces[parent, 0]]
    np.testing.assert_allclose(normals, facing, atol=1e-4)
    first = before.places[before.faces[parent, 0]]
    away = np.einsum("fkj,fj->fk", corners - first[:, None], facing)
    np.testing.assert_allclose(away, 0.0, atol=1e-6)
    np.testing.assert_array_equal(after.kinds, before.kinds[parent])


def test_what_is_not_marked_stays_and_old_corners_keep_their_numbers():
    net = box_net()
    marked = np.zeros((len(net.faces), 3), bool)
    marked[3, int(lengths_m(net)[3].argmax())] = True
    cut, whole = split(net, marked)
    # The longest side of a side's triangle is its diagonal: that of one other face.
    assert (len(cut.faces), whole) == (len(net.faces) + 2, len(net.faces) - 2)
    np.testing.assert_array_equal(cut.carried[: len(net.carried)], net.carried)
    untouched, whole = split(net, np.zeros_like(marked))
    np.testing.assert_array_equal(untouched.faces, net.faces)
    assert whole == len(net.faces)


def test_to_begin_with_no_edge_is_longer_than_light_is_even():
    net = coarse(box_net((3.0, 2.0, 0.02)))
    lengths = lengths_m(net)
    height = 2.0 * areas_m2(net) / lengths.max(axis=1)
    wide = height >= STRIP_M
    assert lengths[wide].max() <= COARSE_M + 1e-5
    assert lengths[~wide].max() <= STRIP_COARSE_M + 1e-5
    assert areas_m2(net).sum() == pytest.approx(2 * (3.0 * 2.0 + 3.0 * 0.02 + 2.0 * 0.02), rel=1e-5)


def test_near_corners_of_a_kind_that_face_alike_are_read_as_one():
    up, down = (0.0, 0.0, 1.0), (0.0, 0.0, -1.0)
    places = np.array([[0, 0, 0], [0.001, 0, 0], [0, 0.001, 0], [0.5, 0, 0], [0, 0, 0], [0, 0, 0]])
    facings = np.array([up, up, up, up, down, up], float)
    net = net_from(places, np.array([[0, 1, 2], [3, 3, 3], [4, 4, 4], [5, 5, 5]]), facings)
    other = Kind(2, "", 0.0, clear=False, patterned=False)
    net = replace(net, table=(WALL, other), kinds=np.array([0, 0, 0, 1], np.int32))
    receptor, count = grouped(net, np.zeros(2, bool))
    assert receptor[0] == receptor[1] == receptor[2]
    assert len({receptor[0], receptor[3], receptor[4], receptor[5]}) == 4 == count


def barycentric(points, corners):
    a, b, c = (corners[:, k] for k in range(3))
    basis = np.stack([b - a, c - a], axis=2)
    two = np.linalg.pinv(basis) @ (points - a)[..., None]
    return np.concatenate([1.0 - two.sum(axis=1), two[:, :, 0]], axis=1)


def test_points_lie_before_the_part_of_a_face_that_is_nearest_to_its_receptor():
    places = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0]], float)
    net = net_from(places, np.array([[0, 1, 2]]), np.tile([0.0, 0.0, 1.0], (3, 1)))
    corners = Corners(net, np.arange(3), 3)
    rng = np.random.default_rng(1)
    held = corners.held(np.arange(3), np.array([5, 6, 7]), 64, rng)
    np.testing.assert_allclose(held.points_m[:, 2], BEFORE_M, rtol=1e-5)
    np.testing.assert_array_equal(held.order, np.tile(np.arange(64), 3))
    np.testing.assert_array_equal(held.index, np.repeat([5, 6, 7], 64))
    shares = barycentric(held.points_m * [1, 1, 0], np.tile(places, (len(held), 1, 1)))
    assert shares.min() > -1e-6
    np.testing.assert_array_equal(shares.argmax(axis=1), np.repeat(np.arange(3), 64))
    sums = np.bincount(held.index, held.weight)[5:]
    np.testing.assert_allclose(sums, 1.0, rtol=1e-6)
    assert corners.area_m2 == pytest.approx([0.5, 0.5, 0.5])


def test_the_mean_of_points_is_the_middle_of_what_they_are_read_for():
    net = finer(box_net(), 7)
    rng = np.random.default_rng(1)
    held = middles(net, 256, rng)
    middle = net.places[net.faces].astype(float).mean(axis=1) + BEFORE_M * (
        net.facings[net.faces].mean(axis=1)
    )
    found = held.points_m.reshape(len(net.faces), 256, 3).mean(axis=1)
    # An even spread over a triangle has a deviation of at most its longest side over sqrt(18).
    error = lengths_m(net).max(axis=1) / np.sqrt(18.0 * 256.0)
    assert np.all(np.abs(found - middle) < 5.0 * error[:, None])


def test_the_far_side_of_a_sheet_counts_by_what_passes_through():
    places = np.array([[0, 0, 0], [1, 0, 0], [0, 1, 0]], float)
    sheet = Kind(1, "", 0.25, clear=False, patterned=False)
    net = net_from(places, np.array([[0, 1, 2]]), np.tile([0.0, 0.0, 1.0], (3, 1)), sheet)
    corners = Corners(net, np.zeros(3, np.int64), 1)
    held = corners.held(np.zeros(1, np.int64), np.zeros(1, np.int64), 20, np.random.default_rng(1))
    far = held.normals[:, 2] < 0.0
    assert held.weight[far].sum() == pytest.approx(0.25)
    assert held.weight[~far].sum() == pytest.approx(0.75)
    np.testing.assert_allclose(held.points_m[far, 2], -BEFORE_M, rtol=1e-5)


def test_ribbons_stand_for_the_strands_that_they_replace():
    count, knots = 40, 12
    around = np.linspace(0.0, 2.0 * np.pi, count, endpoint=False)
    along = np.linspace(0.0, 1.0, knots)
    points = np.zeros((count, knots, 3))
    points[..., 0] = np.cos(around)[:, None] * (0.08 + 0.05 * along)
    points[..., 1] = np.sin(around)[:, None] * (0.08 + 0.05 * along)
    points[..., 2] = 0.1 * along
    radius = np.full((count, knots), 1e-4)
    colour = np.array([0.1, 0.06, 0.04])
    strands = Strands(points, radius, 1.0, 0.1, np.ones(3), colour)
    thing = Thing("guest", "person", (), strands=strands)
    net = hair_net(thing, 3, 1)
    assert net is not None
    steps = min(POINTS, knots)
    one_of = max(1.0, count * (steps - 1) / PIECES)
    kept = int(count / one_of)
    assert len(net.carried) == kept * steps * 2
    assert len(net.faces) == kept * (steps - 1) * 2 <= 2 * PIECES
    sides = net.places.reshape(-1, 2, 3).astype(float)
    width = np.linalg.norm(sides[:, 1] - sides[:, 0], axis=1)
    np.testing.assert_allclose(width, 2e-4 * one_of * BROADER, rtol=2e-3)
    outward = np.einsum("ij,ij->i", net.facings, net.places * [1, 1, 0])
    assert outward.min() > 0.0
    assert net.table[0].hair and net.table[0].thing == 3
    assert hair_net(replace(thing, strands=None), 3, 1) is None
