"""Frames of a scene's cameras with their light kept: found from an earlier run, or rendered.

Whoever lays frames out (a pitch, a package) asks here, with the same folder, so that what was
rendered once serves them all. Words rest on no picture; a dimmer or a gel multiplies layers.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from previz.api.first_look import set_by_light
from previz.api.kept import Kept, is_noiseless, kept_in
from previz.api.opening import OpenScene
from previz.api.pipeline import Finish, Pipeline
from previz.api.progress import Progress, Silence
from previz.api.session import RenderOptions, Session, cameras_wanted, picture_width
from previz.deliver.frames import read_png
from previz.deliver.manifest import Manifest, read_manifest, write_manifest
from previz.develop.exposure import expose, exposure_scale
from previz.errors import MissingError
from previz.render.contract import Image
from previz.render.names import PATH_TRACER
from previz.render.qualities import EFFORTS
from previz.stage.identity import identity_of
from previz.version import version

Array = NDArray[np.float64]
Picture = NDArray[np.uint8]


@dataclass(frozen=True, eq=False)
class Pictures:
    """Developed frames (height, width, 3) by camera, and their light to make others from.

    rendered  cameras that had to be rendered; none when all was found
    """

    opened: OpenScene
    kept: Kept
    frames: Mapping[str, Picture]
    rendered: tuple[str, ...]

    def lights_apart(self, camera: str) -> dict[str, Image]:
        """Scene-linear light of each layer alone (height, width, 3), exposed and white balanced.

        Their sum is the light of the frame.
        """
        lights = self.kept.lights(camera)
        return {name: self._exposed(camera, light) for name, light in lights.items()}

    def light_of(self, camera: str) -> Image:
        """Scene-linear light of a frame (height, width, 3), exposed and white balanced."""
        return self._exposed(camera, self.kept.light(camera))

    def card_light(self) -> dict[str, Array]:
        """Light by layer (3,) on the card that white was taken from; empty without one."""
        return self.kept.card()

    def _exposed(self, camera: str, light: Image) -> Image:
        scale = exposure_scale(self.opened.stage.cameras[camera])
        return expose(light, scale, self.kept.white(self.opened))


def pictures_of(
    opened: OpenScene,
    options: RenderOptions,
    progress: Progress | None = None,
    beside: Sequence[Path] = (),
) -> Pictures:
    """Frames of the cameras wanted, with their light layers kept in `options.out`.

    Light that lies there from an earlier run is used if set, cameras, size and quality are the
    same, that in the folders `beside` as well: then nothing is rendered. What was stopped goes
    on. InputError for an unknown camera; InterruptedRender when the user stops it.
    """
    watch, names = progress or Silence(), cameras_wanted(opened, options)
    opened = set_by_light(opened, options.variant, watch)
    folder = Path(options.out or ".")
    found = [_serving(opened, options, names, place) for place in (folder, *beside)]
    whole = next((kept for kept in found if kept and set(names) <= set(kept.frames)), None)
    rendered: tuple[str, ...] = ()
    if whole is None:
        whole, rendered = _rendered(opened, options, names, found[0], watch)
    frames = None if rendered else developed_before(opened, options, folder, names)
    return Pictures(
        opened, whole, frames or _developed(opened, whole, folder, names, watch), rendered
    )


def developed_before(
    opened: OpenScene, options: RenderOptions, folder: Path, names: Sequence[str]
) -> dict[str, Picture] | None:
    """Frames as they lie in a folder; None unless all are there, of this set, look and size."""
    manifest = read_manifest(folder)
    if (
        manifest is None
        or manifest.developed != look_digest(opened)
        or not _as_wanted(manifest, opened, options)
    ):
        return None
    notes = [manifest.frames.get(name) for name in names]
    width = picture_width(opened, options)
    if any(note is None or not note.complete or note.width_px != width for note in notes):
        return None
    files = [folder / note.files["picture"] for note in notes if note is not None]
    if not all(file.is_file() for file in files):
        return None
    return {name: read_png(file) for name, file in zip(names, files, strict=True)}


def look_digest(opened: OpenScene) -> str:
    """Digest of all that pictures of a scene rest on: what it says but its words, and its set."""
    parts = [opened.set_digest, asdict(identity_of(opened.stage))]
    return hashlib.sha256(json.dumps(parts, sort_keys=True, allow_nan=False).encode()).hexdigest()


def _serving(
    opened: OpenScene, options: RenderOptions, names: Sequence[str], folder: Path
) -> Kept | None:
    """What lies in a folder that serves this scene and these options."""
    kept, width = kept_in(folder, opened, names), picture_width(opened, options)
    if kept is None or not _as_wanted(kept.manifest, opened, options):
        return None
    cameras = opened.stage.cameras
    sized = {
        name: note
        for name, note in kept.frames.items()
        if (note.width_px, note.height_px) == cameras[name].picture_size(width)
    }
    return replace(kept, frames=sized)


def _as_wanted(manifest: Manifest, opened: OpenScene, options: RenderOptions) -> bool:
    """Whether a render was made as these options ask for it."""
    samples = options.samples or EFFORTS[options.quality].samples
    noiseless = is_noiseless(manifest)
    return (
        manifest.previz == version()
        and manifest.back_end == (options.back_end or PATH_TRACER)
        and options.variant in (None, manifest.variant)
        and manifest.quality == options.quality
        and manifest.denoised == (options.denoise and not noiseless)
        and manifest.seed == opened.stage.seed
        and (noiseless or all(note.samples == samples for note in manifest.frames.values()))
    )


def _rendered(
    opened: OpenScene,
    options: RenderOptions,
    names: Sequence[str],
    before: Kept | None,
    watch: Progress,
) -> tuple[Kept, tuple[str, ...]]:
    """Render what is missing; frames whose light is just as it was stay."""
    staying = dict(before.frames) if before is not None and before.unchanged else {}
    missing = tuple(name for name in names if name not in staying)
    session = Session(opened, replace(options, keep_light=True, resume=True), watch)
    if not session.keeps_light:
        raise MissingError(f"{session.computed_on} keeps no light apart: take another back end")
    session.pipeline.frames |= staying
    for name in missing:
        session.frame(name)
    session.finish()
    made = _serving(opened, options, names, session.folder)
    assert made is not None
    return made, missing


def _developed(
    opened: OpenScene, kept: Kept, folder: Path, names: Sequence[str], watch: Progress
) -> dict[str, Picture]:
    """Frames developed from kept light and written; the light stays where it lies.

    Always from what is kept, so that a frame is the same whether its light was found or rendered.
    """
    manifest = kept.manifest
    finish = Finish(approximate=manifest.approximate)
    pipeline = Pipeline(opened, folder, kept.white(opened), finish)
    frames = {}
    for name in names:
        note, light = kept.frames[name], kept.light(name, watch)
        caption = note.caption if kept.folder == folder else ""
        camera = opened.stage.cameras[name]
        developed = pipeline.frame(camera, light, note.samples, caption=caption)
        frames[name] = read_png(folder / developed.files["picture"])
        if kept.folder == folder:
            developed.files["layers"] = note.files["layers"]
    of_light = kept.folder == folder
    write_manifest(
        folder,
        replace(
            manifest,
            scene=str(opened.path),
            title=opened.scene.title,
            scene_digest=opened.digest,
            developed=look_digest(opened),
            settings=opened.settings,
            made_at=datetime.now(UTC).isoformat(timespec="seconds"),
            identity=manifest.identity if of_light else None,
            frames=pipeline.frames,
        ),
    )
    return frames
