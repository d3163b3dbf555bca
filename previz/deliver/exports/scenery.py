"""What an export hands on of a stage, once for all formats: surfaces, lamps, sun, near limits.

In SI and the world's own axes (Z up). What a format wants otherwise happens in its own module.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from previz.geometry.people.figure import Strands
from previz.geometry.piece import Piece
from previz.model.records import Material
from previz.render.bake.strips import hair_net
from previz.render.bake.surfaces import FIRST, needed
from previz.render.merge import is_drawn, is_painted
from previz.render.parts import PERSON
from previz.render.shading import shaded
from previz.stage.stage import Stage, StageCamera, Thing

F32 = NDArray[np.float32]
F64 = NDArray[np.float64]
Faces = NDArray[np.int64]
Rgb = tuple[float, float, float]

NEAREST_M, BEHIND_GEAR_M = 0.01, 0.005
"""The nearest that any camera sees, and how far behind its own gear it begins to see."""
HAIR_ROUGHNESS = 0.5
"""Of ribbons that stand for strands: a broad streak of shine, by eye."""


@dataclass(frozen=True)
class Finish:
    """How a surface looks. Two that are equal can share one material.

    material   its name in the catalogue, or what it is
    colour     mean reflectance, linear BT.709; (1, 1, 1) where the vertices have their own
    through    share of light that a thin sheet scatters to its far side
    clear      clear glass: then the colour says nothing
    pattern    the procedural pattern whose mean the colour is; "none" without
    pattern_size_m  size of the pattern's unit; None: the usual one
    two_sided  a sheet, seen from both sides
    """

    material: str
    colour: Rgb
    roughness: float
    metallic: float = 0.0
    refractive_index: float = 1.5
    through: float = 0.0
    clear: bool = False
    pattern: str = "none"
    pattern_size_m: float | None = None
    two_sided: bool = False


@dataclass(frozen=True, eq=False)
class Surface:
    """One mesh of one finish, v vertices and f triangles.

    name      within its thing, unique there
    vertices  (v, 3) metres; normals (v, 3) of unit length
    faces     (f, 3), counter-clockwise seen from outside
    paint     (v, 3) reflectance, linear BT.709; None where one colour is all over
    """

    name: str
    vertices: F32
    normals: F32
    faces: Faces
    paint: F32 | None
    finish: Finish


@dataclass(frozen=True, eq=False)
class Item:
    """A thing with its surfaces; the hair of a person is in `ribbons`, or exact in `strands`."""

    thing: Thing
    surfaces: tuple[Surface, ...]
    ribbons: Surface | None

    @property
    def strands(self) -> Strands | None:
        """Hair as curves, where there is any."""
        return None if self.ribbons is None else self.thing.strands


def items(stage: Stage) -> Iterator[Item]:
    """Everything that stands on a stage, in its order. Hair stands in for no mesh twice."""
    for thing in stage.things:
        pieces = [piece for piece in thing.pieces if is_drawn(piece, thing)]
        names = unique([piece.name for piece in pieces])
        surfaces = [
            _surface(name, piece, thing, stage.materials[piece.material])
            for name, piece in zip(names, pieces, strict=True)
        ]
        solid = tuple(surface for surface in surfaces if len(surface.faces))
        yield Item(thing, solid, _ribbons(thing, stage))


def unique(names: list[str]) -> list[str]:
    """The same names, numbered from 2 on where one comes again: `leg`, `leg.2`."""
    taken: set[str] = set()
    found = []
    for name in names:
        number, free = 1, name
        while free in taken:
            number += 1
            free = f"{name}.{number}"
        taken.add(free)
        found.append(free)
    return found


def _surface(name: str, piece: Piece, thing: Thing, material: Material) -> Surface:
    """A piece as it is shaded in pictures, without triangles that have no area."""
    vertices, normals, faces, corners = shaded(piece, False, thing.kind != PERSON)
    faces = faces[np.linalg.norm(piece.mesh.face_normals, axis=1) > 0.5]
    used, faces = needed(faces, len(vertices))
    paint = None
    if piece.colour is not None and piece.colour.ndim == 2:
        own = piece.colour if corners is None else piece.colour[corners]
        paint = np.clip(own[used], 0.0, 1.0).astype(np.float32)
    finish = _finish(piece, material)
    return Surface(
        name,
        vertices[used].astype(np.float32),
        normals[used].astype(np.float32),
        faces,
        paint,
        finish,
    )


def _finish(piece: Piece, material: Material) -> Finish:
    colour = material.reflectance if piece.colour is None else piece.colour
    if is_painted(piece) and np.ndim(colour) == 2:
        colour = (1.0, 1.0, 1.0)
    red, green, blue = (float(c) for c in np.clip(colour, 0.0, 1.0))
    roughness = material.roughness if piece.roughness is None else float(piece.roughness.mean())
    return Finish(
        material=piece.material,
        colour=(red, green, blue),
        roughness=roughness,
        metallic=material.metallic,
        refractive_index=material.refractive_index,
        through=material.diffuse_transmittance,
        clear=material.clear,
        pattern=material.pattern,
        pattern_size_m=material.pattern_size_m,
        two_sided=not piece.closed or material.diffuse_transmittance > 0.0,
    )


def _ribbons(thing: Thing, stage: Stage) -> Surface | None:
    """Hair as the ribbons that are drawn where there are no curves."""
    net = hair_net(thing, stage.object_ids[thing.name], stage.seed)
    if net is None:
        return None
    finish = Finish("hair", (1.0, 1.0, 1.0), HAIR_ROUGHNESS, two_sided=True)
    lengths = np.linalg.norm(net.facings, axis=1, keepdims=True)
    facings = np.where(lengths > 0.5, net.facings / np.maximum(lengths, 0.5), [0.0, 0.0, 1.0])
    paint = np.clip(net.carried[:, FIRST], 0.0, 1.0).astype(np.float32)
    return Surface(
        "hair", net.places, facings.astype(np.float32), np.asarray(net.faces), paint, finish
    )


def sees_from_m(stage: Stage, camera: StageCamera) -> float:
    """From how far on a camera sees: behind all of its own gear that would stand in its view.

    The lens of a stage does not see the barrel it sits in; another program's camera would.
    """
    own = [p.mesh.vertices for t in stage.things if t.owner == camera.name for p in t.pieces]
    if not own:
        return NEAREST_M
    local = (np.concatenate(own) - camera.position_m) @ camera.pose[:3, :3]
    depth = -local[:, 2]
    half = np.array([camera.sensor_width_m, camera.sensor_height_m]) / 2.0 / camera.focal_length_m
    within = (np.abs(local[:, :2]) <= depth[:, None] * half * 1.02).all(axis=1) & (depth > 0.0)
    farthest = float(depth[within].max(initial=0.0))
    return max(NEAREST_M, farthest + BEHIND_GEAR_M)
