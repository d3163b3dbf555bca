"""One run that renders frames: the same scene, options and back end for all of them."""

from __future__ import annotations

import time
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cached_property
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from previz.api.darkroom import card_light, map_exposure, photograph, white_of
from previz.api.opening import OpenScene, default_folder
from previz.api.progress import Progress
from previz.deliver.files import no_file_there, writable_folder
from previz.deliver.frames import read_png, write_exr, write_png
from previz.deliver.kept import Keeper, Picture
from previz.deliver.layers import write_layers
from previz.deliver.manifest import FrameNote, Manifest, write_manifest
from previz.deliver.sheet import Sheet
from previz.deliver.sheet import write_pdf as write_sheet_pdf
from previz.deliver.sheet import write_png as write_sheet_png
from previz.develop.exposure import exposure_scale
from previz.errors import InputError, InterruptedRender, Place, Problem
from previz.render.backends import path_tracer
from previz.render.compute import in_plain_words
from previz.render.contract import Ability, Exposing, Light, Settings
from previz.render.denoise import Denoiser
from previz.render.qualities import EFFORTS, Quality, passes
from previz.render.relight import LayerStack
from previz.stage.identity import identity_of, triple
from previz.stage.stage import StageCamera
from previz.telling.cautions import printed_for
from previz.version import version


@dataclass(frozen=True)
class RenderOptions:
    """What to render, how well, and where to. `width_px` None: by quality and scene.

    With `keep_light` the light layers are kept beside the frames, for `relight`.
    """

    out: Path | None = None
    cameras: tuple[str, ...] = ()
    quality: Quality = "review"
    samples: int | None = None
    width_px: int | None = None
    variant: str | None = None
    resume: bool = False
    denoise: bool = True
    exr: bool = False
    keep_light: bool = True
    exposure_map: bool = False
    settings: tuple[str, ...] = ()


@dataclass(frozen=True)
class Rendered:
    """What came of a render; `cautions` are sentences to print beside a proposal."""

    folder: Path
    files: tuple[Path, ...]
    manifest: Path
    seconds: float
    cautions: tuple[str, ...] = ()


def cameras_wanted(opened: OpenScene, options: RenderOptions) -> tuple[str, ...]:
    """The cameras asked for, else all; InputError for one that the scene has not."""
    known = tuple(opened.stage.cameras)
    for name in options.cameras:
        if name not in known:
            place = Place(opened.path)
            text = f"there is no camera {name}; the scene has {', '.join(known)}"
            raise InputError([Problem(place, text)])
    return options.cameras or known


