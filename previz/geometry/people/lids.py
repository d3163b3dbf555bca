"""Lids: how far they are apart over the pupil, and the wet red edge of the lower one.

At rest the upper lid covers the top of the iris and the lower one meets its rim, or white shows
round the iris and a face stares. Heights over and under the middle of the pupil, in adults:

- 2 to 3 mm below the upper rim of the iris, at its lower rim or 1 mm over it, 8 to 10 mm apart:
  Dutton, "Surgical Management of Eyelid Retraction in Thyroid Eye Disease", in "Thyroid Eye
  Disease: Diagnosis and Treatment", 2002 (the book and its year from memory)
- 4 to 4.5 mm over the pupil: common teaching of eye surgeons
- of Koreans 3.2 (0.9) mm over and 5.7 (0.6) mm under it at 20 to 40 years, 2.4 (1.0) and 4.5 (0.9)
  mm from 60 on: means and deviations of 380 people, summary of a study that names no author
- 9.7 (1.2) mm apart, and 6.4 (1.1) mm with the eyes 40 degrees down: Read, Collins, Carney and
  Iskander, "The Morphology of the Palpebral Fissure in Different Directions of Vertical Gaze",
  Optometry and Vision Science 83(10), 2006
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from previz.geometry.mesh import Mesh
from previz.geometry.people.archive import Array, BodyData, Index
from previz.geometry.people.eyes import pigment
from previz.geometry.people.hairs import tapered
from previz.geometry.people.sockets import AHEAD_M, Socket, lid_rims, socket
from previz.geometry.piece import Piece
from previz.geometry.turned import ball as unit_ball

# Within what is published above: who has a fold in the inner corner opens less, and so do the old.
UPPER_M, LOWER_M = 0.0037, 0.0052
ASIAN_LOWER_BY_M, OLD_LOWER_BY_M = 0.0007, 0.0007
OF_RADIUS_M = 0.016  # of the ball on which these lengths are true
# What lids do with the eyes: 3.3 mm nearer at 40 degrees down, after Read and others; how the two
# share it, and how far the lower one lags when they look up, are estimates.
NEARER_M, AT_RAD = (0.0012, 0.0021), np.radians(40.0)
LAGS = 0.3
# How the skin about a lid's edge goes with it: an estimate, judged by eye.
WITH_EDGE_M, NEAREST_M, REACH_M = 0.0045, 0.0012, 0.012
# The skin of a lid stays off the ball, or the white would show through it: by as much of what it
# has on the base body, and by that at most.
OFF_SHARE, OFF_MOST_M = 0.7, 0.0010
PASSES = 2  # until edges are where they should be within some hundredths of a millimetre

# Sizes and colours are estimates, judged by eye on rendered faces.
EDGE_M = 0.00050  # radius of the edge where it is fullest
CARUNCLE_M = np.array([0.0019, 0.0014, 0.0016])
EDGE_COLOUR = np.array([0.42, 0.25, 0.21])
CARUNCLE_COLOUR = np.array([0.40, 0.20, 0.17])
EDGE_PIGMENT = 0.6  # what that of dark skin takes from both
ACROSS = 17  # points along the edge; odd, so that it has a middle


@dataclass(frozen=True)
class Opening:
    """How far an upper and a lower lid are from the middle of the pupil, metres on a ball of
    `OF_RADIUS_M`, with the eyes straight ahead."""

    upper_m: float = UPPER_M
    lower_m: float = LOWER_M

    def moved(self, upper_m: float, lower_m: float) -> Opening:
        """Each lid that much farther open."""
        return Opening(self.upper_m + upper_m, self.lower_m + lower_m)

    def heights_m(self, radius_m: float, eye_pitch_rad: float) -> tuple[float, float]:
        """Heights of the lids' edges over the middle of the ball, with the eyes turned up."""
        scale, pupil_m = radius_m / OF_RADIUS_M, radius_m * float(np.sin(eye_pitch_rad))
        down = max(-eye_pitch_rad, 0.0) / AT_RAD
        upper, lower = (
            scale * (own - down * nearer)
            for own, nearer in zip((self.upper_m, self.lower_m), NEARER_M, strict=True)
        )
        return pupil_m + upper, pupil_m - lower - LAGS * max(pupil_m, 0.0)


def at_rest(age_years: float, asia: float) -> Opening:
    """Lids of somebody awake and calm; `asia` is the share of that descent."""
    old = float(np.clip((age_years - 45.0) / 35.0, 0.0, 1.0))
    return Opening().moved(-ASIAN_LOWER_BY_M * asia - OLD_LOWER_BY_M * old, 0.0)


def opened(
    data: BodyData,
    vertices: Array,
    sockets: tuple[Socket, Socket],
    opening: Opening,
    eye_pitch_rad: float,
) -> Array:
    """`vertices` (V, 3) at rest with the lids on the eyeballs, as far apart as they should be.

    sockets  of the left and the right eye
    """
    out = vertices
    for side, ball in zip(("left", "right"), sockets, strict=True):
        heights = opening.heights_m(ball.radius_m, eye_pitch_rad)
        index, shares = _goes_along(data, side)
        for _ in range(PASSES):
            moves = shares @ _to_ball(data, out, ball, side, heights)
            out = out.copy()
            out[index] += moves
        skin, off_m = _over_ball(data, side)
        away = out[skin] - ball.centre
        far = np.linalg.norm(away, axis=1)
        short = np.maximum(ball.radius_m + off_m - far, 0.0)
        out[skin] += away * (short / far)[:, None]
    return out


