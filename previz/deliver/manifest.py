"""The note beside every result: what it was made from, with what, and which files it is."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, field
from pathlib import Path

from previz.deliver.files import write_text
from previz.stage.identity import Identity, Triple

MANIFEST = "manifest.json"


@dataclass(frozen=True)
class FrameNote:
    """One camera's frame, and how the camera was set; `exposure` is `auto` where light chose."""

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


def write_manifest(folder: Path, manifest: Manifest) -> Path:
    """Write `manifest.json` into `folder`."""
    path = folder / MANIFEST
    write_text(path, json.dumps(asdict(manifest), indent=2, allow_nan=False) + "\n")
    return path


def read_manifest(folder: Path) -> Manifest | None:
    """The manifest in `folder`; None if there is none that this version wrote."""
    try:
        found = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))
        frames = {name: FrameNote(**frame) for name, frame in found.pop("frames").items()}
        identity = found.pop("identity")
        return Manifest(
            **found, frames=frames, identity=None if identity is None else Identity(**identity)
        )
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return None
