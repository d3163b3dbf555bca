"""A buttoned shirt: body, collar, placket and buttons."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from previz.geometry.mesh import Mesh
from previz.geometry.people.archive import Array
from previz.geometry.people.cloth import ClothSheet, Suit, settle
from previz.geometry.people.collar import shirt_collar
from previz.geometry.people.cuts import Cuts, Field
from previz.geometry.people.drape import Hang
from previz.geometry.people.ease import at_hips, fitted, over_deltoid
from previz.geometry.people.figure import Figure
from previz.geometry.people.hairs import FaceSurface
from previz.geometry.people.lying import Ground, look_up, sheet
from previz.geometry.people.meshing import normals
from previz.geometry.people.neck import ring
from previz.geometry.people.seams import (
    GATHERED,
    LAPPED,
    Seam,
    along_edge,
    armholes,
    stitched,
    yoke,
)
from previz.geometry.people.sewn import COTTON, HEAVY, Fabric, Pattern, sewn
from previz.geometry.people.skeleton import shortest
from previz.geometry.people.stripes import garment
from previz.geometry.piece import Piece
from previz.geometry.turned import cylinder

SEAM_M = 0.014  # the collar's seam over the base of the neck
ARMHOLE_M = 0.010  # past the ends of the shoulders
CUFF_M = 0.060


@dataclass(frozen=True)
class ShirtCut:
    """How a shirt is made.

    open_m    how far down from the collar's seam it stands open; 0 closes it up to the collar
    room_m    room between it and the body
    collar    whether it has one
    """

    name: str = "shirt"
    material: str = "cloth_shirt"
    fabric: Fabric = COTTON
    room_m: float = 0.011
    open_m: float = 0.0
    collar: bool = True


SHIRT = ShirtCut()
OPEN_SHIRT = ShirtCut(open_m=0.115)
BLOUSE = ShirtCut("blouse", fabric=Fabric(0.5, 0.05), room_m=0.016, open_m=0.095, collar=False)
WORK_JACKET = ShirtCut("work_jacket", "denim", HEAVY, 0.020, 0.13)
OPEN_SPREAD = 0.42  # half the width of an open neck, metres a metre down


def opens_at(cuts: Cuts, cut: ShirtCut) -> float:
    """Height at rest where a shirt's open neck ends below."""
    return float(cuts.joint("neck01")[2]) - 0.012 - cut.open_m


def shirt(suit: Suit, figure: Figure, colour: Array, cut: ShirtCut = SHIRT) -> tuple[Piece, ...]:
    """A buttoned shirt: body, collar, placket and buttons."""
    cloth = shirt_cloth(suit, cut)
    return dressed(suit, figure, cloth, colour, cut)


def shirt_cloth(suit: Suit, cut: ShirtCut) -> ClothSheet:
    """The body of a shirt as it hangs."""
    cuts = suit.cuts
    fields = cuts.with_sleeves(
        lambda p: cuts.over_collar(p, SEAM_M), 0.010, ("upperleg01.L", 0.015)
    )
    seam, more = fields[0], cut.room_m
    pattern = Pattern(
        room=lambda p: fitted(suit, p, more) + 0.006 * at_hips(suit, p),
        off=lambda p: 0.3 * more - 0.15 * more * over_deltoid(suit, p) + 0.006 * at_hips(suit, p),
        fabric=cut.fabric,
        held=lambda p: 0.016 - seam(p),
        longer=0.09,
        creases=0.85,
        hang=Hang(0.24),
    )
    cloth = stitched(sewn(suit, fields, pattern), _seams(cuts, fields))
    if cut.open_m > 0.0:
        low = opens_at(cuts, cut)
        cloth = cloth.cut(lambda p: -cuts.in_open_neck(p, low, OPEN_SPREAD))
    return cloth


def _seams(cuts: Cuts, fields: tuple[Field, ...]) -> tuple[Seam, ...]:
    """Yoke, armholes and cuffs."""
    cuff = fields[1]
    return (
        yoke(cuts, ARMHOLE_M, 0.030, 0.045),
        armholes(cuts, ARMHOLE_M, LAPPED),
        along_edge(cuff, CUFF_M, GATHERED),
        along_edge(cuff, 0.006),
    )


def in_opening(suit: Suit, below: Field, shows: Field, over: Ground) -> ClothSheet:
    """Cloth that shows in an opening of what is worn over it; `below` is >= 0 under its neck."""
    fields = (lambda p: 0.13 * suit.cuts.scale - np.abs(p[:, 0]), below)
    cloth = settle(suit, fields, lambda p: np.full(len(p), 0.006), rounds=14).cut(shows)
    return replace(cloth, vertices=over.lay(cloth.vertices, -9.0, -0.005))


def dressed(
    suit: Suit,
    figure: Figure,
    cloth: ClothSheet,
    colour: Array,
    cut: ShirtCut,
    shows: Field | None = None,
) -> tuple[Piece, ...]:
    """The cloth of a shirt with its collar, placket and buttons."""
    cuts = suit.cuts
    vertices, faces, rest = cloth.hemmed((0.0018, 0.012, 0.0006))
    body = garment(suit, figure, cut.name, (vertices, faces, rest), cut.material)
    neck = ring(suit, SEAM_M)
    top, low = float(neck.rest_at(0.0)[2]) - 0.001, float(cuts.joint("upperleg01.L")[2]) + 0.03
    if shows is not None:
        low = max(low, float(rest[:, 2].min()) + 0.01)
    apart = 0.0015
    if cut.open_m > 0.0:
        apart = OPEN_SPREAD * (top - opens_at(cuts, cut))
        top = opens_at(cuts, cut) - 0.004
    strip = placket(suit, cloth, (top, low), colour, cut.material)
    if not cut.collar:
        return (*body, *strip)
    ground = Ground(cloth.vertices, normals(cloth.vertices, cloth.faces))
    return (*body, shirt_collar(neck, ground, colour, apart, cut.material), *strip)


def placket(
    suit: Suit, cloth: ClothSheet, ends_z: tuple[float, float], colour: Array, material: str
) -> tuple[Piece, Piece]:
    """Placket and buttons down the middle of a shirt, between two heights at rest."""
    surface = down_the_front(suit, cloth)
    top, low = ends_z
    heights = np.linspace(top, low, 50)
    across = np.array([-0.016, -0.0145, -0.007, 0.0, 0.007, 0.0145, 0.016])
    grid = np.stack(np.meshgrid(across, heights), axis=-1).reshape(-1, 2)
    place, normal = look_up(surface, grid)
    rows = (place + 0.0016 * normal).reshape(len(heights), len(across), 3)
    strip = sheet("placket", rows, 0.0016, material, colour)
    along = np.arange(top - 0.045, low, -0.085)
    at, way = surface.over(np.stack([np.zeros_like(along), along], axis=1))
    discs = buttons("buttons", at, way, (0.0055, 0.0022, 0.0030), np.clip(1.6 * colour, 0.05, 0.6))
    return strip, discs


def down_the_front(suit: Suit, cloth: ClothSheet) -> FaceSurface:
    """The middle of a garment's front, found by (x, z) at rest."""
    vertices, faces, rest = cloth.vertices, cloth.faces, cloth.rest
    used = np.abs(rest[:, 0]) < 0.06
    middle = faces[used[faces].all(axis=1)]
    middle = middle[rest[middle][:, :, 1].mean(axis=1) < suit.cuts.joint("spine01")[1] - 0.02]
    return FaceSurface(rest, vertices, middle, normals(vertices, faces))


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