def _to_ball(
    data: BodyData, vertices: Array, ball: Socket, side: str, heights: tuple[float, float]
) -> Array:
    """How the points of the lids' edges must move (n, 3) to lie on the ball, at these heights over
    its middle where they are farthest apart."""
    rims = lid_rims(data, side)
    now = rims.of(vertices) - ball.centre
    x, z = now[:, 0], now[:, 2].copy()
    middle, half = 0.5 * (x.max() + x.min()), 0.5 * np.ptp(x)
    # Corners stay where they are.
    give = np.clip(1.0 - ((x - middle) / half) ** 2, 0.0, 1.0)
    ahead = np.abs(x) < AHEAD_M
    for height, lid, farthest in (
        (heights[0], rims.upper, np.max),
        (heights[1], ~rims.upper, np.min),
    ):
        z[lid] += give[lid] * (height - float(farthest(z[lid & ahead])))
    y = -np.sqrt(np.maximum(ball.radius_m**2 - x**2 - z**2, 0.0))
    return np.stack([np.zeros(len(x)), y - now[:, 1], z - now[:, 2]], axis=1)


@lru_cache(maxsize=4)
def _goes_along(data: BodyData, side: str) -> tuple[Index, Array]:
    """Vertices (k,) of skin and lashes near the lids of one eye, and how much each follows the
    points of the lids' edges (k, n)."""
    edge = lid_rims(data, side).of(data.base)
    parts = [np.arange(*data.ranges[name]) for name in ("body", "lashes")]
    index = np.concatenate(parts)
    index = index[np.linalg.norm(data.base[index] - edge.mean(axis=0), axis=1) < 0.035]
    away = np.linalg.norm(data.base[index][:, None] - edge[None], axis=2)
    nearest = away.min(axis=1)
    index, away, nearest = (kept[nearest < REACH_M] for kept in (index, away, nearest))
    shares = np.exp(-((away - nearest[:, None]) / NEAREST_M))
    follow = np.exp(-((nearest / WITH_EDGE_M) ** 2))
    return index, shares / shares.sum(axis=1, keepdims=True) * follow[:, None]


@lru_cache(maxsize=4)
def _over_ball(data: BodyData, side: str) -> tuple[Index, Array]:
    """Vertices (k,) of the outside of one eye's lids, and how far each stays off the ball (k,)."""
    index, _ = _goes_along(data, side)
    index = index[index < data.ranges["body"][1]]
    ball = socket(data, data.base, side)
    off_m = np.linalg.norm(data.base[index] - ball.centre, axis=1) - ball.radius_m
    outside = off_m > 0.0
    return index[outside], np.minimum(OFF_SHARE * off_m[outside], OFF_MOST_M)


def lid_edge(data: BodyData, vertices: Array, ball: Socket, side: str, ita_deg: float) -> Piece:
    """Edge of one lower lid with the caruncle, as wet as the eye.

    vertices  (V, 3) of the body at rest with its expression; `ball` where the eyeball is
    ita_deg   typology angle of the skin
    """
    colours = np.array([EDGE_COLOUR, CARUNCLE_COLOUR]) * (1.0 - EDGE_PIGMENT * pigment(ita_deg))
    line = lower_line(data, vertices, ball, side)
    middle = ACROSS // 2
    # From the middle to both corners, thinner and thinner.
    halves = np.stack([line[middle::-1], line[middle:]])
    points, faces = tapered(halves, EDGE_M, 0.4 * EDGE_M)
    bead = unit_ball(2)
    outward = (line[0] - ball.centre) / ball.radius_m
    flesh = bead.vertices * CARUNCLE_M + line[0] - 0.0003 * outward
    return Piece(
        f"eye_{side}_lid",
        Mesh(np.concatenate([points, flesh]), np.concatenate([faces, bead.faces + len(points)])),
        "eye_white",
        smooth=True,
        colour=np.repeat(colours, [len(points), len(flesh)], axis=0),
        closed=False,
    )


def lower_line(data: BodyData, vertices: Array, ball: Socket, side: str) -> Array:
    """Where the lower lid touches the eyeball: (17, 3) from the inner corner to the outer one."""
    rims = lid_rims(data, side)
    edge = rims.of(vertices) - ball.centre
    outwards = 1.0 if side == "left" else -1.0
    across = outwards * edge[:, 0]
    lower = ~rims.upper | np.isin(np.arange(len(edge)), [np.argmin(across), np.argmax(across)])
    height = np.polynomial.Polynomial.fit(across[lower], edge[lower, 2], 4)
    x = np.linspace(across.min(), across.max(), ACROSS)
    z = height(x) + 0.4 * EDGE_M
    y = -np.sqrt(np.maximum(ball.radius_m**2 - x**2 - z**2, 0.0))
    return np.stack([outwards * x, y, z], axis=1) + ball.centre
