"""What of the lights and windows the lenses of spectacles mirror toward each camera.

A lens is a clear pane as curved as its mesh. The ray from the lens of the camera is mirrored at
points all over it, and meets the nearest light or window. The room's walls, doors and curtains
stand in the way; the wearer's own brow and nose, furniture and other people do not.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from previz.geometry.mesh import Mesh
from previz.measure.light.light import set_for_lx
from previz.measure.light.luminance import distance_m, luminance_cd_m2
from previz.physics.exposure import MID_GREY_REFLECTANCE
from previz.physics.mirror import index_of_specular, mirrored, pane_share
from previz.physics.photometry import luminance_of_diffuse_cd_m2
from previz.physics.rays import blocked
from previz.stage.stage import Array, Emitter, Stage, StageCamera, StagePerson
from previz.units import ratio_to_stops

Side = Literal["left", "right"]
GLASS = "spectacle_glass"
LEAST_COVERED_PCT = 1.0
FAINTEST_STOPS = -6.0
"""Against mid grey: a veil darker than this is not noticed (common practice, no source)."""
RAYS_TRIED = 40
"""How many of the mirrored rays are followed through the room, of each light in each lens."""


@dataclass(frozen=True, eq=False)
class SpectacleLens:
    """One lens: points (n, 3) over it, unit normals out of its front, area round each (n,)."""

    side: Side
    points_m: Array
    normals: Array
    areas_m2: Array
    index: float

    def turned(self, matrix: Array) -> SpectacleLens:
        """The lens under a rigid 4x4 `matrix`."""
        turn = matrix[:3, :3]
        return replace(
            self, points_m=self.points_m @ turn.T + matrix[:3, 3], normals=self.normals @ turn.T
        )


@dataclass(frozen=True)
class Veil:
    """One light mirrored in one lens (the wearer's own left and right), as a camera sees it.

    covered_pct      of what the camera sees of the lens
    veil_cd_m2       mean luminance that the mirrored light adds there
    stops_over_grey  the same against a grey card in the light that the camera is set for
    """

    person: str
    light: str
    lens: Side
    covered_pct: float
    veil_cd_m2: float
    stops_over_grey: float


def lenses_of(stage: Stage, person: StagePerson) -> tuple[SpectacleLens, ...]:
    """The lenses a person wears, left first; none without spectacles."""
    thing = next((t for t in stage.things if t.name == f"people.{person.name}"), None)
    piece = next((p for p in thing.pieces if p.name == GLASS), None) if thing else None
    if piece is None:
        return ()
    index = index_of_specular(stage.materials[piece.material].specular)
    points, normals, areas = _spread(piece.mesh)
    to_left, to_right = (
        np.linalg.norm(points - person.landmarks[f"eye_{side}"], axis=1)
        for side in ("left", "right")
    )
    own: tuple[tuple[Side, NDArray[np.bool_]], ...] = (
        ("left", to_left < to_right),
        ("right", to_left >= to_right),
    )
    return tuple(SpectacleLens(side, points[m], normals[m], areas[m], index) for side, m in own)


def veils(
    stage: Stage,
    camera: StageCamera,
    person: str,
    lenses: Iterable[SpectacleLens],
    walls: Array,
    emitters: Sequence[Emitter] | None = None,
) -> tuple[Veil, ...]:
    """What a person's lenses mirror toward a camera that has them in its frame.

    walls     triangles (m, 3, 3) that stand between lens and light, from `walls_of`
    emitters  only these, wherever they stand; else all of the stage that are lit
    """
    shining = [e for e in (stage.emitters if emitters is None else emitters) if e.lit]
    grey_cd_m2 = luminance_of_diffuse_cd_m2(set_for_lx(camera), MID_GREY_REFLECTANCE)
    found = []
    for lens in lenses:
        for light, share, veil_cd_m2 in _in_lens(stage, camera, lens, walls, shining):
            stops = ratio_to_stops(veil_cd_m2 / grey_cd_m2) if veil_cd_m2 > 0.0 else -math.inf
            if 100.0 * share >= LEAST_COVERED_PCT and stops >= FAINTEST_STOPS:
                found.append(Veil(person, light, lens.side, 100.0 * share, veil_cd_m2, stops))
    return tuple(found)


def walls_of(stage: Stage) -> Array:
    """Triangles (m, 3, 3) of the room and what hangs at its windows, clear panes left out."""
    pieces = [p for thing in stage.things if thing.kind == "room" for p in thing.pieces]
    solid = [p.mesh.triangles for p in pieces if not stage.materials[p.material].clear]
    return np.concatenate([np.zeros((0, 3, 3)), *solid])


def _in_lens(
    stage: Stage,
    camera: StageCamera,
    lens: SpectacleLens,
    walls: Array,
    emitters: Sequence[Emitter],
) -> list[tuple[str, float, float]]:
    """Of each light mirrored: its name, the share of the lens it covers, mean luminance."""
    to_camera = camera.position_m - lens.points_m
    to_camera = to_camera / np.linalg.norm(to_camera, axis=1, keepdims=True)
    cosine = np.sum(to_camera * lens.normals, axis=1)
    pixels = camera.project(lens.points_m, 1, 1)
    seen = (cosine > 0.0) & ((pixels >= 0.0) & (pixels <= 1.0)).all(axis=1)
    if not seen.any() or not emitters:
        return []
    starts, cosine = lens.points_m[seen], cosine[seen]
    weights = lens.areas_m2[seen] * cosine
    ways = mirrored(to_camera[seen], lens.normals[seen])
    far_m = np.stack([distance_m(emitter.shape, starts, ways) for emitter in emitters])
    nearest = np.where(np.isfinite(far_m).any(axis=0), far_m.argmin(axis=0), -1)
    mirror = pane_share(cosine, lens.index)
    found = []
    for layer in dict.fromkeys(emitter.layer for emitter in emitters):
        light = np.zeros(len(starts))
        own = np.zeros(len(starts), bool)
        for number, emitter in enumerate(emitters):
            if emitter.layer == layer:
                hit = nearest == number
                light[hit] = luminance_cd_m2(emitter, stage, ways[hit])
                own |= hit
        if not own.any():
            continue
        free = _free_share(starts[own], ways[own], far_m.min(axis=0)[own], walls)
        share = free * float(weights[own].sum() / weights.sum())
        veil_cd_m2 = float(np.average((mirror * light)[own], weights=weights[own]))
        found.append((layer, share, veil_cd_m2))
    return found


def _free_share(starts: Array, ways: Array, far_m: Array, walls: Array) -> float:
    """Share of rays that no wall stops, by some of them."""
    picked = np.unique(np.linspace(0, len(starts) - 1, RAYS_TRIED).astype(int))
    # A window's own hole lies in the wall: its frame must not count as before it.
    stopped = [blocked(starts[i], ways[i], 0.98 * float(far_m[i]), walls) for i in picked]
    return 1.0 - float(np.mean(stopped))


def _spread(mesh: Mesh) -> tuple[Array, Array, Array]:
    """Middles of quarters of the triangles: points (n, 3), smooth normals (n, 3), areas (n,)."""
    corners = np.asarray(mesh.vertices, float)[mesh.faces]
    normals = np.asarray(mesh.vertex_normals, float)[mesh.faces]
    within = np.array([[4, 1, 1], [1, 4, 1], [1, 1, 4], [2, 2, 2]]) / 6.0
    points = np.einsum("qc,tcx->tqx", within, corners).reshape(-1, 3)
    off = np.einsum("qc,tcx->tqx", within, normals).reshape(-1, 3)
    areas = np.repeat(np.asarray(mesh.area_faces, float) / 4.0, 4)
    return points, off / np.linalg.norm(off, axis=1, keepdims=True), areas
