"""One run that renders frames: the same scene, options and back end for all of them."""

from __future__ import annotations

import time
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from previz.api.opening import OpenScene, Source, default_folder, opened_from
from previz.api.pipeline import Finish, Pipeline, prepare, trace
from previz.api.progress import Progress
from previz.api.regions import Region, RegionPct, region_of
from previz.api.white import white_of
from previz.deliver.caption import CaptionPlace
from previz.deliver.files import no_file_there, writable_folder
from previz.deliver.frames import read_png, write_exr
from previz.deliver.kept import Keeper, UnfinishedPicture
from previz.deliver.layers import write_layers
from previz.deliver.manifest import (
    MANIFEST,
    REGION_MANIFEST,
    Manifest,
    read_manifest,
    write_manifest,
)
from previz.deliver.sheet import Sheet
from previz.deliver.sheet import write_pdf as write_sheet_pdf
from previz.deliver.sheet import write_png as write_sheet_png
from previz.errors import InputError, InterruptedRender, Place, Problem
from previz.measure.approvals import FrameStanding
from previz.measure.light.whole import whole_frame
from previz.render import backends
from previz.render.cards import card_light
from previz.render.compute import in_plain_words
from previz.render.contract import Ability, Image, LightLayers, RenderSettings
from previz.render.denoise import Denoiser
from previz.render.qualities import EFFORTS, Quality
from previz.render.relight import LayerStack
from previz.stage.identity import identity_of, triple
from previz.stage.stage import StageCamera
from previz.telling.cautions import printed_for
from previz.telling.first_look import lost_frame
from previz.version import version


@dataclass(frozen=True)
class RenderOptions:
    """What to render, how well, and where to. `width_px` None: by quality and scene.

    `back_end` is a name of `render.names`, None the usual one; `variant` what it computes on.

    With `keep_light` the light layers are kept beside the frames, for `relight`. `caption` writes
    a captioned copy of each frame as well. `region_pct` (x, y, width, height in per cent of the
    frame) renders that part alone, into files of its own, and keeps no light.
    """

    out: Path | str | None = None
    cameras: tuple[str, ...] = ()
    quality: Quality = "review"
    samples: int | None = None
    width_px: int | None = None
    variant: str | None = None
    back_end: str | None = None
    resume: bool = False
    denoise: bool = True
    exr: bool = False
    keep_light: bool = True
    exposure_map: bool = False
    caption: CaptionPlace | None = None
    region_pct: RegionPct | None = None
    settings: tuple[str, ...] = ()


@dataclass(frozen=True)
class Rendered:
    """What came of a render; `cautions` are sentences to print beside a proposal.

    `approximate` says what pictures lack that are drawn; it is empty for others.
    `no_longer_approved` are frames of the scene that somebody approved as they were before.
    """

    folder: Path
    files: tuple[Path, ...]
    manifest: Path
    seconds: float
    cautions: tuple[str, ...] = ()
    approximate: str = ""
    no_longer_approved: tuple[FrameStanding, ...] = ()


def opened_with_word(source: Source, options: RenderOptions, watch: Progress) -> OpenScene:
    """Open a scene and say so, or take the one that is open."""
    if not isinstance(source, OpenScene):
        watch.say(f"reading {source}")
    return opened_from(source, options.settings)


def cameras_wanted(opened: OpenScene, options: RenderOptions) -> tuple[str, ...]:
    """The cameras asked for, else all; InputError for one that the scene has not."""
    known = tuple(opened.stage.cameras)
    for name in options.cameras:
        if name not in known:
            place = Place(opened.path)
            text = f"there is no camera {name}; the scene has {', '.join(known)}"
            raise InputError([Problem(place, text)])
    return options.cameras or known


