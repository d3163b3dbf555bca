"""Lamp heads: what a light looks like round its emitting surface.

All heads are drawn in the emitter's frame: face centre at the origin, +Z the way it shines, +Y up.
The emitting surface is never drawn; the housing keeps `CLEAR_M` behind it or outside it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from previz.geometry.gear.barn_doors import (
    FRAME_OF_LENS,
    REACH_OF_FRAME,
    WIDE_OPEN,
    Leaves,
    barn_doors,
    door_plate,
)
from previz.geometry.gear.emitter import EmitterShape
from previz.geometry.outlines import circle
from previz.geometry.piece import Array, Piece
from previz.geometry.primitives import block, box, lathe, loft, rod, rounded_box, tube
from previz.geometry.shell import Shell, Z, piece, turn

CLEAR_M = 0.0015
"""Gap between an emitting surface and its own housing."""
WIRE_M = 0.00012
"""Radius of a lantern's wires. They lie on the paper, whose flux is told as it leaves: together
they must not shade a hundredth of it."""
HUB_M = 0.055
"""Radius of a lantern's hubs where they face the paper."""
SOCKET_KEEPS = 0.38
"""Share that a bulb's socket keeps of the light that falls on it: brass throws the rest out again,
past the bulb. Metered round a bulb with the path tracer: 97.3 % leave of what it gives off."""
HEM_M = 0.012
"""How far an egg crate's hem stands before the front: too little to shade it."""


def behind_disc(radius_m: float, distance_m: float) -> float:
    """Share of a matt sphere's light that falls on a disc whose axis meets its middle.

    Half of 1 - cos of the angle that the disc's edge makes with the axis: the solid angle over the
    whole sphere, whatever the sphere's size (Howell, A Catalog of Radiation Heat Transfer
    Configuration Factors: sphere to coaxial disc).
    """
    return 0.5 * (1.0 - distance_m / float(np.hypot(radius_m, distance_m)))


@dataclass(frozen=True, eq=False)
class LampHead:
    """A head in the emitter's frame.

    pivot_m      point on which it tilts (3,)
    hang_m       point by which it hangs (3,); None: it has no second one and is turned over
    half_span_m  from the pivot to the inside of a yoke's arm; 0 when it hangs on a spigot instead
    plumb        stays upright whatever it is aimed at (a lantern), and turns only round Z
    """

    pieces: tuple[Piece, ...]
    emitter: EmitterShape
    pivot_m: Array
    half_span_m: float
    plumb: bool = False
    hang_m: Array | None = None


@dataclass(frozen=True, kw_only=True)
class PanelHead:
    """Flat LED panel whose emitting face is `width_m` by `height_m`."""

    width_m: float = 0.60
    height_m: float = 0.30
    depth_m: float = 0.07
    doors: Leaves | None = None

    def build(self) -> LampHead:
        """Bezel, tray, cooling fins, supply box and flaps."""
        w, h, d, rim = self.width_m / 2 + CLEAR_M, self.height_m / 2 + CLEAR_M, self.depth_m, 0.016
        bezel = [
            box(
                (-w - rim, s * (h + rim / 2) - rim / 2, -d),
                (w + rim, s * (h + rim / 2) + rim / 2, 0),
                0.002,
            )
            for s in (-1, 1)
        ]
        bezel += [
            box((s * (w + rim / 2) - rim / 2, -h, -d), (s * (w + rim / 2) + rim / 2, h, 0), 0.002)
            for s in (-1, 1)
        ]
        tray = box((-w, -h, -d + 0.004), (w, h, -CLEAR_M), 0.0005)
        xs = np.linspace(-w + 0.02, w - 0.02, max(5, int(w / 0.022)))
        fins = [
            box((x - 0.0015, -0.8 * h, -d - 0.014), (x + 0.0015, 0.8 * h, -d + 0.006), 0.0006)
            for x in xs
        ]
        supply = rounded_box((0.5 * w, 0.7 * h, 0.05), 0.006, 1).shifted(z=-d - 0.025)
        pieces = [
            piece("bezel", bezel, "aluminium", colour=(0.035, 0.035, 0.037)),
            piece("tray", tray, "plastic_black"),
            piece("fins", fins, "aluminium", colour=(0.05, 0.05, 0.052)),
            piece("supply", supply, "plastic_black"),
        ]
        if self.doors is not None:
            reach = 1.1 * min(w + rim, h + rim) + 0.03
            flaps = barn_doors(w + rim, h + rim, self.doors, reach)
            pieces.append(piece("barn doors", flaps, "steel_black"))
        emitter = EmitterShape("rectangle", np.eye(4), width_m=self.width_m, height_m=self.height_m)
        return LampHead(tuple(pieces), emitter, np.array([0, 0, -d / 2]), w + rim + 0.012)


