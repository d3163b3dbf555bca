"""What is knitted and pulled over the head or buttoned: jumper, T-shirt, cardigan, hoodie."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from previz.geometry.mesh import Mesh
from previz.geometry.people.archive import Array
from previz.geometry.people.cloth import ClothSheet, Suit
from previz.geometry.people.cuts import Field
from previz.geometry.people.drape import Hang, slow
from previz.geometry.people.ease import at_hips, fitted, over_cuff, over_deltoid
from previz.geometry.people.figure import Figure
from previz.geometry.people.jacket import Front
from previz.geometry.people.lying import Ground, sheet
from previz.geometry.people.meshing import normals
from previz.geometry.people.neck import ring
from previz.geometry.people.seams import armholes, stitched
from previz.geometry.people.sewn import KNIT, Fabric, Pattern, sewn
from previz.geometry.people.shirt import buttons, in_opening
from previz.geometry.people.spectacles import tube
from previz.geometry.people.stripes import garment
from previz.geometry.piece import Piece
from previz.geometry.smooth import smooth

BAND_M = 0.024  # width of knitted bands
SLEEVE = 0.62  # of the way to the elbow, where the sleeve of a T-shirt ends
ARMHOLE_M = 0.014  # past the ends of the shoulders
HEM = ("upperleg01.L", 0.0)


def jumper(suit: Suit, figure: Figure) -> tuple[Piece, ...]:
    """A jumper with a round neck and knitted bands."""
    fields = suit.cuts.with_sleeves(_crew(suit, 0.012), 0.012, HEM)
    cloth = _set_in(suit, sewn(suit, fields, _knitted(suit, 0.012)))
    return _with_bands(suit, figure, "jumper", "cloth_knit", cloth, fields)


def t_shirt(suit: Suit, figure: Figure) -> tuple[Piece, ...]:
    """A T-shirt with a round neck."""
    cuts = suit.cuts
    neck = _crew(suit, 0.010)
    fields = (
        lambda p: -neck(p),
        lambda p: -cuts.past_sleeve(p, SLEEVE),
        lambda p: -cuts.below_height(p, *HEM),
    )
    pattern = Pattern(
        room=lambda p: 0.012 - 0.006 * over_deltoid(suit, p) + 0.004 * at_hips(suit, p),
        off=lambda p: 0.003 + 0.005 * at_hips(suit, p),
        fabric=Fabric(0.45, 0.08),
        hang=Hang(0.30),
    )
    cloth = _set_in(suit, sewn(suit, fields, pattern), 0.006)
    return _round_necked(suit, figure, cloth, fields[0])


def _round_necked(
    suit: Suit, figure: Figure, cloth: ClothSheet, inside: Field
) -> tuple[Piece, ...]:
    """A T-shirt's cloth with its band; `inside` is the distance from the neckline."""
    plain, band = cloth.banded(inside, 0.013, 0.0008)
    return (
        *garment(suit, figure, "t_shirt", plain.hemmed((0.002, 0.010, 0.0006)), "cloth_jersey"),
        *garment(suit, figure, "t_shirt_neck", band.hemmed((0.002, 0.003, 0.0006)), "cloth_jersey"),
    )


def cardigan(suit: Suit, figure: Figure, under: Array) -> tuple[Piece, ...]:
    """A cardigan, open down to the waist and buttoned below, over a T-shirt of colour `under`."""
    cuts = suit.cuts
    low = float(cuts.joint("spine03")[2])

    def front(p: Array) -> Array:
        return cuts.in_open_neck(p, low, 0.36)

    fields = cuts.with_sleeves(_crew(suit, 0.0), 0.012, HEM)
    closed = _set_in(suit, sewn(suit, fields, _knitted(suit, 0.014)))
    cloth = closed.cut(lambda p: -front(p))
    edge = _Least((lambda p: -front(p), fields[0]))
    plain, band = cloth.banded(edge, BAND_M, 0.002)
    hem = (0.004, 0.012, 0.0016)
    ground = Ground(closed.vertices, normals(closed.vertices, closed.faces))
    crew = _crew(suit, 0.010)
    inner = in_opening(suit, lambda p: -crew(p), lambda p: front(p) + 0.03, ground)
    shirt = replace(figure, clothes_colour=tuple(under), stripe_m=None)
    hip = float(cuts.joint("upperleg01.L")[2])
    z = np.linspace(low - 0.02, hip + 0.05, 4)
    at, way = Front(cuts, closed).surface.over(np.stack([np.zeros_like(z), z], axis=1))
    colour = np.array(figure.clothes_colour)
    return (
        *garment(suit, figure, "cardigan", plain.hemmed(hem), "cloth_knit"),
        *garment(suit, figure, "cardigan_band", band.hemmed(hem), "cloth_knit"),
        *_round_necked(suit, shirt, inner, lambda p: -crew(p)),
        buttons("buttons", at, way, (0.009, 0.003, 0.0045), np.clip(0.4 * colour, 0.01, 0.3)),
    )


def hoodie(suit: Suit, figure: Figure) -> tuple[Piece, ...]:
    """A hooded top: hood down, a pocket across the front, and its strings."""
    cuts = suit.cuts
    fields = cuts.with_sleeves(_crew(suit, 0.004), 0.012, HEM)
    cloth = _set_in(suit, sewn(suit, fields, _knitted(suit, 0.017)), 0.030)
    colour = np.array(figure.clothes_colour)
    front = Front(cuts, cloth)
    worn = [_hood(suit, front.ground, colour), _pocket(suit, front, colour), *_strings(suit, front)]
    return (*_with_bands(suit, figure, "hoodie", "cloth_jersey", cloth, fields), *worn)


