"""How cloth hangs: it keeps its lengths, stays off the body, and lies in no knots."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pytest
from oracles.folded import folded_share
from scipy.spatial import KDTree

from previz.geometry.people import Figure, Pose, shoulders
from previz.geometry.people.archive import default_archive, load_archive
from previz.geometry.people.cloth import ClothSheet, Suit, make_suit
from previz.geometry.people.cuts import Cuts
from previz.geometry.people.meshing import Net, normals, triangles
from previz.geometry.people.posture import pose_arms, pose_trunk
from previz.geometry.people.relax import Contact, Solid, Threads, relax
from previz.geometry.people.shape import rest_body
from previz.geometry.people.shirt import BLOUSE, SHIRT, WORK_JACKET, shirt_cloth
from previz.geometry.people.skeleton import skin

WORN = [
    (Figure(sex="female", build="heavy", seed=2), Pose(), SHIRT),
    (Figure(sex="male", build="slim", seed=3), Pose(posture="standing"), SHIRT),
    (Figure(sex="male", build="heavy", seed=4), Pose(posture="leaning"), WORK_JACKET),
    (Figure(sex="female", seed=5), Pose(posture="legs_crossed", hands="folded"), BLOUSE),
    (Figure(sex="female", seed=6), Pose(hands="gesturing", bearing=5), SHIRT),
    (Figure(sex="male", seed=7), Pose(posture="at_bench", bearing=8), WORK_JACKET),
]


@lru_cache(maxsize=8)
def _worn(number: int) -> tuple[Suit, ClothSheet]:
    figure, pose, cut = WORN[number]
    data = load_archive(default_archive())
    rest = rest_body(data, figure)
    posed = pose_arms(rest, pose_trunk(rest, figure, pose), pose)
    moved = skin(rest.vertices, data.weight_joints, data.weights, posed.transforms)
    moved = shoulders.settle(rest, posed, moved)
    seat = None if pose.stands else pose.seat_height_m
    suit = make_suit(data, rest.vertices, moved, Cuts(rest), seat, figure.seed)
    return suit, shirt_cloth(suit, cut)


@pytest.mark.parametrize("number", range(len(WORN)))
def test_no_cloth_goes_through_the_skin_it_is_worn_on(number: int) -> None:
    suit, cloth = _worn(number)
    on = suit.cuts.along_arm(cloth.rest)[1]
    trunk, left, right = suit.solids
    # In the bends of arms and of the lap the body is folded into itself, and cloth with it.
    elbow = suit.cuts.joint("lowerarm01.L")
    mirrored = np.abs(cloth.rest) * [1.0, 0.0, 0.0] + cloth.rest * [0.0, 1.0, 1.0]
    on = np.where(np.linalg.norm(mirrored - elbow, axis=1) < 0.075, 0.5, on)
    # Nor is there room for it where a heavy arm lies on the trunk.
    pressed = suit.solids[0].tree.query(cloth.vertices)[0] < 0.025
    on = np.where(pressed & (on > 0.05), 0.5, on)
    body = (on < 0.05) & (cloth.rest[:, 2] > suit.cuts.joint("upperleg01.L")[2] + 0.17)
    sides = ((trunk, body), (left, (on > 0.95) & (cloth.rest[:, 0] > 0.0)))
    for solid, who in (*sides, (right, (on > 0.95) & (cloth.rest[:, 0] < 0.0))):
        points = cloth.vertices[who]
        far, near = solid.tree.query(points)
        off = ((points - solid.points[near]) * solid.normals[near]).sum(axis=1)[far < 0.03]
        assert len(off) > 500
        # Half a millimetre is what a net of centimetres leaves between its points.
        assert (off < -0.0005).mean() < 0.002
        assert off.min() > -0.006


@pytest.mark.parametrize("number", range(len(WORN)))
def test_cloth_is_nowhere_turned_inside_out(number: int) -> None:
    _, cloth = _worn(number)
    assert folded_share(cloth.vertices, cloth.faces, 2e-6) < 0.002


@pytest.mark.parametrize("number", range(len(WORN)))
def test_the_suit_that_clothes_are_cut_from_lies_close_on_shoulders_and_arms(number: int) -> None:
    suit, _ = _worn(number)
    data = suit.cuts.rest.data
    count = data.ranges["body"][1]
    body = suit.cuts.rest.vertices[:count]
    near = KDTree(body).query(suit.rest)[1]
    out = normals(body, triangles(data.faces["body"]))
    off = ((suit.rest - body[near]) * out[near]).sum(axis=1)
    shoulder = suit.cuts.joint("upperarm01.L")
    on = suit.cuts.along_arm(suit.rest)[1] > 0.9
    on |= (np.abs(suit.rest[:, 0]) > 0.13) & (suit.rest[:, 2] > shoulder[2])
    assert np.quantile(off[on], 0.05) > -0.0035
    assert np.quantile(off[on], 0.95) < 0.0035


def test_sleeves_and_trunk_keep_the_lengths_they_were_cut_to() -> None:
    _, cloth = _worn(1)
    net = Net(cloth.faces, len(cloth.vertices))
    long = np.linalg.norm(np.diff(cloth.vertices[net.edges], axis=1)[:, 0], axis=1)
    rest = np.linalg.norm(np.diff(cloth.rest[net.edges], axis=1)[:, 0], axis=1)
    stretched = long[rest > 0.003] / rest[rest > 0.003]
    # Room makes cloth longer than skin, by the share of a centimetre in an arm's radius at most.
    assert 0.95 < np.median(stretched) < 1.2
    assert np.quantile(stretched, 0.99) < 1.9


def test_a_thread_that_hangs_is_as_long_as_it_was_cut() -> None:
    count = 12
    start = np.stack([np.linspace(0.0, 0.11, count), np.zeros(count), np.zeros(count)], axis=1)
    pairs = np.stack([np.arange(count - 1), np.arange(1, count)], axis=1)
    threads = Threads(pairs, np.full(count - 1, 0.01), np.ones((count - 1, 2)), count)
    held = np.arange(count) == 0
    hung = relax(start, threads, [], 3000, held, lambda points: points)
    assert hung[-1, 2] == pytest.approx(-0.11, abs=0.004)
    assert np.linalg.norm(np.diff(hung, axis=0), axis=1) == pytest.approx(0.01, rel=0.08)


def test_cloth_stays_as_far_off_a_ball_as_it_is_told() -> None:
    turn = np.linspace(0.0, 2.0 * np.pi, 200, endpoint=False)
    up = np.linspace(-np.pi / 2, np.pi / 2, 100)
    ball = np.array(
        [[np.cos(u) * np.cos(t), np.cos(u) * np.sin(t), np.sin(u)] for u in up for t in turn]
    )
    x, y = (a.reshape(-1) for a in np.meshgrid(*[np.linspace(-0.05, 0.05, 11)] * 2))
    start = np.stack([x, y, np.full(len(x), 0.13)], axis=1)
    ids = np.arange(121).reshape(11, 11)
    pairs = np.concatenate(
        [
            np.stack([ids[:-1].reshape(-1), ids[1:].reshape(-1)], axis=1),
            np.stack([ids[:, :-1].reshape(-1), ids[:, 1:].reshape(-1)], axis=1),
        ]
    )
    threads = Threads(pairs, np.full(len(pairs), 0.01), np.ones((len(pairs), 2)), 121)
    contact = Contact(Solid(0.1 * ball, ball), np.arange(121), np.full(121, 0.004), 0.05)
    lain = relax(start, threads, [contact], 600, np.zeros(121, bool), lambda points: points)
    far = np.linalg.norm(lain, axis=1)
    assert far.min() > 0.1035
    assert np.median(far) == pytest.approx(0.104, abs=0.001)
