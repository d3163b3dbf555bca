"""The whole walk, from a scene file to what people hold. The only file that knows its order."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from importlib.metadata import version
from pathlib import Path
from typing import Protocol

import numpy as np

from previz.catalog import Catalog
from previz.deliver.comparison import Comparison, Request, prepare, sheet_of
from previz.deliver.files import writable_folder
from previz.deliver.frames import read_png, write_exr, write_png
from previz.deliver.kept import Keeper, Picture
from previz.deliver.manifest import FrameNote, Manifest, write_manifest
from previz.deliver.sheet import write_pdf as write_sheet_pdf
from previz.deliver.sheet import write_png as write_sheet_png
from previz.develop.exposure import expose, exposure_scale
from previz.develop.view import develop, view_problem
from previz.errors import CatalogError, InputError, InterruptedRender, Place, Problem
from previz.measure.measured import Ruler
from previz.measure.receptors import receptors
from previz.measure.report import Report, measure_scene
from previz.model.scene import Scene
from previz.physics.colour import xy_from_rgb
from previz.physics.white import white_xy
from previz.render.backends import path_tracer
from previz.render.contract import Exposing, Light, Renderer, Settings
from previz.render.denoise import denoise
from previz.render.qualities import EFFORTS, Quality, passes
from previz.render.readings import Readings, keep_readings, kept_readings, take_readings
from previz.scenefile import SceneDraft, read_scene, resolve_inside
from previz.solve.lens import Answer, Wishes
from previz.solve.lens import answers as answer_wishes
from previz.solve.place import place_cameras
from previz.solve.variants import Comparing, stage_with
from previz.stage.build import build_stage
from previz.stage.stage import Stage, StageCamera

CARD_SAMPLES = 4096
CARD_AHEAD_M = 0.02


class Progress(Protocol):
    """Who shows how far the work has come."""

    def start(self, label: str, total: int) -> None:
        """A piece of work of `total` steps begins."""

    def advance(self, done: int) -> None:
        """`done` of its steps are done."""

    def finish(self) -> None:
        """It is finished."""

    def say(self, text: str) -> None:
        """Tell something in a sentence."""


class Silence:
    """Progress that nobody watches."""

    def start(self, label: str, total: int) -> None:
        """Nothing."""

    def advance(self, done: int) -> None:
        """Nothing."""

    def finish(self) -> None:
        """Nothing."""

    def say(self, text: str) -> None:
        """Nothing."""


@dataclass(frozen=True, eq=False)
class OpenScene:
    """A scene file that holds: its scene, its stage, what was chosen where words stood."""

    path: Path
    folder: Path
    scene: Scene
    stage: Stage
    catalog: Catalog
    digest: str
    lut: Path | None

    @property
    def notes(self) -> tuple[str, ...]:
        """Sentences on where things were placed."""
        return self.stage.notes


@dataclass(frozen=True)
class RenderOptions:
    """What to render, how well, and where to. `width_px` None: by quality and scene."""

    out: Path | None = None
    cameras: tuple[str, ...] = ()
    quality: Quality = "review"
    samples: int | None = None
    width_px: int | None = None
    variant: str | None = None
    resume: bool = False
    denoise: bool = True
    exr: bool = False
    settings: tuple[str, ...] = ()


@dataclass(frozen=True)
class Rendered:
    """What came of a render."""

    folder: Path
    files: tuple[Path, ...]
    manifest: Path
    seconds: float


def open_scene(
    path: Path, settings: Sequence[str] = (), catalog_folder: Path | None = None
) -> OpenScene:
    """Read, check and build a scene. Raises InputError with every problem found."""
    catalog = Catalog.load(catalog_folder)
    draft = read_scene(path, catalog, tuple(settings))
    problems = list(draft.problems)
    scene, stage = draft.scene, None
    notes: tuple[str, ...] = ()
    if scene is not None:
        placed = place_cameras(scene, catalog, draft.places)
        scene, notes = placed.scene, placed.notes
        problems += placed.problems
        stage, misplaced = _stage(scene, catalog, draft)
        problems += misplaced
    lut = None
    if scene is not None and scene.look.lut is not None and not problems:
        lut = resolve_inside(draft.folder, scene.look.lut, catalog.root)
        fault = view_problem(lut, draft.places.of("look", "lut"))
        problems += [fault] if fault else []
    if problems or stage is None or scene is None:
        raise InputError(problems or [Problem(Place(draft.path), "holds no usable scene")])
    stage = replace(stage, notes=(*notes, *stage.notes))
    return OpenScene(draft.path, draft.folder, scene, stage, catalog, draft.digest, lut)


def _stage(scene: Scene, catalog: Catalog, draft: SceneDraft) -> tuple[Stage | None, list[Problem]]:
    try:
        return build_stage(scene, catalog, draft.folder, draft.digest, draft.places)
    except ValueError as error:
        if draft.problems:
            return None, []
        place = draft.places.of("room")
        return None, [Problem(place, f"room: {line}") for line in str(error).splitlines()]


def render(path: Path, options: RenderOptions, progress: Progress | None = None) -> Rendered:
    """Render the frames of a scene's cameras into a folder, with a manifest.

    Raises InterruptedRender when the user stops it: what was rendered has been developed
    and kept, and `resume` goes on from there.
    """
    watch = progress or Silence()
    watch.say(f"reading {path}")
    opened = open_scene(path, options.settings)
    names = _cameras(opened, options)
    session = _Session(opened, options, watch)
    for name in names:
        session.frame(name)
    return session.finish()


def measure(
    path: Path,
    settings: Sequence[str] = (),
    *,
    light: bool = False,
    variant: str | None = None,
    progress: Progress | None = None,
) -> Report:
    """Measure a scene and say what to know of it; with `light`, what meters would read too."""
    opened = open_scene(path, settings)
    readings = read_light(opened, variant, progress or Silence()) if light else None
    return measure_scene(opened, readings)


def read_light(opened: OpenScene, variant: str | None, watch: Progress) -> Readings:
    """Light at faces, meters and in small pictures; taken once and kept for other dimmers."""
    held, back_end = receptors(opened.scene, opened.stage), path_tracer(variant)
    readings = kept_readings(opened.stage, held, back_end.variant)
    if readings is None:
        watch.start("reading the light", 1 + len(opened.stage.cameras))
        renderer = back_end.load(opened.stage)
        readings = take_readings(renderer, opened.stage, held, watch.advance)
        watch.finish()
        keep_readings(opened.stage, held, back_end.variant, readings)
    return readings


def answers(path: Path, wishes: Wishes, settings: Sequence[str] = ()) -> list[Answer]:
    """Settings of one camera that fulfil wishes. InputError when they mean nothing here."""
    try:
        return answer_wishes(measure(path, settings).measured, wishes)
    except ValueError as error:
        raise InputError([Problem(Place(path), str(error))]) from error


def compare(
    path: Path, request: Request, options: RenderOptions, progress: Progress | None = None
) -> Rendered:
    """Render variants of one camera and lay them out on a sheet, PNG and PDF.

    All variants are rendered from one loaded stage; those that would stand outside the room
    from a second one without the wall in their way. InputError when the request means nothing.
    """
    watch = progress or Silence()
    watch.say(f"reading {path}")
    opened = open_scene(path, options.settings)
    wanted = (request.camera,) if request.camera else ()
    name = _cameras(opened, replace(options, cameras=wanted))[0]
    comparison = _comparison(opened, request, name)
    options = replace(options, out=options.out or default_folder(opened.path) / "compare")
    variants = comparison.variants
    session: _Session | None = None
    for outside in (False, True):
        some = [v for v in variants if (v.outside_m > 0.0) == outside]
        if some:
            stage = stage_with(opened.stage, name, some)
            session = _Session(replace(opened, stage=stage), options, watch, before=session)
            for variant in some:
                session.frame(variant.placed.name)
    assert session is not None
    pictures = {n: read_png(session.folder / f"frame_{n}.png") for n in session.frames}
    samples = max(frame.samples for frame in session.frames.values())
    foot = f"previz {version('previz')}, scene {opened.digest[:12]}, {samples} samples a pixel"
    sheet = sheet_of(comparison, pictures, opened.scene.title, foot)
    base = session.folder / f"compare_{name}_{request.axis}"
    for kind, write in ((".png", write_sheet_png), (".pdf", write_sheet_pdf)):
        file = base.with_name(f"{base.name}{kind}")
        write(file, sheet)
        session.files.append(file)
    return session.finish()


def _comparison(opened: OpenScene, request: Request, name: str) -> Comparison:
    try:
        comparing = Comparing(opened.scene, opened.stage, opened.catalog, name)
        ruler = Ruler(opened.scene, opened.stage, opened.catalog)
        return prepare(comparing, ruler, request)
    except (ValueError, CatalogError) as error:
        raise InputError([Problem(Place(opened.path), f"compare: {error}")]) from error


def _cameras(opened: OpenScene, options: RenderOptions) -> tuple[str, ...]:
    known = tuple(opened.stage.cameras)
    for name in options.cameras:
        if name not in known:
            place = Place(opened.path)
            text = f"there is no camera {name}; the scene has {', '.join(known)}"
            raise InputError([Problem(place, text)])
    return options.cameras or known


class _Session:
    """One run of `render`: the same scene, options and back end for every frame.

    `before` is a session whose frames this one goes on from, on another stage.
    """

    def __init__(
        self,
        opened: OpenScene,
        options: RenderOptions,
        watch: Progress,
        *,
        before: _Session | None = None,
    ) -> None:
        self.began: float = before.began if before else time.monotonic()
        self.opened, self.options, self.watch = opened, options, watch
        self.folder = writable_folder(options.out or default_folder(opened.path))
        self.back_end = path_tracer(options.variant)
        self.renderer = self.back_end.load(opened.stage)
        self.white = white_point(opened, self.renderer)
        self.keeper = Keeper(self.folder)
        self.files: list[Path] = before.files if before else []
        self.frames: dict[str, FrameNote] = before.frames if before else {}

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
            width = self.opened.scene.deliver.width_px
        width, height = camera.picture_size(width)
        settings = Settings(
            width_px=width,
            height_px=height,
            samples=self.options.samples or effort.samples,
            max_depth=effort.max_depth,
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
        for step in passes(settings.samples, exposing.done, settings.width_px, settings.height_px):
            exposing.advance(step)
            self.watch.advance(exposing.done)
            self.keeper.keep_now_and_then(picture, exposing)
        self.watch.finish()

    def _write(self, picture: Picture, camera: StageCamera, light: Light, complete: bool) -> None:
        scale = exposure_scale(camera)
        beauty = (
            denoise(light, quick=self.options.quality == "draft")
            if self.options.denoise
            else light.beauty
        )
        linear = expose(beauty, scale, self.white)
        developed = develop(linear, self.opened.scene.look.view, self.opened.lut)
        png = self.folder / f"frame_{picture.camera}.png"
        notes = {
            "Title": f"{self.opened.scene.title}, camera {picture.camera}",
            "Software": f"previz {version('previz')}",
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
        self.frames[picture.camera] = FrameNote(
            camera=picture.camera,
            width_px=picture.settings.width_px,
            height_px=picture.settings.height_px,
            samples=light.samples,
            complete=complete,
            files=files,
            white_xy=self.white,
            exposure_scale=scale,
        )

    def finish(self) -> Rendered:
        """Write the manifest."""
        seconds = time.monotonic() - self.began
        manifest = Manifest(
            previz=version("previz"),
            scene=str(self.opened.path),
            title=self.opened.scene.title,
            scene_digest=self.opened.digest,
            back_end=self.back_end.name,
            variant=self.back_end.variant,
            quality=self.options.quality,
            denoised=self.options.denoise,
            seed=self.opened.stage.seed,
            seconds=round(seconds, 2),
            made_at=datetime.now(UTC).isoformat(timespec="seconds"),
            settings=self.options.settings,
            layers=self.opened.stage.layers,
            frames=self.frames,
        )
        path = write_manifest(self.folder, manifest)
        return Rendered(self.folder, tuple(self.files), path, seconds)


def default_folder(scene: Path) -> Path:
    """Where results go unless the user says: `out/` and the scene's name."""
    name = scene.parent.resolve().name if scene.name == "scene.yaml" else scene.stem
    return Path("out") / name


def white_point(opened: OpenScene, renderer: Renderer) -> tuple[float, float]:
    """CIE x, y of what the cameras call white: by number, or measured on a card at a face."""
    stage = opened.stage
    if stage.white_card_of is None:
        return white_xy(stage.white_cct_k or 5600.0)
    person = stage.people[stage.white_card_of]
    point = person.landmarks["nose_tip"] + CARD_AHEAD_M * person.face_forward
    light = renderer.meter(point[None, :], person.face_forward[None, :], CARD_SAMPLES)
    total = np.sum([values[0] for values in light.values()], axis=0)
    if not np.any(total > 0.0):
        return white_xy(5600.0)
    x, y = xy_from_rgb(total)
    return float(x), float(y)
