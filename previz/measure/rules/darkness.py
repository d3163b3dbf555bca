"""Why a picture would be black: no light on the set, or a lens inside something."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import ArrayLike

from previz.geometry.mesh import Mesh
from previz.measure.camera.surfaces import HAIR
from previz.measure.rules.findings import GEOMETRY, Finding, spoken
from previz.scenefile.wording import listed
from previz.stage.stage import Array, Stage, Thing

INSIDE = 0.5
"""Share of the whole sphere, seen from the lens, that the inside of a closed mesh fills: 1 from
within, 0 from without. Half of it is an estimate that also holds for bodies with open hems."""


def darkness_findings(stage: Stage) -> Iterator[Finding]:
    """What makes pictures black. Walls are not looked at: a camera outside the room is refused."""
    if not stage.layers:
        yield Finding(
            "no_light",
            "fault",
            "lights",
            f"every picture is black, for {_unlit(stage)}",
            source=GEOMETRY,
        )
    for name, camera in stage.cameras.items():
        thing = thing_round(camera.position_m, stage, name)
        if thing is not None:
            yield Finding(
                "lens_inside",
                "fault",
                f"cameras.{name}",
                f"camera {name} sees nothing, for its lens is inside {spoken(thing)}: move one of "
                "them",
                source=GEOMETRY,
            )


def _unlit(stage: Stage) -> str:
    """Why there is no light, and what would give some."""
    off = [name for name, light in stage.lights.items() if not light.on]
    down = [n for n, light in stage.lights.items() if light.on and light.output == 0.0]
    said = []
    if off:
        said.append(f"{listed(off, 'and')} {'is' if len(off) == 1 else 'are'} off")
    if down:
        said.append(f"{listed(down, 'and')} {'is' if len(down) == 1 else 'are'} at 0 %")
    if not said:
        return "no lamp and no window gives light: give the scene a light"
    return f"{' and '.join(said)}, and no window gives light: switch one on"


def thing_round(point_m: ArrayLike, stage: Stage, camera: str) -> str | None:
    """The thing whose solid parts hold a point (3,); the camera's own gear is left out."""
    point = np.asarray(point_m, float)
    holding = (t.name for t in stage.things if t.owner != camera and _holds(t, point))
    return next(holding, None)


def _holds(thing: Thing, point: Array) -> bool:
    if thing.kind == "person":
        # Skin ends where clothes begin; only together do they go all round.
        body = [piece.mesh for piece in thing.pieces if piece.name != HAIR]
        return any(_boxed(mesh, point) for mesh in body) and (
            sum(winding(mesh, point) for mesh in body) > INSIDE
        )
    solid = (piece.mesh for piece in thing.pieces if piece.closed)
    return any(_boxed(mesh, point) and winding(mesh, point) > INSIDE for mesh in solid)


def _boxed(mesh: Mesh, point: Array) -> bool:
    low, high = mesh.bounds
    return bool(np.all((low <= point) & (point <= high)))


def winding(mesh: Mesh, point: Array) -> float:
    """How often a mesh goes round a point: 1 inside a closed one, 0 outside.

    The solid angles of its triangles over 4 pi. Source of the closed form: van Oosterom and
    Strackee 1983, "The solid angle of a plane triangle", IEEE Trans. Biomed. Eng. 30(2).
    """
    corners = np.asarray(mesh.vertices, float)[mesh.faces] - point
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    la, lb, lc = (np.linalg.norm(side, axis=1) for side in (a, b, c))
    volume = np.einsum("ij,ij->i", a, np.cross(b, c))
    below = (
        la * lb * lc
        + np.einsum("ij,ij->i", a, b) * lc
        + np.einsum("ij,ij->i", b, c) * la
        + np.einsum("ij,ij->i", c, a) * lb
    )
    return float(np.sum(2.0 * np.arctan2(volume, below)) / (4.0 * math.pi))
