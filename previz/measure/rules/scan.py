"""Findings on a scanned room: its scale, which way is up, who is outside it or off its floor."""

from __future__ import annotations

from collections.abc import Iterator

from previz.measure.rules.findings import GEOMETRY, Finding
from previz.measure.scanned import Scanned, measure_scan
from previz.stage.stage import Stage

WIDEST_M, NARROWEST_M = 60.0, 1.0
"""As large and as small as a room that is built may be (`room.width_m`): estimates."""
TALL_M = 3.5
"""A scan lying on its side is as high as the room is wide: common rooms are lower, an estimate."""
FLATTER = 0.7
"""Floor and ceiling are more than this share of the largest faces of a room: an estimate."""
OFF_FLOOR_M = 0.1
"""What a doorstep or a rough scan may be off: an estimate."""


def scan_findings(stage: Stage) -> Iterator[Finding]:
    """What is wrong with how a scan is set into the scene."""
    scanned = measure_scan(stage)
    if scanned is not None:
        yield from _scale(scanned)
        yield from _upright(scanned)
        yield from _people(scanned)
        yield from _cameras(scanned, stage)


def _scale(scanned: Scanned) -> Iterator[Finding]:
    spans = scanned.box_m[1] - scanned.box_m[0]
    across = float(spans[:2].max())
    if NARROWEST_M <= across <= WIDEST_M:
        return
    limit = WIDEST_M if across > WIDEST_M else NARROWEST_M
    yield Finding(
        "scan_scale",
        "fault",
        "room.scan",
        f"the scan is {across:.4g} m across with scale {scanned.scan.scale:g}, and rooms are "
        f"{NARROWEST_M:g} to {WIDEST_M:g} m: give the metres of one unit of the file "
        "(0.01 for centimetres, 0.001 for millimetres)",
        across,
        limit,
        "m",
        GEOMETRY,
    )


def _upright(scanned: Scanned) -> Iterator[Finding]:
    height = float(scanned.box_m[1, 2] - scanned.box_m[0, 2])
    flat, up = scanned.flat_m2, scanned.scan.up
    largest = max(flat, key=lambda axis: flat[axis])
    across = float((scanned.box_m[1] - scanned.box_m[0])[:2].min())
    if height <= max(TALL_M, across) or flat[up] >= FLATTER * flat[largest]:
        return
    yield Finding(
        "scan_up",
        "warning",
        "room.scan",
        f"the scan stands {height:.1f} m high with up: {up}, and most of its flat faces lie "
        f"across its {largest} axis: it may be lying on its side; try up: {largest}",
        flat[up] / flat[largest],
        FLATTER,
        "of the area",
        GEOMETRY,
    )


def _people(scanned: Scanned) -> Iterator[Finding]:
    low, high = scanned.box_m[0], scanned.box_m[1]
    for name, floor in scanned.floors_m.items():
        if floor is None:
            yield Finding(
                "outside_scan",
                "fault",
                f"people.{name}",
                f"there is no floor of the scan under {name}; it reaches from ({low[0]:.2f}, "
                f"{low[1]:.2f}) to ({high[0]:.2f}, {high[1]:.2f}) m: move them onto it",
                source=GEOMETRY,
            )
        elif abs(floor) > OFF_FLOOR_M:
            yield Finding(
                "scan_floor",
                "warning",
                f"people.{name}",
                f"the floor of the scan lies {100 * abs(floor):.0f} cm "
                f"{'over' if floor > 0.0 else 'under'} the feet of {name}: give room.scan.floor "
                "the height of the floor in the scan",
                floor,
                OFF_FLOOR_M,
                "m",
                GEOMETRY,
            )


def _cameras(scanned: Scanned, stage: Stage) -> Iterator[Finding]:
    """Cameras beyond the box round the scan, which see it from outside."""
    low, high = scanned.box_m
    for name, camera in stage.cameras.items():
        place = camera.position_m
        if (place < low).any() or (place > high).any():
            yield Finding(
                "camera_outside_scan",
                "fault",
                f"cameras.{name}",
                f"camera {name} stands outside the scan, which reaches from ({low[0]:.2f}, "
                f"{low[1]:.2f}, {low[2]:.2f}) to ({high[0]:.2f}, {high[1]:.2f}, {high[2]:.2f}) m: "
                "move it in, or check the scale of the scan",
                source=GEOMETRY,
            )
