"""Triangles cut finer: every edge that is marked is cut in the middle, on both sides alike."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from previz.render.bake.surfaces import FACING, Ints, Net, areas_m2, joints

COARSE_M, STRIP_COARSE_M, STRIP_M = 0.30, 0.8, 0.03
"""Longest edge to begin with, and that of strips less wide than so much: light on a wall lit by
large lamps bends less than that shows."""
MOST_ROUNDS = 12


def edges_of(net: Net) -> tuple[Ints, Ints, Ints]:
    """Every edge between two places once: its ends (e, 2) as joints, the edge of each face's
    three sides (f, 3), and the joint of each vertex (v,)."""
    joint = joints(net)
    ends = joint[net.faces[:, [[0, 1], [1, 2], [2, 0]]]].reshape(-1, 2)
    ends = np.sort(ends, axis=1)
    named = ends[:, 0] * (int(joint.max(initial=0)) + 1) + ends[:, 1]
    _, first, number = np.unique(named, return_index=True, return_inverse=True)
    return ends[first], number.reshape(-1, 3), joint


def lengths_m(net: Net) -> NDArray[np.float64]:
    """Length of each face's three sides, (f, 3)."""
    corners = net.places[net.faces].astype(float)
    return np.asarray(np.linalg.norm(np.roll(corners, -1, axis=1) - corners, axis=2))


def coarse(net: Net) -> Net:
    """The net with no long edges. Kinds that have any come last."""
    long = _long(net).any(axis=1)
    touched = np.zeros(len(net.table), bool)
    touched[net.kinds[long]] = True
    among = touched[net.kinds]
    rest, net = net.only(~among), net.only(among)
    for _ in range(MOST_ROUNDS):
        marked = _long(net)
        if not marked.any():
            break
        net, _ = split(net, marked)
    return rest.beside(net)


def _long(net: Net) -> NDArray[np.bool_]:
    """Sides of faces (f, 3) that are too long to begin with."""
    lengths = lengths_m(net)
    height = 2.0 * areas_m2(net) / np.maximum(lengths.max(axis=1, initial=0.0), 1e-12)
    most = np.where(height < STRIP_M, STRIP_COARSE_M, COARSE_M)
    return np.asarray(lengths > most[:, None])


def split(net: Net, marked: NDArray[np.bool_]) -> tuple[Net, int]:
    """The net with every marked side (f, 3) cut in the middle, and how many faces, the first ones,
    are whole as they were. The vertices that there were stay the first.

    A side that two faces share is cut in both, so that no gap opens between them; of a face whose
    long sides are not marked none is cut, or its parts would be needles.
    """
    ends, sides, _ = edges_of(net)
    cut = np.zeros(len(ends), bool)
    cut[sides[marked]] = True
    lengths = lengths_m(net)
    longest = lengths.argmax(axis=1)
    row = np.arange(len(net.faces))
    # Whatever is cut has its longest side cut too.
    while True:
        late = cut[sides].any(axis=1) & ~cut[sides[row, longest]]
        if not late.any():
            break
        cut[sides[row[late], longest[late]]] = True
    return _cut(net, cut[sides])


def _cut(net: Net, cut: NDArray[np.bool_]) -> tuple[Net, int]:
    """The net with those sides of faces (f, 3) cut; whole faces come first."""
    whole = np.flatnonzero(~cut.any(axis=1))
    touched = np.flatnonzero(cut.any(axis=1))
    middles, number = _middles(net, cut)
    faces, parents = [net.faces[whole]], [whole]
    # Turned so that the longest side, which is always cut, runs from the first corner on.
    lead = lengths_m(net)[touched].argmax(axis=1)
    turn = (lead[:, None] + np.arange(3)) % 3
    a, b, c = np.take_along_axis(net.faces[touched], turn, axis=1).T
    ab, bc, ca = np.take_along_axis(number[touched], turn, axis=1).T
    for bc_cut, ca_cut in ((False, False), (True, False), (False, True), (True, True)):
        at = np.flatnonzero(((bc >= 0) == bc_cut) & ((ca >= 0) == ca_cut))
        for part in _parts(a[at], b[at], c[at], ab[at], bc[at], ca[at], bc_cut, ca_cut):
            faces.append(np.stack(part, axis=1))
            parents.append(touched[at])
    carried = np.concatenate([net.carried, middles])
    cut_net = net.with_faces(carried, np.concatenate(faces), np.concatenate(parents))
    return cut_net, len(whole)


def _parts(
    a: Ints, b: Ints, c: Ints, ab: Ints, bc: Ints, ca: Ints, bc_cut: bool, ca_cut: bool
) -> list[tuple[Ints, Ints, Ints]]:
    """The parts of triangles whose side ab is cut, and others as said."""
    if bc_cut and ca_cut:
        return [(a, ab, ca), (ab, b, bc), (ab, bc, c), (ab, c, ca)]
    if bc_cut:
        return [(a, ab, c), (ab, b, bc), (ab, bc, c)]
    if ca_cut:
        return [(a, ab, ca), (ab, b, c), (ab, c, ca)]
    return [(a, ab, c), (ab, b, c)]


def _middles(net: Net, cut: NDArray[np.bool_]) -> tuple[NDArray[np.float32], Ints]:
    """New vertices in the middle of cut sides, and the number of each side's (f, 3), -1: none."""
    face, side = np.nonzero(cut)
    one, other = net.faces[face, side], net.faces[face, (side + 1) % 3]
    low, high = np.minimum(one, other), np.maximum(one, other)
    # Vertices that are shared by faces stay shared.
    _, first, same = np.unique(
        low * len(net.carried) + high, return_index=True, return_inverse=True
    )
    middles = (net.carried[low[first]] + net.carried[high[first]]) / np.float32(2.0)
    facing = middles[:, FACING]
    facing /= np.maximum(np.linalg.norm(facing, axis=1, keepdims=True), 1e-12)
    number = np.full(cut.shape, -1, np.int64)
    number[face, side] = len(net.carried) + same.reshape(-1)
    return middles, number