def _crew(suit: Suit, dip_m: float) -> Field:
    """The edge of a round neck, positive beyond the cloth."""
    return lambda p: suit.cuts.above_neckline(p, -0.004, dip_m)


def _knitted(suit: Suit, room_m: float) -> Pattern:
    return Pattern(
        room=lambda p: (
            fitted(suit, p, room_m) + 0.007 * at_hips(suit, p) - 0.5 * room_m * over_cuff(suit, p)
        ),
        off=lambda p: 0.0035 + 0.006 * at_hips(suit, p),
        fabric=KNIT,
        creases=0.75,
        longer=0.07,
        hang=Hang(0.30),
    )


def _set_in(suit: Suit, cloth: ClothSheet, beyond_m: float = ARMHOLE_M) -> ClothSheet:
    """The cloth with its sleeves set in, `beyond_m` past the ends of the shoulders."""
    return stitched(cloth, (armholes(suit.cuts, beyond_m),))


class _Least:
    """The least of several fields."""

    def __init__(self, fields: tuple[Field, ...]) -> None:
        self.fields = fields

    def __call__(self, p: Array) -> Array:
        return np.asarray(np.min([field(p) for field in self.fields], axis=0))


def _with_bands(
    suit: Suit,
    figure: Figure,
    name: str,
    material: str,
    cloth: ClothSheet,
    fields: tuple[Field, ...],
) -> tuple[Piece, ...]:
    """Cloth with knitted bands at neck, cuffs and hem."""
    pieces: list[Piece] = []
    hem = (0.004, 0.010, 0.0016)
    for part, inside, wide_m in zip(
        ("neck", "cuffs", "hem"), fields, (0.011, 0.055, 0.05), strict=True
    ):
        cloth, band = cloth.banded(inside, wide_m, 0.0010)
        pieces += garment(suit, figure, f"{name}_{part}", band.hemmed(hem), material)
    return (*garment(suit, figure, name, cloth.hemmed((0.003, 0.004, 0.0)), material), *pieces)


def _hood(suit: Suit, ground: Ground, colour: Array) -> Piece:
    """A hood that lies on the shoulders: round the neck, and down behind."""
    neck = ring(suit, 0.0)
    angle = np.linspace(np.radians(7.0), np.radians(353.0), 91)
    behind = np.clip((0.35 - np.cos(angle)) / 1.2, 0.0, 1.0)
    base = neck.radius(angle)
    uneven = 0.004 * slow(
        np.stack([np.cos(angle), np.sin(angle), 0.0 * angle], axis=1),
        0.6,
        np.random.default_rng(suit.seed + 9),
    )
    # Out from the seam, up, over, and down to where it lies on the back: at a side, and behind.
    side = [
        (0.004, -0.010),
        (0.012, 0.018),
        (0.024, 0.030),
        (0.038, 0.022),
        (0.046, 0.002),
        (0.044, -0.012),
        (0.034, -0.020),
    ]
    back = [
        (0.006, -0.010),
        (0.022, 0.020),
        (0.046, 0.040),
        (0.080, 0.030),
        (0.098, -0.030),
        (0.092, -0.110),
        (0.070, -0.150),
    ]
    # In front both ends run out flat, one beside the other.
    full = 0.25 + 0.75 * smooth(np.clip((np.cos(angle[0]) - np.cos(angle)) / 0.75, 0.0, 1.0))
    rows = []
    for (near, up), (far, high) in zip(side, back, strict=True):
        out = full * (near + behind * (far - near)) + uneven
        rows.append(neck.at(angle, base + out, full * (up + behind * (high - up)) - 0.006))
    grid = np.stack(rows, axis=1)
    fine = np.linspace(0.0, 1.0, 25)
    knots = np.linspace(0.0, 1.0, len(rows))
    grid = np.stack(
        [[np.interp(fine, knots, line[:, k]) for k in range(3)] for line in grid]
    ).transpose(0, 2, 1)
    for _ in range(3):
        grid[:, 1:-1] = 0.5 * grid[:, 1:-1] + 0.25 * (grid[:, 2:] + grid[:, :-2])
    return sheet("hood", ground.lay(grid, 0.006), 0.005, "cloth_jersey", colour)


def _pocket(suit: Suit, front: Front, colour: Array) -> Piece:
    """A pocket across the belly, its openings slanting at the sides."""
    k = suit.cuts.scale / 0.9
    low = float(suit.cuts.joint("upperleg01.L")[2]) + 0.055
    up = np.linspace(0.0, 1.0, 16)[:, None]
    half = k * (0.140 - 0.045 * np.clip((up - 0.25) / 0.75, 0.0, 1.0))
    x = half * np.linspace(-1.0, 1.0, 33)[None]
    grid = np.stack([x, low + 0.17 * k * up + 0.0 * x], axis=-1)
    return sheet("pocket", front.on(grid, np.full(x.shape, 0.0025)), 0.003, "cloth_jersey", colour)


def _strings(suit: Suit, front: Front) -> list[Piece]:
    top = float(suit.cuts.joint("neck01")[2]) - 0.035
    found = []
    for name, x, long in (("string_left", 0.036, 0.17), ("string_right", -0.034, 0.155)):
        z = np.linspace(top, top - long, 24)
        grid = np.stack([x + 0.002 * np.sin(9.0 * z), z], axis=1)
        points, faces = tube(front.on(grid, np.full(len(z), 0.0045)), 0.0022, False)
        mesh = Mesh(points, faces)
        found.append(
            Piece(name, mesh, "cloth_jersey", smooth=True, colour=np.array([0.5, 0.5, 0.48]))
        )
    return found
