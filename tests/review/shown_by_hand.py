"""Showings as a page writes them, made by hand: of any frames, and of scenes as they are opened."""

from __future__ import annotations

import hashlib
import json
import time
import uuid
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

from previz.api import OpenScene
from previz.api.folders import scene_name
from previz.api.light_now import light_now
from previz.measure.measured import Ruler
from previz.measure.shown import framing_facts, picture_settings
from previz.model.decisions import Logged
from previz.scenefile.decisions import read_log
from previz.stage.shown import shown_digests

DIGESTS = {"A": "a" * 32, "B": "b" * 32}
AT = "2026-11-28T10:00:00Z"


def write_picture(path: Path, seed: int, width_px: int = 320) -> Path:
    """A PNG like no other of another seed."""
    path.parent.mkdir(parents=True, exist_ok=True)
    ramp = np.linspace(20, 200, width_px)[None, :, None] * np.ones((width_px * 9 // 16, 1, 3))
    shift = np.random.default_rng(seed).uniform(-15, 15, 3)
    Image.fromarray((ramp + shift).clip(0, 255).astype(np.uint8)).save(path)
    return path


def write_showing(folder: Path, title: str, scenes: list[dict[str, Any]]) -> str:
    """A showing beside a scene; its id."""
    told = [
        [scene["name"], frame["camera"], frame["shown"], frame["sha256"]]
        for scene in scenes
        for frame in scene["frames"]
    ]
    name = hashlib.sha256(json.dumps(told).encode()).hexdigest()[:16]
    showing = {"form": 1, "id": name, "previz": "0.1.0", "title": title, "scenes": scenes}
    path = folder / "shown" / f"{name}.json"
    path.parent.mkdir(exist_ok=True)
    path.write_text(json.dumps(showing), encoding="utf-8")
    return name


def frame_of(camera: str, shown: str, picture: Path, facts: dict[str, Any]) -> dict[str, Any]:
    with Image.open(picture) as image:
        size = {"width_px": image.width, "height_px": image.height}
    digest = hashlib.sha256(picture.read_bytes()).hexdigest()
    return {"camera": camera, "shown": shown, "sha256": digest, **size, "facts": facts}


def show(opened: OpenScene, pictures: Path) -> dict[str, Any]:
    """Show every frame of an open scene; the showing. Pictures that lack are made up."""
    ruler = Ruler(opened.stage, opened.scene.rules)
    frames = []
    for camera, shown in shown_digests(opened.stage, opened.scene.look, opened.lut).items():
        file = pictures / f"frame_{camera}.png"
        if not file.exists():
            write_picture(file, ord(camera))
        numbers = ruler.camera(opened.stage.setups[camera], opened.stage.cameras[camera])
        grid = light_now(opened, camera, pictures)
        facts = {
            "framing": framing_facts(numbers.framing),
            "light": {"grid": None if grid is None else grid.round(2).tolist()},
            "settings": picture_settings(opened.scene),
        }
        frames.append(frame_of(camera, shown, file, facts))
    name, title = scene_name(opened.path), opened.scene.title
    scenes = [{"name": name, "title": title, "digest": opened.digest, "frames": frames}]
    written = opened.folder / "shown" / f"{write_showing(opened.folder, title, scenes)}.json"
    return dict(json.loads(written.read_text(encoding="utf-8")))


def decision_file(
    showing: dict[str, Any], says: str = "approved", by: str = "Ada", **more: Any
) -> dict[str, Any]:
    """What a reviewer sends: the same about every frame of a showing."""
    decisions = [
        {
            "id": str(uuid.uuid4()),
            "scene": scene["name"],
            "camera": frame["camera"],
            "shown": frame["shown"],
            "sha256": frame["sha256"],
            "says": says,
            "comment": "",
            "mark": None,
            "by": by,
            "at": AT,
            **more,
        }
        for scene in showing["scenes"]
        for frame in scene["frames"]
    ]
    return {"form": 1, "showing": showing["id"], "by": by, "sent_at": AT, "decisions": decisions}


def show_again(folder: Path, **digests: str) -> str:
    """Show the cameras of the parlour, some of them as other frames than before."""
    frames = []
    for number, (camera, usual) in enumerate(DIGESTS.items()):
        digest = digests.get(camera, usual)
        picture = folder.parent / "out" / "parlour" / digest[:4] / f"frame_{camera}.png"
        write_picture(picture, number + int(digest[:4], 16))
        facts: dict[str, Any] = {
            "framing": {"head_top_pct": 8.0 if digest == usual else 11.0},
            "light": {"grid": [[0.0 if digest == usual else -0.5] * 16] * 9},
            "settings": {"lights.key.dimmer_pct": 40 if digest == usual else 28},
        }
        frames.append(frame_of(camera, digest, picture, facts))
    scene = {"name": "parlour", "title": "A parlour", "digest": "0" * 64, "frames": frames}
    return write_showing(folder, "A parlour", [scene])


def showing_in(folder: Path, name: str) -> dict[str, Any]:
    return dict(json.loads((folder / "shown" / f"{name}.json").read_text(encoding="utf-8")))


def settled(folder: Path, count: int) -> tuple[Logged, ...]:
    """The log, once it holds so many: it is written after the answer."""
    until = time.monotonic() + 10
    while len(log := read_log(folder)) < count and time.monotonic() < until:
        time.sleep(0.01)
    assert len(log) == count
    return log
