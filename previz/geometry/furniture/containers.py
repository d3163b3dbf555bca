"""Small things that hold others: mugs, jars, boxes, a pot of brushes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from previz.geometry.furniture.base import Colour
from previz.geometry.furniture.joinery import held
from previz.geometry.outlines import chamfered
from previz.geometry.piece import Piece
from previz.geometry.primitives import box, lathe, rod, sweep
from previz.geometry.shell import Shell, Y, Z, join, piece


def archive_box(width: float, depth: float, height: float) -> tuple[Shell, Shell]:
    """Box with an overlapping lid, and its label: on z = 0 from x = 0, front at y = 0."""
    lid = 0.28 * height
    inner = box((0.003, 0.003, 0), (width - 0.003, depth - 0.003, height - 0.01), 0.0015)
    cover = box((0, 0, height - lid), (width, depth, height), 0.002)
    low, high = 0.2 * height, 0.6 * height
    label = box((0.22 * width, 0.0024, low), (0.78 * width, 0.0038, high), 0.0004)
    return join([inner, cover]), label


def jar(diameter: float, height: float) -> Shell:
    """Lidded jar on z = 0: shoulders, a groove under the lid, a small knob."""
    r, h = diameter / 2, height
    profile = [(0, 0), (0.78, 0), (0.86, 0.012), (1, 0.2), (1, 0.62), (0.9, 0.74), (0.74, 0.79)]
    profile += [(0.72, 0.8), (0.8, 0.805), (0.8, 0.83), (0.55, 0.88), (0.16, 0.91), (0.13, 0.93)]
    profile += [(0.2, 0.96), (0.2, 0.985), (0.12, 1), (0, 1)]
    return lathe(held(np.array(profile) * [r, h]), 24)


def beaker(diameter: float, height: float, wall: float = 0.004) -> Shell:
    """Open round vessel on z = 0 with a rounded lip, hollow down to its floor."""
    r, h = diameter / 2, height
    outer = [(0, 0), (0.88 * r, 0), (0.97 * r, 0.004), (r, 0.012), (r, h - wall / 2)]
    lip = [(r - wall / 2, h), (r - wall, h - wall / 2)]
    inner = [(r - wall, 0.016), (0.85 * r - wall, 0.008), (0, 0.008)]
    return lathe(held(outer + lip + inner), 32)


@dataclass(frozen=True, kw_only=True)
class Mug:
    """Mug with a handle towards +X, filled with tea if `full`.

    `width_m` is over the handle, `depth_m` the bowl's diameter, at least 0.02 m less.
    """

    width_m: float = 0.112
    depth_m: float = 0.082
    height_m: float = 0.095
    ceramic: str = "ceramic_blue"
    colour: Colour | None = None
    full: bool = True

    def pieces(self) -> tuple[Piece, ...]:
        """Mug with its handle, and the drink."""
        d, h = self.depth_m, self.height_m
        centre_x = (d - self.width_m) / 2
        angle = np.linspace(-np.pi / 2, np.pi / 2, 11)
        path = np.column_stack(
            [np.cos(angle) ** 0.7, np.zeros(11), 0.53 * h + 0.3 * h * np.sin(angle)]
        )
        path[:, 0] *= self.width_m - d
        loop = sweep(path, chamfered(0.012, 0.007, 0.0025), up=Y)
        # The mitres of the bend reach a little past its path: stretch to the exact breadth.
        root, reach = d / 2 - 0.003, self.width_m - d / 2
        fit = (reach - root) / float(loop.vertices[:, 0].max())
        handle = loop.moved(np.diag([fit, 1, 1, 1])).shifted(x=root)
        body = join([beaker(d, h), handle]).shifted(x=centre_x)
        mug = piece("mug", body, self.ceramic, smooth=True, colour=self.colour)
        if not self.full:
            return (mug,)
        r = d / 2 - 0.0039
        level = 0.82 * h
        drink = lathe([(r, level - 0.004), (r, level)], 32).shifted(x=centre_x)
        return mug, piece("drink", drink, "plastic_black", colour=(0.05, 0.018, 0.006))


@dataclass(frozen=True, kw_only=True)
class Jar:
    """Lidded jar."""

    width_m: float = 0.11
    height_m: float = 0.16
    ceramic: str = "ceramic_white"
    colour: Colour | None = None

    def pieces(self) -> tuple[Piece, ...]:
        """The jar."""
        return (
            piece(
                "jar",
                jar(self.width_m, self.height_m),
                self.ceramic,
                smooth=True,
                colour=self.colour,
            ),
        )


@dataclass(frozen=True, kw_only=True)
class Carton:
    """Archive box with a lid and a label on its front."""

    width_m: float = 0.33
    depth_m: float = 0.25
    height_m: float = 0.22
    colour: Colour | None = None

    def pieces(self) -> tuple[Piece, ...]:
        """Box, label."""
        body, label = archive_box(self.width_m, self.depth_m, self.height_m)
        x, y = -self.width_m / 2, -self.depth_m / 2
        return (
            piece("box", body.shifted(x, y), "cardboard", colour=self.colour, grain=Z),
            piece("label", label.shifted(x, y), "paper"),
        )


@dataclass(frozen=True, kw_only=True)
class BrushPot:
    """Pot with brushes, pencils and bone folders; `height_m` is the tallest tool's tip."""

    width_m: float = 0.10
    height_m: float = 0.27
    tools: int = 7
    ceramic: str = "ceramic_white"
    seed: int = 1

    def pieces(self) -> tuple[Piece, ...]:
        """Pot, handles, ferrules, bristles."""
        rng = np.random.default_rng(self.seed)
        pot = beaker(self.width_m, 0.45 * self.height_m, 0.0045)
        handles, ferrules, bristles = [], [], []
        r = self.width_m / 2 - 0.012
        for k in range(self.tools):
            a = 2 * np.pi * k / self.tools + rng.uniform(-0.3, 0.3)
            out = np.array([np.cos(a), np.sin(a), 0])
            tall = self.height_m if k == 0 else self.height_m * float(rng.uniform(0.78, 0.97))
            foot, tip = -0.4 * r * out + 0.0085 * Z, r * out * 0.9 + (tall - 0.002) * Z
            ahead = (tip - foot) / np.linalg.norm(tip - foot)
            girth = float(rng.uniform(0.003, 0.0045))
            if k % 3 == 2:
                handles.append(rod(foot, tip, girth, sections=8))
                continue
            wide = float(rng.uniform(0.006, 0.011))
            tuft = float(rng.uniform(0.03, 0.045))
            handles.append(rod(foot, tip - (tuft + 0.015) * ahead, girth, girth * 1.2, sections=8))
            cap = tip - (tuft + 0.022) * ahead
            ferrules.append(rod(cap, tip - tuft * ahead, girth * 1.3, wide * 0.8, sections=12))
            bristles.append(rod(tip - (tuft + 0.001) * ahead, tip, wide * 0.75, wide, sections=12))
        highest = max(float(s.vertices[:, 2].max()) for s in handles + bristles)
        settle = np.diag([1, 1, self.height_m / highest, 1])
        return (
            piece("pot", pot, self.ceramic, smooth=True),
            piece("handles", [s.moved(settle) for s in handles], "beech", smooth=True),
            piece("ferrules", [s.moved(settle) for s in ferrules], "brass", smooth=True),
            piece(
                "bristles", [s.moved(settle) for s in bristles], "rope", colour=(0.12, 0.07, 0.04)
            ),
        )
