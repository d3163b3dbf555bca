"""Where the lower lid meets the eye: its wet red edge, and the caruncle in the inner corner."""

from __future__ import annotations

import numpy as np

from previz.geometry.mesh import Mesh
from previz.geometry.people.archive import Array, BodyData
from previz.geometry.people.eyes import Socket, touching
from previz.geometry.people.hairs import tapered
from previz.geometry.piece import Piece
from previz.geometry.turned import ball

# Sizes and colours are estimates, judged by eye on rendered faces.
EDGE_M = 0.00050  # radius of the edge where it is fullest
CARUNCLE_M = np.array([0.0019, 0.0014, 0.0016])
EDGE_COLOUR = np.array([0.42, 0.25, 0.21])
CARUNCLE_COLOUR = np.array([0.40, 0.20, 0.17])
ACROSS = 17  # points along the edge; odd, so that it has a middle


def lid_edge(data: BodyData, vertices: Array, socket: Socket, side: str) -> Piece:
    """Edge of one lower lid with the caruncle, as wet as the eye.

    vertices  (V, 3) of the body at rest with its expression; `socket` where the eyeball is
    """
    line = lower_line(data, vertices, socket, side)
    middle = ACROSS // 2
    # From the middle to both corners, thinner and thinner.
    halves = np.stack([line[middle::-1], line[middle:]])
    points, faces = tapered(halves, EDGE_M, 0.4 * EDGE_M)
    bead = ball(2)
    outward = (line[0] - socket.centre) / socket.radius_m
    flesh = bead.vertices * CARUNCLE_M + line[0] - 0.0003 * outward
    return Piece(
        f"eye_{side}_lid",
        Mesh(np.concatenate([points, flesh]), np.concatenate([faces, bead.faces + len(points)])),
        "eye_white",
        smooth=True,
        colour=np.repeat([EDGE_COLOUR, CARUNCLE_COLOUR], [len(points), len(flesh)], axis=0),
        closed=False,
    )


def lower_line(data: BodyData, vertices: Array, socket: Socket, side: str) -> Array:
    """Where the lower lid touches the eyeball: (17, 3) from the inner corner to the outer one."""
    touch = touching(data, vertices, socket, side)
    outwards = 1.0 if side == "left" else -1.0
    across = outwards * touch[:, 0]
    inner, outer = int(np.argmin(across)), int(np.argmax(across))
    chord = np.interp(across, across[[inner, outer]], touch[[inner, outer], 2])
    lower = (touch[:, 2] < chord) | np.isin(np.arange(len(touch)), [inner, outer])
    height = np.polynomial.Polynomial.fit(across[lower], touch[lower, 2], 4)
    x = np.linspace(across[inner], across[outer], ACROSS)
    z = height(x) + 0.4 * EDGE_M
    y = -np.sqrt(np.maximum(socket.radius_m**2 - x**2 - z**2, 0.0))
    return np.stack([outwards * x, y, z], axis=1) + socket.centre