def picture_width(opened: OpenScene, options: RenderOptions) -> int:
    """Pixels across a frame: as asked for, else by quality, else as the scene has it."""
    width = options.width_px or EFFORTS[options.quality].width_px
    return width or opened.scene.picture.width_px


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
        self.folder = writable_folder(Path(options.out or default_folder(opened.path)))
        keep_light = options.keep_light and options.region_pct is None
        if keep_light:
            no_file_there(self.folder / "light")
        name = options.back_end
        self.back_end = backends.open_back_end(options.variant, watch.say, name=name)
        self.approximate = backends.TABLE[self.back_end.name].approximate
        self.denoises = options.denoise and not self._can(Ability.NOISELESS)
        self.computed_on = in_plain_words(self.back_end.variant)
        self.renderer = opened.renderer(self.back_end)
        self._say_what_is_left_out()
        prepare(self.renderer, watch)
        self.card = card_light(opened.stage, self.renderer) if self._can(Ability.METER) else {}
        self.keeps_light = keep_light and self._can(Ability.LIGHT_LAYERS)
        self.denoiser = Denoiser(card=self.back_end.on_card) if self.denoises else None
        finish = Finish(options.exposure_map, self.approximate)
        white = white_of(opened.stage, self.card)
        self.pipeline = Pipeline(opened, self.folder, white, finish)
        self.keeper = Keeper(self.folder)
        self._width_px = picture_width(opened, options)
        self._captions = self._captions_before() if options.resume else {}
        if before is not None:
            self.pipeline.files = before.pipeline.files
            self.pipeline.frames = before.pipeline.frames

    def _can(self, ability: Ability) -> bool:
        return ability in self.back_end.abilities

    def _captions_before(self) -> dict[str, CaptionPlace | Literal[""]]:
        """Captions by camera of the run that is gone on with."""
        before = read_manifest(self.folder, self._manifest_name)
        return {} if before is None else {n: note.caption for n, note in before.frames.items()}

    @property
    def _manifest_name(self) -> str:
        return MANIFEST if self.options.region_pct is None else REGION_MANIFEST

    def _say_what_is_left_out(self) -> None:
        """What this set or these options ask for and the back end cannot do."""
        stage, options = self.opened.stage, self.options
        wanted = {
            Ability.SUN: stage.environment is not None and stage.environment.sun is not None,
            Ability.THIN_LENS: not self.approximate,
            Ability.METER: stage.white_card_of is not None,
            Ability.LIGHT_LAYERS: options.keep_light,
        }
        for ability, asked in wanted.items():
            if asked and not self._can(ability):
                self.watch.say(f"{self.computed_on} {backends.LEFT_OUT[ability]}")

    def frame(self, name: str) -> None:
        """Render, develop and write one camera's frame."""
        camera = self.opened.stage.cameras[name]
        region = region_of(self.opened, camera, self.options.region_pct, self._width_px)
        picture = self._picture(camera, region)
        settings = picture.settings
        exposing = self.renderer.expose(name, settings)
        if self.options.resume:
            self.keeper.restore(picture, exposing)
        try:
            trace(
                exposing,
                settings.samples,
                (settings.width_px * settings.height_px, self.back_end.pass_paths),
                f"camera {name}, {settings.width_px} x {settings.height_px}",
                self.watch,
                lambda: self.keeper.keep_now_and_then(picture, exposing),
            )
        except KeyboardInterrupt:
            self.keeper.keep(picture, exposing)
            if exposing.done:
                self._write(camera, region, exposing.light(), complete=False)
                self.finish()
            raise InterruptedRender(
                f"stopped at {exposing.done} of {settings.samples} samples of camera "
                f"{name}; what was rendered is kept in {self.folder}: run again with --resume"
            ) from None
        self._write(camera, region, exposing.light(), complete=True)
        self.keeper.forget(picture)

    def _picture(self, camera: StageCamera, region: Region | None) -> UnfinishedPicture:
        effort = EFFORTS[self.options.quality]
        width, height = camera.picture_size(self._width_px)
        settings = RenderSettings(
            width_px=width,
            height_px=height,
            samples=1 if self._can(Ability.NOISELESS) else self.options.samples or effort.samples,
            seed=self.opened.stage.seed,
            only=region.part if region else None,
        )
        return UnfinishedPicture(
            camera.name, settings, self.opened.set_digest, self.back_end.variant
        )

    def _write(
        self, camera: StageCamera, region: Region | None, light: LightLayers, complete: bool
    ) -> None:
        whole = None if self.denoiser is None else self._cleaned(light, self.denoiser)
        seen = light.beauty if whole is None else whole
        caption = self.options.caption or self._captions.get(camera.name, "")
        note = self.pipeline.frame(
            camera, seen, light.samples, complete=complete, caption=caption, region=region
        )
        lost = None if region else lost_frame(camera, whole_frame(camera, seen))
        if lost is not None:
            self.watch.say(lost)
        if self.options.exr:
            exr = (self.folder / note.files["picture"]).with_suffix(".exr")
            write_exr(exr, light, dict(self.opened.stage.object_ids))
            self.pipeline.add(note, "light", exr)
        if self.keeps_light:
            kept = self.folder / "light" / f"{camera.name}.npz"
            write_layers(kept, LayerStack.of(light, whole))
            self.pipeline.add(note, "layers", kept, listed=False)

    def _cleaned(self, light: LightLayers, denoiser: Denoiser) -> Image:
        quality = self.options.quality
        return denoiser.clean(light.beauty, light.albedo, light.normal, quality)

    def finish(self) -> Rendered:
        """Write the manifest."""
        seconds = time.monotonic() - self.began
        stage = self.opened.stage
        manifest = Manifest(
            previz=version(),
            scene=str(self.opened.path),
            title=self.opened.scene.title,
            scene_digest=self.opened.digest,
            back_end=self.back_end.name,
            variant=self.back_end.variant,
            computed_on=self.computed_on,
            quality=self.options.quality,
            denoised=self.denoises,
            approximate=self.approximate,
            seed=stage.seed,
            seconds=round(seconds, 2),
            made_at=datetime.now(UTC).isoformat(timespec="seconds"),
            settings=self.opened.settings,
            layers=stage.layers,
            card={name: triple(light) for name, light in self.card.items()},
            identity=identity_of(stage) if self.keeps_light else None,
            frames=self.pipeline.frames,
        )
        path = write_manifest(self.folder, manifest, self._manifest_name)
        files = tuple(self.pipeline.files)
        return Rendered(
            self.folder, files, path, seconds, self.cautions(), approximate=self.approximate
        )

    def pictures(self) -> dict[str, NDArray[np.uint8]]:
        """All frames written so far."""
        return {name: read_png(self.folder / f"frame_{name}.png") for name in self.pipeline.frames}

    def foot(self) -> str:
        """What a sheet of these frames was made from."""
        scene = self.opened.digest[:12]
        samples = max(frame.samples for frame in self.pipeline.frames.values())
        made = f"{samples} samples a pixel"
        if self.approximate:
            made = f"drawn, approximate: {self.approximate}"
        return f"previz {version()}, scene {scene}, {made}"

    def cautions(self) -> tuple[str, ...]:
        """What is to be said wherever this set is proposed."""
        return printed_for(self.opened.stage)

    def sheet(self, name: str, sheet: Sheet) -> None:
        """Write a sheet as PNG and PDF."""
        for kind, write in ((".png", write_sheet_png), (".pdf", write_sheet_pdf)):
            file = self.folder / f"{name}{kind}"
            write(file, sheet)
            self.pipeline.files.append(file)
