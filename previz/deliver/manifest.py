"""The note beside every result: what it was made from, with what, and which files it is."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Literal

from previz.deliver.caption import CaptionPlace
from previz.deliver.files import write_text
from previz.stage.identity import Identity, Triple

MANIFEST = "manifest.json"
REGION_MANIFEST = "manifest_region.json"
"""Of regions that were rendered alone: what lies beside them of whole frames keeps its own."""


@dataclass(frozen=True)
class FrameNote:
    """One camera's frame, and how the camera was set; `exposure` is `auto` where light chose.

    `caption` tells where the captioned copy beside the picture has its caption, "" where there is
    none. Of a region that was rendered alone, `region_pct` is what was asked for, `region_at_px`
    its first pixel and `whole_px` the size of the frame that it is part of.
    """

    camera: str
    width_px: int
    height_px: int
    samples: int
    complete: bool
    files: dict[str, str]
    white_xy: tuple[float, float]
    exposure_scale: float
    t_number: float = 0.0
    iso: float = 0.0
    nd_density: float = 0.0
    exposure: str = "set"
    caption: CaptionPlace | Literal[""] = ""
    region_pct: tuple[float, float, float, float] | None = None
    region_at_px: tuple[int, int] | None = None
    whole_px: tuple[int, int] | None = None


@dataclass(frozen=True)
class Manifest:
    """What `manifest.json` holds. `settings` tells one way of rendering from another.

    `computed_on` says in plain words what `variant` says in the renderer's: what relighting must
    compute on to fit. `approximate` says what pictures lack that are drawn. `card` is the light by
    layer on the card that white was taken from, `identity` what the light layers rest on; both
    serve relighting. `developed` is a digest of all that pictures which are kept for later
    were developed from.
    """

    previz: str
    scene: str
    title: str
    scene_digest: str
    back_end: str
    variant: str
    quality: str
    denoised: bool
    seed: int
    seconds: float
    made_at: str
    settings: tuple[str, ...] = ()
    layers: tuple[str, ...] = ()
    card: dict[str, Triple] = field(default_factory=dict)
    identity: Identity | None = None
    frames: dict[str, FrameNote] = field(default_factory=dict)
    computed_on: str = ""
    approximate: str = ""
    developed: str = ""


def write_manifest(folder: Path, manifest: Manifest, name: str = MANIFEST) -> Path:
    """Write `manifest.json`, or one of another name, into `folder`."""
    path = folder / name
    write_text(path, json.dumps(asdict(manifest), indent=2, allow_nan=False) + "\n")
    return path


def read_manifest(folder: Path, name: str = MANIFEST) -> Manifest | None:
    """The manifest of that name in `folder`; None if there is none that this version wrote."""
    try:
        found = json.loads((folder / name).read_text(encoding="utf-8"))
        frames = {name: FrameNote(**frame) for name, frame in found.pop("frames").items()}
        identity = found.pop("identity")
        return Manifest(
            **found, frames=frames, identity=None if identity is None else Identity(**identity)
        )
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return None
