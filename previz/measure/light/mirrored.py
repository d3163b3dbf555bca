"""What dark panes mirror: lights and cameras that a lens sees in windows by night."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from previz.stage.stage import Array, Emitter, Stage, StageCamera


@dataclass(frozen=True)
class Mirrored:
    """One light or camera in one window of one camera's frame; `kind` says which it is."""

    window: str
    kind: str
    name: str


def mirrored(stage: Stage, camera: StageCamera) -> Iterator[Mirrored]:
    """Lights that are on and cameras, by the law of reflection in the plane of each pane.

    What stands between pane and mirrored thing is left out, and so are people. A lamp with a
    face counts only where it shines at the pane.
    """
    for pane in stage.emitters:
        if pane.layer not in stage.room.panes:
            continue
        for emitter in stage.emitters:
            if emitter.window or emitter.layer not in stage.lights:
                continue
            at = _seen_at(pane, camera, emitter.shape.position_m)
            if at is not None and _shines_at(emitter, at):
                yield Mirrored(pane.layer, "light", emitter.layer)
        for other in stage.cameras.values():
            held = stage.setups[other.name].support != "none"
            if held and _seen_at(pane, camera, other.position_m) is not None:
                yield Mirrored(pane.layer, "camera", other.name)


def _seen_at(pane: Emitter, camera: StageCamera, point_m: Array) -> Array | None:
    """Where on a pane (3,) a camera sees a point mirrored; None where it does not."""
    shape = pane.shape
    middle, normal = shape.pose[:3, 3], shape.pose[:3, 2]
    lens, behind = camera.position_m, float((point_m - middle) @ normal)
    ahead = float((lens - middle) @ normal)
    if behind <= 0.0 or ahead <= 0.0:
        return None
    image = point_m - 2.0 * behind * normal
    at = np.asarray(lens + (image - lens) * ahead / (ahead + behind))
    off = at - middle
    within = abs(float(off @ shape.pose[:3, 0])) <= shape.width_m / 2.0
    within = within and abs(float(off @ shape.pose[:3, 1])) <= shape.height_m / 2.0
    if not within or camera.axis_distance(at) <= 0.0:
        return None
    across, down = camera.project(at, 100, 100)[0]
    return at if 0.0 <= across <= 100.0 and 0.0 <= down <= 100.0 else None


def _shines_at(emitter: Emitter, at_m: Array) -> bool:
    if emitter.shape.kind not in ("rectangle", "disc"):
        return True
    return float((at_m - emitter.shape.position_m) @ emitter.shape.direction) > 0.0