@dataclass(frozen=True, kw_only=True)
class SoftboxHead:
    """Fabric softbox on a speed ring with its fixture behind.

    The emitting front is `width_m` by `height_m`; with `corners="octagon"` (width = height) it is
    the disc inscribed in the octagon, the rest of the octagon a black lip. `grid` puts the hem
    of a fabric egg crate round the front.
    """

    width_m: float = 0.90
    height_m: float = 0.90
    depth_m: float = 0.45
    corners: Literal["rectangle", "octagon"] = "rectangle"
    grid: bool = False

    def _outline(self) -> Array:
        """Front edge (m, 2), corners among the points, counter-clockwise."""
        if self.corners == "octagon":
            corner = circle(self.width_m / 2 / np.cos(np.pi / 8), 16)[1::2]
        else:
            half = np.array([self.width_m, self.height_m]) / 2
            corner = np.array([(1, 1), (-1, 1), (-1, -1), (1, -1)]) * half
        steps = 48 // len(corner)
        share = (np.arange(steps) / steps)[None, :, None]
        return np.asarray(
            (corner[:, None] * (1 - share) + np.roll(corner, -1, axis=0)[:, None] * share).reshape(
                -1, 2
            ),
            float,
        )

    def _skirt(self) -> Shell:
        """The fabric from rim to speed ring and back along its inside."""
        outline, hub = self._outline(), 0.082
        size = np.abs(outline).max(axis=0)
        angle = np.arctan2(outline[:, 1] / size[1], outline[:, 0] / size[0])
        ring = hub * np.column_stack([np.cos(angle), np.sin(angle)])
        rings = []
        for inside in (False, True):
            thick = CLEAR_M if inside else CLEAR_M + 0.004
            steps = np.linspace(0, 1, 9)
            for t in steps if inside else steps[::-1]:
                share = t**1.7
                grown = outline * (1 + thick / size)
                flat = (1 - share) * grown + share * ring * (1 if not inside else 0.96)
                rings.append(np.column_stack([flat, np.full(len(flat), -t * self.depth_m)]))
        return loft(np.array(rings), closed=True)

    def build(self) -> LampHead:
        """Skirt, speed ring, fixture, lip, grid."""
        d = self.depth_m
        hoop = [(0.07, -d - 0.022), (0.09, -d - 0.022), (0.09, -d + 0.004), (0.07, -d + 0.004)]
        ears = [
            rod(_polar(0.088, k), _polar(0.088, k) * 1.3 + 0.03 * Z, 0.007).shifted(z=-d - 0.01)
            for k in range(4)
        ]
        body = [rounded_box((0.13, 0.15, 0.26), 0.012).shifted(z=-d - 0.15)]
        body.append(rod((0, 0, -d - 0.03), (0, 0, -d - 0.0), 0.068, sections=32))
        trim = [
            box((-0.05, y, -d - 0.2), (0.05, y + 0.004, -d - 0.1), 0.001) for y in (-0.0772, 0.0732)
        ]
        trim.append(rod((0.03, 0.03, -d - 0.278), (0.03, 0.03, -d - 0.295), 0.014))
        pieces = [
            piece("softbox skirt", self._skirt(), "fabric_black"),
            piece("speed ring", [lathe(hoop, 32, ring=True), *ears], "aluminium", smooth=True),
            piece("fixture", body, "plastic_black", smooth=True),
            piece("fixture trim", trim, "aluminium"),
        ]
        size = (self.width_m, self.height_m)
        emitter = EmitterShape("rectangle", np.eye(4), width_m=size[0], height_m=size[1])
        if self.corners == "octagon":
            emitter = EmitterShape("disc", np.eye(4), radius_m=self.width_m / 2 - CLEAR_M)
            pieces.append(piece("lip", self._lip(), "fabric_black"))
        if self.grid:
            pieces.append(piece("grid", self._grid(), "fabric_black"))
        return LampHead(tuple(pieces), emitter, np.array([0, 0, -d - 0.13]), 0.08)

    def _lip(self) -> Shell:
        """Flat black ring between the octagon and its inscribed disc, just behind the front."""
        outer = self._outline() * (1 + CLEAR_M / self.width_m)
        inner = self.width_m / 2 * outer / np.linalg.norm(outer, axis=1, keepdims=True)
        inner = np.where(
            np.linalg.norm(inner, axis=1) < np.linalg.norm(outer, axis=1) - 2e-4,
            inner.T,
            0.998 * outer.T,
        ).T
        rings = [
            np.column_stack([flat, np.full(len(flat), z)])
            for flat, z in ((outer, -0.004), (outer, -CLEAR_M), (inner, -CLEAR_M), (inner, -0.004))
        ]
        return loft(np.array(rings), closed=True)

    def _grid(self) -> Shell:
        """The crate's black hem round the front. Its cells are in the beam that leaves the face:
        drawn as walls they would take the light a second time."""
        outline = self._outline()
        grow = 1 + 0.006 / np.abs(outline).max(axis=0)
        loop = [
            (outline, CLEAR_M),
            (outline, HEM_M),
            (outline * grow, HEM_M),
            (outline * grow, CLEAR_M),
        ]
        hem = [np.column_stack([flat, np.full(len(flat), z)]) for flat, z in loop]
        return loft(np.array(hem), closed=True)


