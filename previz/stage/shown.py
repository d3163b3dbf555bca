"""What a camera's frame rests on, as one digest: while it is the same, so is the frame.

An approval is bound to it. Another camera's stop is not in it, nor its tripod where this camera
does not see it; nor is the seed of the noise, nor how long a frame was rendered.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from pathlib import Path

import numpy as np

from previz.geometry.piece import bounds
from previz.model.exposure import Look
from previz.stage.identity import Identity, identity_of
from previz.stage.stage import Array, Stage, StageCamera, Thing

DIGEST_LETTERS = 32
"""128 bits: nobody makes two frames that share them: an estimate."""


def shown_digests(stage: Stage, look: Look, lut: Path | None) -> dict[str, str]:
    """Digest of what each camera's frame rests on, by camera.

    look, lut  from light to picture, and the file that `look` names
    """
    identity = identity_of(stage)
    table = "" if lut is None else hashlib.sha256(lut.read_bytes()).hexdigest()
    shared = [identity.forms, identity.power, stage.white_cct_k, stage.white_card_of, look.view]
    return {
        name: _digest(
            [*shared, table, _things_seen(stage, identity, camera), identity.views[name]],
            _exposure(camera),
        )
        for name, camera in stage.cameras.items()
    }


def _things_seen(stage: Stage, identity: Identity, camera: StageCamera) -> Mapping[str, str]:
    """The set without its cameras, and of their gear what reaches into this frame."""
    gear = {thing.name: thing for thing in stage.things if thing.owner is not None}
    return {
        name: of
        for name, of in identity.furnished.items()
        if name not in gear or _reaches_in(gear[name], camera)
    }


def _reaches_in(gear: Thing, camera: StageCamera) -> bool:
    """Whether any of another camera's gear may be seen: its box, by the corners of the picture."""
    if gear.owner == camera.name or not gear.pieces:
        return False
    at = (np.array(list(_corners(bounds(gear.pieces)))) - camera.position_m) @ camera.pose[:3, :3]
    ahead_m = -at[:, 2]
    if np.all(ahead_m <= 0.0):
        return False
    reach = 0.5 / camera.focal_length_m
    across = reach * camera.sensor_width_m * ahead_m
    up = reach * camera.sensor_height_m * ahead_m
    outside = (at[:, 0] > across, at[:, 0] < -across, at[:, 1] > up, at[:, 1] < -up)
    return not any(bool(np.all(side)) for side in outside)


def _corners(box: Array) -> Iterator[Array]:
    for x in box[:, 0]:
        for y in box[:, 1]:
            for z in box[:, 2]:
                yield np.array([x, y, z])


def _exposure(camera: StageCamera) -> list[float]:
    return [camera.t_number, camera.shutter_s, camera.iso, camera.nd_density, camera.aspect]


def _digest(*parts: object) -> str:
    told = json.dumps(parts, sort_keys=True, allow_nan=False)
    return hashlib.sha256(told.encode()).hexdigest()[:DIGEST_LETTERS]
