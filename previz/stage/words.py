"""Sentences on where things were put, for whoever wrote their places in words."""

from __future__ import annotations

import math
from collections.abc import Iterator

from previz.geometry.piece import bounds
from previz.stage.moving.move import StageMove
from previz.stage.stage import Stage


def describe(stage: Stage) -> Iterator[str]:
    """One sentence on a scan, and one per camera, move and light."""
    if stage.room.scan is not None:
        room = next(thing for thing in stage.things if thing.kind == "room")
        low, high = bounds(room.pieces)
        wide, deep, tall = high - low
        yield (
            f"scan: {wide:.2f} x {deep:.2f} m and {tall:.2f} m high, from ({low[0]:.2f}, "
            f"{low[1]:.2f}) to ({high[0]:.2f}, {high[1]:.2f}) m, lowest at {low[2]:.2f} m"
        )
    for name, camera in stage.cameras.items():
        x, y, z = camera.position_m
        tilt = math.degrees(math.asin(camera.forward[2]))
        yield (
            f"camera {name}: lens at ({x:.2f}, {y:.2f}) m, {z:.2f} m high, "
            f"tilted {tilt:+z.1f} deg, {camera.focal_length_m * 1000:.0f} mm at "
            f"f/{camera.f_number:.2g} (T{camera.t_number:.2g}), focused at "
            f"{camera.focus_distance_m:.2f} m"
        )
    for name, move in stage.moves.items():
        yield f"move {name}: {in_short(move)}"
    for name, light in stage.lights.items():
        x, y, z = light.position_m
        fixture = light.setting.fixture
        yield f"light {name}: {fixture} with its face at ({x:.2f}, {y:.2f}) m, {z:.2f} m high"


def in_short(move: StageMove) -> str:
    """What a move is: `camera A, slider, 0.50 m in 8.0 s`."""
    way_m = move.way.path.length_m
    far = f"{way_m:.2f} m in " if way_m > 0.0 else ""
    kind = move.kind.replace("_", " ")
    return f"camera {move.before.name}, {kind}, {far}{move.duration_s:.1f} s"
