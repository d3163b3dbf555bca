"""A buttoned shirt: body, collar, placket and buttons."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from previz.geometry.mesh import Mesh
from previz.geometry.people.archive import Array
from previz.geometry.people.cloth import ClothSheet, Suit, settle
from previz.geometry.people.collar import shirt_collar
from previz.geometry.people.cuts import Field
from previz.geometry.people.drape import Hang
from previz.geometry.people.ease import at_hips, over_deltoid
from previz.geometry.people.figure import Figure
from previz.geometry.people.hairs import FaceSurface
from previz.geometry.people.lying import Ground, look_up, sheet
from previz.geometry.people.meshing import normals
from previz.geometry.people.neck import ring
from previz.geometry.people.sewn import Pattern, sewn
from previz.geometry.people.skeleton import shortest
from previz.geometry.people.stripes import garment
from previz.geometry.piece import Piece
from previz.geometry.turned import cylinder

SEAM_M = 0.014  # the collar's seam over the base of the neck


def shirt(
    suit: Suit,
    figure: Figure,
    colour: Array,
    shows: Field | None = None,
    over: Ground | None = None,
) -> tuple[Piece, ...]:
    """A shirt with a collar, a placket and buttons.

    shows  in points at rest, >= 0 on the part that is seen, where a jacket hides the rest
    over   the jacket's cloth, closed: the shirt stays under it
    """
    cuts = suit.cuts
    fields = cuts.with_sleeves(
        lambda p: cuts.over_collar(p, SEAM_M), 0.010, ("upperleg01.L", 0.015)
    )

    def bib(p: Array) -> Array:
        return np.asarray(0.13 * cuts.scale - np.abs(p[:, 0]))

    seam = fields[0]
    if shows is None:
        pattern = Pattern(
            room=lambda p: 0.011 - 0.006 * over_deltoid(suit, p) + 0.006 * at_hips(suit, p),
            off=lambda p: 0.003 + 0.006 * at_hips(suit, p),
            held=lambda p: 0.016 - seam(p),
            longer=0.09,
            hang=Hang(0.24),
        )
        cloth = sewn(suit, fields, pattern)
    else:
        cloth = settle(suit, (bib, seam), lambda p: np.full(len(p), 0.006), rounds=14).cut(shows)
    if over is not None:
        cloth = replace(cloth, vertices=over.lay(cloth.vertices, -9.0, -0.005))
    vertices, faces, rest = cloth.hemmed((0.0018, 0.012, 0.0006))
    body = garment(suit, figure, "shirt", (vertices, faces, rest), "cloth_shirt")
    neck = ring(suit, SEAM_M)
    ground = Ground(cloth.vertices, normals(cloth.vertices, cloth.faces))
    band = shirt_collar(neck, ground, colour)
    top, low = float(neck.rest_at(0.0)[2]) - 0.001, float(cuts.joint("upperleg01.L")[2]) + 0.03
    if shows is not None:
        low = max(low, float(rest[:, 2].min()) + 0.01)
    return (*body, band, *placket(suit, cloth, (top, low), colour))


def placket(
    suit: Suit, cloth: ClothSheet, ends_z: tuple[float, float], colour: Array
) -> tuple[Piece, Piece]:
    """Placket and buttons down the middle of a shirt, between two heights at rest."""
    vertices, faces, rest = cloth.vertices, cloth.faces, cloth.rest
    used = np.abs(rest[:, 0]) < 0.05
    middle = faces[used[faces].all(axis=1)]
    middle = middle[rest[middle][:, :, 1].mean(axis=1) < suit.cuts.joint("spine01")[1] - 0.02]
    surface = FaceSurface(rest, vertices, middle, normals(vertices, faces))
    top, low = ends_z
    heights = np.linspace(top, low, 50)
    across = np.array([-0.016, -0.0145, -0.007, 0.0, 0.007, 0.0145, 0.016])
    grid = np.stack(np.meshgrid(across, heights), axis=-1).reshape(-1, 2)
    place, normal = look_up(surface, grid)
    rows = (place + 0.0016 * normal).reshape(len(heights), len(across), 3)
    strip = sheet("placket", rows, 0.0016, "cloth_shirt", colour)
    along = np.arange(top - 0.045, low, -0.085)
    at, way = surface.over(np.stack([np.zeros_like(along), along], axis=1))
    discs = buttons("buttons", at, way, (0.0055, 0.0022, 0.0030), np.clip(1.6 * colour, 0.05, 0.6))
    return strip, discs


def buttons(
    name: str, at: Array, way: Array, size_m: tuple[float, float, float], colour: Array
) -> Piece:
    """Discs at points (n, 3) facing `way` (n, 3); radius, thickness, and height off the points."""
    radius, thick, off = size_m
    parts = []
    disc = cylinder(radius, thick, sections=20)
    for centre, axis in zip(at, way, strict=True):
        turn = np.eye(4)
        turn[:3, :3] = shortest(np.array([0.0, 0.0, 1.0]), axis)
        turn[:3, 3] = centre + off * axis
        parts.append(disc.moved(turn))
    points = np.concatenate([part.vertices for part in parts])
    count = len(parts[0].vertices)
    corners = np.concatenate([part.faces + i * count for i, part in enumerate(parts)])
    mesh = Mesh(points, corners)
    return Piece(name, mesh, "cloth_shirt", colour=colour)
