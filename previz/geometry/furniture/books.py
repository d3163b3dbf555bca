"""Books, no two alike, and rows of them as a reader leaves them."""

from __future__ import annotations

import colorsys
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from previz.geometry.piece import Array, Piece
from previz.geometry.shell import Faces, Shell, Y, join, piece, shift, turn
from previz.physics.colour import srgb_decode

# Hue, saturation and value (sRGB) about which cover cloths scatter, and how often each is met.
CLOTHS = [
    (0.00, 0.62, 0.42, 3),
    (0.02, 0.55, 0.55, 2),
    (0.60, 0.50, 0.30, 4),
    (0.58, 0.25, 0.50, 2),
    (0.38, 0.38, 0.27, 3),
    (0.25, 0.22, 0.42, 2),
    (0.11, 0.55, 0.68, 2),
    (0.10, 0.18, 0.80, 4),
    (0.08, 0.10, 0.70, 3),
    (0.07, 0.35, 0.28, 3),
    (0.00, 0.02, 0.16, 3),
    (0.00, 0.02, 0.45, 2),
    (0.92, 0.35, 0.35, 1),
    (0.48, 0.35, 0.40, 1),
]
GILT = (0.45, 0.30, 0.09)


def cloth_colour(rng: np.random.Generator) -> Array:
    """A cover's reflectance, linear, (3,)."""
    weights = np.array([cloth[3] for cloth in CLOTHS], float)
    hue, saturation, value, _ = CLOTHS[rng.choice(len(CLOTHS), p=weights / weights.sum())]
    hue = (hue + rng.normal(0, 0.012)) % 1
    saturation = float(np.clip(saturation * rng.uniform(0.75, 1.2), 0, 0.75))
    value = float(np.clip(value * rng.uniform(0.8, 1.2), 0.08, 0.88))
    return srgb_decode(colorsys.hsv_to_rgb(hue, saturation, value))


@dataclass
class Bindings:
    """Shells of many books gathered by material."""

    cloth: list[Shell] = field(default_factory=list)
    leather: list[Shell] = field(default_factory=list)
    paper: list[Shell] = field(default_factory=list)

    def add(self, other: Bindings, matrix: Array) -> None:
        """Take over another gathering under a matrix."""
        for mine, theirs in (
            (self.cloth, other.cloth),
            (self.leather, other.leather),
            (self.paper, other.paper),
        ):
            mine.extend(shell.moved(matrix) for shell in theirs)

    def pieces(self) -> tuple[Piece, ...]:
        """Covers in cloth, covers in leather, pages; kinds that do not occur are left out."""
        kinds = (
            ("book covers", self.cloth, "cloth_book"),
            ("leather covers", self.leather, "leather_brown"),
            ("book pages", self.paper, "paper"),
        )
        return tuple(piece(n, shells, m, grain=Y) for n, shells, m in kinds if shells)


@dataclass(frozen=True)
class Book:
    """One book: thickness along X from 0, spine towards -Y at y = 0, height along Z."""

    thickness_m: float
    depth_m: float
    height_m: float
    round_m: float
    leather: bool
    cover: tuple[float, float, float]
    trim: tuple[float, float, float]
    bands: tuple[tuple[float, float, float], ...]
    """Each band: low and high as shares of the height, and how far it stands proud in metres."""
    paper: tuple[float, float, float]

    def shells(self) -> Bindings:
        """Boards and spine, bands and label, block of pages."""
        t, d, h = self.thickness_m, self.depth_m, self.height_m
        board = min(0.003, 0.2 * t)
        hinge = self.round_m + 0.005
        cover = [
            _crate((0, hinge - 0.002, 0), (board, d, h)),
            _crate((t - board, hinge - 0.002, 0), (t, d, h)),
            self._spine(0.0, h, 0.0, hinge),
        ]
        bound = [shell.painted(self.cover) for shell in cover]
        for low, high, proud in self.bands:
            bound.append(self._spine(low * h, high * h, proud, hinge).painted(self.trim))
        pages = _crate((board, hinge - 0.003, 0.003), (t - board, d - 0.004, h - 0.003))
        kept = Bindings(paper=[pages.painted(self.paper)])
        (kept.leather if self.leather else kept.cloth).append(join(bound))
        return kept

    def _spine(self, low: float, high: float, proud: float, hinge: float) -> Shell:
        t = self.thickness_m
        s = np.linspace(0, 1, 7)
        arc = np.column_stack([s * t, self.round_m * (2 * s - 1) ** 2 - proud])
        # A band ends inside the boards, so that no two faces share a plane.
        arc[[0, -1], 0] += np.array([0.3, -0.3]) * proud
        outline = np.concatenate([arc, [[t, hinge - 0.001], [0, hinge - 0.001]]])
        return _prism(outline, low, high)


def _crate(low: tuple[float, float, float], high: tuple[float, float, float]) -> Shell:
    """Plain box of 12 triangles, for edges thinner than a bevel can show."""
    (x0, y0, z0), (x1, y1, z1) = low, high
    return _prism(np.array([(x0, y0), (x1, y0), (x1, y1), (x0, y1)]), z0, z1)


@lru_cache(maxsize=8)
def _prism_faces(points: int) -> Faces:
    i = np.arange(points)
    j = (i + 1) % points
    k = np.arange(1, points - 1)
    floor = np.column_stack([0 * k, k + 1, k])
    lid = points + np.column_stack([0 * k, k, k + 1])
    side = [np.column_stack([i, j, points + j]), np.column_stack([i, points + j, points + i])]
    return np.concatenate([floor, lid, *side])