def _polar(radius: float, quarter: int) -> Array:
    a = np.pi / 4 + np.pi / 2 * quarter
    return radius * np.array([np.cos(a), np.sin(a), 0])


@dataclass(frozen=True, kw_only=True)
class FresnelHead:
    """Fresnel: ribbed housing, a lens of `lens_diameter_m` as its emitter, four barn doors."""

    lens_diameter_m: float = 0.15
    doors: Leaves = WIDE_OPEN

    def build(self) -> LampHead:
        """Housing, ribs, lens ring, doors, rear."""
        r = self.lens_diameter_m / 2
        long = 3.0 * r
        can = [(0.6 * r, -long), (1.1 * r, -long + 0.35 * r), (1.24 * r, -long + 0.6 * r)]
        can += [(1.24 * r, -0.02), (1.2 * r, -0.012), (1.2 * r, -CLEAR_M - 0.002)]
        can.append((1.15 * r, -CLEAR_M))
        ring = [(r + CLEAR_M, -0.014), (1.3 * r, -0.014), (1.34 * r, -0.01), (1.34 * r, -0.001)]
        ring += [(1.31 * r, 0.0), (r + CLEAR_M, 0.0)]
        ribs = [
            lathe(
                [
                    (1.2 * r, z - 0.0025),
                    (1.31 * r, z - 0.0025),
                    (1.31 * r, z + 0.0025),
                    (1.2 * r, z + 0.0025),
                ],
                48,
                ring=True,
            )
            for z in np.linspace(-long + 0.8 * r, -0.5 * r, 7)
        ]
        frame = FRAME_OF_LENS * r
        doors = [
            door_plate(1.3 * r, frame + 0.004),
            *barn_doors(frame, frame, self.doors, REACH_OF_FRAME * frame),
        ]
        rear = [rod((0, 0.0, -long + 0.01), (0, 0, -long - 0.025), 0.022, 0.018, sections=20)]
        rear.append(block((0.5 * r, 0.16 * r, 0.1), (0, 1.32 * r, -0.55 * long), 0.004))
        emitter = EmitterShape("disc", np.eye(4), radius_m=r)
        return LampHead(
            (
                piece("housing", [lathe(can, 48), *ribs], "cast_iron"),
                piece("lens ring", lathe(ring, 48, ring=True), "steel_black", smooth=True),
                piece("barn doors", doors, "steel_black"),
                piece("rear knob", rear, "plastic_black"),
            ),
            emitter,
            np.array([0, 0, -0.5 * long]),
            1.4 * r,
        )


