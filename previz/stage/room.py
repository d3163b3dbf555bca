"""The room of a scene: shell or scan, windows and what they show, what hangs before them."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from previz.catalog import Catalog
from previz.geometry import curtain as hangings
from previz.geometry.gear.emitter import EmitterShape
from previz.geometry.hall import Hall, hall, open_to_a_hall
from previz.geometry.mesh import Mesh
from previz.geometry.once import build_room
from previz.geometry.openings import OpeningShape
from previz.geometry.piece import Piece, moved
from previz.geometry.room import Portal, RoomShape, rectangle
from previz.geometry.scan import load_scan
from previz.geometry.sweep import sweep
from previz.geometry.walls import Wall
from previz.memory import remembered
from previz.model.room import Opening, Room, Sweep
from previz.model.scene import Scene
from previz.physics.colour import linear_from_hex
from previz.scenefile import resolve_inside
from previz.scenefile.wording import listed
from previz.stage.backdrop import typical
from previz.stage.daylight import environment_of
from previz.stage.emission import transmittance, window_light
from previz.stage.environment import Environment
from previz.stage.furnishing import seed_of, wall_number
from previz.stage.placed import StageRoom, pane_of
from previz.stage.stage import Array, Emitter, Thing
from previz.stage.standing import standing

# How curtains hang: estimates.
HANGING_GAP_M = 0.09
HANGING_OVERLAP_M = 0.12
STACK_M = 0.15
WHOLE_SCANS = (".glb", ".ply", ".stl")
"""Scans that name no other file: their own content says all."""
DARK_SKIES = ("dusk", "night")
"""Under which a lit room is brighter than what lies outside, so that panes mirror it."""
PANE_BEFORE_M = 0.002
ROOFLIGHT_SHARE = 0.6
"""Share of daylight that a rooflight lets in: a clouded double pane, from memory."""


@dataclass(frozen=True, eq=False)
class StandingRoom:
    """The room as things, its shape, its windows as emitters."""

    things: tuple[Thing, ...]
    room: StageRoom
    windows: tuple[Emitter, ...]
    environment: Environment | None


def room_shape(room: Room) -> RoomShape | None:
    """The shell's shape in SI, or None for a scan."""
    if room.scan is not None or room.height_m is None:
        return None
    return RoomShape(
        corners_m=_corners(room),
        height_m=room.height_m,
        wall_thickness_m=room.wall_thickness_m,
        wall_material=room.walls,
        floor_material=room.floor,
        ceiling_material=room.ceiling,
        skirting_height_m=room.skirting_m,
    )


def _corners(room: Room) -> Array:
    if room.floor_m is not None:
        return np.array(room.floor_m, float)
    assert room.width_m is not None and room.depth_m is not None
    return np.asarray(rectangle(room.width_m, room.depth_m, room.centre_m), float)


def opening_shape(name: str, opening: Opening) -> OpeningShape:
    """One opening in SI."""
    return OpeningShape(
        kind=opening.kind,
        wall=wall_number(opening.wall),
        along_m=opening.along_m,
        width_m=opening.width_m,
        height_m=opening.height_m,
        sill_m=opening.sill_m,
        panes_across=opening.panes_across,
        panes_up=opening.panes_up,
        frame_material=opening.material,
        door_material=opening.material,
        handle_material="brass",
        leaf_open_deg=opening.open_deg,
        name=name,
    )