def _prism(outline: Array, low: float, high: float) -> Shell:
    """Counter-clockwise convex outline (n, 2) raised from `low` to `high`, no bevel."""
    n = len(outline)
    vertices = np.empty((2 * n, 3))
    vertices[:n, :2] = vertices[n:, :2] = outline
    vertices[:n, 2], vertices[n:, 2] = low, high
    return Shell(vertices, _prism_faces(n))


def any_book(rng: np.random.Generator, tallest_m: float, deepest_m: float) -> Book:
    """A book that fits a shelf of that clear height and depth.

    Heights of 18-30 cm and a page shape of about 2:3 to 3:4: common practice, no source.
    """
    height = min(float(rng.choice([0.185, 0.2, 0.215, 0.235, 0.25, 0.28, 0.31])), tallest_m)
    height *= float(rng.uniform(0.95, 1.0))
    depth = min(height * float(rng.uniform(0.64, 0.77)), deepest_m)
    thickness = float(np.clip(rng.gamma(4.0, 0.0075), 0.009, 0.068))
    leather = bool(rng.random() < 0.14)
    cover = (
        np.array([0.16, 0.072, 0.032]) * rng.uniform(0.35, 1.1) if leather else cloth_colour(rng)
    )
    light = float(np.mean(cover)) > 0.18
    trim = np.array(GILT) if leather or rng.random() < 0.35 else cloth_colour(rng)
    if np.abs(trim - cover).max() < 0.08:
        trim = np.full(3, 0.03) if light else np.array([0.55, 0.5, 0.38])
    tone = rng.uniform(0.75, 1.0)
    return Book(
        thickness,
        depth,
        height,
        round_m=min(0.006, 0.22 * thickness) if rng.random() < 0.7 else 0.0006,
        leather=leather,
        cover=tuple(cover),
        trim=tuple(trim),
        bands=_bands(rng, leather),
        paper=tuple(np.array([0.72, 0.66, 0.52]) * tone),
    )


def _bands(rng: np.random.Generator, leather: bool) -> tuple[tuple[float, float, float], ...]:
    flat, raised = 0.0004, 0.0016
    if leather:
        return tuple((s - 0.009, s + 0.009, raised) for s in np.linspace(0.14, 0.86, 5))
    plinth = float(rng.uniform(0.1, 0.3))
    styles = (
        ((0.62, 0.84, flat),),
        ((0.05, 0.062, flat), (0.075, 0.08, flat), (0.92, 0.932, flat), (0.6, 0.8, flat)),
        ((0.3, 0.88, flat),),
        ((0.08, 0.1, flat), (0.78, 0.79, flat), (0.88, 0.89, flat)),
        ((0.0, plinth, flat), (0.55, 0.56, flat)),
        ((0.45, 0.85, flat), (0.06, 0.11, flat)),
    )
    return styles[rng.integers(len(styles))]


def fill_row(
    rng: np.random.Generator, width: float, height: float, depth: float, keep: float = 0.0
) -> tuple[Bindings, float]:
    """Books along X from x = 0 on the plane z = 0, spines near y = 0, as far as `width - keep`.

    Upright runs, now and then a leaning book or a lying pile. Gives the books and the x reached.
    """
    row, x, before = Bindings(), 0.0, 0.0
    while True:
        book = any_book(rng, height - 0.025, depth - 0.03)
        back = shift(0, float(rng.uniform(0.0, 0.022)), 0)
        kind = rng.random()
        if kind < 0.07 and before > 0:
            pile, reach = _pile(rng, height, depth)
            if x + reach > width - keep:
                return row, x
            row.add(pile, shift(x + 0.004, 0.01, 0))
            x, before = x + reach + 0.008, 0.0
            continue
        angle = float(rng.uniform(0.08, 0.24)) if kind < 0.16 else 0.0
        tip = book.height_m * np.sin(angle)
        if book.height_m * np.cos(angle) > before:
            angle, tip = 0.0, 0.0
        used = tip + book.thickness_m * np.cos(angle)
        if x + used > width - keep:
            return row, x
        row.add(book.shells(), shift(x + tip) @ back @ turn(Y, -angle))
        x += float(used) + float(rng.uniform(0.0003, 0.0012))
        before = book.height_m if angle == 0 else 0.0


def _pile(rng: np.random.Generator, height: float, depth: float) -> tuple[Bindings, float]:
    """Lying books, widest at the bottom: the pile and its reach along X."""
    tallest = min(0.25, height)
    books = sorted(
        (any_book(rng, tallest, depth - 0.04) for _ in range(rng.integers(2, 5))),
        key=lambda book: -book.height_m * book.depth_m,
    )
    pile, z = Bindings(), 0.0
    reach = max(book.height_m for book in books) + 0.02
    for book in books:
        if z + book.thickness_m > 0.6 * height:
            break
        # The cover that lay at x = 0 comes to lie on top; the spine still shows.
        flat = turn(Y, np.pi / 2)
        middle = shift(-book.height_m / 2, -book.depth_m / 2, book.thickness_m)
        askew = turn((0, 0, 1), float(rng.normal(0, 0.035)))
        at = shift(reach / 2, book.depth_m / 2 + float(rng.uniform(0.002, 0.015)), z)
        pile.add(book.shells(), at @ askew @ middle @ flat)
        z += book.thickness_m
    return pile, reach