class Session:
    """One run of `render`: the same scene, options and back end for every frame.

    `before` is a session whose frames this one goes on from, on another stage.
    """

    def __init__(
        self,
        opened: OpenScene,
        options: RenderOptions,
        watch: Progress,
        *,
        before: Session | None = None,
    ) -> None:
        self.began: float = before.began if before else time.monotonic()
        self.opened, self.options, self.watch = opened, options, watch
        self.folder = writable_folder(options.out or default_folder(opened.path))
        if options.keep_light:
            no_file_there(self.folder / "light")
        self.back_end = path_tracer(options.variant, watch.say)
        self.computed_on = in_plain_words(self.back_end.variant)
        self.renderer = self.back_end.load(opened.stage)
        outside = opened.stage.outside
        if outside is not None and outside.sun and Ability.SUN not in self.back_end.abilities:
            watch.say(f"{self.computed_on} leaves out the sun: only the sky lights the room")
        self.card = card_light(opened.stage, self.renderer)
        self.white = white_of(opened.stage, self.card)
        self.keeper = Keeper(self.folder)
        self.files: list[Path] = before.files if before else []
        self.frames: dict[str, FrameNote] = before.frames if before else {}

    @cached_property
    def _denoiser(self) -> Denoiser:
        return Denoiser(card=self.back_end.on_card)

    def frame(self, name: str) -> None:
        """Render, develop and write one camera's frame."""
        camera = self.opened.stage.cameras[name]
        picture = self._picture(camera)
        exposing = self.renderer.expose(name, picture.settings)
        if self.options.resume:
            self.keeper.restore(picture, exposing)
        try:
            self._trace(picture, exposing)
        except KeyboardInterrupt:
            self.keeper.keep(picture, exposing)
            if exposing.done:
                self._write(picture, camera, exposing.light(), complete=False)
                self.finish()
            raise InterruptedRender(
                f"stopped at {exposing.done} of {picture.settings.samples} samples of camera "
                f"{name}; what was rendered is kept in {self.folder}: run again with --resume"
            ) from None
        self._write(picture, camera, exposing.light(), complete=True)
        self.keeper.forget(picture)

    def _picture(self, camera: StageCamera) -> Picture:
        effort = EFFORTS[self.options.quality]
        width = self.options.width_px or effort.width_px
        if width is None:
            width = self.opened.scene.picture.width_px
        width, height = camera.picture_size(width)
        settings = Settings(
            width_px=width,
            height_px=height,
            samples=self.options.samples or effort.samples,
            seed=self.opened.stage.seed,
        )
        return Picture(camera.name, settings, self.opened.digest, self.back_end.variant)

    def _trace(self, picture: Picture, exposing: Exposing) -> None:
        settings = picture.settings
        self.watch.start(
            f"camera {picture.camera}, {settings.width_px} x {settings.height_px}",
            settings.samples,
        )
        self.watch.advance(exposing.done)
        pixels, most = settings.width_px * settings.height_px, self.back_end.pass_paths
        for step in passes(settings.samples, exposing.done, pixels, most):
            exposing.advance(step)
            self.watch.advance(exposing.done)
            self.keeper.keep_now_and_then(picture, exposing)
        self.watch.finish()

    def _write(self, picture: Picture, camera: StageCamera, light: Light, complete: bool) -> None:
        beauty = (
            self._denoiser.clean(light.beauty, light.albedo, light.normal, self.options.quality)
            if self.options.denoise
            else light.beauty
        )
        developed = photograph(self.opened, camera, beauty, self.white)
        png = self.folder / f"frame_{picture.camera}.png"
        notes = {
            "Title": f"{self.opened.scene.title}, camera {picture.camera}",
            "Software": f"previz {version()}",
            "Comment": f"scene {self.opened.digest[:12]}, {light.samples} samples"
            + ("" if complete else ", stopped before it was complete"),
        }
        write_png(png, developed, notes)
        files = {"picture": png.name}
        self.files.append(png)
        if self.options.exr:
            exr = png.with_suffix(".exr")
            write_exr(exr, light, dict(self.opened.stage.object_ids))
            files["light"] = exr.name
            self.files.append(exr)
        if self.options.exposure_map:
            chart = png.with_name(f"exposure_{picture.camera}.png")
            map_exposure(chart, self.opened, camera, beauty)
            files["exposure_map"] = chart.name
            self.files.append(chart)
        if self.options.keep_light:
            kept = self.folder / "light" / f"{picture.camera}.npz"
            write_layers(kept, LayerStack.of(light))
            files["layers"] = kept.relative_to(self.folder).as_posix()
        self.frames[picture.camera] = FrameNote(
            camera=picture.camera,
            width_px=picture.settings.width_px,
            height_px=picture.settings.height_px,
            samples=light.samples,
            complete=complete,
            files=files,
            white_xy=self.white,
            exposure_scale=exposure_scale(camera),
        )

    def finish(self) -> Rendered:
        """Write the manifest."""
        seconds = time.monotonic() - self.began
        manifest = Manifest(
            previz=version(),
            scene=str(self.opened.path),
            title=self.opened.scene.title,
            scene_digest=self.opened.digest,
            back_end=self.back_end.name,
            variant=self.back_end.variant,
            computed_on=self.computed_on,
            quality=self.options.quality,
            denoised=self.options.denoise,
            seed=self.opened.stage.seed,
            seconds=round(seconds, 2),
            made_at=datetime.now(UTC).isoformat(timespec="seconds"),
            settings=self.options.settings,
            layers=self.opened.stage.layers,
            card={name: triple(light) for name, light in self.card.items()},
            identity=identity_of(self.opened.stage) if self.options.keep_light else None,
            frames=self.frames,
        )
        path = write_manifest(self.folder, manifest)
        return Rendered(self.folder, tuple(self.files), path, seconds, self.cautions())

    def pictures(self) -> dict[str, NDArray[np.uint8]]:
        """All frames written so far."""
        return {name: read_png(self.folder / f"frame_{name}.png") for name in self.frames}

    def foot(self) -> str:
        """What a sheet of these frames was made from."""
        samples = max(frame.samples for frame in self.frames.values())
        scene = self.opened.digest[:12]
        return f"previz {version()}, scene {scene}, {samples} samples a pixel"

    def cautions(self) -> tuple[str, ...]:
        """What is to be said wherever this set is proposed."""
        return printed_for(self.opened.stage)

    def sheet(self, name: str, sheet: Sheet) -> None:
        """Write a sheet as PNG and PDF."""
        for kind, write in ((".png", write_sheet_png), (".pdf", write_sheet_pdf)):
            file = self.folder / f"{name}{kind}"
            write(file, sheet)
            self.files.append(file)
