"""Relighting: the layers of an earlier render recombined for other settings of the lights."""

from __future__ import annotations

import time
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from previz.api.kept import Kept
from previz.api.opening import OpenScene, Source, default_folder, opened_from
from previz.api.pipeline import Finish, Pipeline, prepare, trace
from previz.api.progress import Progress, Silence
from previz.api.white import white_of
from previz.deliver.files import writable_folder
from previz.deliver.manifest import FrameNote, Manifest, read_manifest, write_manifest
from previz.errors import InputError, MissingError, Place, Problem
from previz.render.apart import cleaned_apart
from previz.render.backends import open_back_end
from previz.render.cards import card_light
from previz.render.contract import Ability, BackEnd, Image, LightLayers, Renderer, RenderSettings
from previz.render.denoise import Denoiser
from previz.render.relight import Change, LayerStack, change_between
from previz.stage.identity import identity_of
from previz.stage.stage import StageCamera
from previz.version import version

Array = NDArray[np.float64]
FOLDER = "relight"


@dataclass(frozen=True)
class RelightOptions:
    """Where the render lies that is relit, where to write, and with which settings."""

    source: Path | str | None = None
    out: Path | str | None = None
    settings: tuple[str, ...] = ()
    denoise: bool = True
    exposure_map: bool = False


@dataclass(frozen=True, eq=False)
class Relit:
    """What came of it: `gains` by layer as multiplied, `rendered` layers that were made anew.

    `recombined_s` is the time that the arithmetic took, for all cameras.
    """

    folder: Path
    files: tuple[Path, ...]
    gains: Mapping[str, Array]
    rendered: tuple[str, ...]
    moved: tuple[str, ...]
    recombined_s: float
    seconds: float


def relight_scene(
    source: Source, options: RelightOptions | None = None, progress: Progress | None = None
) -> Relit:
    """Frames of a rendered scene under other settings of its lights.

    Layers whose light only changed in power or colour are multiplied; the layer of a light
    that moved, spreads otherwise or was off is rendered. InputError when the render cannot
    serve: none there, another set, another camera.
    """
    began, watch = time.monotonic(), progress or Silence()
    options = options or RelightOptions()
    path = source.path if isinstance(source, OpenScene) else Path(source)
    render = Path(options.source or default_folder(path))
    opened = opened_from(source, options.settings)
    manifest = _manifest(path, render)
    assert manifest.identity is not None
    change = change_between(manifest.identity, identity_of(opened.stage), tuple(manifest.frames))
    if change.hindered:
        _refuse(path, render, change)
    folder = writable_folder(Path(options.out or render / FOLDER))
    denoise = options.denoise and manifest.denoised
    kept = Kept(render, replace(manifest, denoised=denoise), manifest.frames, change.gains)
    layers = _Layers(opened, kept, change, watch)
    finish = Finish(options.exposure_map, manifest.approximate)
    pipeline = Pipeline(opened, folder, layers.white, finish)
    spent = 0.0
    for name, frame in manifest.frames.items():
        stack = layers.stack(name)
        start = time.monotonic()
        light = layers.combined(stack)
        spent += time.monotonic() - start
        camera = _as_taken(opened.stage.cameras[name], frame)
        pipeline.frame(camera, light, frame.samples, relit=True, caption=frame.caption)
    seconds = time.monotonic() - began
    write_manifest(
        folder,
        replace(
            manifest,
            previz=version(),
            scene=str(path),
            title=opened.scene.title,
            scene_digest=opened.digest,
            settings=opened.settings,
            denoised=denoise,
            seconds=round(seconds, 2),
            made_at=datetime.now(UTC).isoformat(timespec="seconds"),
            layers=tuple(layers.gains),
            card={},
            identity=None,
            frames=pipeline.frames,
        ),
    )
    files = tuple(pipeline.files)
    return Relit(folder, files, change.gains, change.fresh, change.moved, spent, seconds)


def _as_taken(camera: StageCamera, frame: FrameNote) -> StageCamera:
    """A camera as its frame was taken, where light chose: new light shall show, not be undone."""
    if frame.exposure != "auto":
        return camera
    return replace(camera, iso=frame.iso, nd_density=frame.nd_density)


def _manifest(path: Path, source: Path) -> Manifest:
    found = read_manifest(source)
    if found is None or found.identity is None or not found.frames:
        text = f"nothing to relight in {source}: render first, previz render {path}"
        raise InputError([Problem(Place(path), text)])
    incomplete = [name for name, frame in found.frames.items() if not frame.complete]
    if incomplete:
        text = f"camera {incomplete[0]} in {source} is not finished: previz render --resume {path}"
        raise InputError([Problem(Place(path), text)])
    return found


def _refuse(path: Path, source: Path, change: Change) -> None:
    tail = f"since the render in {source}; render again: previz render {path}"
    some = change.hindered[:6]
    more = len(change.hindered) - len(some)
    problems = [Problem(Place(path), f"{why} {tail}") for why in some]
    if more:
        problems.append(Problem(Place(path), f"and {more} more changes of that kind"))
    raise InputError(problems)


class _Layers:
    """The layers of one render, what multiplies them, and how to make those that are missing."""

    def __init__(self, opened: OpenScene, kept: Kept, change: Change, watch: Progress) -> None:
        self.opened, self.kept, self.change, self.watch = opened, kept, change, watch
        self.gains: dict[str, Array] = {
            **kept.gains,
            **{layer: np.ones(3) for layer in change.fresh},
        }
        self.fresh: tuple[BackEnd, Renderer] | None = None
        if change.fresh:
            manifest = kept.manifest
            back_end = open_back_end(manifest.variant, watch.say, name=manifest.back_end)
            alone = replace(opened, stage=opened.stage.lit_by(change.fresh))
            self.fresh = back_end, alone.renderer(back_end)
            prepare(self.fresh[1], watch)
        self.white = white_of(opened.stage, self._card())

    def _card(self) -> dict[str, Array]:
        """Light on the white card, old layers multiplied, new ones read; empty without meters."""
        if self.opened.stage.white_card_of is None:
            return {}
        card = self.kept.card()
        if self.fresh is not None:
            back_end, renderer = self.fresh
            if Ability.METER in back_end.abilities:
                card |= card_light(self.opened.stage, renderer)
        return card

    def stack(self, name: str) -> LayerStack:
        """The layers of one camera, with those made anew that had to be."""
        try:
            kept = self.kept.clean(name, self.watch)
        except MissingError as error:
            raise InputError([Problem(Place(self.opened.path), f"{error}: render again")]) from None
        if self.fresh is not None:
            fresh = LayerStack.of(self._rendered(*self.fresh, self.kept.frames[name]))
            if self.kept.manifest.denoised:
                fresh = cleaned_apart(fresh, Denoiser(), self.kept.quality)
            for layer in self.change.fresh:
                kept = kept.with_layer(layer, fresh)
        return kept

    def combined(self, stack: LayerStack) -> Image:
        """What a stack gives under the lights as they are now, (height, width, 3) in cd/m2."""
        return self.kept.combined(stack) if self.fresh is None else stack.combined(self.gains)

    def _rendered(self, back_end: BackEnd, renderer: Renderer, frame: FrameNote) -> LightLayers:
        settings = RenderSettings(
            frame.width_px,
            frame.height_px,
            frame.samples,
            seed=self.opened.stage.seed,
        )
        exposing = renderer.expose(frame.camera, settings)
        label = f"camera {frame.camera}, only {', '.join(self.change.fresh)}"
        size = (settings.width_px * settings.height_px, back_end.pass_paths)
        trace(exposing, settings.samples, size, label, self.watch)
        return exposing.light()
