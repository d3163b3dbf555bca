"""The note beside every result: what it was made from, with what, and which files it is."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, field
from pathlib import Path

from previz.deliver.files import write_text

MANIFEST = "manifest.json"


@dataclass(frozen=True)
class FrameNote:
    """One camera's frame."""

    camera: str
    width_px: int
    height_px: int
    samples: int
    complete: bool
    files: dict[str, str]
    white_xy: tuple[float, float]
    exposure_scale: float


@dataclass(frozen=True)
class Manifest:
    """What `manifest.json` holds. `settings` tells one way of rendering from another."""

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
    frames: dict[str, FrameNote] = field(default_factory=dict)


def write_manifest(folder: Path, manifest: Manifest) -> Path:
    """Write `manifest.json` into `folder`."""
    path = folder / MANIFEST
    write_text(path, json.dumps(asdict(manifest), indent=2) + "\n")
    return path