def build_standing_room(scene: Scene, folder: Path, catalog: Catalog) -> StandingRoom:
    """The room of a scene. ValueError, one line a problem, when it cannot stand."""
    shape = room_shape(scene.room)
    if shape is None:
        return _scanned(scene.room, folder, catalog.root)
    names = list(scene.openings)
    built = build_room(shape, [opening_shape(name, scene.openings[name]) for name in names])
    walls = {wall.number: wall for wall in built.walls}
    things = [standing("room", "room", _painted(built.pieces, scene.room))]
    if scene.room.sweep is not None:
        things.append(standing("room.sweep", "room", _swept(scene, scene.room.sweep, walls)))
    panes = set()
    for portal in built.portals:
        opening = scene.openings[names[portal.opening]]
        hung = _hanging(names[portal.opening], opening, walls, scene.seed)
        if hung:
            things.append(standing(f"openings.{names[portal.opening]}", "room", hung))
        if scene.daylight.sky in DARK_SKIES:
            panes.add(names[portal.opening])
            things.append(standing(pane_of(names[portal.opening]), "room", _pane(portal)))
    _, usual_cct_k = typical(scene.daylight.sky)
    sky_cct_k = scene.daylight.cct_k or usual_cct_k
    windows = tuple(
        _window(
            names[portal.opening], scene.openings[names[portal.opening]], portal, catalog, sky_cct_k
        )
        for portal in built.portals
    )
    rooflights = []
    for name in names:
        behind = _hall(opening_shape(name, scene.openings[name]), walls, shape)
        if behind is not None:
            pieces = _painted(behind.pieces, scene.room)
            things.append(standing(f"openings.{name}", "room", pieces))
            rooflights.append(_rooflight(name, behind))
    windows = (*windows, *rooflights)
    room = StageRoom(shape, walls, scene.openings, _film(scene, catalog), frozenset(panes))
    return StandingRoom(tuple(things), room, windows, environment_of(scene) if windows else None)


def _hall(opening: OpeningShape, walls: Mapping[int, Wall], shape: RoomShape) -> Hall | None:
    if not open_to_a_hall(opening):
        return None
    wall = walls[opening.wall]
    made_of = shape.wall_material, shape.floor_material
    # The corners are those that the wall was raised on.
    key = ("hall", opening, wall, *made_of)
    return remembered(key, lambda: hall(opening, wall, shape.corners_m, *made_of))


def _rooflight(name: str, behind: Hall) -> Emitter:
    """Daylight in the hall behind an open door: a layer of its own, like a window's."""
    return Emitter(
        layer=name,
        thing=f"openings.{name}",
        shape=behind.rooflight,
        luminance_cd_m2=ROOFLIGHT_SHARE,
        rgb=np.ones(3),
        window=True,
    )


def _painted(pieces: tuple[Piece, ...], room: Room) -> tuple[Piece, ...]:
    if room.wall_colour is None:
        return pieces
    colour = room.wall_colour

    def paint() -> tuple[Piece, ...]:
        linear = np.asarray(linear_from_hex(colour), float)
        return tuple(
            replace(piece, colour=linear) if piece.name.startswith("wall_") else piece
            for piece in pieces
        )

    return remembered(("painted", pieces, colour), paint)


def _scanned(room: Room, folder: Path, catalog_root: Path) -> StandingRoom:
    scan = room.scan
    assert scan is not None
    path = resolve_inside(folder, scan.file, catalog_root)

    def load() -> tuple[Piece, ...]:
        return load_scan(
            path,
            scale=scan.scale,
            up_axis=scan.up,
            floor=scan.floor,
            turn_deg=scan.turn_deg,
        )

    if path.suffix.lower() in WHOLE_SCANS:
        with path.open("rb") as file:
            content = hashlib.file_digest(file, "sha256").hexdigest()
        pieces = remembered(("scan", content, repr(scan)), load)
    else:
        pieces = load()
    return StandingRoom((standing("room", "room", pieces),), StageRoom(scan=scan), (), None)


def _swept(scene: Scene, swept: Sweep, walls: Mapping[int, Wall]) -> tuple[Piece, ...]:
    """The sweep before its wall. ValueError for a wall that is none, or has openings."""
    number, room = wall_number(swept.wall), scene.room
    if number not in walls:
        raise ValueError(f"sweep: there is no wall {number}; the room has {len(walls)}")
    through = [n for n, opening in scene.openings.items() if wall_number(opening.wall) == number]
    if through:
        raise ValueError(
            f"sweep: it would cover {listed(through, 'and')} in its wall; take another wall, or "
            "move the opening"
        )
    assert room.height_m is not None
    piece = sweep(walls[number], room.height_m, swept.radius_m, swept.floor_m, room.walls)
    painted = room.model_copy(update={"wall_colour": swept.colour or room.wall_colour})
    return _painted((piece,), painted)