@dataclass(frozen=True, kw_only=True)
class LanternHead:
    """Round paper lantern: the sphere glows, wire rings and two hubs hold it."""

    diameter_m: float = 0.60

    def build(self) -> LampHead:
        """Hubs and wire rings; the rings stand 1.5 mm off the sphere."""
        r = self.diameter_m / 2
        rings, wire_m = [], 0.0
        for level in np.linspace(-0.9, 0.9, 13):
            hoop = np.column_stack(
                [
                    circle((r + 0.0025) * np.sqrt(1 - level**2), 48),
                    np.full(48, (r + 0.0025) * level),
                ]
            )
            rings.append(tube(hoop, WIRE_M, 5, closed=True))
            wire_m += 2.0 * np.pi * (r + 0.0025) * float(np.sqrt(1 - level**2))
        hubs = [
            rod((0, 0, s * (r + CLEAR_M)), (0, 0, s * (r + 0.05)), HUB_M, 0.04, sections=24)
            for s in (-1, 1)
        ]
        hidden = 2.0 * behind_disc(HUB_M, r + CLEAR_M)
        # Half of a wire's surface sees the paper: it keeps pi radius length of its light.
        wired = np.pi * WIRE_M * wire_m / (4.0 * np.pi * r**2)
        upright = np.array([[1, 0, 0, 0], [0, 0, 1, 0], [0, -1, 0, 0], [0, 0, 0, 1]], float)
        return LampHead(
            (
                piece("wire", [s.moved(upright) for s in rings], "steel_black", smooth=True),
                piece("hubs", [s.moved(upright) for s in hubs], "plastic_black"),
            ),
            EmitterShape("sphere", np.eye(4), radius_m=r, shaded=hidden + wired),
            np.array([0, -r - 0.05, 0]),
            0.0,
            plumb=True,
            hang_m=np.array([0, r + 0.05, 0]),
        )


@dataclass(frozen=True, kw_only=True)
class TubeHead:
    """Light tube between two end caps, on a rail behind it; level, or upright."""

    length_m: float = 1.20
    diameter_m: float = 0.04
    upright: bool = False

    def build(self) -> LampHead:
        """Caps, rail and clips; the emitter's axis is its local Y."""
        r, half = self.diameter_m / 2, self.length_m / 2
        caps, rail = [], [rod((-half - 0.02, 0, -r - 0.02), (half + 0.02, 0, -r - 0.02), 0.006)]
        for s in (-1, 1):
            inner, outer = s * (half + CLEAR_M), s * (half + 0.035)
            caps.append(rod((inner, 0, 0), (outer, 0, 0), r + 0.002, sections=24))
            at = s * (half + 0.015)
            rail.append(box((at - 0.006, -0.006, -r - 0.026), (at + 0.006, 0.006, -r + 0.002)))
        hold = np.array([0, -half - 0.045, 0] if self.upright else [0, 0, -r - 0.03])
        top = np.array([0, half + 0.035, 0])
        clamp = block((0.04, 0.03, 0.03), hold, 0.003)
        roll = turn(Z, np.pi / 2) if self.upright else np.eye(4)
        axis = np.array([[0, 1, 0, 0], [-1, 0, 0, 0], [0, 0, 1, 0], [0, 0, 0, 1]], float)
        emitter = EmitterShape("cylinder", roll @ axis, radius_m=r, length_m=self.length_m)
        return LampHead(
            (
                piece("end caps", [s.moved(roll) for s in caps], "plastic_black", smooth=True),
                piece("rail", [s.moved(roll) for s in rail], "aluminium"),
                piece("clamp", clamp, "plastic_black"),
            ),
            emitter,
            hold - np.array([0, 0.015, 0]),
            0.0,
            plumb=True,
            hang_m=top if self.upright else hold + np.array([0, 0.015, 0]),
        )


@dataclass(frozen=True, kw_only=True)
class BulbHead:
    """Bare frosted bulb in a socket."""

    diameter_m: float = 0.06

    def build(self) -> LampHead:
        """Socket under the bulb."""
        r = self.diameter_m / 2
        profile = [(0.014, 0.0), (0.021, -0.004), (0.021, -0.05), (0.016, -0.06), (0.016, -0.08)]
        upright = np.array([[1, 0, 0, 0], [0, 0, 1, 0], [0, -1, 0, 0], [0, 0, 0, 1]], float)
        socket = lathe(profile, 24).shifted(z=-r - CLEAR_M).moved(upright)
        hidden = behind_disc(0.021, r + CLEAR_M + 0.004)
        return LampHead(
            (piece("socket", socket, "brass", smooth=True),),
            EmitterShape("sphere", np.eye(4), radius_m=r, shaded=SOCKET_KEEPS * hidden),
            np.array([0, -r - 0.08, 0]),
            0.0,
            plumb=True,
        )


HeadShape = PanelHead | SoftboxHead | FresnelHead | LanternHead | TubeHead | BulbHead