def _pane(portal: Portal) -> tuple[Piece, ...]:
    """The glass of a window before what is seen through it: by day it only costs light."""
    across = 0.5 * portal.width_m * np.cross(portal.up, portal.normal)
    up = 0.5 * portal.height_m * portal.up
    middle = portal.centre_m + PANE_BEFORE_M * portal.normal
    corners = [
        middle - across - up,
        middle + across - up,
        middle + across + up,
        middle - across + up,
    ]
    mesh = Mesh(np.array(corners), np.array([[0, 1, 2], [0, 2, 3]]))
    return (Piece("pane", mesh, "glass_clear", closed=False),)


def _film(scene: Scene, catalog: Catalog) -> dict[str, float]:
    """Density of what is put on the panes, by opening, in hundredths as densities are marked."""
    gels = {
        name: [catalog.gel(g) for g in opening.gels] for name, opening in scene.openings.items()
    }
    return {
        name: round(opening.gel_nd - math.log10(transmittance(gels[name])), 2)
        for name, opening in scene.openings.items()
        if opening.gels or opening.gel_nd > 0.0
    }


def _window(
    name: str, opening: Opening, portal: Portal, catalog: Catalog, sky_cct_k: float
) -> Emitter:
    pose = np.eye(4)
    pose[:3, 1], pose[:3, 2], pose[:3, 3] = portal.up, portal.normal, portal.centre_m
    pose[:3, 0] = np.cross(portal.up, portal.normal)
    share, tint = window_light(opening, [catalog.gel(gel) for gel in opening.gels], sky_cct_k)
    return Emitter(
        layer=name,
        thing=f"openings.{name}",
        shape=EmitterShape("rectangle", pose, width_m=portal.width_m, height_m=portal.height_m),
        luminance_cd_m2=share,
        rgb=tint,
        window=True,
    )


def _hanging(
    name: str, opening: Opening, walls: Mapping[int, Wall], scene_seed: int
) -> tuple[Piece, ...]:
    """Curtains or a blind before one window, in the world."""
    if opening.covering is None:
        return ()
    wall = walls[wall_number(opening.wall)]
    key = ("hanging", name, repr(opening), wall, scene_seed)
    return remembered(key, lambda: _hung(name, opening, wall, scene_seed))


def _hung(name: str, opening: Opening, wall: Wall, scene_seed: int) -> tuple[Piece, ...]:
    covering = opening.covering
    assert covering is not None
    wide = opening.width_m + 2.0 * HANGING_OVERLAP_M
    top = opening.sill_m + opening.height_m + HANGING_OVERLAP_M
    low = max(0.02, opening.sill_m - HANGING_OVERLAP_M)
    share = covering.open_pct / 100.0
    cloth = covering.material
    if covering.kind == "curtains":
        low = 0.02
        pieces = hangings.curtains(
            wide + 2.0 * STACK_M,
            top - low,
            share,
            seed=seed_of(name, scene_seed),
            material=cloth,
            rail_material="steel",
        )
    elif covering.kind == "roller_blind":
        pieces = hangings.roller_blind(wide, top - low, 1.0 - share, cloth, "steel")
    else:
        pieces = hangings.venetian_blind(wide, top - low, 75.0 * (1.0 - share))
    # The hanging's y points into the room and its x along the rail: the wall's own axes, turned.
    axes = np.eye(4)
    axes[:2, 0], axes[:2, 1] = -wall.along, wall.inward
    middle = wall.left_m + wall.along * (opening.along_m + opening.width_m / 2.0)
    axes[:3, 3] = [*(middle + HANGING_GAP_M * wall.inward), low]
    if covering.colour is not None:
        dye = np.asarray(linear_from_hex(covering.colour), float)
        pieces = tuple(replace(p, colour=dye) if p.material == cloth else p for p in pieces)
    return moved(pieces, axes)
